"""Vertices that a polyline can do without, so that what is written of it is as short as its curve allows."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tiling.drawing import FloatArray

__all__ = ["THIN", "thinned"]

THIN = 0.006  # mm; with the rounding of the text (0.0007) well under the 0.01 that a written path may be off


def thinned(points: FloatArray, starts: NDArray[np.intp], *, tolerance: float = THIN) -> NDArray[np.bool_]:
    """Which vertices are needed so that every vertex left out lies within the tolerance of what remains.

    The farthest vertex of every stretch is kept until none is farther off than the tolerance (Douglas and
    Peucker's rule, 1973; from memory), all stretches of all polylines at once.

    Args:
        points: shape (n, 2): the polylines one after the other, each of two vertices at least.
        starts: index of the first vertex of each polyline.
    Returns:
        Shape (n,); first and last vertices are always kept.
    """
    count = len(points)
    keep = np.zeros(count, dtype=bool)
    if not count:
        return keep
    ends = np.append(starts[1:], count)
    keep[starts] = keep[ends - 1] = True
    x, y = np.ascontiguousarray(points[:, 0]), np.ascontiguousarray(points[:, 1])
    # vertices whose fate is open, and the two kept ones between which each stands
    waiting = np.flatnonzero(~keep)
    first = np.repeat(starts, ends - starts)[waiting]
    last = np.repeat(ends - 1, ends - starts)[waiting]
    while len(waiting):
        off = _square_distance(x[waiting], y[waiting], x[first], y[first], x[last], y[last])
        edges = np.flatnonzero(np.append(True, first[1:] != first[:-1]))
        worst = np.maximum.reduceat(off, edges)
        lengths = np.diff(np.append(edges, len(waiting)))
        far = worst > tolerance**2
        if not far.any():
            break
        hits = np.flatnonzero(off == np.repeat(np.where(far, worst, -1.0), lengths))
        new = np.zeros(
            len(edges), dtype=np.intp
        )  # the vertex to keep in each stretch; the last one of equals
        new[np.searchsorted(edges, hits, side="right") - 1] = waiting[hits]
        keep[new[far]] = True
        middle = np.repeat(new, lengths)
        stay = np.repeat(far, lengths) & (waiting != middle)
        waiting, first, last, middle = waiting[stay], first[stay], last[stay], middle[stay]
        before = waiting < middle
        last = np.where(before, middle, last)
        first = np.where(before, first, middle)
    return keep


def _square_distance(
    px: FloatArray, py: FloatArray, ax: FloatArray, ay: FloatArray, bx: FloatArray, by: FloatArray
) -> FloatArray:
    """Square of each point's distance from the segment a b."""
    ux, uy, px, py = bx - ax, by - ay, px - ax, py - ay
    square = ux * ux + uy * uy
    square[square == 0.0] = 1.0
    share = np.minimum(np.maximum((px * ux + py * uy) / square, 0.0), 1.0)
    px -= share * ux
    py -= share * uy
    return np.asarray(px * px + py * py, dtype=float)
