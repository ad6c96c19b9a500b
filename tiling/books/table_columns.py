"""Columns of a table: how broad each is, and the rows set in lines for them."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from tiling.text.lines import plain, wrapped
from tiling.text.typeface import printable, text_width

__all__ = ["PAD", "BookRow", "Column", "breadths", "set_row", "split_columns"]

PAD = 1.0  # mm between a cell's words and its column's edges
LEAST = 18.0  # mm; a column that may be broken into lines is not made narrower


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column of a table.

    Attributes:
        head: its heading, said again on every page.
        align: figures are set to the right, words to the left.
        wraps: its words may be broken into lines; a column of figures is never broken.
    """

    head: str
    align: Literal["left", "right"] = "left"
    wraps: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class BookRow:
    """A row of cells; ``title`` alone makes a line across the table that stands over the rows that follow."""

    cells: tuple[str, ...] = ()
    title: str = ""


@functools.lru_cache(maxsize=16384)
def _width(text: str, height: float) -> float:
    return text_width(printable(plain(text)), height)


def breadths(columns: Sequence[Column], rows: Sequence[BookRow], room: float, height: float) -> list[float]:
    """How broad each column is, mm: as its words are; where that is too much, those that wrap give way.

    A table that has room to spare gives some of it to its columns, so that it is not crowded.
    """
    natural = [
        max(
            [
                _width(column.head, height) if not column.wraps else 0.0,
                *(_width(row.cells[i], height) for row in rows if row.cells),
            ]
        )
        + 2.0 * PAD
        for i, column in enumerate(columns)
    ]
    over = sum(natural) - room
    if over <= 0.0:
        spare = min(-over / len(columns), 4.0)
        return [width + spare for width in natural]
    giving = [i for i, column in enumerate(columns) if column.wraps] or list(range(len(columns)))
    fixed = sum(width for i, width in enumerate(natural) if i not in giving)
    left = room - fixed
    # The narrow ones of those that give keep their breadth; the rest share what is left.
    found = list(natural)
    for count, i in zip(
        range(len(giving), 0, -1), sorted(giving, key=lambda i: (natural[i], i)), strict=True
    ):
        found[i] = max(min(natural[i], left / count), min(LEAST, natural[i]))
        left -= found[i]
    total = sum(found)
    return [width * room / total for width in found] if total > room + 1e-6 else found


def split_columns(
    columns: Sequence[Column], rows: Sequence[BookRow], room: float, height: float, *, fixed: int
) -> list[list[int]]:
    """Column numbers in as few parts as fit the room, alike in number, the first ``fixed`` columns before each."""
    natural = [
        max([_width(column.head, height), *(_width(row.cells[i], height) for row in rows if row.cells)])
        + 2.0 * PAD
        for i, column in enumerate(columns)
    ]
    loose = list(range(fixed, len(columns)))
    own = room - sum(natural[:fixed])
    count = 1
    while count < len(loose):
        most = -(-len(loose) // count)
        parts = [loose[i : i + most] for i in range(0, len(loose), most)]
        if all(sum(natural[i] for i in part) <= own for part in parts):
            break
        count += 1
    most = max(-(-len(loose) // count), 1)
    return [[*range(fixed), *loose[i : i + most]] for i in range(0, max(len(loose), 1), most)]


def set_row(
    row: BookRow, columns: Sequence[Column], widths: Sequence[float], height: float
) -> list[list[str]]:
    """The lines of each cell."""
    return [
        [plain(cell)] if not column.wraps and _width(cell, height) <= width - 2.0 * PAD + 0.01
        else wrapped(cell, width - 2.0 * PAD, height)
        for cell, column, width in zip(row.cells, columns, widths, strict=True)
    ]  # fmt: skip
