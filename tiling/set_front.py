"""The pages before a file of several sets: how to print and tape, the list of pieces, whose sets there are."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tiling.flow import Flow, FrontPage
from tiling.front import add_how_to, add_list
from tiling.map_pages import add_maps
from tiling.pdf import PdfFile, plain
from tiling.plan import Job, Plan

__all__ = ["Pack", "Remarks", "first_pages", "map_pages"]

HEADS = ("set", "name", "pages", "done")
WIDE_SHARES = (12.0, 95.0, 36.0, 25.0)  # mm on an A4 page
SHARES = (12.0, 33.0, 27.0, 14.5)  # where two such lists stand side by side
FEW = 34  # sets that are listed in one column

Remarks = Callable[[int], Sequence[str]]
"""What is to be said above the list of sets, from how many pages stand before the first set."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """One set: all pages of the job, for one owner.

    Attributes:
        number: of the set in the whole list, from 1.
        owner: the name that stands on all of its pages.
        where: said in the list of sets where they do not stand one after the other in one file.
    """

    number: int
    owner: str
    where: str = ""


def map_pages(job: Job, plans: Sequence[Plan], pdf: PdfFile) -> list[FrontPage]:
    """The maps, which are part of every set; they name page numbers of the set."""
    count = -1
    while True:
        flow = Flow(pdf, job.page)
        add_maps(flow, plans, first=count + 1)
        pages = flow.pages()
        if len(pages) == count:
            return pages
        count = len(pages)


def first_pages(
    job: Job,
    plans: Sequence[Plan],
    pdf: PdfFile,
    *,
    check: float,
    maps: int,
    packs: Sequence[Pack],
    together: bool,
    remarks: Remarks,
) -> list[FrontPage]:
    """The pages before all sets.

    Args:
        check: distance between the discs of a ruler on this page, mm.
        maps: how many pages of maps each set begins with.
        packs: all sets of the list.
        together: they follow each other in this file, so that the list can name their pages.
    """
    each = maps + sum(len(plan.layout.tiles) for plan in plans)
    count = -1
    while True:  # the list names page numbers, which depend on how many of these pages there are
        flow = Flow(pdf, job.page)
        extras = add_how_to(flow, job, check=check)
        add_list(flow, job, plans, first=maps + 1, each=True)
        for extra in extras:
            extra.draw(flow, job)
        _add_sets(flow, packs, first=count if together else None, each=each, said=remarks(max(count, 0)))
        pages = flow.pages()
        if len(pages) == count:
            return pages
        count = len(pages)


def _add_sets(
    flow: Flow, packs: Sequence[Pack], *, first: int | None, each: int, said: Sequence[str]
) -> None:
    flow.begin("list of sets")
    flow.heading("Whose sets these are")
    for words in said:
        flow.paragraph(words)
    rows = []
    for place, pack in enumerate(packs):
        where = pack.where
        if first is not None:
            where = f"{first + place * each + 1}-{first + (place + 1) * each}"  # as a print dialog takes it
        rows.append((str(pack.number), plain(pack.owner), where, ""))
    if flow.narrow or len(rows) <= FEW:
        flow.table(HEADS, rows, SHARES if flow.narrow else WIDE_SHARES)
        return
    # Two lists side by side, the second going on where the first ends.
    half = (len(rows) + 1) // 2
    second = [*rows[half:], ("", "", "", "")][:half]
    pairs = [(*left, *right) for left, right in zip(rows[:half], second, strict=True)]
    flow.table((*HEADS, *HEADS), pairs, (*SHARES, *SHARES))
