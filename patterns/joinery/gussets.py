"""Gussets: ply plates over the joints of a frame, each cut on its own two faces at its own distance."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np
import shapely
from shapely.geometry import LineString, Point

from patterns.boat import Boat
from patterns.design.frame_models import GussetSpec
from patterns.design.frame_stands import gusset_sides, gussets_on
from patterns.errors import PatternsError, keyed
from patterns.flat import overlays
from patterns.flat.polylines import lengths
from patterns.flat.shapes import area_of
from patterns.hull.planes import FloatArray, Plane
from patterns.hull.sections import Section, cut_hull
from patterns.joinery.built import Built
from patterns.joinery.joints import Joint
from patterns.joinery.limbers import without_limbers
from patterns.joinery.passages import Passages, notches_in, passages_of
from patterns.joinery.rings import CRUMB, TOP
from patterns.joinery.wood import looking
from patterns.wood.labels import Free
from patterns.wood.region import Region
from patterns.wood.section import section_region, to_the_centreline

__all__ = ["CENTRE", "Gusset", "GussetArm", "arm_of", "gussets_of"]

CENTRE = "centre"
FAR = 1e4  # mm
OUT = 200.0  # mm by which a gusset's arms are run out through the planking before they are cut


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GussetArm:
    """One arm of a gusset.

    Attributes:
        member: the futtock that it lies on.
        along: unit direction from the joint's corner out to its end, (2,).
        inward: unit direction square to the planking at its end, (2,).
        toe: the inner corner of its end, on the frame's inner edge, (2,), mm.
    """

    member: str
    along: FloatArray
    inward: FloatArray
    toe: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Gusset:
    """One gusset, the starboard one or the starboard half of the one on the centreline.

    Attributes:
        at: the line that its joint lies at, or `CENTRE`.
        side: "forward" or "after": of the frame.
        out: 1 where it lies aft of the frame's face, -1 where forward.
        sections: of its face against the frame, and of its outer face.
        passing: the timbers that pass through it.
        region: of the plane within its arms and its inner edge, the same on both faces.
        wood: its wood on those faces.
        joint: of the futtocks; None on the centreline.
        arms: one on the centreline.
        key: the table and key of its arms' length, e.g. ``gusset number 1, key arm``.
    """

    spec: GussetSpec
    at: str
    side: str
    out: float
    sections: tuple[Section, Section]
    passing: Passages
    region: Any
    wood: tuple[Region, Region]
    joint: Joint | None
    arms: tuple[GussetArm, ...]
    key: str

    @property
    def faces(self) -> tuple[Any, Any]:
        """The areas of wood on the two faces."""
        return self.wood[0].area, self.wood[1].area

    @property
    def plane(self) -> Plane:
        """The face against the frame."""
        return self.sections[0].plane


def arm_of(built: Built, joint: Joint, member: str, length: float) -> GussetArm:
    """The arm of a gusset that lies on a member, so long from the joint's corner along the planking.

    Raises:
        PatternsError: the member is not so long, or the arm's end does not reach the frame's inner edge.
    """
    section = built.ring.sections[0]
    edge = section.deck.uv if member == TOP else section.traces[member].uv
    if np.hypot(*(edge[-1] - joint.corner)) < np.hypot(*(edge[0] - joint.corner)):
        edge = edge[::-1]
    run = lengths(edge)
    if length > run[-1]:
        raise PatternsError(
            f"an arm of {length:g} mm is longer than the {member} is from the {joint.name}, {run[-1]:.0f} mm"
        )
    end, inward = _across(edge, run, joint, length)
    over = overlays.intersection(LineString([end, end + FAR * inward]), built.ring.sharp)
    if shapely.is_empty(over):
        raise PatternsError(
            f"its gusset at the {joint.name}: an arm of {length:g} mm on the {member} does not reach the frame's "
            f"inner edge; {_reaching(built, edge, run, joint, length)}"
        )
    toe = end + float(Point(end).distance(over)) * inward
    along = (end - joint.corner) / np.hypot(*(end - joint.corner))
    return GussetArm(member=member, along=along, inward=inward, toe=toe)


def _across(edge: FloatArray, run: FloatArray, joint: Joint, length: float) -> tuple[FloatArray, FloatArray]:
    """The place so far along an edge from the joint, and the unit direction into the wood square to it there."""
    end = np.array([np.interp(length, run, edge[:, k]) for k in (0, 1)])
    i = int(np.clip(np.searchsorted(run, length), 1, len(run) - 1))
    heading = (edge[i] - edge[i - 1]) / np.hypot(*(edge[i] - edge[i - 1]))
    inward = np.array([-heading[1], heading[0]])
    return end, -inward if inward @ (joint.inside - end) < 0.0 else inward


def _reaching(built: Built, edge: FloatArray, run: FloatArray, joint: Joint, length: float) -> str:
    """Which arm would reach the inner edge: a longer one near the joint, where the wood is deep, else a shorter."""
    tried = np.arange(1.0, float(run[-1]), 1.0)
    ends = [_across(edge, run, joint, float(each)) for each in tried]
    lines = shapely.linestrings([[end, end + FAR * inward] for end, inward in ends])
    good = tried[shapely.intersects(lines, built.ring.sharp)]
    if not len(good):
        return "reduce the frame's moulding"
    nearest = float(good[np.abs(good - length).argmin()])
    return f"make it {nearest:.0f} mm or {'longer' if nearest > length else 'shorter'}"


def _joint_region(built: Built, spec: GussetSpec, joint: Joint) -> tuple[Any, tuple[GussetArm, ...]]:
    one, two = (arm_of(built, joint, member, spec.arm) for member in (joint.below, joint.above))
    out = one.inward + two.inward
    corner = joint.corner - 2.0 * OUT * out / np.hypot(*out)
    ends = [one.toe - FAR * 0.05 * one.inward, one.toe, two.toe, two.toe - FAR * 0.05 * two.inward, corner]
    region = area_of(np.array(ends))
    if spec.inner == "along the frame":
        region = overlays.difference(region, built.ring.void)
    return region, (one, two)


def _centre_region(built: Built, spec: GussetSpec, out: float) -> tuple[Any, tuple[GussetArm, ...]]:
    centre = built.ring.sections[0].plane.centre
    up = LineString([(centre + out, -FAR), (centre + out, FAR)])
    inner = overlays.intersection(up, built.ring.sharp)
    if shapely.is_empty(inner):
        raise PatternsError(
            f"a gusset on the centreline of {out:g} mm to each side runs past the frame's inside"
        )
    top = float(inner.bounds[1])
    region: Any = shapely.box(-1.0, -FAR, centre + out, top)
    if spec.inner == "along the frame":
        region = overlays.difference(region, built.ring.void)
    bottom = next(iter(built.ring.sections[0].traces))
    arm = GussetArm(
        member=bottom,
        along=np.array([1.0, 0.0]),
        inward=np.array([0.0, 1.0]),
        toe=np.array([centre + out, top]),
    )
    return region, (arm,)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Side:
    """One kind of gusset on one face of the frame: what all of them have in common."""

    number: int
    spec: GussetSpec
    side: str
    out: float
    sections: tuple[Section, Section]
    passing: Passages

    def key(self, joint: Joint | None) -> str:
        """The table and key of its arms' length."""
        return f"gusset number {self.number}, key {'centre_arm' if joint is None else 'arm'}"


