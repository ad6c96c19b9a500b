"""Knees whose landing faces are bevelled: cut on both faces of the wood, their inner edge square."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.errors import PatternsError
from patterns.flat.polylines import lengths, meet
from patterns.hull.cuts import Trace
from patterns.hull.planes import FloatArray, Plane
from patterns.joinery.knee_shapes import KneeShape, bolts_scribed, knee_shape, xy
from patterns.joinery.passages import NONE, Passages
from patterns.joinery.wood import KneeLike, sided_fact, stock_of
from patterns.text.wood_facts import Template
from patterns.wood.facts import Fact
from patterns.wood.features import Distance, Note
from patterns.wood.labels import Free, Landing, Trim
from patterns.wood.meeting import Meeting
from patterns.wood.piece import Face, Hand, Piece, View
from patterns.wood.placement import OnFace
from patterns.wood.region import Region, largest_of
from patterns.wood.section import runs_under

__all__ = ["TWO_FACED_WORDS", "TwoFaced", "knee_planes", "two_faced_knee", "two_faced_piece"]

PAST = 120.0  # mm by which the blank is carried out past the faces that it lands on
ON = 400.0  # mm by which a landing face is carried on straight
ROOM = 5_000.0  # mm; farther than any knee reaches


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TwoFaced:
    """A knee on its faces.

    Attributes:
        shape: the knee where its wood is least, on the innermost of all the lines that it lands on.
        on: what its two arms land on.
        woods: its wood on the moulded face, between its laminations, and on the other face.
        traces: on each of these the two lines that its arms land on.
    """

    shape: KneeShape
    on: tuple[Landing, Landing]
    woods: tuple[Region, ...]
    traces: tuple[tuple[Trace, Trace], ...]

    def landings(self, face: int) -> list[list[Trace]]:
        """Along each arm the stretches that it lands on, from the corner out; a timber's notch may part them.

        Raises:
            PatternsError: an arm lands on nothing there.
        """
        found = [
            runs_under(self.woods[face].stretches(label), trace)
            for label, trace in zip(self.on, self.traces[face], strict=True)
        ]
        if not all(found):
            raise PatternsError("one of its arms lands on nothing; make it longer")
        return found


def knee_planes(moulded: Plane, depth: float, laminations: int) -> tuple[Plane, ...]:
    """The faces of all laminations from the moulded face on, ``depth`` mm along its normal (or against it)."""
    return tuple(moulded.moved(depth * k / laminations) for k in range(laminations + 1))


def two_faced_knee(
    traces: Sequence[tuple[Trace, Trace]],
    *,
    arms: tuple[float, float],
    on: tuple[str, str],
    labels: tuple[Landing, Landing],
    throat: float,
    toe: float,
    passing: Passages = NONE,
) -> TwoFaced:
    """A knee from the lines in which each of its faces cuts the two members that it lands on.

    Args:
        traces: on each face, the two lines, from before the corner outward along each arm.
        arms, on, throat, toe: see `knee_shape`.
        labels: what the arms land on, as the labels of those edges.
        passing: the timbers that it is cut for; none if left out.
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
    woods = []
    for k, pair in enumerate(traces):
        sides = [
            Region.of(_side(line.uv, arm.inward), label)
            for line, arm, label in zip(pair, shape.arms, labels, strict=True)
        ]
        woods.append(largest_of(passing.cut(blank.both(*sides), k)))
    return TwoFaced(shape=shape, on=labels, woods=tuple(woods), traces=tuple(traces))


def _corner(first: FloatArray, second: FloatArray, on: tuple[str, str]) -> FloatArray:
    place = meet(first, second, near=first[0])
    if place is None:
        raise PatternsError(f"{on[0]} and {on[1]} do not meet at its place")
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


