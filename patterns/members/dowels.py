"""Where dowels go through a stack of pieces: one place, square through them all."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from patterns.errors import PatternsError
from patterns.flat.shapes import parts_of
from patterns.hull.planes import FloatArray

__all__ = ["dowel_places"]

SLICES = 101
LONG = 0.5  # of the longest slice; where the room is narrower than that part of it no dowel is put


def dowel_places(wood: Any, along: FloatArray, *, count: int, edge: float, where: str) -> list[FloatArray]:
    """Places for dowels, evenly spaced in one direction and in the middle of the wood across it.

    Args:
        wood: the area that every face of every piece of the stack has.
        along: unit direction of the row, (2,).
        count: how many.
        edge: how far the centres keep from every edge of that area, mm.
        where: what they hold, in words, for the message.
    Returns:
        Points (2,), mm, from the least to the greatest along ``along``.
    Raises:
        PatternsError: there is no such place.
    """
    room = max(parts_of(wood.buffer(-edge), least=0.0), key=lambda part: float(part.area), default=None)
    if room is None:
        raise PatternsError(
            f"no dowel can stand {edge:g} mm from every edge of the {where}; give it more wood or the dowels "
            "a lesser distance"
        )
    corners = np.asarray(room.exterior.coords)
    square = np.array([-along[1], along[0]])
    run, off = corners @ along, corners @ square
    steps = np.linspace(run.min(), run.max(), SLICES)
    lines = [np.array([s * along + o * square for o in (off.min() - 1.0, off.max() + 1.0)]) for s in steps]
    cuts = shapely.intersection(shapely.linestrings(np.array(lines)), room)
    longest = np.array([max(shapely.length(shapely.get_parts(cut)), default=0.0) for cut in cuts])
    fit = steps[longest >= LONG * longest.max()]
    first, last = float(fit.min()), float(fit.max())
    stations = [0.5 * (first + last)] if count == 1 else list(np.linspace(first, last, count))
    return [_middle(room, s, along, square, off) for s in stations]


def _middle(room: Any, s: float, along: FloatArray, square: FloatArray, off: FloatArray) -> FloatArray:
    """The middle of the longest part of the room at one place along."""
    ends = np.array([s * along + o * square for o in (off.min() - 1.0, off.max() + 1.0)])
    parts = shapely.get_parts(shapely.intersection(shapely.linestrings(ends), room))
    best = max(parts, key=lambda part: float(part.length))
    return np.asarray(best.interpolate(0.5, normalized=True).coords[0])
