"""Where a shape would meet what is taken, for all places at once.

A raster is one long number, a bit for each square, row by row: a run of squares in a row of the shape is a few
shifts of it.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np

from tiling.layout.masks import Mask, bits_of, mask_of

__all__ = ["Run", "TakenSquares", "runs_of"]

Run = tuple[int, int, int]
"""The row, first column and length of squares in line."""


def runs_of(mask: Mask, *, rows: int = 1) -> list[Run]:
    """The runs of squares in each row of a shape.

    Args:
        rows: so many are taken for one, which has what any of them has.
    """
    even = np.pad(mask, ((0, -len(mask) % rows), (1, 1)))
    merged = even.reshape(-1, rows, even.shape[1]).any(axis=1)
    edges = np.diff(merged.astype(np.int8), axis=1)
    which, starts = np.nonzero(edges == 1)
    _, ends = np.nonzero(edges == -1)
    return list(zip((rows * which).tolist(), starts.tolist(), (ends - starts).tolist(), strict=True))


class TakenSquares:
    """The squares of a raster that are taken.

    Args:
        rows: as in `runs_of`, for all shapes that are asked for: fewer runs, but a place may be called taken though
            it is free by less than so many rows.
    """

    def __init__(self, mask: Mask, *, rows: int = 1) -> None:
        self._mask, self._rows = mask, rows

    @cached_property
    def _met(self) -> list[int]:
        """Squares from which a run of 1, 2, 4 ... to the right, in any of the rows at once, meets what is taken."""
        columns = self._mask.shape[1]
        bits = bits_of(self._mask)
        met = [bits]
        for row in range(1, self._rows):
            met[0] |= bits >> row * columns
        for k in range(columns.bit_length() - 1):
            met.append(met[-1] | met[-1] >> (1 << k))
        return met

    def collisions(self, shape: list[Run]) -> int:
        """The places where a shape would meet what is taken, as bits: a place is that of its lower left square.

        Where the shape does not lie within the raster the bits mean nothing.

        Args:
            shape: `runs_of` it, with as many rows at once as here.
        """
        columns = self._mask.shape[1]
        found = 0
        for row, left, length in shape:
            k = length.bit_length() - 1
            met, at = self._met[k], row * columns + left
            found |= met >> at
            if length != 1 << k:
                found |= met >> (at + length - (1 << k))
        return found

    def free(self, shape: list[Run], size: tuple[int, int]) -> Mask:
        """Whether a shape of so many rows and columns may lie in each place where it is within the raster."""
        rows, columns = (big - small + 1 for big, small in zip(self._mask.shape, size, strict=True))
        if rows < 1 or columns < 1:
            return np.zeros((max(rows, 0), max(columns, 0)), dtype=bool)
        return ~mask_of(self.collisions(shape), self._mask.shape)[:rows, :columns]
