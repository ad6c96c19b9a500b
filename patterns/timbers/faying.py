"""Where a timber's bevelled edge does not lie on its other surface, and what is planed off it there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.timbers.corners import dots
from patterns.timbers.skins import Skin

__all__ = ["FAYS", "Unfayed", "edge_over", "unfayed_of"]

FAYS = 0.5  # mm; an edge that lies nearer to its surface is fitted in any case


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfayed:
    """The stretch of a timber in which its edge does not lie on its other surface.

    Attributes:
        start, end: distances from its after end, mm.
        planed: the most that stands in the planking there and is planed off, mm; 0 where nothing does.
    """

    start: float
    end: float
    planed: float


def edge_over(rails: FloatArray, other: Skin) -> FloatArray:
    """How far the two corners of the edge, the first and the fourth of ``rails`` (m, 4, 3), pass a surface, mm.

    Returns:
        Shape (m, 2): more than 0 is wood beyond the surface, less than 0 a corner that stops short of it.  Past the
        surface's own edges no planking is met: nothing is more than 0 there.
    """
    found = np.empty((len(rails), 2))
    for i, corner in enumerate((0, 3)):
        points = rails[:, corner]
        feet = other.feet(points)
        over = dots(points - feet.points, feet.normals)
        planked = (feet.r >= 0.0) & (feet.r <= 1.0)
        found[:, i] = np.where(planked, over, np.minimum(over, 0.0))
    return found


def unfayed_of(over: FloatArray, away: FloatArray) -> Unfayed | None:
    """The stretch from the first place that does not fay to the last; None where all do.

    Args:
        over: see `edge_over`.
        away: the distance of each place from the after end, mm, (m,).
    """
    off = np.nonzero(np.abs(over).max(axis=1) > FAYS)[0]
    if len(off) == 0:
        return None
    return Unfayed(
        start=float(away[off[0]]), end=float(away[off[-1]]), planed=max(float(over[off].max()), 0.0)
    )