def _side(boat: Boat, built: Built, spec: GussetSpec, side: str) -> _Side:
    face = 0 if side == looking(built.sense)[0] else 1
    out = -built.sense if face == 0 else built.sense
    inner = built.ring.sections[face]
    outer = cut_hull(boat.hull, inner.plane.moved(out * spec.thickness))
    notches = built.ring.passing.notches[face], notches_in(boat, outer)
    passing = passages_of(boat, built.ring.passing.whole, notches)
    number = next(i for i, each in enumerate(boat.design.all(GussetSpec), start=1) if each is spec)
    return _Side(number=number, spec=spec, side=side, out=out, sections=(inner, outer), passing=passing)


def _gusset(built: Built, on: _Side, at: str, joint: Joint | None) -> Gusset:
    """One gusset on one face of the frame.

    Raises:
        PatternsError: its arms are too long, or the notches leave it in parts.
    """
    spec = on.spec
    if joint is None:
        assert spec.centre_arm is not None
        region, arms = _centre_region(built, spec, spec.centre_arm)
    else:
        region, arms = _joint_region(built, spec, joint)
    faces = []
    for face in (0, 1):
        parts = _parts(on, face, region)
        if len(parts) != 1:
            raise PatternsError(
                f"its gusset at the {at} is left in {len(parts)} parts by the timbers' notches; "
                f"{_whole_with(built, on, joint)}"
            )
        wood = without_limbers(parts[0], built.limbers)
        faces.append(wood if joint is not None else to_the_centreline(wood))
    return Gusset(
        spec=spec,
        at=at,
        side=on.side,
        out=on.out,
        sections=on.sections,
        passing=on.passing,
        region=region,
        wood=(faces[0], faces[1]),
        joint=joint,
        arms=arms,
        key=on.key(joint),
    )


