"""A book of ordinary pages: chapters, words, tables that run on over pages, pictures; no rulers, nothing to tape.

Pages are kept until the end, because each says how many there are.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from itertools import takewhile
from typing import BinaryIO

import numpy as np

from tiling.books.scaled_drawing import draw_scaled, scaled_bounds
from tiling.books.table_columns import PAD, BookRow, Column, breadths, set_row, split_columns
from tiling.drawing import Drawing, Stroke
from tiling.pages.manifest import WHOLE, SetsRecord, whole_record
from tiling.pages.strip_file import StripFile
from tiling.paper import Page
from tiling.paper.printers import Correction
from tiling.pdf.pdf_file import Entry, PdfFile
from tiling.pdf.shapes import FINE, FIRM, Ink
from tiling.text.lines import elided, plain, wrapped
from tiling.text.typeface import LINE_PITCH, text_width

__all__ = ["SMALL", "Book", "Cover"]

SMALL = 2.5  # height of a capital in tables and words, mm; the least that stays readable when copied
HEAD, CHAPTER = 3.5, 5.0
PITCH = LINE_PITCH * SMALL
FOOT = 9.0  # mm for the line of words below
EDGE = 12.0  # mm left blank
SIDE = 15.0  # mm left blank; the inner edge takes a punch
RULE = Stroke(width=0.5)
AFTER = 2.0  # mm
HAIR = 0.01  # mm
TOGETHER = 6  # rows; so many under a title are not parted over two pages
LEAD = 0.6  # mm more to each row of a table
BLOCK = 10.0  # mm; less of a table is not begun at the foot of a page
CODE = "record DDDDDD"  # no code of a record is broader
BESIDE = 30.0  # mm of what follows that a heading stands with


@dataclass(frozen=True, slots=True, kw_only=True)
class Cover:
    """What every page says at its foot: whose book it is, and the job's short mark."""

    title: str
    subject: str
    mark: str
    creator: str


@dataclass(slots=True)
class _Leaf:
    """A page in the making."""

    chapter: str
    ink: Ink


