"""Areas of wood in a plane, by shapely: what is left of a section when the wood is taken away."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPolygon, Point, Polygon

from patterns.errors import SizeError
from patterns.flat import overlays
from patterns.flat.polylines import parallel
from patterns.vectors import FloatArray

__all__ = [
    "HAIR",
    "ON_CENTRE",
    "area_of",
    "band",
    "both_halves",
    "clearance",
    "inside_points",
    "largest",
    "outline_of",
    "parts_of",
    "up_to_the_centreline",
    "without_hairs",
]

HAIR = 1e-6  # mm; two points nearer than this are one
ON_CENTRE = 1e-4  # mm; a point of a half that is nearer than this to the centreline lies on it
HAIR_WIDE = 5e-4  # mm; half the breadth of a spike that is no wood


def area_of(points: FloatArray) -> Polygon:
    """The area within a closed outline (n, 2); of one that crosses itself the largest part."""
    area = Polygon(points)
    return area if area.is_valid else largest(shapely.make_valid(area))


def band(edge: FloatArray, breadth: float, *, outward: float = 200.0, on: float = 400.0) -> Any:
    """The strip along an edge, ``breadth`` mm to the left of its run and ``outward`` mm to the right.

    The edge is carried on straight by ``on`` mm at both ends, so that two strips meet in a clean corner.
    """
    first, last = edge[0] - edge[1], edge[-1] - edge[-2]
    edge = np.vstack([
        edge[0] + on * first / np.hypot(*first), edge[1:-1], edge[-1] + on * last / np.hypot(*last)
    ])  # fmt: skip
    strip = Polygon(np.vstack([parallel(edge, -outward), parallel(edge, breadth)[::-1]]))
    return strip if strip.is_valid else shapely.make_valid(strip)


def up_to_the_centreline(half: Any) -> Any:
    """A half without the hairs of wood along the line x = 0 that its making may leave, its edge drawn up to it."""
    _, low, far, high = half.bounds
    half = overlays.intersection(half, shapely.box(ON_CENTRE, low - 1.0, far + 1.0, high + 1.0))
    return shapely.transform(
        half, lambda points: np.where(points <= [ON_CENTRE, -np.inf], [0.0, 0.0], points)
    )


def both_halves(half: Any) -> Any:
    """A half and its mirror in the line x = 0 as one area."""
    half = up_to_the_centreline(half)
    other = shapely.transform(half, lambda points: points * [-1.0, 1.0])
    pieces = parts_of(shapely.union(half, other, grid_size=HAIR), least=0.0)
    return pieces[0] if len(pieces) == 1 else MultiPolygon(pieces)


def largest(area: Any) -> Polygon:
    """The largest piece of an area, slivers dropped.

    Raises:
        SizeError: nothing is left.
    """
    pieces = [area] if isinstance(area, Polygon) else [g for g in getattr(area, "geoms", []) if g.area > 0]
    pieces = [piece for piece in pieces if isinstance(piece, Polygon) and not piece.is_empty]
    if not pieces:
        raise SizeError("its notches and the faces that bound it leave no wood of it", larger=True)
    return max(pieces, key=lambda piece: float(piece.area))


def without_hairs(area: Any) -> Any:
    """An area without the hair-thin spikes that cutting one area out of another may leave along a shared edge."""
    thin = shapely.buffer(area, -HAIR_WIDE, join_style="mitre")
    return shapely.buffer(thin, HAIR_WIDE, join_style="mitre")


def parts_of(area: Any, *, least: float) -> list[Polygon]:
    """The separate pieces of an area that are larger than ``least`` mm2."""
    pieces = [area] if isinstance(area, Polygon) else getattr(area, "geoms", [])
    return [piece for piece in pieces if isinstance(piece, Polygon) and piece.area > least]


def outline_of(area: Polygon) -> FloatArray:
    """The outer boundary as points (n, 2), anticlockwise, the first not repeated, hair-close points joined."""
    ring = np.asarray(shapely.geometry.polygon.orient(area, 1.0).exterior.coords)[:-1]
    keep = np.hypot(*(ring - np.roll(ring, 1, axis=0)).T) > HAIR
    points: FloatArray = ring[keep]
    return points


def inside_points(area: Polygon, lines: Sequence[FloatArray]) -> list[FloatArray]:
    """The parts of lines (n, 2) that lie within an area."""
    found: list[FloatArray] = []
    for line in lines:
        part = overlays.intersection(LineString(line), area)
        for piece in getattr(part, "geoms", [part]):
            if isinstance(piece, LineString) and piece.length > HAIR:
                found.append(np.asarray(piece.coords))
    return found


def clearance(area: Polygon, point: FloatArray) -> float:
    """How far inside of an area a point lies, mm; negative outside of it."""
    spot = Point(point)
    depth = float(area.exterior.distance(spot))
    return depth if area.contains(spot) else -depth
