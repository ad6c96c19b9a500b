"""Gussets of a repair: plates over the joints of the new frame, each cut on two faces at its own distance."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon

from patterns.design.repair_models import PieceSpec
from patterns.design.repair_work_models import CENTRELINE, RepairGussetSpec
from patterns.errors import PatternsError
from patterns.flat.shapes import area_of, inside_points, largest
from patterns.hull.planes import FloatArray, station_plane
from patterns.joinery.wood import Piece, lamination_words, looking
from patterns.pattern import Kind, Line, Mark, Pattern, redrawn
from patterns.repair.cutting import cut_at, mitre_cut, trimmed, wood_of
from patterns.repair.drawn import marks, outlines, readings, register, xy
from patterns.repair.notches import Notch, notched, notches_of, own_notches
from patterns.repair.outline import Edge
from patterns.repair.places import SIDES, Side
from patterns.repair.repair import Repair
from patterns.repair.shapes import across, view

__all__ = ["gussets", "toe_marks"]

ON = 1.0  # mm
MITRE = 400.0  # mm inward up to which the joint beneath is drawn


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


def gussets(repair: Repair) -> Iterator[Piece]:
    """Every kind of gusset: where it is asked for, and how its patterns are made."""
    for place, spec in repair.gussets:
        yield place.removeprefix("design.toml, "), partial(_patterns, repair, spec)


def _frame_of(repair: Repair) -> PieceSpec:
    """The frame that the gussets lie on: the first new one, or one like the old."""
    new = (piece for _, piece in repair.pieces if piece.kind == "frame")
    return next(new, PieceSpec(kind="frame"))


def _patterns(repair: Repair, spec: RepairGussetSpec) -> tuple[Pattern, ...]:
    return tuple(_pattern(repair, spec, lie) for lie in _lies(repair, spec))


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


def toe_marks(repair: Repair, side: Side, edge: Edge) -> Iterator[Mark]:
    """Where the arms of the gussets of one side end on the frame: ticks inward from the planking.

    Args:
        edge: the part of the measured face's edge that a piece has.
    """
    own, whole = repair.measured(side), repair.edges_of[side]
    line = LineString(edge.points)
    for _, spec in repair.gussets:
        if spec.at == CENTRELINE or spec.side not in (side, "both"):
            continue
        i = own.named(spec.at)
        assert i is not None
        run = whole.corner_runs[own.corners.index(i)]
        for upper, end in ((False, run - spec.arm), (True, run + spec.arm)):
            cut = cut_at(whole, float(np.clip(end, 0.0, whole.corner_runs[-1])), upper=upper)
            if line.distance(Point(cut.at)) < ON:
                yield Mark(name=f"{spec.at} {spec.name} ends", at=xy(cut.at), towards=xy(-cut.along))


def _faces(
    repair: Repair, spec: RepairGussetSpec, lie: _Lie, whole: Edge
) -> tuple[list[Edge], list[Polygon]]:
    """Its edges on its near and its far face, and its wood there."""
    frame = _frame_of(repair)
    sided = frame.sided or repair.spec.sided

    def moulded(name: str) -> float:
        return spec.moulded or repair.moulded(name, frame)

    faces = [whole.at_depth(depth) for depth in (lie.near, lie.far, 0.0, sided)]
    low, high = _reach(repair, spec, lie, faces[0])
    cuts = [cut_at(faces[0], low, upper=False), cut_at(faces[0], high, upper=True)]
    edges = [trimmed(edge, *cuts) for edge in faces]
    # The inner edge is the frame's: the deepest of all four faces.
    wood = list(wood_of(edges, moulded, cuts))[:2]
    if spec.inner == "straight":
        toes = [_toe(area, cut.at, cut.along) for area, cut in zip((wood[0], wood[0]), cuts, strict=True)]
        wood = [
            largest(shapely.union_all([area_of(np.vstack([edge.points, toes[1], toes[0]]))]))
            for edge in edges[:2]
        ]
    return edges[:2], wood


def _toe(wood: Polygon, at: FloatArray, along: FloatArray) -> FloatArray:
    """The inner corner of an arm's end: the corner of the wood that lies farthest in along its cut."""
    corners = np.asarray(wood.exterior.coords)
    gap = corners - at
    on = np.abs(gap[:, 0] * along[1] - gap[:, 1] * along[0]) < 1e-3
    return np.asarray(corners[on][np.abs(gap[on] @ along).argmax()])


