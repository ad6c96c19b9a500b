"""Words set in lines down the window of a page, and on to the next page where one is full."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager

from tiling.pages.page_queue import FrontPage, Waiting
from tiling.paper import Box, Page
from tiling.pdf.pdf_file import PdfFile
from tiling.pdf.shapes import THIN, Ink, NoInk
from tiling.text.lines import BODY, wrapped
from tiling.text.typeface import LINE_PITCH

__all__ = ["HEAD", "PITCH", "Flow"]

HEAD = 5.0
PITCH = LINE_PITCH * BODY
NARROW = 130.0  # mm; a table on a narrower page has fewer columns
BEFORE = 1.5  # mm before a heading that does not begin a page
AFTER = 1.2  # mm after a heading or a paragraph
INDENT = 7.5  # mm; room for the sign before a paragraph
KEPT = 3.0 * PITCH  # mm; as much stands under a heading on its page
CELL_PAD = 1.5  # mm between a table's words and its lines


class Flow:
    """Pages in the making; ``x0`` to ``x1`` is the breadth that may be used, ``y`` the foot of what stands.

    Args:
        blank: nothing is drawn: only the number of pages is wanted.
    """

    def __init__(self, pdf: PdfFile, page: Page, *, blank: bool = False) -> None:
        self._pdf = pdf
        self._window: Box = page.window
        self._name = ""
        self._part = 0
        self._make: Callable[[PdfFile], Ink] = NoInk if blank else Ink
        self._ink = self._make(pdf)
        self._links: list[tuple[Box, int]] = []
        self._waiting = Waiting()
        self._done: list[FrontPage] = []
        self.x0, _, self.x1, self.y = self._window
        self.x0 += 3.0  # clear of the upright ruler

    @property
    def ink(self) -> Ink:
        """Where the present page is drawn."""
        return self._ink

    @property
    def number(self) -> int:
        """The number of the present page, from 1."""
        return len(self._done) + 1

    def link(self, box: Box, number: int) -> None:
        """Let a box of the present page, mm, lead to the page of that number."""
        self._links.append((box, number))

    @property
    def left(self) -> float:
        """How much of the page's height is left, mm."""
        return self.y - self._window[1] - 2.0

    @property
    def narrow(self) -> bool:
        """The page is too narrow for a table of many columns."""
        return self.x1 - self.x0 < NARROW

    @property
    def whole(self) -> float:
        """The height of an empty page, mm."""
        return self._window[3] - self._window[1] - 2.0

    def begin(self, name: str) -> None:
        """Begin a page of that name."""
        self._end()
        self._name, self._part = name, 1

    def _end(self) -> None:
        if self._part:
            name = self._name if self._part == 1 else f"{self._name} ({self._part})"
            self._done.append(self._waiting.add(name, self._ink.text(), self._links))
        self._ink, self._links = self._make(self._pdf), []
        self.y = self._window[3]

    def pages(self) -> list[FrontPage]:
        """All pages, the present one closed."""
        self._end()
        self._part = 0
        return self._done

    def need(self, height: float) -> None:
        """Go on to the next page unless that much of this one is left, mm."""
        if height > self.left and self.y < self._window[3]:
            self._end()
            self._part += 1

    def space(self, height: float) -> None:
        """Leave a gap, mm."""
        self.y -= height

    def heading(self, text: str, *, height: float = HEAD) -> None:
        """A heading, kept together with what follows."""
        self.need(BEFORE + LINE_PITCH * height + KEPT)
        if self.y < self._window[3]:
            self.y -= BEFORE
        for line in wrapped(text, self.x1 - self.x0, height):
            self.y -= LINE_PITCH * height
            self._ink.words(line, (self.x0, self.y + 0.5 * height), height)
        self.y -= AFTER

    @staticmethod
    def height_with_heading(under: float) -> float:
        """Height that a heading of one line needs with something of a height under it, mm."""
        return BEFORE + LINE_PITCH * HEAD + max(AFTER + under, KEPT)

    def height_of(self, text: str, *, sign: str = "") -> float:
        """Height of a paragraph, mm."""
        left = self.x0 + (INDENT if sign else 0.0)
        return len(wrapped(text, self.x1 - left)) * PITCH + AFTER

    def paragraph(self, text: str, *, sign: str = "") -> None:
        """A paragraph; a ``sign`` (a number, a dash) stands before its first line."""
        left = self.x0 + (INDENT if sign else 0.0)
        for index, line in enumerate(wrapped(text, self.x1 - left)):
            self.need(PITCH)
            self.y -= PITCH
            base = self.y + 0.45 * BODY
            if sign and index == 0:
                self._ink.words(sign, (self.x0, base), BODY)
            self._ink.words(line, (left, base), BODY)
        self.y -= AFTER

    def steps(self, texts: Sequence[str], *, first: int = 1) -> None:
        """Numbered paragraphs."""
        for index, text in enumerate(texts, start=first):
            self.paragraph(text, sign=f"{index}.")

    def table(self, head: Sequence[str], rows: Sequence[Sequence[str]], widths: Sequence[float]) -> None:
        """A ruled table; ``widths`` are shares of the breadth.  The head comes again on every page."""
        room = self.x1 - self.x0
        columns = [room * width / sum(widths) for width in widths]
        if rows:
            self.need(self._height(head, columns) + self._height(rows[0], columns))
        self._row(head, columns, rule=True)
        for row in rows:
            if self._height(row, columns) > self.left:
                self.need(self.whole)
                self._row(head, columns, rule=True)
            self._row(row, columns)
        self.y -= 3.0

    @staticmethod
    def _height(row: Sequence[str], columns: Sequence[float]) -> float:
        counts = [
            len(wrapped(cell, width - 2.0 * CELL_PAD)) for cell, width in zip(row, columns, strict=True)
        ]
        return max([*counts, 1]) * PITCH + CELL_PAD

    def _row(self, row: Sequence[str], columns: Sequence[float], *, rule: bool = False) -> None:
        height = self._height(row, columns)
        self.need(height)
        top, x = self.y, self.x0
        self.y -= height
        for cell, width in zip(row, columns, strict=True):
            for index, line in enumerate(wrapped(cell, width - 2.0 * CELL_PAD)):
                self._ink.words(line, (x + CELL_PAD, top - (index + 1) * PITCH + 0.3 * BODY), BODY)
            x += width
        if rule:
            self._ink.line((self.x0, top), (self.x1, top), THIN)
        self._ink.line((self.x0, self.y), (self.x1, self.y), THIN)

    @contextmanager
    def block(self, height: float) -> Iterator[Box]:
        """A box of that height across the page for a picture."""
        self.need(height)
        box = (self.x0, self.y - height, self.x1, self.y)
        yield box
        self.y -= height
