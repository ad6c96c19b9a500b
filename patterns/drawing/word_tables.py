"""Tables of words set side by side in a figure: as many columns of rows as the room allows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from patterns.drawing.strokes import FINE, FIRM
from tiling.drawing import XY, Figure, Path
from tiling.text.lines import wrapped
from tiling.text.typeface import text_width

__all__ = ["BODY", "Row", "Shelf", "WordTable", "figure_of", "on_pages"]

BODY = 2.5  # height of a capital, mm
PITCH = 1.55 * BODY  # mm from row to row
GAP = 2.5  # mm between two columns
APART = 7.0  # mm between two tables side by side
BELOW = 3.0  # mm under a shelf of tables
HEAD = 16.0  # mm; a longer head is broken
EVERY = 5  # rows; a thin line guides the eye

Row = tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WordTable:
    """A table of words; ``named``: its first column holds names, and is set from the left."""

    heads: Row
    rows: tuple[Row, ...]
    named: bool = False

    @property
    def broken(self) -> list[list[str]]:
        """The heads in lines."""
        return [wrapped(head, HEAD, BODY) for head in self.heads]

    @property
    def widths(self) -> list[float]:
        """Of the columns, mm."""
        columns = zip(*self.rows, strict=True)
        return [
            max(text_width(cell, BODY) for cell in (*lines, *column)) + GAP
            for lines, column in zip(self.broken, columns, strict=True)
        ]

    @property
    def wide(self) -> float:
        """How broad one column of rows is, with what parts it from the next, mm."""
        return sum(self.widths) - GAP + APART

    def parted(self, count: int) -> tuple[tuple[Row, ...], ...]:
        """The rows in so many even parts, or fewer."""
        each = -(-len(self.rows) // count)
        return tuple(self.rows[k : k + each] for k in range(0, len(self.rows), each))


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """Tables side by side, each in one or more parts."""

    tables: tuple[tuple[WordTable, tuple[tuple[Row, ...], ...]], ...]

    @property
    def heads(self) -> int:
        """Lines of the heads."""
        return max(len(lines) for table, _ in self.tables for lines in table.broken)

    @property
    def height(self) -> float:
        """mm."""
        return (max(len(part) for _, parts in self.tables for part in parts) + self.heads) * PITCH + BELOW


def on_pages(tables: Sequence[WordTable], wide: float, room: float) -> list[list[Shelf]]:
    """Shelves of tables, the first table on one of its own, as pages of a height hold them.

    Args:
        wide, room: breadth and height of a page, mm.
    """
    pages: list[list[Shelf]] = [[]]
    left = room
    for shelf in [each for group in _groups(tables, wide) for each in _shelves(group, wide, room)]:
        if pages[-1] and shelf.height > left:
            pages.append([])
            left = room
        pages[-1].append(shelf)
        left -= shelf.height
    return pages


def _groups(tables: Sequence[WordTable], wide: float) -> list[list[WordTable]]:
    """The tables that are set side by side."""
    groups = [[table] for table in tables[:1]]
    for number, table in enumerate(tables[1:]):
        if number and sum(each.wide for each in (*groups[-1], table)) - APART <= wide:
            groups[-1].append(table)
        else:
            groups.append([table])
    return groups


def _shelves(group: Sequence[WordTable], wide: float, room: float) -> list[Shelf]:
    """One shelf of a group; where a page is too low for it, each table on as many shelves as it takes."""
    counts = [1] * len(group)
    while True:
        longest = sorted(range(len(group)), key=lambda k: -len(group[k].rows) / counts[k])[0]
        more = [count + (k == longest) for k, count in enumerate(counts)]
        spread = sum(table.wide * count for table, count in zip(group, more, strict=True)) - APART
        if spread > wide or more[longest] > len(group[longest].rows):
            break
        counts = more
    shelf = Shelf(tables=tuple((table, table.parted(n)) for table, n in zip(group, counts, strict=True)))
    if shelf.height <= room:
        return [shelf]
    if len(group) > 1:
        return [each for table in group for each in _shelves([table], wide, room)]
    most = max(int((room - BELOW) / PITCH) - shelf.heads, 1) * counts[0]
    [table] = group
    parts = [table.rows[start : start + most] for start in range(0, len(table.rows), most)]
    cut = [WordTable(heads=table.heads, rows=rows, named=table.named) for rows in parts]
    return [Shelf(tables=((each, each.parted(counts[0])),)) for each in cut]


def figure_of(shelves: Sequence[Shelf], wide: float) -> Figure:
    """The shelves from the top down."""
    height = sum(shelf.height for shelf in shelves)
    words: list[tuple[str, XY]] = []
    paths: list[Path] = []
    top = height
    for shelf in shelves:
        left = 0.0
        for table, parts in shelf.tables:
            for part in parts:
                _set(table, part, (left, top - shelf.heads * PITCH), words, paths)
                left += table.wide
        top -= shelf.height
    return Figure(paths=tuple(paths), width=wide, height=height, words=tuple(words))


def _set(
    table: WordTable, rows: Sequence[Row], corner: XY, words: list[tuple[str, XY]], paths: list[Path]
) -> None:
    """Set one part of a table, its rows below a corner and its heads above it."""
    left, top = corner
    rise = 0.15 * BODY
    x = left
    for column, (lines, width) in enumerate(zip(table.broken, table.widths, strict=True)):

        def at(cell: str, x: float = x, width: float = width, column: int = column) -> float:
            return x if table.named and column == 0 else x + width - GAP - text_width(cell, BODY)

        for number, line in enumerate(reversed(lines)):
            words.append((line, (at(line), top + number * PITCH + rise)))
        for number, row in enumerate(rows, start=1):
            if row[column]:
                words.append((row[column], (at(row[column]), top - number * PITCH + rise)))
        x += width
    for number in range(0, len(rows) + 1, EVERY):
        y = top - number * PITCH - 0.25
        stroke = FINE if number else FIRM
        paths.append(Path(points=np.array([[left, y], [x - GAP, y]]), stroke=stroke))
