"""Gussets of a repair: plates over the joints of the new frame, each cut on two faces at its own distance."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from shapely.geometry import Polygon

from patterns.design.repair_models import PieceSpec
from patterns.design.repair_work_models import CENTRELINE, RepairGussetSpec
from patterns.drawing.of_piece import pattern_of
from patterns.errors import PatternsError
from patterns.flat.shapes import area_of
from patterns.hull.planes import FloatArray
from patterns.joinery.gusset_patterns import joint_lines
from patterns.joinery.wood import Wanted, looking, wood_fact
from patterns.pattern import Pattern
from patterns.repair.cutting import Cut, cut_at, joint_at, mitre, trimmed, wood_of
from patterns.repair.drawn import face_of, grain_of
from patterns.repair.notches import MeasuredNotch, notched, notches_of, own_notches, timber_meetings
from patterns.repair.outline import Edge
from patterns.repair.places import SIDES, Side
from patterns.repair.repair import Repair
from patterns.repair.section import MeasuredSection, section_at
from patterns.repair.shapes import across, hand_of, placed_on
from patterns.repair.words import WORDS
from patterns.wood.facts import Fact
from patterns.wood.features import Scribed
from patterns.wood.labels import Free, Trim
from patterns.wood.meeting import Joinery, Meeting, OneOf
from patterns.wood.piece import Hand, Papers, Piece, Stock
from patterns.wood.region import Edges, Region, labelled

__all__ = ["gusset_pieces_of", "gussets"]

ON = 1.0  # mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Lie:
    """Where a gusset lies.

    Attributes:
        side: None where it goes across both.
        face: "forward" or "after", of the frame.
        near, far: depths of its two faces behind the measured face, mm; the near one lies against the frame.
        way: 1 where its wood runs away from the one who measured, -1 where towards him.
    """

    side: Side | None
    face: str
    near: float
    far: float
    way: float


def gussets(repair: Repair) -> Iterator[Wanted]:
    """Every kind of gusset: where it is asked for, and how its patterns are made."""
    for place, spec in repair.gussets:
        yield place.removeprefix("design.toml, "), partial(_patterns, repair, spec)


def _frame_of(repair: Repair) -> PieceSpec:
    """The frame that the gussets lie on: the first new one, or one like the old."""
    new = (piece for _, piece in repair.pieces if piece.kind == "frame")
    return next(new, PieceSpec(kind="frame"))


def _patterns(repair: Repair, spec: RepairGussetSpec) -> tuple[Pattern, ...]:
    return tuple(pattern_of(repair, piece, WORDS) for piece in gusset_pieces_of(repair, spec))


def gusset_pieces_of(repair: Repair, spec: RepairGussetSpec) -> Iterator[Piece]:
    """The plates of one kind: on each face and side that is asked for."""
    for lie in _lies(repair, spec):
        yield _gusset_piece(repair, spec, lie)


def _lies(repair: Repair, spec: RepairGussetSpec) -> Iterator[_Lie]:
    measured, sided = looking(repair.behind)[0], _frame_of(repair).sided or repair.spec.sided
    sides: Sequence[Side | None]
    if spec.at == CENTRELINE:
        sides = [None]
    else:
        sides = [side for side in SIDES if side in repair.edges_of and spec.side in (side, "both")]
        sides = ["starboard"] if repair.symmetrical and len(sides) == 2 else sides
    for face in ("forward", "after") if spec.faces == "both" else (spec.faces,):
        here = face == measured
        near, way = (0.0, -1.0) if here else (sided, 1.0)
        for side in sides:
            yield _Lie(side=side, face=face, near=near, far=near + way * spec.thickness, way=way)


def _reach(repair: Repair, spec: RepairGussetSpec, lie: _Lie, edge: Edge) -> tuple[float, float]:
    """The lengths along an edge between which the gusset lies.

    Raises:
        PatternsError: a stretch is shorter than its arm.
    """
    runs = edge.corner_runs
    if lie.side is None:
        port = len(repair.edges_of["port"].stretches)
        corners = (port, len(runs) - 1 - len(repair.edges_of["starboard"].stretches))
    else:
        own = repair.measured(lie.side)
        i = own.named(spec.at)
        assert i is not None
        corners = (own.corners.index(i),) * 2
    room = min(float(runs[corners[0]] - runs[corners[0] - 1]), float(runs[corners[1] + 1] - runs[corners[1]]))
    if spec.arm > room:
        raise PatternsError(
            f"an arm of {spec.arm:g} mm is longer than the edge runs beside it, {room:.0f} mm"
        )
    return float(runs[corners[0]] - spec.arm), float(runs[corners[1]] + spec.arm)


def _faces(
    repair: Repair, spec: RepairGussetSpec, lie: _Lie, whole: Edge
) -> tuple[list[MeasuredSection], list[Region]]:
    """Its near and its far section, and its wood there."""
    frame = _frame_of(repair)
    sided = frame.sided or repair.spec.sided

    def moulded(name: str) -> float:
        return spec.moulded or repair.moulded(name, frame)

    depths = (lie.near, lie.far, 0.0, sided)
    edges = [whole.at_depth(depth) for depth in depths]
    low, high = _reach(repair, spec, lie, edges[0])
    cuts = [
        cut_at(edges[0], low, upper=False, name="lower arm"),
        cut_at(edges[0], high, upper=True, name="upper arm"),
    ]
    sections = [
        section_at(trimmed(edge, *cuts), depth, repair.behind)
        for edge, depth in zip(edges, depths, strict=True)
    ]
    # The inner edge is the frame's: the deepest of all four faces.
    wood = list(wood_of(sections, moulded, cuts))[:2]
    if spec.inner == "straight":
        toes = [_toe(wood[0], cut) for cut in cuts]
        wood = [_straight(section, cuts, toes) for section in sections[:2]]
    return sections[:2], wood


def _straight(section: MeasuredSection, cuts: Sequence[Cut], toes: Sequence[FloatArray]) -> Region:
    """A face's wood with a straight inner edge from toe to toe."""
    edge = section.edge.points
    ends = [
        (Trim(cut.name), np.array([at, toe])) for cut, at, toe in zip(cuts, edge[[0, -1]], toes, strict=True)
    ]
    area = area_of(np.vstack([edge, toes[1], toes[0]]))
    return labelled(area, [section.lines, Edges.of(ends)], otherwise=Free())


