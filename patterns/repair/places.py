"""What points are measured from: nails, straight edges and plumb lines, in the plane of the measured face.

A side's own coordinates are (out, up): outboard from the centreline on that side, and up from base, mm.  So the
same words hold on both sides of the boat, and a nail to port lies at a negative ``out`` for a starboard point.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from patterns.design.repair_models import NailSpec, StraightEdgeSpec, Way
from patterns.errors import Problem
from patterns.hull.planes import FloatArray

__all__ = ["SIDES", "Nail", "Places", "Side", "StraightEdge", "across", "meet_of_two", "places_of", "way_of"]

Side = Literal["port", "starboard"]
SIDES: tuple[Side, Side] = ("port", "starboard")
WAY: Mapping[Way, tuple[float, float]] = {
    "outboard": (1.0, 0.0),
    "inboard": (-1.0, 0.0),
    "up": (0.0, 1.0),
    "down": (0.0, -1.0),
}
ROUNDING = 3.2  # mm; two distances read to 1/16 in or so may miss each other by this
CLEAR = 0.05  # sine; a line that runs nearer to a way than this has no side that way


@dataclass(frozen=True, slots=True, kw_only=True)
class Nail:
    """A nail; ``y`` is to starboard."""

    name: str
    y: float
    z: float

    def at(self, side: Side) -> FloatArray:
        """Its place in a side's own coordinates, (2,)."""
        return np.array([self.y if side == "starboard" else -self.y, self.z])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StraightEdge:
    """A straight edge or a plumb line.

    Attributes:
        side: where it stands; None where it stands alike on both sides.
        start: its beginning in that side's coordinates, (2,), mm.
        along, off: unit vectors, (2,), in which the two ordinates are counted.
    """

    name: str
    side: Side | None
    start: FloatArray
    along: FloatArray
    off: FloatArray

    def place(self, side: Side, along: float, off: float) -> FloatArray:
        """A point in a side's own coordinates, (2,), by its two ordinates, mm."""
        at = self.start + along * self.along + off * self.off
        mirror = self.side is not None and self.side != side
        return at * np.array([-1.0, 1.0]) if mirror else at


@dataclass(frozen=True, slots=True, kw_only=True)
class Places:
    """All of them by name.

    Attributes:
        broken: names that stand in the file but could not be read, so that one slip is told once.
    """

    nails: Mapping[str, Nail] = field(default_factory=dict)
    edges: Mapping[str, StraightEdge] = field(default_factory=dict)
    broken: frozenset[str] = frozenset()


def way_of(way: Way) -> FloatArray:
    """A way as a unit vector in a side's own coordinates, (2,)."""
    return np.array(WAY[way])


def across(first: FloatArray, second: FloatArray, way: Way) -> FloatArray | None:
    """The unit normal, (2,), of the line through two places that points a way; None where neither does."""
    run = (second - first) / np.hypot(*(second - first))
    normal = np.array([-run[1], run[0]])
    towards = float(normal @ way_of(way))
    if abs(towards) < CLEAR:
        return None
    return np.asarray(normal * np.copysign(1.0, towards))


def meet_of_two(
    first: FloatArray, second: FloatArray, distances: tuple[float, float], normal: FloatArray
) -> FloatArray | None:
    """Where two distances from two places meet, on the side to which a normal points; None where they do not.

    Where rounding alone keeps them apart the place lies on the line through both.
    Source: the intersection of two circles.
    """
    base = float(np.hypot(*(second - first)))
    run = (second - first) / base
    along = (distances[0] ** 2 - distances[1] ** 2 + base**2) / (2.0 * base)
    square = distances[0] ** 2 - along**2
    if square < 0.0:
        apart = max(base - sum(distances), abs(distances[0] - distances[1]) - base)
        if apart > ROUNDING:
            return None
    return np.asarray(first + along * run + np.sqrt(max(square, 0.0)) * normal)