def _parts(on: _Side, face: int, region: Any) -> list[Region]:
    """The wood of one face within a gusset's region, notches taken out, in its separate parts."""
    wood = section_region(on.sections[face]).both(Region.of(region, Free()))
    return on.passing.cut(wood, face).parts(least=CRUMB)


def _whole_with(built: Built, on: _Side, joint: Joint | None) -> str:
    """Which arms would leave the gusset in one part: the nearest of a few that are tried."""
    spec = on.spec
    now = spec.arm if joint is not None else spec.centre_arm or 0.0
    for share in (1.1, 1.25, 0.9, 1.5, 0.75, 2.0, 3.0, 5.0, 10.0):
        arm = round(share * now)
        try:
            region = (
                _centre_region(built, spec, arm)[0]
                if joint is None
                else _joint_region(built, spec.model_copy(update={"arm": arm}), joint)[0]
            )
        except PatternsError:
            continue
        if all(len(_parts(on, face, region)) == 1 for face in (0, 1)):
            return f"set {'arm' if joint is not None else 'centre_arm'} to about {arm:.0f} mm"
    return "reduce the notches or increase the frame's moulding"


def gussets_of(boat: Boat, built: Built) -> tuple[Gusset, ...]:
    """Every gusset of a frame: at its joints and, where the bottom is in halves, on the centreline.

    Raises:
        PatternsError: one cannot be made, or two of one face run into each other.
    """
    made: list[Gusset] = []
    for spec in gussets_on(boat.design, built.spec):
        for side in gusset_sides(spec):
            on = _side(boat, built, spec, side)
            joints: list[Joint | None] = [
                joint for joint in built.joints if built.futtock(joint.below) and built.futtock(joint.above)
            ]
            if spec.centre_arm is not None and built.spec.pieces == "bottom in halves":
                joints.insert(0, None)
            for joint in joints:
                with keyed(on.key(joint), f'frame "{built.spec.name}"'):
                    made.append(_gusset(built, on, CENTRE if joint is None else joint.name, joint))
    for one, two in combinations(made, 2):
        if one.side == two.side and overlays.intersection(one.faces[0], two.faces[0]).area > CRUMB:
            raise PatternsError(
                f"its {one.at} gusset runs into its {two.at} gusset; give them shorter arms{_room(built, one, two)}"
            )
    return tuple(made)


def _room(built: Built, one: Gusset, two: Gusset) -> str:
    """How much the arms of two gussets take up of the member that both lie on, in words."""
    edges = built.ring.sections[0].traces
    shared = {arm.member for arm in one.arms} & {arm.member for arm in two.arms} & set(edges)
    if not shared:
        return ""
    member = min(shared)
    taken = sum(float(each.spec.arm if each.joint else each.spec.centre_arm or 0.0) for each in (one, two))
    long = lengths(edges[member].uv)[-1]
    return f": they take up {taken:.0f} mm of the {member}, which is {long:.0f} mm long there"
