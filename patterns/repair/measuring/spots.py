"""Readings as the measuring model sees them: where they were taken from, and what they would be at a place."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.repair.places import Places, Side, across
from patterns.repair.points import MeasuredPoint

__all__ = [
    "CENTRELINE",
    "HEAD_END",
    "HEEL_END",
    "Reference",
    "ReferenceKey",
    "Spot",
    "placed_spot",
    "predicted",
    "references_of",
    "spots_of",
    "stretch_names",
]

HEEL_END, HEAD_END = " heel", " head"  # no stretch's name begins with a space
CENTRELINE = ""  # half-breadths and heights are taken from the centreline and from base
QUARTER = np.array([[0.0, -1.0], [1.0, 0.0]])  # turns a vector by 90 degrees to the left
ROUNDS = 8  # of Gauss's and Newton's steps; a handful are usual
ReferenceKey = tuple[str, str, str]
"""The name of a nail or a straight edge, the frame measured from it, and the side."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reference:
    """A nail, a straight edge, or centreline and base, in a side's own coordinates.

    Attributes:
        at: (2,), mm.
        along, off: unit vectors in which the ordinates of a straight edge are counted; None for all others.
        shared: it is one thing, or one place, from which both sides are measured: outboard of the one is inboard
            of the other.
    """

    at: FloatArray
    along: FloatArray | None = None
    off: FloatArray | None = None
    shared: bool = False

    def turned(self, angle: float) -> Reference:
        """The straight edge turned about its beginning by an angle, radians."""
        if self.along is None or self.off is None:
            return self
        return replace(
            self,
            along=self.along + angle * QUARTER @ self.along,
            off=self.off + angle * QUARTER @ self.off,
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spot:
    """One measured point with its readings, which a remedy may change.

    Attributes:
        frame: the name of its frame, empty for the broken one.
        stretches: the stretches that it lies on, two at a corner; heel and head also lie on one without length
            (`HEEL_END`, `HEAD_END`).
        values: (m,), mm.
        sign: of distances from two nails: 1 to the left of the line from the first to the second, -1 to its right;
            0 where a third distance tells.
    """

    frame: str
    measured: MeasuredPoint
    stretches: tuple[str, ...]
    values: tuple[float, ...]
    sign: float

    @property
    def side(self) -> Side:
        """Port or starboard."""
        return self.measured.side

    @property
    def sources(self) -> tuple[str, ...]:
        """The names of what it was measured from."""
        return self.measured.sources or (CENTRELINE,)

    @property
    def keys(self) -> tuple[ReferenceKey, ...]:
        """Its references."""
        return tuple((name, self.frame, self.side) for name in self.sources)

    def with_value(self, which: int, value: float) -> Spot:
        """The spot with one other reading."""
        return replace(self, values=tuple(value if k == which else v for k, v in enumerate(self.values)))


References = Mapping[ReferenceKey, Reference]


def spots_of(frame: str, points: Sequence[MeasuredPoint], places: Places) -> list[Spot]:
    """The spots of one frame, each side from the heel up, its stretches called by the points between corners."""
    found = []
    for side in dict.fromkeys(point.side for point in points):
        own = [point for point in points if point.side == side]
        stops = _stops(own)
        names = stretch_names(own)
        for i, point in enumerate(own):
            k = sum(stop < i for stop in stops[1:-1])
            on: tuple[str, ...] = (names[k],)
            if i == 0:
                on = (HEEL_END, names[0])
            elif i == len(own) - 1:
                on = (names[-1], HEAD_END)
            elif i in stops:
                on = (names[k], names[k + 1])
            found.append(
                Spot(
                    frame=frame,
                    measured=point,
                    stretches=on,
                    values=point.values,
                    sign=_sign(point, places),
                )
            )
    return found


def stretch_names(points: Sequence[MeasuredPoint]) -> list[str]:
    """What the stretches of one side are called: by the points within, or by the corner at the upper end."""
    stops = _stops(points)
    return [_name(points, a, b) for a, b in pairwise(stops)]


def _stops(points: Sequence[MeasuredPoint]) -> list[int]:
    return [0, *(i for i in range(1, len(points) - 1) if points[i].corner), len(points) - 1]


def _name(points: Sequence[MeasuredPoint], first: int, last: int) -> str:
    inner = [point.edge for point in points[first + 1 : last]]
    return inner[0] if inner else points[last].edge


def _sign(point: MeasuredPoint, places: Places) -> float:
    if point.method != "nails" or point.lies is None:
        return 0.0
    first, second = (places.nails[name].at(point.side) for name in point.sources[:2])
    normal = across(first, second, point.lies)
    if normal is None:
        return 0.0
    return float(np.sign(normal @ QUARTER @ (second - first)))


def references_of(spots: Iterable[Spot], places: Places) -> dict[ReferenceKey, Reference]:
    """Everything that the spots were measured from, for each frame and side."""
    spots = list(spots)
    found = {}
    for spot in spots:
        for key in spot.keys:
            if key[0] == CENTRELINE:
                found[key] = Reference(at=np.zeros(2))
            elif key[0] in places.nails:
                found[key] = Reference(at=places.nails[key[0]].at(spot.side), shared=True)
            else:
                line = places.edges[key[0]]
                flip = np.array([-1.0 if line.side not in (None, spot.side) else 1.0, 1.0])
                found[key] = Reference(
                    at=line.start * flip,
                    along=line.along * flip,
                    off=line.off * flip,
                    shared=line.side is not None,
                )
    return found


def predicted(
    spot: Spot, refs: References, at: FloatArray
) -> tuple[FloatArray, FloatArray, list[FloatArray]]:
    """What would be read at a place.

    Returns:
        The readings (m,); their derivatives by the place (m, 2); and for each source those by its own out and up,
        mm, and by its turn about its beginning, radians, (m, 3).
    """
    if spot.measured.method == "nails":
        away = at - np.array([refs[key].at for key in spot.keys])
        far = np.hypot(*away.T)
        by_place = away / np.maximum(far, 1e-6)[:, None]
        by_source = []
        for k in range(len(far)):
            own = np.zeros((len(far), 3))
            own[k, :2] = -by_place[k]
            by_source.append(own)
        return far, by_place, by_source
    ref = refs[spot.keys[0]]
    away = at - ref.at
    if ref.along is None or ref.off is None:
        return away, np.eye(2), [np.column_stack([-np.eye(2), np.zeros(2)])]
    axes = np.array([ref.along, ref.off])
    return axes @ away, axes, [np.column_stack([-axes, axes @ QUARTER.T @ away])]


def placed_spot(spot: Spot, refs: References) -> FloatArray:
    """The place that a spot's readings give, (2,); by least squares where there are three.

    Two distances that do not meet give the place between them on the line through the nails.
    """
    read = np.array(spot.values)
    if spot.measured.method != "nails":
        ref = refs[spot.keys[0]]
        if ref.along is None or ref.off is None:
            return np.asarray(ref.at + read)
        return np.asarray(ref.at + read[0] * ref.along + read[1] * ref.off)
    nails = np.array([refs[key].at for key in spot.keys])
    base = float(np.hypot(*(nails[1] - nails[0])))
    run = (nails[1] - nails[0]) / base
    along = (read[0] ** 2 - read[1] ** 2 + base**2) / (2.0 * base)
    high = float(np.sqrt(max(read[0] ** 2 - along**2, 0.0)))
    signs = (spot.sign,) if spot.sign else (1.0, -1.0)
    starts = [nails[0] + along * run + sign * high * (QUARTER @ run) for sign in signs]
    if len(read) == 2:
        return np.asarray(starts[0])
    ended = [_least_squares(start, nails, read) for start in starts]
    return min(ended, key=lambda at: float(np.square(np.hypot(*(at - nails).T) - read).sum()))


def _least_squares(at: FloatArray, nails: FloatArray, read: FloatArray) -> FloatArray:
    for _ in range(ROUNDS):
        away = at - nails
        far = np.maximum(np.hypot(*away.T), 1e-6)
        way = away / far[:, None]
        at = at + np.linalg.solve(way.T @ way + 1e-9 * np.eye(2), way.T @ (read - far))
    return at
