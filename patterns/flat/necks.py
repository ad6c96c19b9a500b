"""Where an area of wood is narrowest between two larger parts of it: a neck, by shapely."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from patterns.vectors import FloatArray

__all__ = ["Neck", "mean_width", "narrowest"]

ROUNDS = 8
QUADRANT = 4  # segments to a quarter turn, where an area is made smaller


@dataclass(frozen=True, slots=True, kw_only=True)
class Neck:
    """A narrow place.

    Attributes:
        width: mm.
        at: its middle, in the area's own coordinates, mm.
    """

    width: float
    at: tuple[float, float]


def mean_width(area: Polygon) -> float:
    """How wide the area is on average, mm: a long strip's own width, half of that of a disc."""
    whole = Polygon(area.exterior)
    inner = [ring for ring in area.interiors if Polygon(ring).area > 0.05 * whole.area]
    ring_shaped = Polygon(area.exterior, inner)
    return float(2.0 * ring_shaped.area / ring_shaped.length)


def narrowest(area: Polygon, *, below: float) -> Neck | None:
    """The narrowest neck; None where none is narrower than ``below``, mm.

    Holes smaller than a square of twice ``below`` are bores and limbers, and count as wood.  A part beyond a neck
    counts where a disc twice as wide as ``below`` fits into it: a point or a horn beside a notch has no neck.
    """
    inner = [ring for ring in area.interiors if Polygon(ring).area > (2.0 * below) ** 2]
    found = list(_between_rings([area.exterior, *inner], below))
    split = _where_split(Polygon(area.exterior, inner), below)
    if split is not None:
        found.append(split)
    return min(found, key=lambda neck: neck.width, default=None)


def _between_rings(rings: list[LineString], below: float) -> Iterator[Neck]:
    for a, b in combinations(rings, 2):
        line = shapely.shortest_line(a, b)
        if line.length < below:
            yield Neck(width=float(line.length), at=_middle(line))


def _where_split(area: Polygon, below: float) -> Neck | None:
    """The neck at which the area falls into parts when it is made smaller by half of ``below`` all round."""
    parts = _parts(area, 0.5 * below)
    if len(parts) < 2:
        return None
    far = [shapely.point_on_surface(part) for part in parts if _parts(part, 0.5 * below)]
    if len(far) < 2:
        return None
    low, high = 0.0, 0.5 * below
    for _ in range(ROUNDS):
        half = 0.5 * (low + high)
        low, high = (low, half) if _apart(area, half, far) else (half, high)
    parts = [part for part in _parts(area, high) if any(shapely.covers(part, point) for point in far)]
    if len(parts) < 2:
        return None
    line = min((shapely.shortest_line(a, b) for a, b in combinations(parts, 2)), key=shapely.length)
    return Neck(width=low + high, at=_middle(line))


def _apart(area: Polygon, by: float, points: list[shapely.Point]) -> bool:
    """Whether the points lie in different parts of the area when it is made smaller."""
    holders = {
        index
        for index, part in enumerate(_parts(area, by))
        if any(shapely.covers(part, point) for point in points)
    }
    return len(holders) > 1


def _parts(area: Polygon, by: float) -> list[Polygon]:
    smaller = shapely.buffer(area, -by, quad_segs=QUADRANT)
    return [part for part in getattr(smaller, "geoms", [smaller]) if part.area > 1.0]


def _middle(line: LineString) -> tuple[float, float]:
    ends: FloatArray = shapely.get_coordinates(line)
    u, v = np.mean(ends, axis=0)
    return float(u), float(v)
