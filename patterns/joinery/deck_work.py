"""What the patterns of the deck's timbers share: wood cut from edges and laps, bevels along them, words."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.hull.cuts import Trace
from patterns.hull.planes import FloatArray, Plane, cross

__all__ = [
    "above",
    "below",
    "straight_end",
]

FAR = 5_000.0  # mm; past every edge of a deck timber
LONG = 40.0  # times its length by which a straight end is carried on both ways
CARRY = 400.0  # mm by which an edge is carried on straight past its ends


def _carried(edge: FloatArray) -> FloatArray:
    """An edge (n, 2) carried on straight at both ends."""
    first, last = edge[0] - edge[1], edge[-1] - edge[-2]
    return np.vstack([
        edge[0] + CARRY * first / np.hypot(*first), edge[1:-1], edge[-1] + CARRY * last / np.hypot(*last)
    ])  # fmt: skip


def below(edge: FloatArray) -> Any:
    """The area below an edge that runs to the right, (n, 2)."""
    line = _carried(edge)
    return _area(np.vstack([line, [[line[-1, 0], -FAR], [line[0, 0], -FAR]]]))


def above(edge: FloatArray) -> Any:
    """The area above an edge that runs to the right, (n, 2)."""
    line = _carried(edge)
    return _area(np.vstack([line, [[line[-1, 0], FAR], [line[0, 0], FAR]]]))


def _area(points: FloatArray) -> Any:
    area = Polygon(points)
    return area if area.is_valid else shapely.make_valid(area)


def straight_end(planes: tuple[Plane, Plane], lines: tuple[FloatArray, FloatArray], out: FloatArray) -> Trace:
    """An end that is straight on both faces, as the edge of a flat surface on the first of them.

    Args:
        planes: the two faces.
        lines: the edge on each of them, (2, 2).
        out: a direction (3,) out of the wood.
    """
    a, b = (plane.space(line) for plane, line in zip(planes, lines, strict=True))
    normal = cross(a[1] - a[0], b[0] - a[0])
    normal = normal / np.linalg.norm(normal)
    if normal @ out < 0.0:
        normal = -normal
    way = LONG * (lines[0][1] - lines[0][0])
    uv = np.array([lines[0][0] - way, lines[0][1] + way])
    return Trace(uv=uv, normal=np.array([normal, normal]), r=np.array([0.0, 1.0]))
