"""The main job from a design folder to files: patterns as PDF, SVG and JSON, and the tables for the shop."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from patterns.draughting import draw
from patterns.errors import WishError
from patterns.mark import short_mark
from patterns.members import named
from patterns.output import batch, left_over, safe_name
from patterns.page_wish import PageWish
from patterns.pattern import Pattern, from_the_other_face
from patterns.picture.page import Printed, picture_page
from patterns.shop.compared import since_last_run
from patterns.shop.report import counted
from patterns.shop.results import as_printed, pattern_data, shapes_json
from patterns.shop.tables import bevel_table, distance_table
from patterns.subject import Subject, load_subject
from tiling.count import about_pages
from tiling.errors import PagesError
from tiling.job import Job, Piece, Plan, Summary, write_pdf, write_rolls
from tiling.paper import Page
from tiling.print_shop import page_length
from tiling.scale import Scale
from tiling.svg import svg_text

__all__ = [
    "CAUTIONS",
    "Made",
    "ask_of_many",
    "chosen",
    "job_of",
    "make_faired",
    "make_patterns",
]

FAIRED_PAGE = "lines.html"  # what fair writes for a screen
MANY_PAGES = 2000  # more are asked about: a week of taping, or a slip

CAUTIONS = (
    "These patterns are geometry, not engineering. Scantlings, fastenings, adhesives and repairs to structure "
    "are for the plans, the local rules and a qualified designer or surveyor.",
    "Check a card template against the faired table and against the boat before you cut good wood.",
    "Wood and epoxy dust: wear a mask and clear the air. Adhesives: gloves, and read the maker's sheet. "
    "Blades: guards on, hands clear, eyes and ears covered.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What was made: the folder and the words to say about it."""

    folder: Path
    words: tuple[str, ...]


def chosen(patterns: Sequence[Pattern], only: Sequence[str]) -> tuple[Pattern, ...]:
    """The patterns of the names given, all of them if none is given.

    A frame's name, ``frame 3``, means all the pieces that it is made of.

    Raises:
        WishError: names that no pattern has (all of them are listed, with those there are).
    """
    if not only:
        return tuple(patterns)
    found = {name: named(patterns, name) for name in only}
    unknown = [name for name in only if not found[name]]
    if unknown:
        there = ", ".join(pattern.name for pattern in patterns)
        raise WishError(
            "\n".join(f'--only "{name}": no such pattern; there are: {there}' for name in unknown)
        )
    return tuple({pattern.name: pattern for name in only for pattern in found[name]}.values())


def _pieces(title: str, patterns: Sequence[Pattern], *, whole: bool, scale: Scale) -> tuple[Piece, ...]:
    return tuple(
        Piece(
            name=pattern.name,
            facts=(
                f"Quantity: {pattern.quantity}",
                pattern.facts[0],
                f"Shows the {pattern.face}",
                *pattern.facts[1:],
            ),
            drawing=draw(pattern, boat=title, whole=whole, scale=scale),
            alone=pattern.trial,
        )
        for pattern in patterns
    )


def job_of(
    folder: Path,
    subject: Subject,
    every: Sequence[Pattern],
    picked: Sequence[Pattern],
    *,
    wish: PageWish,
    page: Page,
    whole: bool = False,
    quick: bool = False,
) -> Job:
    """What is to be printed: the picked ones of every pattern, under the mark of design and settings."""
    mark = short_mark(
        [folder / name for name in subject.files],
        page.paper.name,
        page.landscape,
        page.margin,
        page.overlap,
        whole,
        quick,
        "" if wish.correction is None else wish.correction.words(),
        *(() if page.scale.full else (page.scale.name,)),
        *(("butt",) if page.butt else ()),
    )
    trial = len(picked) > 1 and page.scale.full
    first = _cheapest([pattern for pattern in every if pattern in picked]) if trial else None
    return Job(
        title=subject.title,
        mark=mark,
        pieces=_pieces(subject.title, picked, whole=whole, scale=page.scale),
        page=wish.first_page(page),
        roll=page if page.paper.roll else None,
        cautions=tuple(dict.fromkeys((*subject.closing(), *subject.cautions, *CAUTIONS))),
        first_piece=first,
        share=not quick,
        search=not quick,
        correction=wish.correction,
    )


