"""Vertices that a polyline can do without, so that what is written of it is as short as its curve allows."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from tiling.drawing.model import FloatArray

__all__ = ["THIN", "thinned"]

THIN = 0.006  # mm; with the rounding of the text (0.0007) well under the 0.01 that a written path may be off


def thinned(points: FloatArray, starts: NDArray[np.intp], *, tolerance: float = THIN) -> NDArray[np.bool_]:
    """Which vertices are needed so that every vertex left out lies within the tolerance of what remains.

    The farthest vertex of every stretch is kept until none is farther off than the tolerance (Douglas and
    Peucker's rule, 1973; from memory).  shapely carries it out; each vertex brings its index along as its height,
    which plays no part in how far off it is.

    Args:
        points: shape (n, 2), finite: the polylines one after the other, each of two vertices at least.
        starts: index of the first vertex of each polyline.
    Returns:
        Shape (n,); first and last vertices are always kept.
    """
    keep = np.ones(len(points), dtype=bool)
    lengths = np.diff(starts, append=len(points))
    long = lengths > 2  # the others have nothing to lose
    if not long.any():
        return keep
    where = np.flatnonzero(np.repeat(long, lengths))
    owner = np.repeat(np.arange(np.count_nonzero(long)), lengths[long])
    lines = shapely.linestrings(np.column_stack([points[where], where]), indices=owner)
    left = shapely.simplify(lines, tolerance, preserve_topology=False)
    keep[where] = False
    keep[shapely.get_coordinates(left, include_z=True)[:, 2].astype(np.intp)] = True
    return keep
