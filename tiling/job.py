"""The whole file: first pages, maps and the pages of every piece, written one by one."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from tiling.choice import chosen_pages
from tiling.flow import FrontPage
from tiling.front import Front, front_pages
from tiling.ink import Ink
from tiling.manifest import WHOLE, pattern_file, pattern_record, whole_record
from tiling.paper import Box
from tiling.pdf import Entry, Link, PdfFile, plain
from tiling.piece_marks import marked
from tiling.plan import Job, Piece, Plan, plan_pieces
from tiling.rolls import plan_rolls
from tiling.runs import cut
from tiling.scale import Scale
from tiling.strips import Strips, lay_strips
from tiling.tiles import tile_contents

__all__ = ["Job", "Piece", "Plan", "Summary", "what", "write_pdf", "write_rolls"]

CREATOR = "scrieve"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Summary:
    """What was written.

    Attributes:
        pages: in the whole job, first pages and maps counted.
        written: in this file; fewer than ``pages`` where only some were asked for.
        first_pages: how many stand before those of the first piece.
        saved: pages that the search for fewer, and sharing, have saved.
        places: each piece with the numbers of its first and its last page, from 1.
        plans: every taped pattern in the order of its pages.
        metres: of paper from a roll.
    """

    pages: int
    written: int
    first_pages: int
    saved: int
    places: tuple[tuple[Piece, int, int], ...]
    plans: tuple[Plan, ...]
    metres: float = 0.0


def write_pdf(
    job: Job,
    path: str | os.PathLike[str],
    *,
    progress: Callable[[int, int], None] | None = None,
    pages: str | Iterable[str | int] | None = None,
) -> Summary:
    """Write a job to a file; the caller moves it into place.

    Args:
        progress: called with the pages written so far and those to be written.
        pages: only these, by number or name, as ``"7, 12-14, frame 3 B4"``; they keep their names, numbers and
            marks.  None: all.
    Raises:
        TilingError: a drawing or a wish for pages that cannot be met; nothing useful is in the file then.
    """
    plans = marked(job, plan_pieces(job.pieces, job.page, share=job.share, search=job.search))
    written = _write(job, plans, path, _Wish(pages=pages, progress=progress))
    return _summary(plans, written, len(written.wanted))


def write_rolls(
    job: Job,
    path: str | os.PathLike[str],
    path_of: Callable[[Plan], str | os.PathLike[str]],
    *,
    progress: Callable[[int, int], None] | None = None,
) -> Summary:
    """Write a job whose patterns are on paper from a roll: the first pages to one file, each pattern to its own.

    Args:
        path: for the first pages, which are on the job's page.
        path_of: where to write a pattern; its layout's page tells the length.
        progress: called with the pages written so far and those to be written.
    Raises:
        TilingError: a drawing that cannot be met, or a printer's correction that does not suit the roll.
    """
    assert job.roll is not None
    plans = marked(job, plan_rolls(job.pieces, job.roll))
    total = sum(len(plan.layout.tiles) for plan in plans)
    first = _write(job, plans, path, _Wish(first_only=True))
    done = len(first.wanted)
    for which, plan in enumerate(plans):
        _write(job, plans, path_of(plan), _Wish(which=which, front=first.front))
        done += len(plan.layout.tiles)
        if progress is not None:
            progress(done, len(first.wanted) + total)
    metres = sum(len(plan.layout.tiles) * plan.layout.page.height for plan in plans) / 1000.0
    return replace(_summary(plans, first, len(first.names)), metres=metres)


def _summary(plans: Sequence[Plan], written: _Written, count: int) -> Summary:
    return Summary(
        pages=len(written.names),
        written=count,
        first_pages=len(written.front.pages),
        saved=sum(plan.saved for plan in plans),
        places=_places(plans, len(written.front.pages)),
        plans=tuple(plans),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Wish:
    """What is to be written into one file.

    Attributes:
        pages: only these; None: all.
        first_only: the first pages alone.
        which: the pages of that plan alone, on its own page; None: those of all plans, on the job's page.
        front: the first pages, where they are known from another file.
    """

    pages: str | Iterable[str | int] | None = None
    first_only: bool = False
    which: int | None = None
    front: Front | None = None
    progress: Callable[[int, int], None] | None = None

    def numbers(self, plans: Sequence[Plan], first: int, names: Sequence[str]) -> tuple[int, ...]:
        """The wanted pages' numbers, rising."""
        if self.first_only:
            return tuple(range(1, first + 1))
        if self.which is not None:
            return tuple(list(_numbers(plans, first))[self.which][1])
        return chosen_pages(self.pages, names)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Written:
    """The first pages, every page's name in the whole job, and the numbers of those in the file."""

    front: Front
    names: tuple[str, ...]
    wanted: tuple[int, ...]


