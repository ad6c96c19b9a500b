"""The whole file: first pages, cards and the pages of every piece, written one by one."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from tiling.pages.first_pages import Front, front_pages
from tiling.pages.page_queue import FrontPage
from tiling.pages.pattern_file import PatternFile
from tiling.paper import Box
from tiling.pdf.pdf_file import Entry, Link
from tiling.planning.page_choice import PageChoice, chosen_pages
from tiling.planning.piece_marks import marked_plans
from tiling.planning.plan import Job, Piece, Plan

__all__ = ["Job", "Piece", "Plan", "Summary", "write_pdf", "write_rolls"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Summary:
    """What was written.

    Attributes:
        pages: in the whole job, first pages and cards counted.
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
        TilingError: a drawing or a request for pages that cannot be met; nothing useful is in the file then.
    """
    plans = marked_plans(job)
    written = _write(job, plans, path, _Request(pages=pages, progress=progress))
    return _summary(plans, written, len(written.chosen))


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
    plans = marked_plans(job)
    total = sum(len(plan.layout.tiles) for plan in plans)
    first = _write(job, plans, path, _Request(first_only=True))
    done = len(first.chosen)
    for which, plan in enumerate(plans):
        _write(job, plans, path_of(plan), _Request(which=which, front=first.front))
        done += len(plan.layout.tiles)
        if progress is not None:
            progress(done, len(first.chosen) + total)
    metres = sum(len(plan.layout.tiles) * plan.layout.page.height for plan in plans) / 1000.0
    return replace(_summary(plans, first, first.total), metres=metres)


def _summary(plans: Sequence[Plan], written: _Written, count: int) -> Summary:
    return Summary(
        pages=written.total,
        written=count,
        first_pages=len(written.front.pages),
        saved=sum(plan.saved for plan in plans),
        places=_places(plans, len(written.front.pages)),
        plans=tuple(plans),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Request:
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

    def chosen(self, plans: Sequence[Plan], first: Sequence[FrontPage]) -> PageChoice:
        """The wanted pages."""
        if self.first_only:
            return PageChoice(range(1, len(first) + 1))
        if self.which is not None:
            return PageChoice(list(_numbers(plans, len(first)))[self.which][1])
        if self.pages is None:
            return PageChoice(range(1, _total(plans, first) + 1))
        names = [page.name for page in first]
        names += [plan.page_name(tile) for plan in plans for tile in plan.layout.tiles]
        return PageChoice(chosen_pages(self.pages, names))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Written:
    """The first pages, how many pages the whole job has, and which of them are in the file."""

    front: Front
    total: int
    chosen: PageChoice


def _write(job: Job, plans: Sequence[Plan], path: str | os.PathLike[str], request: _Request) -> _Written:
    """Write one file of a job."""
    page = job.page if request.which is None else plans[request.which].layout.page
    with Path(path).open("wb") as stream:
        sheet = PatternFile(stream, job, page, plans, corrected=not request.first_only)
        pdf = sheet.pdf
        front = request.front or front_pages(job, plans, pdf, check=sheet.strips.across.check)
        chosen = request.chosen(plans, front.pages)
        total = _total(plans, front.pages)
        sheet.keep_fixed()
        for name, content, leads in _contents(plans, front, sheet, chosen, total):
            ahead = [(box, chosen.place(to)) for box, to in leads]
            links = [Link(box=box, page=place) for box, place in ahead if place is not None]
            pdf.add_page(content, label=name, links=links)
            if request.progress is not None:
                request.progress(pdf.pages, len(chosen))
        sheet.finish(
            _outline(plans, front.pages, chosen), pages=_listed(plans, front.pages, chosen), total=total
        )
    return _Written(front=front, total=total, chosen=chosen)


def _total(plans: Sequence[Plan], first: Sequence[FrontPage]) -> int:
    """Pages of the whole job."""
    return len(first) + sum(len(plan.layout.tiles) for plan in plans)


def _numbers(plans: Sequence[Plan], first: int) -> Iterator[tuple[Plan, range]]:
    """Each piece with the numbers of its pages."""
    at = first + 1
    for plan in plans:
        yield plan, range(at, at + len(plan.layout.tiles))
        at += len(plan.layout.tiles)


def _listed(
    plans: Sequence[Plan], first: Sequence[FrontPage], chosen: PageChoice
) -> Iterator[tuple[int, str, int]]:
    """The pages of the file: number, name, and the number of their pattern (0 for first pages)."""
    for number, page in enumerate(first, start=1):
        if number in chosen:
            yield number, page.name, 0
    for which, (plan, numbers) in enumerate(_numbers(plans, len(first)), start=1):
        for tile, number in zip(plan.layout.tiles, numbers, strict=True):
            if number in chosen:
                yield number, plan.page_name(tile), which


def _places(plans: Sequence[Plan], first: int) -> tuple[tuple[Piece, int, int], ...]:
    return tuple(
        (piece, at.start, at.stop - 1)
        for plan, at in _numbers(plans, first)
        for piece in plan.piece.parts or (plan.piece,)
    )


def _contents(
    plans: Sequence[Plan], front: Front, sheet: PatternFile, chosen: PageChoice, total: int
) -> Iterator[tuple[str, str, Sequence[tuple[Box, int]]]]:
    """The pages of the file one after the other: name, operators, and boxes that lead to other pages' numbers."""
    for number, page in enumerate(front.pages, start=1):
        if number in chosen:
            content = sheet.complete(
                page.content, name=page.name, tag=str(number), number=number, total=total
            )
            yield page.name, content, page.links
    for which, (plan, numbers) in enumerate(_numbers(plans, len(front.pages)), start=1):
        if not chosen.within(numbers):
            continue
        here = {index: number for index, number in enumerate(numbers) if number in chosen}
        contents = sheet.pattern(plan, which, here)
        back = ((sheet.strips.name_box, front.cards[which - 1]),)
        for tile, content, number in zip(plan.layout.tiles, contents, numbers, strict=True):
            if number in chosen:
                name = plan.page_name(tile)
                content = sheet.complete(
                    content, name=name, tag=tile.name, number=number, total=total, mark=plan.mark
                )
                yield name, content, back


def _outline(plans: Sequence[Plan], first: Sequence[FrontPage], chosen: PageChoice) -> tuple[Entry, ...]:
    """The outline of the pages that are in the file."""
    entries = [
        Entry(title=page.name, page=place)
        for number, page in enumerate(first, start=1)
        if (place := chosen.place(number)) is not None
    ]
    for plan, numbers in _numbers(plans, len(first)):
        places = [place for number in numbers if (place := chosen.place(number)) is not None]
        if places:
            below = partial(_pages_of, plan, numbers, chosen)
            entries.append(Entry(title=plan.label, page=places[0], below=below))
    return tuple(entries)


def _pages_of(plan: Plan, numbers: range, chosen: PageChoice) -> list[Entry]:
    """The outline of the pages of a piece."""
    return [
        Entry(title=plan.page_name(tile), page=place)
        for tile, number in zip(plan.layout.tiles, numbers, strict=True)
        if (place := chosen.place(number)) is not None
    ]
