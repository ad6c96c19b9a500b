"""A table to be filled in by hand: ruled both ways, its rows as high as handwriting."""

from __future__ import annotations

from collections.abc import Sequence

from tiling.books.book import SMALL, Book
from tiling.books.table_columns import PAD
from tiling.pdf.shapes import FINE, FIRM
from tiling.text.lines import elided, plain, wrapped
from tiling.text.typeface import LINE_PITCH, printable, text_width

__all__ = ["ROW", "add_blanks"]

ROW = 7.0  # mm; the room that a figure written by hand takes
PITCH = LINE_PITCH * SMALL
HAIR = 0.01  # mm


def add_blanks(
    book: Book, heads: Sequence[str], rows: Sequence[Sequence[str]], shares: Sequence[float]
) -> None:
    """Draw the table across the page; an empty cell is one to be filled in, and is as white as any.

    Args:
        rows: the words of each cell, set to the right; the first of a row to the left.
        shares: of the breadth that the words leave over, one a column.
    """
    widths = _widths(heads, rows, shares, book.room)
    lines = [
        wrapped(head, width - 2.0 * PAD + HAIR, SMALL) for head, width in zip(heads, widths, strict=True)
    ]
    top = max(len(said) for said in lines) * PITCH + 1.5
    done = 0
    while done < len(rows) or not rows:
        book.need(top + ROW * (len(rows) - done if done == 0 else 1))
        fit = max(int((book.left - top) / ROW), 1)
        _stretch(book, lines, rows[done : done + fit], widths, top)
        done += fit
        if not rows:
            return


def _widths(
    heads: Sequence[str], rows: Sequence[Sequence[str]], shares: Sequence[float], room: float
) -> list[float]:
    """How wide each column is, mm: its words are whole where the page has room, and shares of what is left over."""
    columns = [[*head.split(), *(row[i] for row in rows)] for i, head in enumerate(heads)]
    needed = [
        max([text_width(printable(plain(cell)), SMALL) for cell in column], default=0.0) + 2.0 * PAD
        for column in columns
    ]
    spare = max(room - sum(needed), 0.0) / sum(shares)
    widths = [width + spare * share for width, share in zip(needed, shares, strict=True)]
    return [width * room / sum(widths) for width in widths]


def _stretch(
    book: Book,
    heads: Sequence[Sequence[str]],
    rows: Sequence[Sequence[str]],
    widths: Sequence[float],
    head: float,
) -> None:
    """So many rows as this page has room for, with their heading, which is ``head`` mm high."""
    top = book.y
    ink = book.ink
    x = book.x0
    for lines, width in zip(heads, widths, strict=True):
        for index, line in enumerate(lines):
            ink.words(line, (x + PAD, top - (index + 1) * PITCH + 0.2 * SMALL), SMALL)
        x += width
    y = top - head
    ink.line((book.x0, top), (book.x1, top), FIRM)
    ink.line((book.x0, y), (book.x1, y), FIRM)
    for row in rows:
        _cells(book, row, widths, y)
        y -= ROW
        ink.line((book.x0, y), (book.x1, y), FINE)
    x = book.x0
    for width in (*widths, 0.0):
        ink.line((x, top), (x, y), FINE)
        x += width
    book.y = y - 2.0


def _cells(book: Book, row: Sequence[str], widths: Sequence[float], top: float) -> None:
    x = book.x0
    base = top - 0.5 * (ROW + SMALL)
    for place, (cell, width) in enumerate(zip(row, widths, strict=True)):
        said = elided(plain(cell), width - 2.0 * PAD + HAIR, SMALL)
        if said and place == 0:
            book.ink.words(said, (x + PAD, base), SMALL)
        elif said:
            book.ink.words(said, (x + width - PAD, base), SMALL, align="right")
        x += width