def make_patterns(
    folder: Path,
    *,
    wish: PageWish,
    only: Sequence[str] = (),
    pages: str | None = None,
    whole: bool = False,
    other_face: bool = False,
    quick: bool = False,
    into: Path | None = None,
    replace: bool = False,
    progress: Callable[[int, int], None] | None = None,
    go_on: Callable[[str], bool] = lambda _: False,
) -> Made:
    """Make everything that the design asks for, and write it into one folder.

    ``quick`` leaves out the search for fewer pages: no two patterns share any.
    With ``only`` or ``pages`` one PDF of its own is written and the rest is left as it is.
    ``go_on`` is asked, in words, where it would be thousands of pages.

    Raises:
        DesignError, PatternsError, TilingError: nothing has been written then; a WishError among them where
            what was asked for, not the design, is at fault.
    """
    page = wish.page(rolls=True)
    if page.paper.roll and pages:
        raise WishError(
            "--pages is for sheets; of a roll's patterns name the one that you want again with --only"
        )
    subject = load_subject(folder)
    every = subject.patterns(only=only)
    picked = chosen(every, only)
    if other_face:
        picked = tuple(p for pattern in picked for p in _with_other_face(pattern))
    job = job_of(folder, subject, every, picked, wish=wish, page=page, whole=whole, quick=quick)
    ask_of_many(job, go_on)
    name, mark = job.title, job.mark
    small = page.scale.in_names
    target = _folder(subject, into, small)
    part = bool(only or pages)
    told: tuple[str, ...] = ()
    differences: tuple[str, ...] = ()
    with batch(target, replace=replace) as work:
        pdf = f"{_part_name(only, pages) if part else 'patterns'}{small}.pdf"
        try:
            if job.roll is None:
                summary = write_pdf(job, work.path(pdf), progress=progress, pages=pages)
            else:
                summary = write_rolls(
                    job, work.path(pdf), lambda plan: work.path(_roll_name(plan, small)), progress=progress
                )
        except PagesError as error:
            raise WishError(f"--pages {pages}: {error}") from error
        places = {piece.name: (first, last) for piece, first, last in summary.places}
        marks = {
            piece.name: plan.mark for plan in summary.plans for piece in plan.piece.parts or (plan.piece,)
        }
        if not part:
            shapes = [
                {**pattern_data(pattern), "printed": as_printed(marks[pattern.name], *places[pattern.name])}
                for pattern in picked
            ]
            results = f"shapes{small}.json"
            work.write(results, shapes_json(name, mark, shapes, printed_at=small and page.scale.name))
            differences = since_last_run(target / results, shapes, first_pages=summary.first_pages)
            for piece in job.pieces:
                work.write(
                    f"svg/{safe_name(piece.name)}{small}.svg",
                    svg_text(piece.drawing, title=f"{piece.name} {page.scale.warning}".strip()),
                )
        if not part and not small:  # a model has no shop's papers of its own: they are the boat's
            work.write("bevels.csv", bevel_table(picked))
            work.write("distances.csv", distance_table(picked))
            told = subject.write_papers(
                work,
                every,
                page=job.page,
                mark=mark,
                places=places,
                correction=wish.correction,
            )
            work.write("picture.html", _picture(subject, job, picked, summary, pdf))
            told = ("picture.html", *told)
    older = () if part else left_over(target, {*work.names, FAIRED_PAGE})
    words = _words(subject, job, summary, target, pdf, part, told, older)
    return Made(folder=target, words=(*words, *differences, *subject.closing()))


def _picture(subject: Subject, job: Job, picked: Sequence[Pattern], summary: Summary, pdf: str) -> str:
    """The page for a screen, with the pages of the file of patterns."""
    printed = Printed(
        file=pdf,
        mark=job.mark,
        plans=summary.plans,
        first=summary.first_pages + 1,
        total=summary.pages,
        paper=(job.roll or job.page).paper.name,
    )
    return picture_page(
        job.title, parts=subject.seen(), patterns=picked, printed=printed, cautions=job.cautions
    )


def ask_of_many(job: Job, go_on: Callable[[str], bool]) -> None:
    """Ask before anything is laid out that would take more pages than anybody tapes.

    Raises:
        WishError: it is not wanted.
    """
    about = about_pages((piece.drawing for piece in job.pieces), job.page)
    if about <= MANY_PAGES:
        return
    words = f"{job.title} would take about {about:,} {job.page.paper.name} pages"
    if not go_on(words):
        raise WishError(
            f"{words}: is a length in the wrong unit? Say --only for one pattern, --paper for larger pages, or "
            "--sure if all are wanted"
        )


