"""The main job from a design folder to files: patterns as PDF, SVG and JSON, and the tables for the shop."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from patterns.design.confirmed import doubt_lines
from patterns.errors import DoubtsError, Problem, RequestError
from patterns.files.batch import Batch, batch, left_over, put_back, safe_name
from patterns.numeric_errors import no_numeric_errors
from patterns.pattern import Pattern
from patterns.picture.page import Printed, picture_page
from patterns.run.in_doubt import judged
from patterns.run.job import CAUTIONS, ask_of_many, chosen, job_of, with_other_faces
from patterns.run.mark import former_of, record_name
from patterns.run.page_request import PageRequest, with_its_bevels
from patterns.run.printed import laid_on, places_of_patterns
from patterns.run.summary import UNDONE, page_lines, words_of_run
from patterns.shop.compared import since_last_run
from patterns.shop.ordinate_table import ordinate_table
from patterns.shop.report import counted
from patterns.shop.results import as_printed, pattern_data, shapes_json
from patterns.shop.tables import bevel_table, distance_table
from patterns.subject import Subject, load
from tiling.dxf import dxf_text
from tiling.dxf import installed as dxf_installed
from tiling.errors import PagesError
from tiling.job import Summary, write_pdf, write_rolls
from tiling.pages.print_shop import page_length
from tiling.paper.scale import Scale
from tiling.planning.plan import Job, Plan
from tiling.planning.reuse import next_record
from tiling.svg import svg_text

__all__ = ["Made", "make", "make_faired"]

PICTURE = "picture.html"  # the page for a screen


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What was made: the folder, the files in it and the words to say about them.

    Attributes:
        files: what was written, as paths below the folder.
        patterns: each pattern that is drawn, with its first and its last page.
        listed: the same in words.
        pages: in the file to print.
        problems: doubts that are open.
        doubts: those of the words that are said even to one who wants quiet.
        untold: the last run's shapes, which lie in the folder until the words have been said: of a run that is
            killed before that the next one compares with the pages that the user may hold.
    """

    folder: Path
    words: tuple[str, ...]
    files: tuple[str, ...]
    patterns: tuple[tuple[str, int, int], ...] = ()
    listed: tuple[str, ...] = ()
    pages: int = 0
    problems: tuple[Problem, ...] = ()
    doubts: tuple[str, ...] = ()
    untold: Path | None = None

    def tell(self, say: Callable[[str], object], *, quiet: bool = False, verbose: bool = False) -> None:
        """Say the words; only then are the last run's shapes done with, against which they compare this run's.

        Args:
            quiet: the doubts alone.
            verbose: first on which pages each pattern is.
        """
        for line in (*(self.listed if verbose else ()), *(self.doubts if quiet else self.words)):
            say(line)
        if self.untold is not None:
            with suppress(OSError):  # it is compared with once more, which is true as well
                self.untold.unlink(missing_ok=True)


