"""Sums over blocks of squares, each found from four entries of a table, however large the block is.

Source: Crow, F. C., "Summed-area tables for texture mapping", SIGGRAPH 1984.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tiling.layout.masks import Mask

__all__ = ["Stretch", "SummedTable"]

IntArray = NDArray[np.intp]
Counts = NDArray[np.int32]
Stretch = tuple[IntArray, IntArray]
"""Rows or columns from each first one up to, not including, the other."""


class SummedTable:
    """The table of one raster.

    Args:
        values: shape (rows, columns), whole numbers or marks; all together they are less than 2 ** 31.
    """

    def __init__(self, values: Counts | Mask) -> None:
        rows, columns = values.shape
        self._table = np.zeros((rows + 1, columns + 1), dtype=np.int32)
        self._table[1:, 1:] = (
            values  # at once: a running sum of marks would turn them into numbers one by one
        )
        np.cumsum(self._table, axis=1, dtype=np.int32, out=self._table)
        # numpy's own sum from row to row goes down column by column.
        for below, row in pairwise(self._table):
            row += below

    @property
    def below_rows(self) -> Counts:
        """The sum of all rows below each; shape (rows + 1,)."""
        return self._table[:, -1]

    @property
    def before_columns(self) -> Counts:
        """The sum of all columns before each; shape (columns + 1,)."""
        return np.asarray(self._table[-1])

    def sums(self, rows: Stretch, columns: Stretch) -> Counts:
        """The sum over each block, of a stretch of rows and the stretch of columns in the same place."""
        table, wide = self._table.reshape(-1), self._table.shape[1]
        (foot, top), (left, right) = (rows[0] * wide, rows[1] * wide), columns
        sums: Counts = table[top + right] - table[foot + right] - table[top + left] + table[foot + left]
        return sums

    def crossed(self, rows: Stretch, columns: Stretch) -> Counts:
        """The sum where each stretch of rows crosses each of columns; shape (stretches of rows, of columns)."""
        (foot, top), (left, right) = rows, columns
        bands = self._table[top] - self._table[foot]
        return np.asarray(bands[:, right] - bands[:, left])

    def any_in(self, rows: Stretch, columns: Stretch) -> Mask:
        """Whether anything is in each stretch of rows where each of columns crosses it, where no value is negative.

        Returns:
            Shape (stretches of rows, stretches of columns).
        """
        bands = self._table[rows[1]] - self._table[rows[0]]
        return np.asarray(bands[:, columns[1]] > bands[:, columns[0]])