def make_faired(folder: Path, *, into: Path | None = None, replace: bool = False) -> Made:
    """Fair the lines and write the as-faired tables and the lines to sight along.

    Raises:
        DesignError, PatternsError: nothing has been written then.
    """
    subject = load_subject(folder)
    target = _folder(subject, into)
    with batch(target, replace=replace) as work:
        subject.write_faired(work)
        parts = subject.seen()
        if parts:
            work.write(FAIRED_PAGE, picture_page(subject.title, parts=parts, cautions=CAUTIONS))
    return Made(
        folder=target, words=(*subject.report(), f"wrote {counted(len(work.names), 'file')} to {target}")
    )


def _folder(subject: Subject, into: Path | None, small: str = "") -> Path:
    return into if into is not None else Path(f"{safe_name(subject.title)} patterns{small}")


def _with_other_face(pattern: Pattern) -> tuple[Pattern, ...]:
    """The pattern, and its other face where it has register holes to lie on."""
    if any(hole.purpose == "register hole" for hole in pattern.holes):
        return pattern, from_the_other_face(pattern)
    return (pattern,)


def _cheapest(patterns: Sequence[Pattern]) -> str:
    """The pattern to try first in card: the smallest that lies against planking or deck, as it proves the lines."""

    def area(pattern: Pattern) -> float:
        breadth, height = pattern.size()
        return breadth * height

    trials = [pattern for pattern in patterns if pattern.trial]
    pieces = trials or [pattern for pattern in patterns if not pattern.template]
    proving = [piece for piece in pieces if any(not reading.land for reading in piece.readings)]
    return min(proving or pieces or patterns, key=area).name


def _part_name(only: Sequence[str], pages: str | None) -> str:
    words = " and ".join(only) if only else "patterns"
    return safe_name(f"{words} pages {pages.replace(',', ' and ')}" if pages else words)


def _roll_name(plan: Plan, small: str) -> str:
    """The file of a pattern that is on a roll: the shop sees in its name what to load and how much of it."""
    words = f"{plan.label}{small} {plan.layout.page.paper.name} {page_length(plan)}"
    return f"rolls/{safe_name(words)}.pdf"


def _words(
    subject: Subject,
    job: Job,
    summary: Summary,
    target: Path,
    pdf: str,
    part: bool,
    told: Sequence[str],
    older: Sequence[str],
) -> list[str]:
    paper = job.page.paper.name
    written = "" if summary.written == summary.pages else f"{counted(summary.written, 'page')} of "
    scale = job.page.scale
    small = "" if scale.full else f" at scale {scale.words}, NOT FULL SIZE,"
    on = f"{written}{summary.pages} {paper} pages"
    if job.roll is not None:
        count = summary.pages - summary.first_pages
        on = (
            f"{counted(count, 'page')} of a {job.roll.paper.name}, {summary.metres:.1f} m of it, and "
            f"{summary.first_pages} first {paper} pages"
        )
    words = [
        f"{job.title}: {counted(len(job.pieces), 'pattern')}{small} on {on}, first pages' mark {job.mark}."
    ]
    together: dict[tuple[int, int], list[str]] = {}
    for piece, first, last in summary.places:
        together.setdefault((first, last), []).append(piece.name)
    words += [
        f"  {'; '.join(names)}: " + (f"page {first}" if first == last else f"pages {first} to {last}")
        for (first, last), names in together.items()
    ]
    if summary.saved:
        words.append(f"The search for fewer pages saved {counted(summary.saved, 'page')}.")
    tables = f"{'' if small else 'tables (CSV), '}shapes{scale.in_names}.json and svg/"
    words.append(f"wrote {target / pdf}" + ("" if part else f", {', '.join([*told, tables])} beside it"))
    if job.roll is not None:
        words.append(
            f"The patterns are in {target / 'rolls'}, one file each; page 1 tells what to ask the shop for."
        )
    elif summary.written == summary.pages:
        words.append("Print page 1 alone at 100 % and measure its rulers before you print the rest.")
    if small:
        words.append("The shop's papers are the boat's: scrieve patterns without --scale makes them.")
    elif job.first_piece and not part:
        first, last = next(pages for pages, names in together.items() if job.first_piece in names)
        asked = f"--pages {first}" if first == last else f"--pages {first}-{last}"
        if len(together[first, last]) > 1:  # its pages hold others besides
            asked = f'--only "{job.first_piece}"'
        words.append(f"Then make one cheap template first: {job.first_piece}; {asked} prints it alone.")
    words += [f"left of an earlier run: {target / name}" for name in older]
    return words
