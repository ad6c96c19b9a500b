"""The vertices of all strokes of a drawing, one after the other."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tiling.drawing.model import FloatArray, Path
from tiling.errors import TilingError

__all__ = ["joined"]


def joined(paths: Sequence[Path]) -> tuple[FloatArray, NDArray[np.intp]]:
    """The vertices of all paths one after the other, closed ones ending where they began; and where each begins.

    Raises:
        TilingError: a vertex is not a finite number; the message says which path's.
    """
    if not paths:
        return np.zeros((0, 2)), np.zeros(0, dtype=np.intp)
    runs: list[FloatArray] = []
    lengths = []
    for path in paths:
        runs.append(path.points)
        lengths.append(len(path.points) + path.closed)
        if path.closed:
            runs.append(path.points[:1])
    points = np.concatenate(runs)
    starts = np.cumsum([0, *lengths[:-1]], dtype=np.intp)
    if not np.isfinite(points).all():
        bad = int(np.flatnonzero(~np.isfinite(points).all(axis=1))[0])
        which = int(np.searchsorted(starts, bad, side="right"))
        raise TilingError(f"path {which} of the drawing has a vertex that is not a finite number")
    return points, starts