@with_its_bevels
def make(
    folder: Path | str,
    into: Path | str | None = None,
    *,
    request: PageRequest | None = None,
    only: Sequence[str] = (),
    pages: str | None = None,
    whole: bool = False,
    other_face: bool = False,
    quick: bool = False,
    strict: bool = False,
    share: bool = False,
    dxf: bool = False,
    replace: bool = False,
    progress: Callable[[int, int], None] | None = None,
    go_on: Callable[[str], bool] = lambda _: False,
) -> Made:
    """Make everything that a design folder asks for, and write it into one folder.

    With ``only`` or ``pages`` one PDF of its own is written and the rest is left as it is.

    Args:
        folder: the design's.
        into: the folder to write to; by default one in the working directory, named after the boat.
        request: the paper, and the scale; by default the locale's paper at full size.
        only: names of patterns; ``frame 3`` means all of its pieces, ``body plan`` the scrieve board, which is made
            only when it is asked for.
        pages: numbers of pages, e.g. ``7,12-14``.
        whole: symmetrical patterns are not printed as a half to flip.
        other_face: each pattern's other face too.
        quick: leave out the search for fewer pages: no two patterns share any.
        strict: make nothing while there is a doubt.
        share: lay small patterns among one another, to save paper.
        dxf: write each pattern as a DXF file as well.
        replace: write over files that were changed since they were written.
        progress: called with the pages drawn so far and all pages.
        go_on: asked, in words, where it would be thousands of pages.

    Raises:
        DesignError, PatternsError, TilingError: nothing has been written then; a RequestError among them where
            what was asked for, not the design, is at fault; a DoubtsError where it is ``strict`` and there is
            a doubt.
    """
    folder, request = Path(folder), request or PageRequest()
    page = request.page(rolls=True)
    if page.paper.roll and pages:
        raise RequestError(
            "--pages is for sheets; of a roll's patterns name the one that you want again with --only"
        )
    if dxf and not dxf_installed():
        raise RequestError('--dxf needs ezdxf; install it by: pip install "scrieve[dxf]"')
    with no_numeric_errors():
        subject = load(folder)
        page = dataclasses.replace(page, metric=subject.metric)
        prints = [name for name in subject.loft_prints if name in {one.strip().casefold() for one in only}]
        named = [name for name in only if name.strip().casefold() not in prints]
        every, shown = judged(subject, named)
        doubts = subject.doubts(shown)
        if strict and doubts:
            raise DoubtsError(doubts)
        picked = chosen(every, named, also=subject.loft_prints) if named or not prints else ()
        if other_face:
            picked = with_other_faces(picked)
    closing = tuple(subject.closing(shown))
    job = job_of(
        folder,
        subject,
        every,
        picked,
        request=request,
        page=page,
        whole=whole,
        quick=quick,
        share=share,
        closing=closing,
        prints=prints,
    )
    ask_of_many(job, go_on)
    target = _folder(subject, None if into is None else Path(into), page.scale.in_names)
    undone = (UNDONE,) if put_back(target) else ()
    job = dataclasses.replace(job, former=former_of(target, page.scale))
    part = bool(only or pages)
    told: tuple[str, ...] = ()
    differences: tuple[str, ...] = ()
    with batch(target, replace=replace) as work, no_numeric_errors():
        pdf = f"{_part_name(only, pages) if part else 'patterns'}{page.scale.in_names}.pdf"
        summary = _write_pages(work, job, pdf, pages=pages, progress=progress)
        if not part:
            work.write(record_name(page.scale), next_record(job, summary.plans))
            differences = _write_shapes(work, job, picked, summary, target)
            if page.scale.full:  # a model has no shop's papers of its own: they are the boat's
                told = _write_papers(work, subject, job, picked, every, summary, pdf)
        if dxf:
            for piece in job.pieces:
                work.write(f"dxf/{safe_name(piece.name)}{page.scale.in_names}.dxf", dxf_text(piece.drawing))
    older = () if part else left_over(target, {*work.names})
    words = words_of_run(job, summary, target=target, pdf=pdf, part=part, told=told, older=older)
    return Made(
        folder=target,
        words=(*undone, *doubt_lines(doubts), *words, *differences, *closing),
        files=tuple(work.names),
        patterns=tuple((piece.name, first, last) for piece, first, last in summary.places),
        listed=tuple(page_lines(summary)),
        pages=summary.written,
        problems=doubts,
        doubts=(*doubt_lines(doubts), *closing),
        untold=None if part else target / _untold(page.scale),
    )


def _write_pages(
    work: Batch, job: Job, pdf: str, *, pages: str | None, progress: Callable[[int, int], None] | None
) -> Summary:
    """What is to be printed; patterns on a roll are files of their own."""
    if job.roll is not None:
        small = job.page.scale.in_names
        return write_rolls(
            job, work.path(pdf), lambda plan: work.path(_roll_name(plan, small)), progress=progress
        )
    try:
        return write_pdf(job, work.path(pdf), progress=progress, pages=pages)
    except PagesError as error:
        raise RequestError(f"--pages {pages}: {error}") from error