def _toe(wood: Region, cut: Cut) -> FloatArray:
    """The inner corner of an arm's end."""
    corners = np.vstack([stretch.points for stretch in wood.stretches(Trim(cut.name))])
    return np.asarray(corners[np.abs((corners - cut.at) @ cut.along).argmax()])


def _gusset_piece(repair: Repair, spec: RepairGussetSpec, lie: _Lie) -> Piece:
    """One plate.

    Raises:
        PatternsError: an arm is too long, or a notch cuts it in two.
    """
    edges_of = repair.edges_of
    whole = edges_of[lie.side] if lie.side is not None else across(edges_of["port"], edges_of["starboard"])
    sections, wood = _faces(repair, spec, lie, whole)
    notches: list[tuple[MeasuredNotch, ...]] = []
    for k, depth in enumerate((lie.near, lie.far)):
        notches.append(own_notches(wood[k], tuple(notches_of(repair, whole.at_depth(depth), lie.side))))
    stock = Stock(wood=spec.stock, thickness=spec.thickness)
    hand = hand_of(repair, lie.side, both=True)
    called = "" if lie.side is None or repair.symmetrical else f" {lie.side}"
    name = f"frame {repair.spec.frame}{called}, {spec.at} {spec.name}, {lie.face}"
    timbers = timber_meetings(name, notches)
    wood = [notched(face, name, k, timbers) for k, face in enumerate(wood)]
    on_frame = Meeting(
        kind=Joinery.FACE,
        lands=name,
        on=OneOf(f"frame {repair.spec.frame}"),
        faces=(0,),
    )
    bare = Piece(
        name=name,
        member="gusset",
        part_of=f"frame {repair.spec.frame}",
        stock=stock,
        hand=hand,
        placement=placed_on(lie.side, sections[0].plane, repair.behind * lie.way),
        faces=(
            face_of(sections[0], wood[0], notches[0], shown=sections[0].edge),
            face_of(sections[1], wood[1], notches[1], shown=sections[1].edge, crossed=False),
        ),
        facts=(
            wood_fact(stock),
            Fact("lies-on-face", {"side": lie.face, "frame": repair.spec.frame}),
            *(() if whole.bevelled else (Fact("no-bevel-known"),)),
            *((Fact("bevels-blank", {"stretches": whole.bare}),) if whole.bevelled and whole.bare else ()),
            *((Fact("turn-over"),) if hand is Hand.PAIR else ()),
        ),
        meetings=(*timbers, on_frame),
        grain=grain_of(sections[0].edge),
        moulded="against the frame",
        papers=Papers.EACH_FACE if whole.bevelled else Papers.OUTLINE,
    )
    scribed = tuple(_joint(repair, spec, lie, whole, bare.saw().area))
    return replace(bare, faces=(replace(bare.faces[0], scribed=scribed), bare.faces[1]))


def _joint(repair: Repair, spec: RepairGussetSpec, lie: _Lie, whole: Edge, saw: Polygon) -> list[Scribed]:
    """The mitre of the futtocks beneath, as seen through the plate."""
    frame = _frame_of(repair)
    if lie.side is None or frame.made_in != "futtocks":
        return []
    own = repair.measured(lie.side)
    i = own.named(spec.at)
    assert i is not None
    sided = frame.sided or repair.spec.sided
    faces = [whole.at_depth(depth) for depth in (0.0, sided)]
    joint = joint_at(faces, own.corners.index(i), lambda name: repair.moulded(name, frame))
    return joint_lines(joint, mitre(joint), saw)