def _write(job: Job, plans: Sequence[Plan], path: str | os.PathLike[str], wish: _Wish) -> _Written:
    """Write one file of a job."""
    page = job.page if wish.which is None else plans[wish.which].layout.page
    tags = tuple(sorted({tile.name for plan in plans for tile in plan.layout.tiles}))
    correction = None if wish.first_only else job.correction
    stretch = (1.0, 1.0) if correction is None else correction.stretch(page)
    strips = lay_strips(
        page, mark=plain(job.mark), tags=tags, drawn_for="" if correction is None else correction.words()
    )
    with Path(path).open("wb") as stream:
        pdf = PdfFile(
            stream,
            width=page.width,
            height=page.height,
            title=f"{job.title}: {what(job.page.scale)}",
            subject=f"Mark {job.mark}. Print at 100 %, actual size.",
            creator=CREATOR,
            stretch=stretch,
            pick_tray=not page.paper.onto,
        )
        front = wish.front or front_pages(job, plans, pdf, check=strips.across.check)
        first = front.pages
        names = [each.name for each in first]
        names += [plan.page_name(tile) for plan in plans for tile in plan.layout.tiles]
        wanted = wish.numbers(plans, len(first), names)
        fixed = Ink(pdf)
        strips.draw_fixed(fixed, with_mark=False)
        sheet = _Sheet(
            pdf=pdf,
            strips=strips,
            fixed=pdf.form("Strips", fixed.text()),
            title=plain(job.title),
            names=names,
        )
        place = {number: index for index, number in enumerate(wanted)}
        for number, content, leads in _contents(plans, front, sheet, frozenset(wanted)):
            links = [Link(box=box, page=place[to]) for box, to in leads if to in place]
            pdf.add_page(content, label=names[number - 1], links=links)
            if wish.progress is not None:
                wish.progress(pdf.pages, len(wanted))
        pdf.attach(
            WHOLE,
            whole_record(
                title=plain(job.title),
                mark=plain(job.mark),
                page=page,
                stretch=stretch,
                strips=strips,
                pages=_listed(plans, names, len(first), wanted),
                total=len(names),
            ),
        )
        pdf.finish(_outline(plans, first, place))
    return _Written(front=front, names=tuple(names), wanted=wanted)


def what(scale: Scale) -> str:
    """What a file holds, for its title."""
    return "full-size patterns" if scale.full else f"patterns at scale {scale.words}, not full size"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet:
    """What every page needs besides its own content."""

    pdf: PdfFile
    strips: Strips
    fixed: str
    title: str
    names: Sequence[str]

    def complete(self, content: str, number: int, tag: str, mark: str = "") -> str:
        """The content of a page with its strips; where it has no mark of its own it carries the job's."""
        ink = Ink(self.pdf)
        ink.raw(f"{content}0 g\n{self.fixed}")
        self.strips.draw_mark(ink, mark)
        name = self.names[number - 1]
        self.strips.draw_named(
            ink, tag=tag, title=self.title, name=name, number=number, total=len(self.names)
        )
        return ink.text()


def _numbers(plans: Sequence[Plan], first: int) -> Iterator[tuple[Plan, range]]:
    """Each piece with the numbers of its pages."""
    at = first + 1
    for plan in plans:
        yield plan, range(at, at + len(plan.layout.tiles))
        at += len(plan.layout.tiles)


def _listed(
    plans: Sequence[Plan], names: Sequence[str], first: int, wanted: Sequence[int]
) -> list[tuple[int, str, int]]:
    """The wanted pages: number, name, and the number of their pattern (0 for first pages)."""
    of_pattern = {
        number: which for which, (_, at) in enumerate(_numbers(plans, first), start=1) for number in at
    }
    return [(number, names[number - 1], of_pattern.get(number, 0)) for number in wanted]


def _places(plans: Sequence[Plan], first: int) -> tuple[tuple[Piece, int, int], ...]:
    return tuple(
        (piece, at.start, at.stop - 1)
        for plan, at in _numbers(plans, first)
        for piece in plan.piece.parts or (plan.piece,)
    )


def _contents(
    plans: Sequence[Plan], front: Front, sheet: _Sheet, wanted: frozenset[int]
) -> Iterator[tuple[int, str, Sequence[tuple[Box, int]]]]:
    """The wanted pages one after the other: number, operators, and boxes that lead to other pages' numbers."""
    for number, page in enumerate(front.pages, start=1):
        if number in wanted:
            yield number, sheet.complete(page.content, number, str(number)), page.links
    for which, (plan, numbers) in enumerate(_numbers(plans, len(front.pages)), start=1):
        if wanted.isdisjoint(numbers):
            continue
        strokes = cut(plan.drawing.paths, plan.layout.to_grid)
        contents = tile_contents(plan, strokes, sheet.pdf)
        here = {index: number for index, number in enumerate(numbers) if number in wanted}
        sheet.pdf.attach(pattern_file(which), pattern_record(plan, strokes, here))
        for tile, content, number in zip(plan.layout.tiles, contents, numbers, strict=True):
            if number in wanted:
                back = (sheet.strips.name_box, front.maps[which - 1])
                yield number, sheet.complete(content, number, tile.name, plan.mark), (back,)


def _outline(
    plans: Sequence[Plan], first: Sequence[FrontPage], place: Mapping[int, int]
) -> tuple[Entry, ...]:
    """The outline of the pages that are in the file; ``place`` gives a page's place by its number."""
    entries = [
        Entry(title=page.name, page=place[number])
        for number, page in enumerate(first, start=1)
        if number in place
    ]
    for plan, numbers in _numbers(plans, len(first)):
        below = tuple(
            Entry(title=plan.page_name(tile), page=place[number])
            for tile, number in zip(plan.layout.tiles, numbers, strict=True)
            if number in place
        )
        if below:
            entries.append(Entry(title=plan.label, page=below[0].page, below=below))
    return tuple(entries)