def _write_shapes(
    work: Batch, job: Job, picked: Sequence[Pattern], summary: Summary, target: Path
) -> tuple[str, ...]:
    """Every shape as data and as a drawing; what differs from the last run's data, in words."""
    scale = job.page.scale
    places = _places(summary, picked, job)
    marks = {piece.name: plan.mark for plan in summary.plans for piece in plan.piece.parts or (plan.piece,)}
    shapes = [
        {**pattern_data(pattern), "printed": as_printed(marks[pattern.name], *places[pattern.name])}
        for pattern in picked
    ]
    results = f"shapes{scale.in_names}.json"
    work.write(results, shapes_json(job.title, job.mark, shapes, printed_at=scale.in_names and scale.name))
    for piece in job.pieces:
        work.write(
            f"svg/{safe_name(piece.name)}{scale.in_names}.svg",
            svg_text(piece.drawing, title=f"{piece.name} {scale.warning}".strip()),
        )
    before = target / _untold(scale)
    if not before.exists():
        before = target / results
    if before.exists():
        work.keep(_untold(scale), before.read_bytes())
    return since_last_run(before, shapes, first_pages=summary.first_pages)


def _untold(scale: Scale) -> str:
    """The file that keeps the last run's shapes until it is said what has changed."""
    return f".compared{scale.in_names}.json"


def _write_papers(
    work: Batch,
    subject: Subject,
    job: Job,
    picked: Sequence[Pattern],
    every: Sequence[Pattern],
    summary: Summary,
    pdf: str,
) -> tuple[str, ...]:
    """The shop's papers and tables, and the page for a screen; the names that are worth telling."""
    work.write("bevels.csv", bevel_table(picked))
    work.write("distances.csv", distance_table(picked))
    laid = [(each, own) for each in picked if (own := laid_on(each, job.roll or job.page)) is not None]
    if laid:
        work.write("ordinates.csv", ordinate_table(laid))
    told = subject.write_papers(
        work,
        every,
        page=job.page,
        mark=job.mark,
        places=_places(summary, every, job),
        correction=job.correction,
    )
    work.write(PICTURE, _picture(subject, job, (every, picked), summary, pdf))
    return (PICTURE, *told)


def _places(summary: Summary, patterns: Sequence[Pattern], job: Job) -> dict[str, tuple[int, int]]:
    """Each pattern's first and last page."""
    places = {piece.name: (first, last) for piece, first, last in summary.places}
    return places_of_patterns(patterns, job.roll or job.page, places)


def _picture(
    subject: Subject,
    job: Job,
    patterns: tuple[Sequence[Pattern], Sequence[Pattern]],
    summary: Summary,
    pdf: str,
) -> str:
    """The page for a screen, with the pages of the file of patterns.

    Args:
        patterns: every one, and those that are printed.
    """
    every, picked = patterns
    printed = Printed(
        file=pdf,
        mark=job.mark,
        plans=summary.plans,
        first=summary.first_pages + 1,
        total=summary.pages,
        paper=(job.roll or job.page).paper.name,
    )
    names = {pattern.name for pattern in every}
    shown = (*every, *(pattern for pattern in picked if pattern.name not in names))  # other faces come last
    return picture_page(
        job.title, parts=subject.seen(every), patterns=shown, printed=printed, cautions=job.cautions
    )


def make_faired(folder: Path, *, into: Path | None = None, replace: bool = False) -> Made:
    """Fair the lines and write the as-faired tables and the lines to sight along.

    Raises:
        DesignError, PatternsError: nothing has been written then.
    """
    subject = load(folder)
    target = _folder(subject, into)
    with batch(target, replace=replace) as work:
        subject.write_faired(work)
        parts = subject.seen()
        if parts:
            work.write(PICTURE, picture_page(subject.title, parts=parts, cautions=CAUTIONS))
    doubts = tuple(subject.closing())
    return Made(
        folder=target,
        words=(
            *subject.report(verbose=True),
            f"wrote {counted(len(work.names), 'file')} to {target}",
            *doubts,
        ),
        files=tuple(work.names),
        doubts=doubts,
    )


def _folder(subject: Subject, into: Path | None, small: str = "") -> Path:
    return into if into is not None else Path(f"{safe_name(subject.title)} patterns{small}")


def _part_name(only: Sequence[str], pages: str | None) -> str:
    words = " and ".join(only) if only else "patterns"
    return safe_name(f"{words} pages {pages.replace(',', ' and ')}" if pages else words)


def _roll_name(plan: Plan, small: str) -> str:
    """The file of a pattern that is on a roll: the shop sees in its name what to load and how much of it."""
    words = f"{plan.label}{small} {plan.layout.page.paper.name} {page_length(plan)}"
    return f"rolls/{safe_name(words)}.pdf"