def _pattern(repair: Repair, spec: RepairGussetSpec, lie: _Lie) -> Pattern:
    edges_of = repair.edges_of
    whole = edges_of[lie.side] if lie.side is not None else across(edges_of["port"], edges_of["starboard"])
    edges, wood = _faces(repair, spec, lie, whole)
    notches: list[tuple[Notch, ...]] = []
    for k, depth in enumerate((lie.near, lie.far)):
        notches.append(own_notches(wood[k], tuple(notches_of(repair, whole.at_depth(depth), lie.side))))
        wood[k] = notched(wood[k], notches[k])
    sense, face, look, sides = view(repair, lie.way)
    _, behind, back, _ = view(repair, -lie.way)
    hand = "" if lie.side is None or repair.symmetrical else f" {lie.side}"
    piece = f" of the{hand} piece" if hand else ""
    bevelled = whole.bevelled
    saw = largest(shapely.union_all(wood)) if bevelled else wood[0]
    pattern = Pattern(
        name=f"frame {repair.spec.frame}{hand}, {spec.at} {spec.name}, {lie.face}",
        member="gusset",
        stock=spec.stock,
        thickness=spec.thickness,
        laminations=1,
        quantity=_quantity(repair, lie),
        face=f"{face} face (against the frame){piece}, seen looking {look}",
        sides=sides,
        half=False,
        behind=f"{behind} face, seen looking {back}" if bevelled else "",
        behind_readings=readings(edges[1], notches[1], lie.far, -lie.way) if bevelled else (),
        behind_marks=tuple(notch.mark() for notch in notches[1]),
        lines=(
            *outlines(Kind.SAW, saw),
            *(outlines(Kind.FACE, wood[0]) if bevelled else ()),
            *(outlines(Kind.OTHER, wood[1]) if bevelled else ()),
            *_joint(repair, spec, lie, whole, saw),
        ),
        readings=readings(edges[0], notches[0], lie.near, lie.way) if bevelled else (),
        holes=register(repair, shapely.intersection(*wood), half=False),
        marks=(*marks(edges[0]), *(notch.mark() for notch in notches[0])),
        facts=(
            lamination_words(spec.stock, spec.thickness, 1),
            f"Lies on the {lie.face} face of frame {repair.spec.frame}",
            *(() if bevelled else ("No bevel is known: leave wood on its edge; this is one face alone",)),
        ),
        plane=station_plane(repair.behind * lie.near),
        siding=sense,
        grain=_grain(edges[0]),
    )
    mirror = sides[0] == "PORT" if lie.side is None else sides[0] != lie.side.upper()
    drawn = redrawn(pattern, np.diag([-1.0, 1.0])) if mirror else pattern
    # A port plate is to port in the boat, where its plane's u is negative.
    return replace(drawn, view=drawn.view @ np.diag([-1.0, 1.0])) if lie.side == "port" else drawn


def _quantity(repair: Repair, lie: _Lie) -> str:
    if lie.side is None:
        return "1"
    return "1 port + 1 starboard" if repair.symmetrical else f"1 ({lie.side})"


def _joint(repair: Repair, spec: RepairGussetSpec, lie: _Lie, whole: Edge, saw: Polygon) -> list[Line]:
    """The mitre of the futtocks beneath, as seen through the plate."""
    frame = _frame_of(repair)
    if lie.side is None or frame.made_in != "futtocks":
        return []
    own = repair.measured(lie.side)
    i = own.named(spec.at)
    assert i is not None
    sided = frame.sided or repair.spec.sided
    faces = [whole.at_depth(depth) for depth in (0.0, sided)]
    cut = mitre_cut(faces, own.corners.index(i), lambda name: repair.moulded(name, frame), upper=True)
    line = np.array([cut.at - MITRE * cut.along, cut.at + MITRE * cut.along])
    return [
        Line(kind=Kind.REFERENCE, points=part, name="joint of the futtocks")
        for part in inside_points(saw, [line])[:1]
    ]


def _grain(edge: Edge) -> tuple[float, float]:
    chord = edge.points[-1] - edge.points[0]
    return xy(chord / np.hypot(*chord))
