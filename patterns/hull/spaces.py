"""Spaces bounded by planes: what one straight piece takes of another, cut by a face of either."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from patterns.hull.planes import FloatArray, Plane

if TYPE_CHECKING:
    from shapely.geometry import Polygon

__all__ = ["Beyond", "cut_of", "flipped"]

WIDE = 40_000.0  # mm; past every boat
SQUARE = 1e-12  # a plane whose normal's part in another is less lies parallel to it


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Beyond:
    """Half of all space: where ``(p - at) @ normal`` is not less than 0.

    Attributes:
        at: a point of its plane, (3,), mm.
        normal: unit vector (3,) into it.
    """

    at: FloatArray
    normal: FloatArray


def flipped(half: Beyond) -> Beyond:
    """The other half."""
    return Beyond(at=half.at, normal=-half.normal)


def cut_of(plane: Plane, space: Sequence[Beyond]) -> Polygon:
    """The area, in a plane's own coordinates, that lies in every one of some halves of space; may be empty.

    Source: clipping a convex area by one half plane after another (Sutherland and Hodgman 1974, from memory).
    """
    from shapely.geometry import Polygon

    area = WIDE * np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    for half in space:
        way = np.array([half.normal @ plane.u, half.normal @ plane.v])
        over = area @ way + float((plane.origin - half.at) @ half.normal)
        if np.hypot(*way) < SQUARE:
            over = np.full(len(area), over[0] if len(area) else 0.0)
        area = _kept(area, over)
        if len(area) < 3:
            return Polygon()
    return Polygon(area)


def _kept(area: FloatArray, over: FloatArray) -> FloatArray:
    """The part of a convex outline (n, 2) that lies over a line; ``over`` (n,) is each point's height."""
    found = []
    for i in range(len(area)):
        a, b = area[i - 1], area[i]
        if (over[i - 1] < 0.0) != (over[i] < 0.0):
            found.append(a + over[i - 1] / (over[i - 1] - over[i]) * (b - a))
        if over[i] >= 0.0:
            found.append(b)
    return np.array(found).reshape(-1, 2)
