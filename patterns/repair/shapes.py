"""What is made of a measured frame: whole, in halves, in futtocks, a part, a sister; and where its faces are."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from patterns.design.repair_models import PieceSpec
from patterns.hull.planes import FloatArray, Plane
from patterns.joinery.joints import Joint
from patterns.repair.cutting import Cut, end_cut
from patterns.repair.ends import FrameEnd, ends_of
from patterns.repair.fairing import HEEL
from patterns.repair.outline import Edge, EdgeStretch
from patterns.repair.places import SIDES, Side
from patterns.repair.repair import Repair
from patterns.wood.piece import Hand
from patterns.wood.placement import OnFace, Placement, mirrored

__all__ = [
    "Shape",
    "Stand",
    "across",
    "greatest_moulding",
    "hand_of",
    "placed_on",
    "run_at",
    "shapes_of",
    "sided_of",
    "stand_of",
    "to_centreline",
]

GAP = 1.0  # mm; heels that lie nearer than this meet in one point


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shape:
    """A piece before it becomes a pattern.

    Attributes:
        name, spec: what is asked for.
        side: on which it is made; None where it goes across both.
        half: it is the starboard half of a piece that is alike on both sides, to be flipped.
        edge: on the measured face, whole; in its side's own coordinates, or (y, z) where it goes across.
        ends: lower and upper.
        joints: of a futtock, where it meets the one below and the one above; None at the piece's own ends.
        suffix: which futtock it is.
        layer: of a double-sawn frame, 0 on the measured face and 1 behind it; None for whole wood.
    """

    name: str
    spec: PieceSpec
    side: Side | None
    half: bool
    edge: Edge
    ends: tuple[FrameEnd, FrameEnd]
    joints: tuple[Joint | None, Joint | None] = (None, None)
    suffix: str = ""
    layer: int | None = None


def _title(repair: Repair, spec: PieceSpec) -> str:
    if spec.name:
        return spec.name
    return f"frame {repair.spec.frame}" if spec.kind == "frame" else f"sister to frame {repair.spec.frame}"


def shapes_of(repair: Repair, spec: PieceSpec) -> Iterator[Shape]:
    """The piece itself, or one for each side."""
    title = _title(repair, spec)
    made = [side for side in SIDES if side in repair.edges_of and spec.side in (side, "both")]
    partly = spec.from_point is not None or spec.to_point is not None
    if len(made) == 2 and spec.made_in == "one piece" and not partly:
        if repair.symmetrical:
            edge = to_centreline(repair.edges_of["starboard"])
            lower = Cut(at=edge.points[0], along=np.array([0.0, 1.0]), away=np.array([-1.0, 0.0]))
            ends = FrameEnd(cut=lower), FrameEnd(cut=end_cut(edge, spec.head, upper=True))
            yield Shape(name=title, spec=spec, side=None, half=True, edge=edge, ends=ends)
            return
        edge = across(repair.edges_of["port"], repair.edges_of["starboard"])
        # Head to head: the lower end of the run is the port head.
        port = end_cut(edge, spec.head, upper=False)
        starboard = end_cut(edge, spec.head, upper=True)
        yield Shape(
            name=title,
            spec=spec,
            side=None,
            half=False,
            edge=edge,
            ends=(FrameEnd(cut=port), FrameEnd(cut=starboard)),
        )
        return
    if repair.symmetrical and len(made) == 2:
        made = ["starboard"]
    for side in made:
        edge = repair.edges_of[side]
        runs = [run_at(repair, side, point) for point in (spec.from_point, spec.to_point)]
        ends = ends_of(
            edge, spec, runs, sided=sided_of(repair, spec), moulded=greatest_moulding(repair, spec, edge)
        )
        called = title if repair.symmetrical or (len(made) == 1 and spec.name) else f"{title} {side}"
        yield Shape(name=called, spec=spec, side=side, half=False, edge=edge, ends=ends)


def sided_of(repair: Repair, spec: PieceSpec) -> float:
    return spec.sided or repair.spec.sided


def greatest_moulding(repair: Repair, spec: PieceSpec, edge: Edge) -> float:
    """The greatest moulding along it, mm."""
    return max(repair.moulded(stretch.name, spec) for stretch in edge.stretches)


def run_at(repair: Repair, side: Side, point: str | None) -> float | None:
    """The length along a side's edge to a measured point; None where none is named."""
    if point is None:
        return None
    index = next(i for i, fixed in enumerate(repair.measured(side).points) if fixed.measured.name == point)
    edge = repair.edges_of[side]
    k, share = repair.measured(side).share(index)
    return float(edge.corner_runs[k] + share * edge.stretches[k].run[-1])


def _level(first: FloatArray, last: FloatArray, edge: Edge) -> EdgeStretch:
    """The straight stretch between two heels, square to the face where bevels are known."""
    run = (last - first) / np.hypot(*(last - first))
    known = 0.0 if edge.bevelled else np.nan
    return EdgeStretch(
        name="heel",
        points=np.array([first, last]),
        out=np.tile([run[1], -run[0]], (2, 1)),
        slope=np.full(2, known),
        hollow=np.full(2, known),
    )


def across(port: Edge, starboard: Edge) -> Edge:
    """Both sides' edges in one, from the port head down and up to the starboard head, in (y, z)."""
    left = port.mirrored()
    first, last = left.points[-1], starboard.points[0]
    between = (_level(first, last, starboard),) if np.hypot(*(last - first)) > GAP else ()
    heel = (HEEL, HEEL) if between else (HEEL,)
    return Edge(
        stretches=(*left.stretches, *between, *starboard.stretches),
        corners=(*left.corners[:-1], *heel, *starboard.corners[1:]),
    )


def to_centreline(edge: Edge) -> Edge:
    """A half's edge carried on level from its heel to the centreline."""
    heel = edge.points[0]
    if heel[0] <= GAP:
        return edge
    level = _level(np.array([0.0, heel[1]]), heel, edge)
    return replace(edge, stretches=(level, *edge.stretches), corners=("", *edge.corners))


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """Where a piece's two faces are, as depths behind the measured face, and which way its wood runs."""

    moulded: float
    other: float
    way: float

    @property
    def sided(self) -> float:
        """How thick the piece is, mm."""
        return abs(self.other - self.moulded)


def stand_of(repair: Repair, spec: PieceSpec, layer: int | None = None) -> Stand:
    sided = sided_of(repair, spec)
    if layer is not None:
        return Stand(moulded=0.5 * layer * sided, other=0.5 * (layer + 1) * sided, way=1.0)
    if spec.against is None:
        return Stand(moulded=0.0, other=sided, way=1.0)
    if spec.against == "measured face":
        return Stand(moulded=0.0, other=-sided, way=-1.0)
    return Stand(moulded=repair.spec.sided, other=repair.spec.sided + sided, way=1.0)


def placed_on(side: Side | None, plane: Plane, sense: float) -> Placement:
    """Where a piece of one side, or of both, lies: what is on port has its u outboard too."""
    on = OnFace(plane, sense)
    return mirrored(on) if side == "port" else on


def hand_of(repair: Repair, side: Side | None, *, both: bool) -> Hand:
    """On which side a piece is made: one shape may serve ``both``."""
    if side is None:
        return Hand.ACROSS
    return Hand.PAIR if repair.symmetrical and both else Hand(side)
