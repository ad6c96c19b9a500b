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
from patterns.wood.labels import Against, Free
from patterns.wood.region import Region

__all__ = ["Joint", "JointKind", "Share", "Through", "between", "joints_of", "shares_of"]

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

    def beyond(self, cut: FloatArray) -> Polygon:
        """All of the plane that lies on the upper member's side of a cut.

        A rounded inner corner is shared between the two by the line towards the inside of the ring.
        """
        home = self.inside - self.inner
        first = float(np.arctan2(cut[1], cut[0]))
        last = float(np.arctan2(home[1], home[0]))
        turn = np.linspace(first, first + (last - first) % (2.0 * np.pi), 25)
        arc = self.inner + FAR * np.stack([np.cos(turn), np.sin(turn)], axis=-1)
        return Polygon(np.vstack([self.inner, arc]))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Share:
    """What of the starboard half belongs to one member.

    Attributes:
        name: the strake's name, or ``top``.
        regions: of the plane, in the half of the thickness at the moulded face and in the other half.
        lapped: it is cut to two shapes, by a half lap.
    """

    name: str
    regions: tuple[Region, Region]
    lapped: bool


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
    names = [*section.traces, *([TOP] if TOP in ring.bands else [])]
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
                "make it one ring or give it less moulding"
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


def between(
    wood: Region, lower: tuple[Joint, FloatArray] | None, upper: tuple[Joint, FloatArray] | None
) -> Region:
    """What of an area lies between two joints, each with its cut; its edges there lie against the next members."""
    if lower is not None:
        joint, cut = lower
        wood = wood.both(Region.of(joint.beyond(cut), Against(joint.below)))
    if upper is not None:
        joint, cut = upper
        wood = wood.minus(Region.of(joint.beyond(cut), Against(joint.above)))
    return wood


def shares_of(
    ring: Ring,
    joints: Sequence[Joint],
    *,
    kind: JointKind | None,
    through: Through | None,
    bottom: bool = True,
) -> tuple[Share, ...]:
    """What of the starboard half belongs to each member, from the centreline up.

    Args:
        bottom: the lowest member is made.  Where it is not there is nothing to lap: the one above it runs down to
            the planking in its full thickness.
    """
    names = [*ring.sections[0].traces, *([TOP] if TOP in ring.bands else [])]
    whole = Region.of(shapely.box(-1.0, -FAR, FAR, FAR), Free())

    def cut(number: int, half: int) -> FloatArray:
        if kind == "half lap" and number == 0 and not bottom:
            return joints[0].cut("butt", "upper", half=half)
        assert kind is not None
        return joints[number].cut(kind, through, half=half)

    shares = []
    for i, name in enumerate(names):
        regions = []
        for half in (0, 1):
            below, above = (
                (joints[n], cut(n, half)) if kind is not None and 0 <= n < len(joints) else None
                for n in (i - 1, i)
            )
            regions.append(between(whole, below, above))
        shares.append(
            Share(
                name=name,
                regions=(regions[0], regions[1]),
                lapped=kind == "half lap" and bool(joints),
            )
        )
    return tuple(shares)
