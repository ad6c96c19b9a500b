"""A table to be filled in by hand: ruled both ways, its rows as high as handwriting."""

from __future__ import annotations

from collections.abc import Sequence

from tiling.books.book import SMALL, Book
from tiling.books.table_columns import PAD
from tiling.pdf.shapes import FINE, FIRM
from tiling.text.lines import elided, plain, wrapped
from tiling.text.typeface import LINE_PITCH

__all__ = ["add_blanks", "blanks_height"]

ROW = 7.0  # mm; the room that a figure written by hand takes
HEADS = 2  # lines of words that a heading may have
PITCH = LINE_PITCH * SMALL


def _head() -> float:
    return HEADS * PITCH + 1.5


def blanks_height(rows: int) -> float:
    """The height of a table of so many rows, mm, its heading counted."""
    return _head() + rows * ROW + 2.0


def add_blanks(
    book: Book, heads: Sequence[str], rows: Sequence[Sequence[str]], shares: Sequence[float]
) -> None:
    """Draw the table across the page; an empty cell is one to be filled in, and is as white as any.

    Args:
        rows: the words of each cell, set to the right; the first of a row to the left.
        shares: of the breadth, one a column.
    """
    widths = [book.room * share / sum(shares) for share in shares]
    done = 0
    while done < len(rows) or not rows:
        book.need(_head() + ROW * (len(rows) - done if done == 0 else 1))
        fit = max(int((book.left - _head()) / ROW), 1)
        _stretch(book, heads, rows[done : done + fit], widths)
        done += fit
        if not rows:
            return


def _stretch(
    book: Book, heads: Sequence[str], rows: Sequence[Sequence[str]], widths: Sequence[float]
) -> None:
    """So many rows as stand on this page, with their heading."""
    top = book.y
    ink = book.ink
    x = book.x0
    for head, width in zip(heads, widths, strict=True):
        for index, line in enumerate(wrapped(head, width - 2.0 * PAD, SMALL)[:HEADS]):
            ink.words(line, (x + PAD, top - (index + 1) * PITCH + 0.2 * SMALL), SMALL)
        x += width
    y = top - _head()
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
        said = elided(plain(cell), width - 2.0 * PAD, SMALL)
        if said and place == 0:
            book.ink.words(said, (x + PAD, base), SMALL)
        elif said:
            book.ink.words(said, (x + width - PAD, base), SMALL, align="right")
        x += width
