"""Values that may have got into a cell from another one, by an exchange of two cells.

Two cells that were exchanged are both wrong.  So another cell's value is offered only where it fits this place
better than its own: on a line's level run a sound neighbour has much the same value, and proves nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from patterns.fairing.cells import View
from patterns.hull.planes import FloatArray
from patterns.table.by_neighbours import by_neighbours
from patterns.table.values import BOW

if TYPE_CHECKING:
    from patterns.table.offsets import LineOffsets, Offsets

__all__ = ["strays"]

BETTER = 0.5  # part of its distance from its own place within which an exchanged value must lie here


def strays(offsets: Offsets, line: str, view: View, column: int) -> dict[str, float]:
    """What may have been meant in a cell, mm, by the words for how it got into another cell.

    Args:
        column: the cell's column in its row.
    """
    row = offsets.lines[line]
    own, other = (row.z, row.y) if view == "height" else (row.y, row.z)
    other_name = "half-breadth" if view == "height" else "height"
    found: dict[str, float] = {}
    here = by_neighbours(row.x, own, column)

    def add(words: str, value: float, there: float) -> None:
        if np.isfinite(value) and not abs(value - here) > BETTER * abs(value - there):
            found[words] = float(value)

    add(
        f"height and half-breadth exchanged (the {other_name} row has this value)",
        float(other[column]),
        by_neighbours(row.x, other, column),
    )
    for name, x, values in _other_rows(offsets, line, view) if not _all_alike(row, view, column) else ():
        add(
            f"{line} and {name} exchanged (the row of {name} has this value)",
            float(values[column]),
            by_neighbours(x, values, column),
        )
    for near in (column - 1, column + 1):
        if 0 <= near < len(row.labels):
            here, there = (by_neighbours(row.x, own, at, column + near - at) for at in (column, near))
            add(f"the value of {row.labels[near]} is one column off", float(own[near]), there)
    return found


def _all_alike(row: LineOffsets, view: View, column: int) -> bool:
    """Whether all lines have one value there: on a stem every line is half its siding out."""
    return view == "half-breadth" and row.labels[column] == BOW


def _other_rows(offsets: Offsets, line: str, view: View) -> Iterator[tuple[str, FloatArray, FloatArray]]:
    row: LineOffsets
    for name, row in offsets.lines.items():
        if name != line:
            yield name, row.x, row.z if view == "height" else row.y
