"""What the patterns of the deck's timbers share: wood cut from edges and laps, bevels along them, words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from patterns.flat.shapes import outline_of
from patterns.hull.cuts import Trace
from patterns.hull.planes import FloatArray, Plane, cross
from patterns.hull.spaces import cut_of
from patterns.joinery.rings import CRUMB, edge_readings
from patterns.pattern import Reading
from patterns.wood.features import Note
from patterns.wood.meeting import Meeting
from patterns.wood.region import Region

__all__ = [
    "above",
    "below",
    "lap_notes",
    "readings_on",
    "runs_on",
    "straight_end",
    "wood_left",
]

ON = 1e-5  # mm; a point so near to an edge lies on it
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


def wood_left(
    name: str, laps: Sequence[Meeting], areas: Sequence[Any], planes: Sequence[Plane], edges: Sequence[Any]
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


def lap_notes(name: str, laps: Sequence[Meeting], plane: Plane, blank: Region) -> tuple[Note, ...]:
    """What is written at the laps on one face."""
    return tuple(note for lap in laps if (note := lap.note(name, plane, blank)) is not None)
