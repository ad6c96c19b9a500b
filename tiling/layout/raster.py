"""The squares of an area, each with ink or without: the one map of ink for layout, words, shared pages and stock.

What goes less than `NOISE` of a square beyond the line between two squares does not reach the next: the last
figures of computed coordinates decide nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from tiling.drawing import XY, FloatArray
from tiling.drawing.tolerance import NOISE
from tiling.layout.coverage import InkBoxes
from tiling.layout.masks import Mask, mark_blocks
from tiling.layout.summed_table import SummedTable

__all__ = ["Raster"]

IntArray = NDArray[np.intp]
Counts = NDArray[np.int32]

ROUND = 0.05  # of a square; how far an area is simplified and its rounded corners stand off


@dataclass(frozen=True, kw_only=True, eq=False)
class Raster:
    """Squares in rows from the foot up.

    Attributes:
        low: the lower left corner, shape (2,), mm.
        square: the sides of a square, across and up; shape (2,), mm.
        counts: shape (rows, columns): how much the ink in each square counts; marks where each counts once.
    """

    low: FloatArray
    square: FloatArray
    counts: Mask | Counts

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.counts.shape[0], self.counts.shape[1]

    @cached_property
    def ink(self) -> Mask:
        """The squares with ink; shape (rows, columns)."""
        return np.asarray(self.counts, dtype=bool)

    @classmethod
    def over(cls, ink: InkBoxes, *, low: ArrayLike, square: ArrayLike, shape: tuple[int, int]) -> Raster:
        """The squares that ink meets, of an area given by its corner, its squares, and its rows and columns.

        A box beyond the area counts in the nearest squares.
        """
        low, square = np.asarray(low, dtype=float), np.asarray(square, dtype=float)
        found = cls(low=low, square=square, counts=np.zeros(shape, dtype=bool))
        mark_blocks(found.counts, *found.blocks(ink))
        return found

    @classmethod
    def around(cls, ink: InkBoxes, square: float) -> Raster:
        """The squares that ink meets, of the area that just holds it."""
        low, high = ink.low.min(axis=0), ink.high.max(axis=0)
        columns, rows = (max(int(side), 0) + 1 for side in (high - low) / square - NOISE)
        return cls.over(ink, low=low, square=(square, square), shape=(rows, columns))

    @classmethod
    def covered(
        cls, area: shapely.Geometry, *, low: XY, square: float, shape: tuple[int, int], gap: float = 0.0
    ) -> Raster:
        """The squares that an area touches or comes nearer to than a gap, and a few that are little farther.

        Args:
            area: a polygon or several; it lies, with the gap, within the squares.
            gap: mm.
        """
        reach = gap + (np.sqrt(0.5) + ROUND) * square  # from the middle of a square to its corner
        room = area.simplify(ROUND * square).buffer(reach, quad_segs=4)
        shapely.prepare(room)
        y, x = (
            (np.arange(count) + 0.5) * square + edge for count, edge in zip(shape, low[::-1], strict=True)
        )
        ink = np.asarray(shapely.contains_xy(room, x[None, :], y[:, None]), dtype=bool)
        return cls(low=np.array(low), square=np.array([square, square]), counts=ink)

    def weighed(self, ink: InkBoxes, weight: int) -> Raster:
        """The same with other ink, each square of which counts for so many."""
        counts = self.counts.astype(np.int32)
        mark_blocks(counts, *self.blocks(ink), weight)
        return replace(self, counts=counts)

    def blocks(self, ink: InkBoxes) -> tuple[IntArray, IntArray]:
        """Row and column of the first and of the last square that each box meets; shape (n, 2) each."""
        most = np.array(self.shape) - 1
        first = ((ink.low - self.low) / self.square + NOISE).astype(np.intp)[:, ::-1]
        last = ((ink.high - self.low) / self.square - NOISE).astype(np.intp)[:, ::-1]
        first = np.minimum(np.maximum(first, 0), most)
        return first, np.minimum(np.maximum(last, first), most)

    @cached_property
    def table(self) -> SummedTable:
        """Its sums."""
        return SummedTable(self.counts)

    def under(self, low: FloatArray, high: FloatArray) -> Counts:
        """How much ink is in the squares that each box touches; corners of shape (n, 2), mm."""
        (left, foot), (right, top) = self._lines(np.floor, low, NOISE), self._lines(np.ceil, high, -NOISE)
        return self.table.sums((foot, top), (left, right))

    def under_grid(self, across: tuple[FloatArray, FloatArray], up: tuple[FloatArray, FloatArray]) -> Counts:
        """The same under boxes in rows and columns; shape (rows, columns).

        Args:
            across: the left and the right side of each column, mm.
            up: the foot and the top of each row.
        """
        (left, foot), (right, top) = (
            [self._grid_lines(rounded, sides[end], axis, by) for axis, sides in enumerate((across, up))]
            for end, (rounded, by) in enumerate(((np.floor, NOISE), (np.ceil, -NOISE)))
        )
        return self.table.crossed((foot, top), (left, right))

    def _grid_lines(
        self, rounded: Callable[[FloatArray], FloatArray], sides: FloatArray, axis: int, by: float
    ) -> IntArray:
        """The lines between squares next to sides along one axis; shape (n,)."""
        square = self.square[axis]
        lines = rounded((sides - (self.low[axis] - by * square)) / square).astype(np.intp)
        return np.asarray(np.minimum(np.maximum(lines, 0), self.shape[1 - axis]))

    def _lines(self, rounded: Callable[[FloatArray], FloatArray], corners: FloatArray, by: float) -> IntArray:
        """The lines between squares, (2, n), next to the corners (n, 2)."""
        lines = rounded((corners - (self.low - by * self.square)) / self.square).astype(np.intp)
        return np.asarray(np.minimum(np.maximum(lines, 0), self.shape[::-1]).T)

    @classmethod
    def total(cls, rasters: Sequence[Raster]) -> Raster:
        """One raster of all the ink in rasters of one area; a square counts once for each that has ink there."""
        counts = np.asarray(np.sum([each.ink for each in rasters], axis=0, dtype=np.int32))
        return replace(rasters[0], counts=counts)
