"""What is said when patterns are made: their pages, the files, what to print and to try first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from patterns.shop.report import counted
from tiling.job import Summary
from tiling.planning.plan import Job

__all__ = ["UNDONE", "page_lines", "words_of_run"]

UNDONE = (
    "An earlier run was stopped while it put its files in place: its former set was put back before this run."
)


def words_of_run(
    job: Job,
    summary: Summary,
    *,
    target: Path,
    pdf: str,
    part: bool,
    told: Sequence[str],
    older: Sequence[str],
) -> list[str]:
    """What a run has made and what comes first now, a line each.

    Args:
        target, pdf: the folder and the name in it of what is to be printed.
        part: only some pages or patterns were asked for.
        told: files beside it that are worth telling.
        older: files that an earlier run left there.
    """
    tables = "tables (CSV), " if job.page.scale.full else ""
    beside = [*told, f"{tables}shapes{job.page.scale.in_names}.json and svg/"]
    words = [_headline(job, summary)]
    if summary.saved:
        words.append(f"The search for fewer pages saved {counted(summary.saved, 'page')}.")
    words.append(f"wrote {target / pdf}" + ("" if part else f", {', '.join(beside)} beside it"))
    if job.roll is not None:
        words.append(
            f"The patterns are in {target / 'rolls'}, one file each; page 1 lists what to ask the shop for."
        )
    elif summary.written == summary.pages:
        words.append("Print page 1 alone at 100 % and measure its rulers before you print the rest.")
    if not job.page.scale.full:
        words.append("The papers for the shop come at full size only: leave out --scale to make them.")
    elif job.first_piece and not part:
        words.append(
            f"Then make one cheap template first: {job.first_piece}, which has a file of its own."
            if job.roll is not None
            else _cheap_template(job.first_piece, _together(summary))
        )
    return [*words, *(f"left of an earlier run: {target / name}" for name in older)]


def page_lines(summary: Summary) -> list[str]:
    """On which pages each pattern is, a line for those that lie together."""
    return [
        "Patterns and their pages:",
        *(
            f"  {'; '.join(names)}: " + (f"page {first}" if first == last else f"pages {first} to {last}")
            for (first, last), names in _together(summary).items()
        ),
    ]


def _together(summary: Summary) -> dict[tuple[int, int], list[str]]:
    """The names of the patterns by their first and last page."""
    found: dict[tuple[int, int], list[str]] = {}
    for piece, first, last in summary.places:
        found.setdefault((first, last), []).append(piece.name)
    return found


def _headline(job: Job, summary: Summary) -> str:
    """How many patterns on how many pages, at what scale, under which mark."""
    scale, paper = job.page.scale, job.page.paper.name
    small = "" if scale.full else f" at scale {job.page.scale_words}, NOT FULL SIZE,"
    written = "" if summary.written == summary.pages else f"{counted(summary.written, 'page')} of "
    on = f"{written}{summary.pages} {paper} pages"
    if job.roll is not None:
        count = summary.pages - summary.first_pages
        on = (
            f"{counted(count, 'page')} of a {job.roll.paper.name}, {summary.metres:.1f} m of it, and "
            f"{summary.first_pages} first {paper} pages"
        )
    made = sum(not piece.of for piece in job.pieces)  # ends of long pieces are parts of their patterns
    return f"{job.title}: {counted(made, 'pattern')}{small} on {on}, first pages' mark {job.mark}."


def _cheap_template(name: str, together: Mapping[tuple[int, int], Sequence[str]]) -> str:
    """What to try first, and how to print it alone, by the names that lie together on pages."""
    (first, last), names = next(item for item in together.items() if name in item[1])
    asked = f"--pages {first}" if first == last else f"--pages {first}-{last}"
    if len(names) > 1:  # its pages hold others besides
        asked = f'--only "{name}"'
    return f"Then make one cheap template first: {name}; {asked} prints it alone."
