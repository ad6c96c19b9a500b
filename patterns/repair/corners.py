"""Corners and ends that do not fit: where the other points of the stretches beside them lead to.

A batten tells little about its own end, and a corner is the end of two.  So the parabola through the points before
it is carried on to it; a corner that lies far off it, and is not so on the other side of the boat, is doubted.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from patterns.flat.polylines import meet
from patterns.hull.planes import FloatArray
from patterns.repair.fairing import FairSide

__all__ = ["Led", "off_corners"]

FEWEST = 4  # points before a corner by which it can be told where they lead
NEAR = 5  # points before it that are looked at
FAR = 12.0  # mm off where they lead that may yet be the boat's shape
FIXED = 3.0  # times what its own distances may be off, by which a corner may stand off
OUT = 6.0  # deviations of that place
ALIKE = 0.5  # part of it by which the other side's corner may be apart and yet be its witness
BEYOND = 1.6  # times the last distance by which the curve is carried on
FINE = 40


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Led:
    """A corner or an end that does not lie where the points before it lead.

    Attributes:
        index: of the side's points.
        wanted: where they lead, (2,), mm.
        out: the unit normal of the edge there, (2,).
        off: how far it lies out of that, mm.
        unsure: standard deviation of that place, mm.
        place: it is where two curves meet, and not only how far across.
    """

    index: int
    wanted: FloatArray
    out: FloatArray
    off: float
    unsure: float
    place: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Way:
    """The curve to a corner from one side, (n, 2), and its deviation across, mm; ``outward`` turns its normals."""

    curve: FloatArray
    unsure: float
    outward: float

    def off(self, at: FloatArray) -> tuple[float, FloatArray, FloatArray]:
        """How far out of the curve a place lies, the nearest place of the curve, and its normal there."""
        start, step = self.curve[:-1], np.diff(self.curve, axis=0)
        share = np.clip(np.sum((at - start) * step, axis=1) / np.sum(step * step, axis=1), 0.0, 1.0)
        foot = start + share[:, None] * step
        k = int(np.hypot(*(at - foot).T).argmin())
        out = self.outward * np.array([step[k, 1], -step[k, 0]]) / np.hypot(*step[k])
        return float((at - foot[k]) @ out), foot[k], out


def _way(own: FloatArray, tolerance: float, *, up: bool) -> _Way | None:
    """Where points (n, 2), the last of them next to the corner, lead."""
    own = own[-NEAR:]
    n = len(own)
    if n < FEWEST:
        return None
    t = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(own, axis=0).T))])
    shapes = np.vander(t / t[-1], 3)
    fit, *_ = np.linalg.lstsq(shapes, own, rcond=None)
    left = float(np.sqrt(np.square(own - shapes @ fit).sum() / (n - 3)))
    beyond = 1.0 + np.linspace(0.0, BEYOND, FINE + 1) * (t[-1] - t[-2]) / t[-1]
    next_one = np.vander([2.0 - t[-2] / t[-1]], 3)[0]
    lever = float(np.sqrt(next_one @ np.linalg.inv(shapes.T @ shapes) @ next_one))
    return _Way(
        curve=np.vander(beyond, 3) @ fit,
        unsure=lever * max(left, 0.5 * tolerance),
        outward=1.0 if up else -1.0,
    )


def off_corners(side: FairSide, other: FairSide | None, *, tolerance: float) -> Iterator[Led]:
    """The corners, and with the other side as a witness the ends, that lie where no other points lead.

    Args:
        other: the same frame's other side, None where it was not measured or is not to be compared.
        tolerance: how far a good point may be off, mm.
    """
    if other is not None and _names(side) != _names(other):
        other = None
    at = np.array([point.at for point in side.points])
    stops = side.corners
    for place, i in enumerate(stops):
        below = _way(at[stops[place - 1] : i], tolerance, up=True) if place else None
        above = _way(at[i + 1 : stops[place + 1] + 1][::-1], tolerance, up=False) if i < stops[-1] else None
        ways = [way for way in (below, above) if way is not None]
        inner = 0 < place < len(stops) - 1
        if not ways or (other is None and not inner):
            continue
        way = max(ways, key=lambda one: abs(one.off(at[i])[0]) / one.unsure)
        off, foot, out = way.off(at[i])
        own = FIXED * tolerance * side.points[i].unsure
        if abs(off) <= max(FAR, OUT * way.unsure, own):
            continue
        if other is not None and _is_so_there_too(side, other, place, ALIKE * abs(off)):
            continue
        meeting = None if below is None or above is None else _meeting(below, above, at[i])
        wanted = foot if meeting is None else meeting
        yield Led(index=i, wanted=wanted, out=out, off=off, unsure=way.unsure, place=meeting is not None)


def _meeting(below: _Way, above: _Way, near: FloatArray) -> FloatArray | None:
    place = meet(below.curve, above.curve, near=near)
    if place is None:
        return None
    k = min(int(place[0]), len(below.curve) - 2)
    return np.asarray(below.curve[k] + (place[0] - k) * (below.curve[k + 1] - below.curve[k]))


def _is_so_there_too(side: FairSide, other: FairSide, place: int, near: float) -> bool:
    """Whether the other side's corner lies as far out and as high, mm."""
    gap = other.points[other.corners[place]].at - side.points[side.corners[place]].at
    return float(np.hypot(*gap)) < near


def _names(side: FairSide) -> list[str]:
    return [stretch.name for stretch in side.edge.stretches]
