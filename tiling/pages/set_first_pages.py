"""The pages before a file of several sets: how to print and tape, the list of pieces, whose sets there are."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from tiling.pages.cards import add_cards
from tiling.pages.first_pages import Front, add_how_to, fill
from tiling.pages.page_queue import FrontPage
from tiling.pages.piece_list import add_list
from tiling.pages.text_flow import Flow
from tiling.pdf.pdf_file import PdfFile
from tiling.planning.plan import Job, Plan
from tiling.text.lines import plain

__all__ = ["Lie", "Pack", "Remarks", "card_pages", "first_pages"]

HEADS = ("set", "name", "pages", "done")
PAGES = 2  # which of these is left out where a set's pages lie apart from one another
WIDE_SHARES = (12.0, 95.0, 36.0, 25.0)  # mm on an A4 page
SHARES = (12.0, 31.0, 26.5, 17.0)  # where two such lists stand side by side
FEW = 34  # sets that are listed in one column

Remarks = Callable[[int, int], Sequence[str]]
"""What is to be said above the list of sets, from how many pages stand before them and how many each has."""


Lie = Literal["by set", "by page", "apart"]
"""All pages of a set together; a page of all sets together; each set in a file of its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """One set: all pages of the job, for one owner.

    Attributes:
        number: of the set in the whole list, from 1.
        owner: the name that stands on all of its pages.
    """

    number: int
    owner: str


def card_pages(job: Job, plans: Sequence[Plan], pdf: PdfFile) -> Front:
    """The cards, which are part of every set; they name page numbers of the set and lead to them."""
    count = -1
    while True:
        flow = Flow(pdf, job.page, blank=count < 0)
        flow.begin("cards")
        cards = add_cards(flow, job, plans, first=count + 1)
        pages = flow.pages()
        if len(pages) == count:
            return Front(pages=tuple(pages), cards=cards)
        count = len(pages)


def first_pages(
    job: Job,
    plans: Sequence[Plan],
    pdf: PdfFile,
    *,
    check: float,
    cards: int,
    packs: Sequence[Pack],
    lie: Lie,
    remarks: Remarks,
) -> list[FrontPage]:
    """The pages before all sets.

    Args:
        check: distance between the discs of a ruler on this page, mm.
        cards: how many pages of cards each set begins with.
        packs: all sets of the list.
        lie: how they lie in this file, so that the list can name their pages.
    """
    each = cards + sum(len(plan.layout.tiles) for plan in plans)
    count = -1
    while True:  # the list names page numbers, which depend on how many of these pages there are
        flow = Flow(pdf, job.page, blank=count < 0)
        extras = add_how_to(flow, job, check=check)
        add_list(flow, job, plans, first=cards + 1, each=True)
        extras = fill(flow, job, extras)
        _add_sets(flow, packs, lie=lie, first=max(count, 0), each=each, said=remarks(max(count, 0), each))
        for extra in extras:
            extra.draw(flow, job)
        pages = flow.pages()
        if len(pages) == count:
            return pages
        count = len(pages)


def _add_sets(
    flow: Flow, packs: Sequence[Pack], *, lie: Lie, first: int, each: int, said: Sequence[str]
) -> None:
    flow.begin("list of sets")
    flow.heading("Whose sets these are")
    for words in said:
        flow.paragraph(words)
    if lie == "by page":
        second, third = first + len(packs), first + 2 * len(packs)
        flow.paragraph(
            "Each page of all sets lies together, in the order of this list: page 1 of every set is on pages "
            f"{first + 1}-{second} of the file, page 2 on {second + 1}-{third}, and so on. A pile of one page has "
            "the same trim lines: cut it in one go, then sort the sheets by name."
        )
    if lie == "apart":
        flow.paragraph("Each set is in a file of its own, by its number and name.")
    rows = []
    for place, pack in enumerate(packs):
        here = first + place * each
        rows.append(
            (str(pack.number), plain(pack.owner), f"{here + 1}-{here + each}", "")
        )  # as a print dialog takes it
    _list_sets(flow, rows, placed=lie == "by set")


def _list_sets(flow: Flow, rows: Sequence[tuple[str, ...]], *, placed: bool) -> None:
    """The list, in columns side by side where it is long; with each set's pages where they lie together."""
    lists = 1 if flow.narrow or len(rows) <= FEW else 2 if placed or len(rows) <= 2 * FEW else 3
    kept = [i for i in range(len(HEADS)) if placed or i != PAGES]
    one = WIDE_SHARES if lists == 1 and not flow.narrow else SHARES
    shares = [one[i] + (one[PAGES] if not placed and HEADS[i] == "name" else 0.0) for i in kept]
    step = FEW * lists if lists > 1 else len(rows)
    for start in range(0, len(rows), step):  # a page is read to its foot before the next
        part = rows[start : start + step]
        down = -(-len(part) // lists)
        blank = [("",) * len(HEADS)] * (down * lists - len(part))
        columns = [[*part, *blank][at : at + down] for at in range(0, down * lists, down)]
        if start:
            flow.need(flow.whole)
        side = [[row[i] for row in beside for i in kept] for beside in zip(*columns, strict=True)]
        flow.table([HEADS[i] for i in kept] * lists, side, shares * lists)