def _blank(shape: KneeShape) -> Region:
    """The knee as a blank: its toes and inner curve, carried out past the members."""
    one, two = shape.arms
    out = [
        one.end - PAST * one.inward,
        shape.corner - 2.0 * PAST * shape.bisector,
        two.end - PAST * two.inward,
    ]
    inner = [Free()] * (len(shape.inner) - 1)
    try:
        return Region.within(np.vstack([out, shape.inner]), [Free(), Free(), Trim(), *inner, Trim()])
    except ValueError as error:
        raise PatternsError(
            "its inner curve crosses a face that it lands on; make its throat more"
        ) from error


def _side(line: FloatArray, towards: FloatArray) -> Any:
    """All that lies on one side of a line (n, 2), carried on straight both ways."""
    first, last = line[0] - line[1], line[-1] - line[-2]
    line = np.vstack([
        line[0] + ON * first / np.hypot(*first), line[1:-1], line[-1] + ON * last / np.hypot(*last)
    ])  # fmt: skip
    area = Polygon(np.vstack([line, (line + ROOM * towards)[::-1]]))
    return area if area.is_valid else shapely.make_valid(area)


def two_faced_piece(
    knee: TwoFaced,
    spec: KneeLike,
    *,
    view: View,
    on: OnFace,
    lands: tuple[str, str],
    bolts: tuple[Sequence[float], Sequence[float]],
    facts: Sequence[Fact],
    meetings: Sequence[Meeting],
) -> Piece:
    """The starboard one of a pair of knees as a piece.

    Args:
        on: its placement.
        lands: what its arms land on, in words.
        bolts: the bolts of each arm, by their distances from the corner, mm.
        meetings: with what its arms land on, and with others.
        facts: for the bench, between its wood and what every such knee has.
    Raises:
        PatternsError: an arm lands on nothing, or a bolt lies beyond its arm.
    """
    first, second = knee.landings(0)
    moulded = _face(knee, 0, lands, spec.throat)
    return Piece(
        name=spec.name,
        member=spec.kind,
        stock=stock_of(spec),
        hand=Hand.PAIR,
        view=view,
        placement=on,
        faces=(
            replace(moulded, scribed=tuple(bolts_scribed(knee.shape, bolts))),
            _face(knee, -1, lands, spec.throat),
        ),
        layers=knee.woods[1:-1],
        meetings=tuple(meetings),
        distances=(
            Distance(fact=Fact("toe-to-toe"), start=xy(first[-1].uv[-1]), end=xy(second[-1].uv[-1])),
            Distance(fact=Fact("corner-to-toe"), start=xy(second[0].uv[0]), end=xy(second[-1].uv[-1])),
        ),
        facts=(sided_fact(spec), *facts, Fact("square-inner-edge")),
        grain=xy(knee.shape.grain),
    )


def _face(knee: TwoFaced, face: int, lands: tuple[str, str], throat: float) -> Face:
    """One of its two faces: what each edge lands on, and the throat."""
    shape, notes = knee.shape, []
    for runs, arm, name in zip(knee.landings(face), shape.arms, lands, strict=True):
        longest = max(runs, key=lambda run: float(lengths(run.uv)[-1]))
        at, _ = longest.place(0.5 * (len(longest) - 1))
        notes.append(Note(fact=Fact("lands-on", {"on": name}), at=xy(at), towards=xy(-arm.inward)))
    least = Fact("throat", {"throat": throat, "least": True})
    return Face(
        region=knee.woods[face],
        sources=dict(zip(knee.on, knee.traces[face], strict=True)),
        notes=(*notes, Note(fact=least, at=xy(shape.throat), towards=xy(shape.bisector))),
    )


TWO_FACED_WORDS: Mapping[str, Template] = {
    "corner-to-toe": lambda _, __: "corner to toe",
    "square-inner-edge": lambda _, __: (
        "Its inner edge and toes are square; throat and toes are the least of all its faces"
    ),
    "one-of-a-pair": lambda v, _: f" of the {v['side']} one",
}
