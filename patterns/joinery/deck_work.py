"""What the patterns of the deck's timbers share: wood cut from edges and laps, bevels along them, words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from patterns.errors import PatternsError
from patterns.flat.polylines import mirrored
from patterns.flat.shapes import largest, outline_of, parts_of, without_centreline
from patterns.hull.cuts import Trace
from patterns.hull.planes import FloatArray, Plane, cross
from patterns.hull.spaces import cut_of
from patterns.joinery.laps import Lap
from patterns.joinery.rings import CRUMB, edge_readings
from patterns.pattern import Mark, Reading

__all__ = [
    "above",
    "below",
    "both_halves",
    "end_bevel",
    "end_reading",
    "lap_facts",
    "lap_marks",
    "lapped",
    "readings_on",
    "runs_on",
    "wood_left",
]

ON = 1e-5  # mm; a point so near to an edge lies on it
FAR = 5_000.0  # mm; past every edge of a deck timber
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


def both_halves(half: Polygon) -> Polygon:
    """Both sides of a half that ends on the centreline."""
    [run] = without_centreline(outline_of(half))
    return Polygon(np.vstack([run, mirrored(run)[::-1][1:-1]]))


def _area(points: FloatArray) -> Any:
    area = Polygon(points)
    return area if area.is_valid else shapely.make_valid(area)


def lapped(area: Any, plane: Plane, name: str, laps: Sequence[Lap]) -> Polygon:
    """The wood of one face when its laps are cut.

    Raises:
        PatternsError: a lap cuts the piece in two.
    """
    wood = area
    for lap in laps:
        other, space = lap.cut_from(name)
        wood = shapely.difference(wood, cut_of(plane, space))
        if len(parts_of(wood, least=CRUMB)) > 1:
            raise PatternsError(
                f"the notch for {other}, {lap.depth:g} mm deep, cuts it in two; make let_in less or it deeper"
            )
    return largest(wood)


def wood_left(
    name: str, laps: Sequence[Lap], areas: Sequence[Any], planes: Sequence[Plane], edges: Sequence[Any]
) -> dict[str, float]:
    """The least depth of wood at each lap on either face, mm, by the other piece's name.

    Args:
        areas: the faces before any lap was cut.
        edges: on each face the underside and the top edge, as lines.
    """
    left: dict[str, float] = {}
    for lap in laps:
        other, space = lap.cut_from(name)
        for area, plane, (under, top) in zip(areas, planes, edges, strict=True):
            cut = shapely.intersection(cut_of(plane, space), area)
            if cut.area > CRUMB:
                depth = float(shapely.distance(cut, top if lap.over == name else under))
                left[other] = min(depth, left.get(other, np.inf))
    return left


def runs_on(trace: Trace, wood: Polygon) -> list[Trace]:
    """The stretches of an edge that are edge of the finished wood, with exact ends."""
    ring, line = wood.exterior, LineString(trace.uv)
    corners = outline_of(wood)
    on = corners[shapely.distance(line, shapely.points(corners)) < ON]
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(trace.uv, axis=0).T))])
    places = np.interp(
        [0.0, *shapely.line_locate_point(line, shapely.points(on)), run[-1]], run, np.arange(len(trace))
    )
    places = np.unique(np.round(places, 6))
    middles = 0.5 * (places[:-1] + places[1:])
    at = np.stack([np.interp(middles, np.arange(len(trace)), trace.uv[:, k]) for k in (0, 1)], axis=-1)
    lies = shapely.distance(ring, shapely.points(at)) < 1e-3
    found: list[tuple[float, float]] = []
    for first, last in zip(places[:-1][lies], places[1:][lies], strict=True):
        if found and found[-1][1] == first:
            found[-1] = (found[-1][0], last)
        else:
            found.append((first, last))
    return [trace.between(float(first), float(last)) for first, last in found]


def readings_on(
    trace: Trace, wood: Polygon, siding: FloatArray, edge: str, *, outward: float
) -> list[Reading]:
    """The bevels along every stretch of an edge that is left; see `edge_readings`."""
    return [
        reading
        for run in runs_on(trace, wood)
        for reading in edge_readings(run, siding, edge, outward=outward)
    ]


def end_bevel(
    planes: tuple[Plane, Plane], lines: tuple[FloatArray, FloatArray], siding: FloatArray, out: FloatArray
) -> float:
    """The angle through the wood, radians, of an edge that is straight on both faces.

    Args:
        planes: the two faces, the one whose bevel is wanted first.
        lines: the edge on each of them, (2, 2).
        siding: the direction in which the wood runs from the first face.
        out: a direction (3,) out of the wood.
    """
    a, b = (plane.space(line) for plane, line in zip(planes, lines, strict=True))
    normal = cross(a[1] - a[0], b[0] - a[0])
    normal = normal / np.linalg.norm(normal)
    if normal @ out < 0.0:
        normal = -normal
    return float(np.arccos(np.clip(normal @ siding, -1.0, 1.0)))


def end_reading(line: FloatArray, bevel: float, edge: str, towards: FloatArray, *, where: str) -> Reading:
    """The one reading of a straight end cut, at its middle."""
    middle = line.mean(axis=0)
    along = (line[1] - line[0]) / np.hypot(*(line[1] - line[0]))
    square = np.array([-along[1], along[0]])
    square = square if square @ towards > 0.0 else -square
    return Reading(
        at=(float(middle[0]), float(middle[1])),
        bevel=bevel,
        towards=(float(square[0]), float(square[1])),
        edge=edge,
        where=where,
    )


def lap_marks(
    name: str, laps: Sequence[Lap], plane: Plane, area: Any, *, mirrored: bool = False
) -> list[Mark]:
    """The other pieces' names at the notches on one face, with how deep the bed lies under the deck."""
    marks = []
    for lap in laps:
        other, space = lap.cut_from(name)
        cut = shapely.intersection(cut_of(plane, space), area)
        if cut.area < CRUMB:  # let in by its whole depth: it only lies there
            cut = shapely.intersection(cut_of(plane, space[:-1]), area)
            if cut.is_empty:
                continue
        x0, y0, x1, y1 = cut.bounds
        at = (0.5 * (x0 + x1), y0 if lap.over != name else y1)
        lies = "lies under it here" if lap.over == name else "lies in this notch"
        words = f"{other} {lies},\nbed {lap.depth:g} mm under the deck"
        marks.append(Mark(name=words, at=(max(float(at[0]), 0.0), float(at[1])), word=True))
    return marks


def lap_facts(left: dict[str, float]) -> list[str]:
    """The depth of wood left at each lap."""
    if not left:
        return []
    return ["Wood left at the laps: " + ", ".join(f"{name} {depth:.0f} mm" for name, depth in left.items())]
