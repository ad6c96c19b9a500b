"""What of a design is to be printed: the patterns that were asked for, as a job for the pages."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from patterns.drawing.frame_up import FrameUp
from patterns.drawing.legend import legends_of
from patterns.drawing.strokes import BEVELS, GRID, NOTES
from patterns.errors import RequestError
from patterns.joinery.make_pieces import named
from patterns.measure.nearest import nearest
from patterns.pattern import Pattern, from_the_other_face
from patterns.run.mark import made_from, short_mark
from patterns.run.page_request import PageRequest
from patterns.run.printed import Printing
from patterns.run.typed_values import typed_values
from patterns.shop.order_of_work import in_order_of_work
from patterns.subject import Subject
from tiling.layout.page_estimate import about_pages
from tiling.paper import Page
from tiling.planning.plan import Job

__all__ = ["CAUTIONS", "ask_of_many", "chosen", "job_of", "with_other_faces"]

MANY_PAGES = 2000  # more are asked about: a week of taping, or a slip

CAUTIONS = (
    "These patterns are geometry, not engineering. Scantlings, fastenings, adhesives and repairs to structure "
    "are for the plans, the local rules and a qualified designer or surveyor.",
    "Check a card template against the faired table and against the boat before you cut good wood.",
    "Wood and epoxy dust: wear a mask and clear the air. Adhesives: gloves, and read the maker's sheet. "
    "Blades: guards on, hands clear, eyes and ears covered.",
)


def chosen(
    patterns: Sequence[Pattern], only: Sequence[str], *, also: Sequence[str] = ()
) -> tuple[Pattern, ...]:
    """The patterns of the names given, all of them if none is given.

    A frame's name, ``frame 3``, means all the pieces that it is made of.

    Args:
        also: names of what is no pattern; they are listed with those there are.
    Raises:
        RequestError: names that no pattern has (all of them are listed, with those there are).
    """
    if not only:
        return tuple(patterns)
    found = {name: named(patterns, name) for name in only}
    unknown = [name for name in only if not found[name]]
    if unknown:
        names = [*(pattern.name for pattern in patterns), *also]
        lines = [
            " ".join(filter(None, (f'--only "{n}": no such pattern;', nearest(n, names)))) for n in unknown
        ]
        raise RequestError("\n".join([*lines, f"there are: {'; '.join(names)}"]))
    return tuple({pattern.name: pattern for name in only for pattern in found[name]}.values())


def with_other_faces(patterns: Sequence[Pattern]) -> tuple[Pattern, ...]:
    """The patterns, each followed by its other face where it has register holes to lie on."""
    found: list[Pattern] = []
    for pattern in patterns:
        found.append(pattern)
        if any(hole.purpose == "register hole" for hole in pattern.holes):
            found.append(from_the_other_face(pattern))
    return tuple(found)


def job_of(
    folder: Path,
    subject: Subject,
    every: Sequence[Pattern],
    picked: Sequence[Pattern],
    *,
    request: PageRequest,
    page: Page,
    whole: bool = False,
    quick: bool = False,
    closing: Sequence[str] = (),
    share: bool = False,
    prints: Sequence[str] = (),
) -> Job:
    """What is to be printed: the picked ones of every pattern, under the mark of design and settings.

    Args:
        prints: names of the loft's own prints; they come before the patterns.
        closing: what the first page says again of doubts.
        share: small patterns lie among one another, to save paper; else only those that fit on a page or two share
            any, each in a box of its own.
        quick: no search for fewer pages: no two patterns share any.
    """
    typed = typed_values(folder, subject.files)
    mark = short_mark(
        typed,
        page.paper.name,
        page.landscape,
        page.margin,
        page.overlap,
        whole,
        quick,
        "" if request.correction is None else request.correction.words(),
        *(() if page.scale.full else (page.scale.name,)),
        *(("butt",) if page.butt else ()),
        *_bevels(request),
        *(("share",) if share else ()),
    )
    trial = len(picked) > 1 and page.scale.full
    first = _cheapest([pattern for pattern in every if pattern in picked]) if trial else None
    source = made_from(typed, whole, *_bevels(request))
    printing = Printing(
        title=subject.title, page=page, whole=whole, source=source,
        frame_up=FrameUp(tuple(every)), lengths=subject.length_words,
    )  # fmt: skip
    loft = [subject.loft_print(name, every, scale=page.scale, source=source) for name in prints]
    legends = [*(legend for each in loft for legend in each.legends), *legends_of(picked)]
    return Job(
        title=subject.title,
        mark=mark,
        pieces=(*(each.piece for each in loft), *printing.pieces(in_order_of_work(picked))),
        page=request.first_page(page),
        roll=page if page.paper.roll else None,
        cautions=tuple(dict.fromkeys((*closing, *subject.cautions, *CAUTIONS))),
        first_piece=first,
        share="apart" if quick else "nested" if share else "fenced",
        search=not quick,
        correction=request.correction,
        asides=frozenset({BEVELS, NOTES, GRID}),
        legends=tuple({legend.heading: legend for legend in legends}.values()),
    )


def _bevels(request: PageRequest) -> tuple[str, ...]:
    """What the choice of the bevels' figure adds to what marks are made of; nothing where it is the usual one."""
    return () if request.bevels == "through the wood" else (request.bevels,)


def _cheapest(patterns: Sequence[Pattern]) -> str:
    """The pattern to try first: one of card, or the smallest that lies against planking or deck, as that proves the
    lines."""

    def area(pattern: Pattern) -> float:
        breadth, height = pattern.size()
        return breadth * height

    trial = next((pattern for pattern in patterns if pattern.trial), None)
    if trial is not None:
        return trial.name
    pieces = [pattern for pattern in patterns if not pattern.template]
    proving = [piece for piece in pieces if any(not reading.land for reading in piece.readings)]
    return min(proving or pieces or patterns, key=area).name


def ask_of_many(job: Job, go_on: Callable[[str], bool]) -> None:
    """Ask before anything is laid out that would take more pages than anybody tapes.

    Raises:
        RequestError: it is not wanted.
    """
    about = about_pages((piece.drawing for piece in job.pieces), job.page)
    if about <= MANY_PAGES:
        return
    words = f"{job.title} would take about {about:,} {job.page.paper.name} pages"
    if not go_on(words):
        raise RequestError(
            f"{words}: is a length in the wrong unit? Use --only for one pattern, --paper for larger pages, or "
            "--yes to make them all"
        )