def places_of(
    nails: Sequence[tuple[str, NailSpec]], edges: Sequence[tuple[str, StraightEdgeSpec]]
) -> tuple[Places, list[Problem]]:
    """Every nail and straight edge where it is.

    Args:
        nails, edges: the entries of the design file, each with its place there.
    Returns:
        Those that could be placed; and every problem.
    """
    problems: list[Problem] = []
    problems += [
        Problem(
            place,
            f'the nail\'s name "{nail.name}" has a space in it',
            "use a name without a space, e.g. A",
            code="name-with-space",
        )
        for place, nail in nails
        if " " in nail.name
    ]
    found: dict[str, Nail] = {}
    broken: set[str] = set()
    taken: set[str] = set()
    named = [(place, nail.name) for place, nail in nails] + [(place, line.name) for place, line in edges]
    for place, name in named:
        if name in taken:
            problems.append(
                Problem(place, f'"{name}" is used twice', "give each a name of its own", code="same-name")
            )
        taken.add(name)
    for place, spec in nails:
        nail = _nail(place, spec, found)
        if isinstance(nail, Nail):
            found.setdefault(spec.name, nail)
        else:
            broken.add(spec.name)
            problems.append(nail)
    straight: dict[str, StraightEdge] = {}
    for place, line in edges:
        made = _edge(place, line, found)
        if isinstance(made, StraightEdge):
            straight.setdefault(line.name, made)
        else:
            broken.add(line.name)
            problems.append(made)
    return Places(nails=found, edges=straight, broken=frozenset(broken)), problems


def _nail(place: str, spec: NailSpec, known: Mapping[str, Nail]) -> Nail | Problem:
    if spec.nails is None:
        if spec.out is None or spec.up is None:
            return Problem(
                place,
                "the nail has no place",
                "give out and up, or two nails and its distances from them",
                code="needed-key",
            )
        if spec.out > 0.0 and spec.side is None:
            return Problem(
                place,
                "the nail has no side",
                'write side = "port" or side = "starboard"',
                code="needed-key",
            )
        return Nail(name=spec.name, y=spec.out if spec.side == "starboard" else -spec.out, z=spec.up)
    if spec.out is not None or spec.up is not None:
        return Problem(
            place,
            "the nail is placed twice, by out and up and by two nails",
            "keep one of them",
            code="conflicting-keys",
        )
    unknown = [name for name in spec.nails if name not in known]
    if unknown:
        return Problem(
            place,
            f"no nail above it is called {' or '.join(unknown)}",
            "name two nails that are given above it",
            code="unknown-name",
        )
    if len(spec.distances) != 2 or spec.lies is None:
        return Problem(
            place,
            "nails needs two distances and a side",
            "give distances (two of them) and lies",
            code="needed-key",
        )
    side: Side = "starboard" if spec.side is None else spec.side
    first, second = (known[name].at(side) for name in spec.nails)
    normal = across(first, second, spec.lies) if np.hypot(*(second - first)) > 1.0 else None
    if normal is None:
        return Problem(
            place,
            f'the line through {" and ".join(spec.nails)} has no side "{spec.lies}"',
            "write another way in lies",
            code="side-undefined",
        )
    at = meet_of_two(first, second, (spec.distances[0], spec.distances[1]), normal)
    if at is None:
        base = float(np.hypot(*(second - first)))
        return Problem(
            place,
            f"its two distances do not meet: those nails are {base:.0f} mm apart",
            "measure them again",
            code="distances-do-not-meet",
        )
    return Nail(name=spec.name, y=float(at[0] if side == "starboard" else -at[0]), z=float(at[1]))


def _edge(place: str, spec: StraightEdgeSpec, nails: Mapping[str, Nail]) -> StraightEdge | Problem:
    given = [spec.out is not None, spec.up is not None, spec.runs is not None]
    side = spec.side
    if spec.nails is not None:
        if any(given) or side is not None:
            return Problem(
                place,
                "the straight edge is placed twice, by itself and by two nails",
                "keep one of them",
                code="conflicting-keys",
            )
        unknown = [name for name in spec.nails if name not in nails]
        if unknown:
            return Problem(
                place,
                f"no nail is called {' or '.join(unknown)}",
                "name two nails of this file",
                code="unknown-name",
            )
        side = "starboard" if nails[spec.nails[1]].y >= 0.0 else "port"
        start, end = (nails[name].at(side) for name in spec.nails)
        if np.hypot(*(end - start)) < 1.0:
            return Problem(
                place, "its two nails are one place", "name two that are apart", code="nails-same-place"
            )
        along = (end - start) / np.hypot(*(end - start))
    else:
        if not all(given):
            return Problem(
                place,
                "the straight edge has no beginning or direction",
                "give out, up and runs, or two nails",
                code="needed-key",
            )
        assert spec.out is not None
        assert spec.up is not None
        assert spec.runs is not None
        start, along = np.array([spec.out, spec.up]), way_of(spec.runs)
    off = across(start, start + along, spec.off)
    if off is None:
        return Problem(
            place,
            f'no distance off it can be counted "{spec.off}": it runs that way itself',
            "write another way in off",
            code="side-undefined",
        )
    return StraightEdge(name=spec.name, side=side, start=start, along=along, off=off)