class Book:
    """Pages one after the other, from the top down.

    Args:
        stream: open for writing bytes.
        page: its paper, and which way that is held.
        owned: pages with rulers say whose they are; `finish` is told the owners.
        rulers: pages carry the rulers and words of those of the patterns, for what is to be measured or laid on
            the work; else they have narrow margins and one line of words at the foot.
        correction: of the printer, for pages with rulers.
    """

    def __init__(
        self,
        stream: BinaryIO,
        cover: Cover,
        page: Page,
        *,
        rulers: bool = False,
        owned: bool = False,
        correction: Correction | None = None,
    ) -> None:
        title, subject = f"{cover.title}: {cover.subject}", f"Mark {cover.mark}."
        self._page = page
        self._stretch = (1.0, 1.0) if correction is None else correction.stretch(page)
        self._file: StripFile | None = None
        if rulers:
            self._file = StripFile(
                stream, page, title=title, subject=subject, creator=cover.creator,
                name=cover.title, mark=cover.mark, correction=correction, owned=owned,
            )  # fmt: skip
            self._pdf = self._file.pdf
        else:
            self._pdf = PdfFile(
                stream, width=page.width, height=page.height, title=title, subject=subject,
                creator=cover.creator, pick_tray=not page.paper.onto,
                stretch=self._stretch,
            )  # fmt: skip
        self._cover = cover
        self._leaves: list[_Leaf] = []
        self._entries: list[tuple[str, int, list[tuple[str, int]]]] = []
        self.x0, self.x1 = SIDE, page.width - EDGE
        self.foot, self.top = EDGE + FOOT, page.height - EDGE
        if rulers:
            x0, y0, self.x1, y1 = page.window
            self.x0, self.foot, self.top = x0 + 3.0, y0 + 3.0, y1
        self.y = self.top

    @property
    def room(self) -> float:
        """Breadth of the page that is used, mm."""
        return self.x1 - self.x0

    @property
    def left(self) -> float:
        """Height that is left of this page, mm."""
        return self.y - self.foot

    @property
    def whole(self) -> float:
        """Height of an empty page below its chapter's heading, mm."""
        return self.top - self.foot - LINE_PITCH * CHAPTER - 3.0

    @property
    def ink(self) -> Ink:
        """Where the present page is drawn."""
        return self._leaves[-1].ink

    def _turn(self, chapter: str) -> None:
        self._leaves.append(_Leaf(chapter=chapter, ink=Ink(self._pdf)))
        self.y = self.top

    def chapter(self, title: str, *, words: str = "") -> None:
        """Begin a chapter on a page of its own; it stands in the outline."""
        self._turn(title)
        self._entries.append((title, len(self._leaves) - 1, []))
        self._chapter_head(title)
        if words:
            self.paragraph(words)

    def _chapter_head(self, title: str) -> None:
        self.y -= CHAPTER
        self.ink.words(elided(plain(title), self.room, CHAPTER), (self.x0, self.y), CHAPTER)
        self.y -= 2.0
        self.ink.line((self.x0, self.y), (self.x1, self.y), RULE)
        self.y -= 3.5

    def _next(self) -> None:
        title = self._leaves[-1].chapter
        self._turn(title)
        self._chapter_head(f"{title} (continued)")

    def need(self, height: float) -> None:
        """Go on to the next page unless that much of this one is left, mm."""
        if height > self.left and self.left < self.whole:
            self._next()

    def space(self, height: float) -> None:
        """Leave a gap, mm."""
        self.y -= height

    def heading(self, title: str, *, keep: float = BESIDE, listed: bool = True) -> None:
        """A heading within a chapter, kept with ``keep`` mm of what follows."""
        self.need(LINE_PITCH * HEAD + AFTER + keep)
        if self.left < self.whole - 1.0:
            self.y -= 2.0
        self.y -= HEAD
        self.ink.words(elided(plain(title), self.room, HEAD), (self.x0, self.y), HEAD)
        self.y -= AFTER
        if listed:
            self._entries[-1][2].append((title, len(self._leaves) - 1))

    def paragraph(self, text: str, *, height: float = SMALL) -> None:
        """Words across the page; ``height`` of a capital, mm."""
        for line in wrapped(text, self.room, height):
            self.need(LINE_PITCH * height)
            self.y -= LINE_PITCH * height
            self.ink.words(line, (self.x0, self.y + 0.3 * height), height)
        self.y -= AFTER

    # Tables

    def table(self, columns: Sequence[Column], rows: Sequence[BookRow], *, fixed: int = 1) -> None:
        """A table; its heading comes again on every page, and so does the title over rows that are parted.

        Args:
            fixed: where it is broader than the page it is parted into several, each with so many of the
                first columns.
        """
        if any(column.wraps for column in columns):
            self._table(columns, rows)
            return
        for part in split_columns(columns, rows, self.room, SMALL, fixed=fixed):
            picked = [BookRow(cells=tuple(row.cells[i] for i in part)) if row.cells else row for row in rows]
            self._table([columns[i] for i in part], picked)

    def _table(self, columns: Sequence[Column], rows: Sequence[BookRow]) -> None:
        widths = breadths(columns, rows, self.room, SMALL)
        heads = [wrapped(c.head, w - 2.0 * PAD + HAIR, SMALL) for c, w in zip(columns, widths, strict=True)]
        top = self._height(heads)
        self.need(top + 2.0 * PITCH + BLOCK)
        self._heads(heads, columns, widths)
        title = ""
        for place, row in enumerate(rows):
            if not row.cells:
                title = row.title
                if self._title_height(title) + self._group(rows, place, columns, widths) > self.left:
                    self._next()
                    self._heads(heads, columns, widths)
                self._title(title, sum(widths))
                continue
            lines = set_row(row, columns, widths, SMALL)
            if self._height(lines) > self.left:
                self._next()
                self._heads(heads, columns, widths)
                if title:
                    self._title(f"{title} (continued)", sum(widths))
            self._cells(lines, columns, widths)
        self.y -= 3.0

    @staticmethod
    def _height(lines: Sequence[Sequence[str]]) -> float:
        return max([len(cell) for cell in lines] + [1]) * PITCH + LEAD

    def _group(
        self, rows: Sequence[BookRow], place: int, columns: Sequence[Column], widths: Sequence[float]
    ) -> float:
        """The height of the rows under a title: of all of them where they are few, else of the first."""
        under = list(takewhile(lambda row: row.cells, rows[place + 1 :]))
        kept = under if len(under) <= TOGETHER else under[:1]
        return sum(self._height(set_row(row, columns, widths, SMALL)) for row in kept)

    def _heads(
        self, heads: Sequence[Sequence[str]], columns: Sequence[Column], widths: Sequence[float]
    ) -> None:
        end = self.x0 + sum(widths)
        self.ink.line((self.x0, self.y), (end, self.y), FIRM)
        self._cells(heads, columns, widths)
        self.ink.line((self.x0, self.y), (end, self.y), FIRM)

    def _title_lines(self, title: str) -> list[str]:
        """A title may be longer than its table is broad."""
        return wrapped(title, self.room - 2.0 * PAD, SMALL)

    def _title_height(self, title: str) -> float:
        return len(self._title_lines(title)) * PITCH + 2.0

    def _title(self, title: str, wide: float) -> None:
        lines = self._title_lines(title)
        end = self.x0 + max([wide, *(text_width(line, SMALL) + 2.0 * PAD for line in lines)])
        top = self.y - 1.6
        self.y -= self._title_height(title)
        for index, line in enumerate(lines):
            self.ink.words(line, (self.x0 + PAD, top - 0.4 - (index + 1) * PITCH + 0.5 * SMALL), SMALL)
        self.ink.line((self.x0, self.y), (end, self.y), FIRM)

    def _cells(
        self, lines: Sequence[Sequence[str]], columns: Sequence[Column], widths: Sequence[float]
    ) -> None:
        top, x = self.y, self.x0
        self.y -= self._height(lines)
        for cell, column, width in zip(lines, columns, widths, strict=True):
            right = column.align == "right"
            at = x + width - PAD if right else x + PAD
            for index, line in enumerate(cell):
                base = top - LEAD - (index + 1) * PITCH + 0.6 * SMALL
                self.ink.words(line, (at, base), SMALL, align="right" if right else "left")
            x += width
        self.ink.line((self.x0, self.y), (x, self.y), FINE)

    # Pictures

    def picture(self, drawing: Drawing, *, caption: str = "", turned: bool = False) -> None:
        """A drawing in millimetres of paper, in the middle of the page's breadth; the words keep their places.

        One that is larger than the page is drawn smaller, its words as they are.

        Args:
            turned: by a quarter to the left: it runs up the page.
        """
        x0, y0, x1, y1 = scaled_bounds(drawing)
        if turned:
            x0, y0, x1, y1 = -y1, x0, -y0, x1
        room = self.whole - (PITCH + AFTER if caption else 0.0)
        shrink = min(1.0, self.room / max(x1 - x0, 1e-9), room / max(y1 - y0, 1e-9))
        tall = (y1 - y0) * shrink
        self.need(tall + AFTER + (PITCH if caption else 0.0))
        shift = np.array([
            self.x0 + 0.5 * (self.room - shrink * (x1 - x0)) - shrink * x0,
            self.y - tall - shrink * y0,
        ])  # fmt: skip
        draw_scaled(self.ink, drawing, shift, shrink, turned=turned)
        self.y -= tall + AFTER
        if caption:
            self.paragraph(caption)

    def finish(self, owners: Sequence[str] = ()) -> int:
        """Write the pages with their feet, and the outline; returns how many pages there are, or each owner has.

        Args:
            owners: each gets all pages, counted and with the name on every one, one owner after the other; none:
                the pages are written once.
        """
        total = len(self._leaves)
        if self._file is not None:
            self._file.keep_fixed()
        pages = [
            self._pdf.first_operators(self._content(leaf, number, total))
            for number, leaf in enumerate(self._leaves, start=1)
        ]
        for which, name in enumerate(owners or [""], start=1):
            more = [self._owner(name, f"no. {which} of {len(owners)}")] if owners else []
            for number, page in enumerate(pages, start=1):
                self._pdf.add_page_of((page, *more), label=f"{plain(name)} {number}".strip())
        outline = self._outline() if len(owners) < 2 else _by_owner(owners, total)
        if self._file is None:
            self._pdf.attach(WHOLE, self._record(total))
            self._pdf.finish(outline)
        else:
            here = tuple((which, plain(name)) for which, name in enumerate(owners, start=1))
            self._file.finish(
                outline,
                pages=[(number, leaf.chapter, 0) for number, leaf in enumerate(self._leaves, start=1)],
                total=total,
                sets=SetsRecord(total=len(owners), here=here, first=()) if owners else None,
            )
        return total

    def _record(self, total: int) -> bytes:
        """What pages without rulers are proved by."""
        return whole_record(
            title=plain(self._cover.title), mark=plain(self._cover.mark), page=self._page, stretch=self._stretch,
            strips=None, pages=[(number, leaf.chapter, 0) for number, leaf in enumerate(self._leaves, start=1)],
            total=total,
        )  # fmt: skip

    def _owner(self, name: str, which: str) -> int:
        """Write the line that says whose a page is; returns the number of its operators."""
        return self._pdf.more_operators("0 g\n") if self._file is None else self._file.owner(name, which)

    def _outline(self) -> tuple[Entry, ...]:
        return tuple(
            Entry(title=title, page=page, below=partial(_lines, below))
            for title, page, below in self._entries
        )

    def _content(self, leaf: _Leaf, number: int, total: int) -> str:
        """A page with its strips, or with its line of words at the foot."""
        if self._file is not None:
            return self._file.complete(
                leaf.ink.text(), name=self._cover.subject, tag=str(number), number=number, total=total
            )
        base = EDGE
        leaf.ink.line((self.x0, base + 5.0), (self.x1, base + 5.0), FINE)
        x = self.x1
        for said in (f"page {number} of {total}", f"Mark {plain(self._cover.mark)}"):
            leaf.ink.words(said, (x, base), SMALL, align="right")
            x -= text_width(said, SMALL) + 4.0
        if number == 1:
            leaf.ink.record_code((x - text_width(CODE, SMALL), base), SMALL)
            x -= text_width(CODE, SMALL) + 4.0
        words = f"{plain(self._cover.title)} – {self._cover.subject} – {leaf.chapter}"
        leaf.ink.words(elided(words, x - self.x0, SMALL), (self.x0, base), SMALL)
        return leaf.ink.text()


def _by_owner(owners: Sequence[str], each: int) -> tuple[Entry, ...]:
    return tuple(Entry(title=plain(name), page=place * each) for place, name in enumerate(owners))


def _lines(below: Sequence[tuple[str, int]]) -> tuple[Entry, ...]:
    return tuple(Entry(title=title, page=page) for title, page in below)
