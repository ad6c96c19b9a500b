"""The joints of a built frame: where its futtocks meet, and which part of the ring belongs to each."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Literal

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon

from patterns.errors import PatternsError
from patterns.flat import overlays
from patterns.flat.shapes import outline_of
from patterns.hull.planes import FloatArray
from patterns.joinery.rings import TOP, Ring
from patterns.wood.meeting import Loss

__all__ = ["Joint", "JointKind", "Through", "joints_of", "members_of"]

JointKind = Literal["butt", "half lap", "mitre"]
Through = Literal["lower", "upper"]

FAR = 1e4  # mm; past every boat
ON = 1e-5  # mm; a corner of the void this near to a moulding's edge lies on it
BACK = 40.0  # mm along the inner edge, from its corner, over which its direction is taken


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Joint:
    """Where two futtocks meet.  A cut is square to the moulded face, so it is one line on both faces.

    Attributes:
        name: the line that lies there.
        below, above: the two members.
        inner: the inner corner of the ring, before it is rounded, (2,), mm.
        corner: the inside corner of planking (and deck) on the moulded face, (2,).
        along: unit directions, (2,), outward from the inner corner, in which the inner edges of the lower and of
            the upper member run on.
        inside: a point within the ring, (2,).
    """

    name: str
    below: str
    above: str
    inner: FloatArray
    corner: FloatArray
    along: tuple[FloatArray, FloatArray]
    inside: FloatArray

    def cut(self, kind: JointKind, through: Through | None, *, half: int) -> FloatArray:
        """The unit direction, (2,), outward from the inner corner, of the cut.

        Args:
            half: 0 in the half of the thickness at the moulded face, 1 in the other: a half lap is cut along the
                one member's inner edge in the one half and along the other's in the other.
        """
        if kind == "mitre":
            gap = self.corner - self.inner
            return np.asarray(gap / np.hypot(*gap))
        lower = through == "lower"
        if kind == "half lap" and half == 1:
            lower = not lower
        return self.along[0 if lower else 1]

    @property
    def turn(self) -> float:
        """By how much the inner edges turn from one member to the other, radians; 0 where they run straight on."""
        lower, upper = self.along
        return math.pi - math.acos(float(np.clip(lower @ upper, -1.0, 1.0)))

    def side(self, cut: FloatArray, *, upper: bool) -> Polygon:
        """All of the plane that lies on the upper or on the lower member's side of a cut.

        A rounded inner corner is shared between the two by the line towards the inside of the ring.
        """
        home = self.inside - self.inner
        first, last = (float(np.arctan2(way[1], way[0])) for way in ((cut, home) if upper else (home, cut)))
        turn = np.linspace(first, first + (last - first) % (2.0 * np.pi), 25)
        arc = self.inner + FAR * np.stack([np.cos(turn), np.sin(turn)], axis=-1)
        return Polygon(np.vstack([self.inner, arc]))

    def losses(self, names: tuple[str, str], cuts: Sequence[FloatArray]) -> tuple[Loss, Loss]:
        """What its two pieces lose: of the whole wood each keeps what lies on its side.

        Args:
            names: of the lower and of the upper piece.
            cuts: the direction of the cut, see `cut`, on the moulded face and on the other.
        """
        below, above = (tuple(self.side(cut, upper=upper) for cut in cuts) for upper in (False, True))
        return (
            Loss(piece=names[0], against=self.above, areas=above),
            Loss(piece=names[1], against=self.below, areas=below),
        )


def _inner_corner(void: FloatArray, bands: Mapping[str, Any], below: str, above: str) -> int | None:
    """Which corner of the void lies on the inner edges of two members."""
    points = shapely.points(void)
    off = np.maximum(*(shapely.distance(shapely.boundary(bands[name]), points) for name in (below, above)))
    nearest = int(off.argmin())
    return nearest if off[nearest] < ON else None


def _direction(ring: LineString, at: FloatArray, *, step: float) -> FloatArray:
    """The unit direction to a corner of the void's outline from ``step`` mm past it (less than 0: before it)."""
    along = ring.project(Point(at)) + step
    before = np.asarray(ring.interpolate(along % ring.length).coords[0])
    return np.asarray((at - before) / np.hypot(*(at - before)))


def _home(ring: Ring) -> FloatArray:
    """A point on the centreline, half way up the inside of a ring: every cut's other way out."""
    centre = ring.sections[0].plane.centre + 0.5
    inside = overlays.intersection(ring.sharp, LineString([(centre, -FAR), (centre, FAR)]))
    if shapely.is_empty(inside):
        raise PatternsError("its inside stops short of the centreline; make it one ring")
    _, low, _, high = inside.bounds
    return np.array([centre, 0.5 * (low + high)])


def joints_of(ring: Ring) -> tuple[Joint, ...]:
    """The joints of a ring, at every chine from the centreline up and, where it has a top piece, at the sheer.

    Raises:
        PatternsError: a line lies on one of its faces only, or the ring has no inner corner there.
    """
    section, other = ring.sections
    names = members_of(ring)
    if list(section.traces) != list(other.traces):
        raise PatternsError("a chine runs out between its two faces; make it one ring")
    void = outline_of(ring.sharp)
    around = LineString(np.vstack([void, void[:1]]))
    inside = _home(ring)
    found = []
    for corner, (below, above) in zip(section.corners, pairwise(names), strict=False):
        i = _inner_corner(void, ring.bands, below, above)
        if i is None:
            raise PatternsError(
                f"its inside has no corner at the {corner.name}, so no joint can be drawn there; "
                "make it one ring, or reduce its moulding"
            )
        along = _direction(around, void[i], step=-BACK), _direction(around, void[i], step=BACK)
        found.append(
            Joint(
                name=corner.name,
                below=below,
                above=above,
                inner=void[i],
                corner=corner.at,
                along=along,
                inside=inside,
            )
        )
    return tuple(found)


def members_of(ring: Ring) -> list[str]:
    """The members that a ring is made of, from the centreline up."""
    return [*ring.sections[0].traces, *([TOP] if TOP in ring.bands else [])]
