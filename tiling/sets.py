"""The same patterns in several sets, each with its owner's name on every page.

Nothing is drawn twice: the operators of a page are written once and shared by all sets, and so is the one line that
says whose a set is by all pages of that set.  A page more costs the few bytes that name the two.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from tiling.pages.first_pages import Front
from tiling.pages.manifest import SetsRecord
from tiling.pages.page_queue import FrontPage
from tiling.pages.pattern_file import PatternFile
from tiling.pages.set_first_pages import Pack, Remarks, card_pages, first_pages
from tiling.paper import Box
from tiling.pdf.pdf_file import Entry, Link
from tiling.planning.piece_marks import marked
from tiling.planning.plan import Job, Plan
from tiling.text.lines import plain

__all__ = ["BEFORE", "Order", "Pack", "SetsSummary", "write_sets"]

BEFORE = "For the teacher"  # the owner of the pages before all sets

Order = Literal["by set", "by page"]
"""All pages of a set together; or a page of all sets together, then the next page of all sets."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SetsSummary:
    """What was written.

    Attributes:
        first: pages before all sets.
        cards: pages of cards that each set begins with.
        each: pages of a set, its cards counted.
        pages: of the file.
    """

    first: int
    cards: int
    each: int
    pages: int


Leads = Sequence[tuple[Box, int]]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shared:
    """A page that is in every set: its name, its operators' number in the file, and boxes that lead to other pages
    of the set, by their numbers."""

    name: str
    operators: int
    leads: Leads = ()


def write_sets(
    job: Job,
    plans: Sequence[Plan],
    path: str | os.PathLike[str],
    packs: Sequence[Pack],
    *,
    total: int,
    order: Order = "by set",
    listed: Sequence[Pack] = (),
    remarks: Remarks | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> SetsSummary:
    """Write sets of a job to a file; the caller moves it into place.

    Args:
        plans: the job's pieces on their pages, laid once for however many files.
        packs: the sets that are printed in this file; none: the pages before them alone.
        total: how many sets there are in all, as printed on every page.
        listed: the sets that the first pages name; none: there are no first pages.
        remarks: said above that list.
        progress: called with the pages written so far and those to be written.
    """
    plans = marked(job, plans)
    with Path(path).open("wb") as stream:
        sheet = PatternFile(stream, job, job.page, plans, sets=True)
        pdf, strips = sheet.pdf, sheet.strips
        cards = card_pages(job, plans, pdf)
        writer = _Writer(plans=plans, sheet=sheet, cards=cards)
        before = (
            first_pages(
                job, plans, pdf, check=strips.across.check, cards=len(cards.pages), packs=listed,
                lie=order if packs else "apart", remarks=remarks or (lambda first, each: ()),
            )
            if listed
            else []
        )  # fmt: skip
        every = len(before) + len(packs) * writer.each
        for done in writer.pages(before, packs, total=total, order=order):
            if progress is not None:
                progress(done, every)
        sheet.finish(
            writer.outline,
            pages=writer.listed,
            total=writer.each,
            sets=SetsRecord(
                total=total,
                here=tuple((pack.number, plain(pack.owner)) for pack in packs),
                first=tuple(page.name for page in before),
                by_page=order == "by page",
            ),
        )
    return SetsSummary(first=len(before), cards=len(cards.pages), each=writer.each, pages=every)


class _Writer:
    """The pages of one file.

    Attributes:
        listed: the pages of a set for the record: number, name, and the number of the pattern (0: none).
        outline: what stands in it so far.
    """

    def __init__(self, *, plans: Sequence[Plan], sheet: PatternFile, cards: Front) -> None:
        self._plans, self._sheet, self._pdf, self._cards = plans, sheet, sheet.pdf, cards
        sheet.keep_fixed()
        self.listed: list[tuple[int, str, int]] = []
        self.outline: list[Entry] = []

    @property
    def each(self) -> int:
        """Pages of a set."""
        return len(self._cards.pages) + sum(len(plan.layout.tiles) for plan in self._plans)

    def pages(
        self, before: Sequence[FrontPage], packs: Sequence[Pack], *, total: int, order: Order
    ) -> Iterator[int]:
        """Write all pages; yields how many there are so far."""
        if before:
            owner = self._sheet.owner(BEFORE, "")
            for number, page in enumerate(before, start=1):
                shared = self._shared(page.content, page.name, str(number), number, len(before))
                self._note(page.name)
                self._pdf.add_page_of((shared.operators, owner), label=page.name)
                yield self._pdf.pages
        if not packs:
            return
        shared_pages = list(self._set_pages())
        if order == "by set":
            for place, pack in enumerate(packs):
                owner = self._sheet.owner(pack.owner, f"set {pack.number} of {total}")
                self._note(f"{pack.number}. {plain(pack.owner)}")
                at = range(len(before) + place * self.each, len(before) + (place + 1) * self.each)
                for shared in shared_pages:
                    self._add(shared, owner, at, label=f"{plain(pack.owner)}: {shared.name}")
                    yield self._pdf.pages
            return
        owners = [self._sheet.owner(pack.owner, f"set {pack.number} of {total}") for pack in packs]
        end = len(before) + len(packs) * self.each
        for shared in shared_pages:
            self._note(shared.name)
            for place, (pack, owner) in enumerate(zip(packs, owners, strict=True)):
                at = range(len(before) + place, end, len(packs))
                self._add(shared, owner, at, label=f"{shared.name}: {plain(pack.owner)}")
                yield self._pdf.pages

    def _note(self, title: str) -> None:
        """The next page is the first of that title in the outline."""
        self.outline.append(Entry(title=title, page=self._pdf.pages))

    def _shared(
        self, content: str, name: str, tag: str, number: int, total: int, mark: str = "", leads: Leads = ()
    ) -> _Shared:
        """Write a page but for the words on its owner."""
        content = self._sheet.complete(content, name=name, tag=tag, number=number, total=total, mark=mark)
        return _Shared(name=name, operators=self._pdf.first_operators(content), leads=tuple(leads))

    def _set_pages(self) -> Iterator[_Shared]:
        """The pages of a set, each written once; the patterns' records are attached on the way."""
        for number, page in enumerate(self._cards.pages, start=1):
            self.listed.append((number, page.name, 0))
            yield self._shared(page.content, page.name, str(number), number, self.each, leads=page.links)
        at = len(self._cards.pages) + 1
        for which, plan in enumerate(self._plans, start=1):
            numbers = {index: at + index for index in range(len(plan.layout.tiles))}
            contents = self._sheet.pattern(plan, which, numbers)
            back = ((self._sheet.strips.name_box, self._cards.cards[which - 1]),)
            for tile, content in zip(plan.layout.tiles, contents, strict=True):
                name = plan.page_name(tile)
                self.listed.append((at, name, which))
                yield self._shared(content, name, tile.name, at, self.each, plan.mark, back)
                at += 1

    def _add(self, shared: _Shared, owner: int, at: range, *, label: str) -> None:
        """Add a page of a set; ``at`` gives the place in the file, from 0, of each page of this set."""
        links = [Link(box=box, page=at[number - 1]) for box, number in shared.leads]
        self._pdf.add_page_of((shared.operators, owner), label=label, links=links)
