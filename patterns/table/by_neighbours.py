"""What the cells about a place in a row have there: a plain guess, for seeing which of two figures is at fault."""

from __future__ import annotations

import numpy as np

from patterns.table.values import FloatArray

__all__ = ["by_neighbours", "through"]

AROUND, INWARD = (
    2,
    3,
)  # cells on either side of a place, and on the one side of an end, by which its value is guessed


def by_neighbours(x: FloatArray, values: FloatArray, *left_out: int) -> float:
    """What the nearest cells have in the place of the first of those left out; nan where there are too few.

    Args:
        x, values: shape (n,), places and values of a row, mm; nan where there is none.
        left_out: indices of cells that are not asked.
    """
    at = left_out[0]
    there = [int(k) for k in np.nonzero(np.isfinite(x) & np.isfinite(values))[0] if k not in left_out]
    before, after = [k for k in there if k < at], [k for k in there if k > at]
    near = before[-AROUND:] + after[:AROUND] if before and after else before[-INWARD:] + after[:INWARD]
    if len(near) < AROUND or not np.isfinite(x[at]):
        return float("nan")
    return through(x[near], values[near], float(x[at]))


def through(x: FloatArray, values: FloatArray, at: float) -> float:
    """The value at a place of the polynomial through points, by Lagrange's formula."""
    shares = [np.prod([(at - b) / (a - b) for j, b in enumerate(x) if j != k]) for k, a in enumerate(x)]
    return float(values @ np.array(shares, dtype=np.float64))
