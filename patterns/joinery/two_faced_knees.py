"""Knees whose landing faces are bevelled: cut on both faces of the wood, their inner edge square."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.errors import PatternsError
from patterns.flat.polylines import meet
from patterns.flat.shapes import largest, outline_of
from patterns.hull.cuts import Trace
from patterns.hull.planes import FloatArray, Plane
from patterns.joinery.knee_shapes import KneeShape, knee_shape, xy
from patterns.joinery.rings import edge_readings
from patterns.pattern import Hole, Kind, Line, Mark, Reading, Span
from patterns.wood.register import register_places

__all__ = [
    "TwoFaced",
    "knee_holes",
    "knee_lines",
    "knee_marks",
    "knee_planes",
    "knee_spans",
    "two_faced_knee",
]

PAST = 120.0  # mm by which the blank is carried out past the faces that it lands on
ON = 400.0  # mm by which a landing face is carried on straight
ROOM = 5_000.0  # mm; farther than any knee reaches


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TwoFaced:
    """A knee on its faces.

    Attributes:
        shape: the knee where its wood is least, on the innermost of all the lines that it lands on.
        faces: its wood on the moulded face, between its laminations, and on the other face.
        landings: on each of these the two lines that it lands on, ended at the corner and the toes.
        saw: the outer of all the faces.
    """

    shape: KneeShape
    faces: tuple[Polygon, ...]
    landings: tuple[tuple[Trace, Trace], ...]
    saw: Polygon

    def readings(self, face: int, siding: FloatArray, names: tuple[str, str]) -> Iterator[Reading]:
        """The bevels of one face along both landings."""
        for trace, name, inward in zip(
            self.landings[face], names, (arm.inward for arm in self.shape.arms), strict=True
        ):
            step = trace.uv[-1] - trace.uv[0]
            left = np.array([-step[1], step[0]]) @ inward > 0.0
            yield from edge_readings(trace, siding, name, outward=-1.0 if left else 1.0)


def knee_planes(moulded: Plane, depth: float, laminations: int) -> tuple[Plane, ...]:
    """The faces of all laminations from the moulded face on, ``depth`` mm along its normal (or against it)."""
    return tuple(moulded.moved(depth * k / laminations) for k in range(laminations + 1))


def two_faced_knee(
    traces: Sequence[tuple[Trace, Trace]],
    *,
    arms: tuple[float, float],
    on: tuple[str, str],
    throat: float,
    toe: float,
    spaces: Sequence[Any] = (),
) -> TwoFaced:
    """A knee from the lines in which each of its faces cuts the two members that it lands on.

    Args:
        traces: on each face, the two lines, from before the corner outward along each arm.
        arms, on, throat, toe: see `knee_shape`.
        spaces: on each face, an area that is not wood (a clamp's notch); none if left out.
    Raises:
        PatternsError: the members do not meet, or no such knee is to be had.
    """
    corners = [_corner(first.uv, second.uv, on) for first, second in traces]
    headings = [
        np.mean([_heading(pair[j].uv, at, arms[j]) for pair, at in zip(traces, corners, strict=True)], axis=0)
        for j in (0, 1)
    ]
    # The innermost line of each member over all faces, judged at half the arm.
    inner = []
    for j in (0, 1):
        inward = headings[1 - j] - (headings[1 - j] @ headings[j]) * headings[j]
        halfway = [
            _point(pair[j].uv, at, 0.5 * arms[j]) @ inward for pair, at in zip(traces, corners, strict=True)
        ]
        inner.append(traces[int(np.argmax(halfway))][j].uv)
    corner = _corner(inner[0], inner[1], on)
    first, second = (np.vstack([corner, line[_beyond(line, corner)]]) for line in inner)
    shape = knee_shape(first, second, arms=arms, on=on, throat=throat, toe=toe)
    blank = _blank(shape)
    faces, landings = [], []
    for k, pair in enumerate(traces):
        wood: Any = blank
        for line, arm in zip(pair, shape.arms, strict=True):
            wood = shapely.intersection(wood, _side(line.uv, arm.inward))
        if spaces:
            wood = shapely.difference(wood, spaces[k])
        wood = largest(wood)
        faces.append(wood)
        landings.append((_landing(pair[0], wood), _landing(pair[1], wood)))
    return TwoFaced(
        shape=shape,
        faces=tuple(faces),
        landings=tuple(landings),
        saw=largest(shapely.union_all(faces)),
    )


def _corner(first: FloatArray, second: FloatArray, on: tuple[str, str]) -> FloatArray:
    place = meet(first, second, near=first[0])
    if place is None:
        raise PatternsError(f"{on[0]} and {on[1]} do not meet where it stands")
    i = min(int(place[0]), len(first) - 2)
    corner: FloatArray = first[i] + (place[0] - i) * (first[i + 1] - first[i])
    return corner


def _beyond(line: FloatArray, corner: FloatArray) -> Any:
    """Which points of a line lie past a point of it."""
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    at = shapely.line_locate_point(shapely.LineString(line), shapely.Point(corner))
    return run > at + 1e-6


def _point(line: FloatArray, corner: FloatArray, far: float) -> FloatArray:
    """The point of a line a distance past another point of it."""
    string = shapely.LineString(line)
    at = shapely.line_locate_point(string, shapely.Point(corner))
    return np.asarray(shapely.line_interpolate_point(string, at + far).coords[0])


def _heading(line: FloatArray, corner: FloatArray, far: float) -> FloatArray:
    way = _point(line, corner, far) - corner
    unit: FloatArray = way / np.hypot(*way)
    return unit


def _blank(shape: KneeShape) -> Polygon:
    """The knee as a blank: its toes and inner curve, carried out past the members."""
    one, two = shape.arms
    out = [
        one.end - PAST * one.inward,
        shape.corner - 2.0 * PAST * shape.bisector,
        two.end - PAST * two.inward,
    ]
    return Polygon(np.vstack([out, shape.inner]))


def _side(line: FloatArray, towards: FloatArray) -> Any:
    """All that lies on one side of a line (n, 2), carried on straight both ways."""
    first, last = line[0] - line[1], line[-1] - line[-2]
    line = np.vstack([
        line[0] + ON * first / np.hypot(*first), line[1:-1], line[-1] + ON * last / np.hypot(*last)
    ])  # fmt: skip
    area = Polygon(np.vstack([line, (line + ROOM * towards)[::-1]]))
    return area if area.is_valid else shapely.make_valid(area)


def _landing(trace: Trace, wood: Polygon) -> Trace:
    """The stretch of a line that is edge of the wood."""
    line = shapely.LineString(trace.uv)
    points = shapely.points(outline_of(wood))
    on = shapely.distance(line, points) < 1e-5
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(trace.uv, axis=0).T))])
    places = np.interp(shapely.line_locate_point(line, points[on]), run, np.arange(len(trace)))
    if len(places) < 2 or np.ptp(places) < 1e-6:
        raise PatternsError("one of its arms nowhere lands; make it longer")
    return trace.between(float(places.min()), float(places.max()))


def knee_lines(knee: TwoFaced) -> tuple[Line, ...]:
    """Saw line, both faces, and the laminations' faces between them."""
    kinds = [Kind.FACE, *[Kind.LAMINATION] * (len(knee.faces) - 2), Kind.OTHER]
    return (
        Line(kind=Kind.SAW, points=outline_of(knee.saw), closed=True),
        *(
            Line(kind=kind, points=outline_of(face), closed=True)
            for kind, face in zip(kinds, knee.faces, strict=True)
        ),
    )


def knee_marks(knee: TwoFaced, on: tuple[str, str], throat: float, face: int) -> tuple[Mark, ...]:
    """Which edge lands on what, and the throat."""
    marks = []
    for trace, arm, name in zip(knee.landings[face], knee.shape.arms, on, strict=True):
        at, _ = trace.place(0.5 * (len(trace) - 1))
        marks.append(Mark(name=f"lands on {name}", at=xy(at), towards=xy(-arm.inward)))
    return (
        *marks,
        Mark(
            name=f"throat {throat:g} mm at least", at=xy(knee.shape.throat), towards=xy(knee.shape.bisector)
        ),
    )


def knee_spans(knee: TwoFaced) -> tuple[Span, ...]:
    """From toe to toe on the moulded face, and from one toe to the corner of its wood."""
    first, second = (trace.uv for trace in knee.landings[0])
    return (
        Span(name="toe to toe", start=xy(first[-1]), end=xy(second[-1])),
        Span(name="corner to toe", start=xy(second[0]), end=xy(second[-1])),
    )


def knee_holes(knee: TwoFaced, diameter: float) -> tuple[Hole, ...]:
    """Two register holes through wood that all faces have."""
    both = shapely.intersection_all(knee.faces)
    low = np.array(both.bounds[:2]) - np.array([2.0 * diameter, 0.0])
    moved = shapely.transform(both, lambda points: points - low)
    return tuple(
        Hole(at=xy(place + low), diameter=diameter) for place in register_places(moved, diameter=diameter)
    )
