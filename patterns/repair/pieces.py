"""The pieces of a repair: a frame, its halves or futtocks, a part scarfed in, a sister."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

import shapely
from shapely.geometry import Polygon

from patterns.design.repair_models import PieceSpec
from patterns.drawing.of_piece import pattern_of
from patterns.flat import overlays
from patterns.joinery.flat_pieces import xy
from patterns.joinery.wood import Wanted
from patterns.pattern import Pattern
from patterns.repair.cutting import joint_cut, mitre, share_of, trimmed, wood_of
from patterns.repair.drawn import distance, face_of, grain_of, levels
from patterns.repair.floors import floor_depth, floor_shapes
from patterns.repair.futtocks import futtock_meetings, in_pieces, is_butted
from patterns.repair.keep_clear import kept_clear
from patterns.repair.notches import notched, notches_of, own_notches, timber_meetings
from patterns.repair.outline import Edge
from patterns.repair.repair import Repair
from patterns.repair.ribs import rib_patterns
from patterns.repair.section import section_at
from patterns.repair.shapes import (
    Shape,
    hand_of,
    placed_on,
    shapes_of,
    stand_of,
)
from patterns.repair.words import WORDS, facts_of
from patterns.wood.facts import Fact
from patterns.wood.features import XY, Distance
from patterns.wood.labels import Against
from patterns.wood.meeting import Joinery, Meeting, NotMade, without
from patterns.wood.piece import Hand, Papers, Piece, Stock
from patterns.wood.section import to_the_centreline

__all__ = ["pieces", "shape_piece"]

FLIP = 200.0  # mm above the heel at which the upper flip point is pricked, at least


def pieces(repair: Repair) -> Iterator[Wanted]:
    """Every piece that is asked for: where, and how its patterns are made."""
    for place, spec in repair.pieces:
        yield place.removeprefix("design.toml, "), partial(_patterns, repair, spec)


def _patterns(repair: Repair, spec: PieceSpec) -> tuple[Pattern, ...]:
    if spec.kind == "rib":
        return rib_patterns(repair, spec)
    return tuple(
        pattern_of(repair, shape_piece(repair, part), WORDS)
        for shape in (floor_shapes if spec.kind == "floor" else shapes_of)(repair, spec)
        for part in in_pieces(repair, shape)
    )


def shape_piece(repair: Repair, shape: Shape) -> Piece:
    """One piece.

    Raises:
        PatternsError: it cannot be made of these points.
    """
    spec, stand = shape.spec, stand_of(repair, shape.spec, shape.layer)
    depths = stand.moulded, stand.other
    cuts = [end.cut for end in shape.ends]
    whole = [shape.edge.at_depth(depth) for depth in depths]
    sections = [
        section_at(trimmed(edge, *cuts), depth, repair.behind)
        for edge, depth in zip(whole, depths, strict=True)
    ]
    borders = [
        end.on_planking if joint is None else joint_cut(joint, upper=upper)
        for upper, joint, end in zip((False, True), shape.joints, shape.ends, strict=True)
    ]
    shown = [trimmed(edge, *borders) for edge in whole]
    less = [region for end in shape.ends for region in end.less]
    deep = floor_depth(shape) if spec.kind == "floor" else None
    wood = list(wood_of(sections, lambda name: deep or repair.moulded(name, spec), cuts, less=less))
    name = f"{shape.name} {shape.suffix}".strip()
    joints = tuple(_joints(repair, shape, name))
    uncut, notches = tuple(wood), []
    for k, edge in enumerate(whole):
        wood[k] = share_of(without(wood[k], name, k, joints), shown[k])
        notches.append(own_notches(wood[k], tuple(notches_of(repair, edge, shape.side))))
    timbers = timber_meetings(name, notches, uncut)
    wood = [notched(face, name, k, timbers) for k, face in enumerate(wood)]
    if shape.half:
        wood = [to_the_centreline(face) for face in wood]
    faces = (
        face_of(
            sections[0],
            wood[0],
            notches[0],
            shown=shown[0],
            notes=tuple(note for end in shape.ends for note in end.notes),
        ),
        face_of(sections[1], wood[1], notches[1], shown=shown[1]),
    )
    bare = Piece(
        name=name,
        member=spec.kind if not shape.suffix else "futtock",
        part_of=f"frame {repair.spec.frame}" if spec.kind == "frame" else "",
        stock=Stock(wood=repair.spec.stock, thickness=stand.sided, laminations=repair.spec.laminations),
        hand=Hand.CENTRE if shape.half else hand_of(repair, shape.side, both=spec.side == "both"),
        placement=placed_on(shape.side, sections[0].plane, repair.behind * stand.way),
        faces=faces,
        meetings=(*timbers, *joints, *_on_the_old(repair, shape, name)),
        facts=facts_of(repair, shape, shown[0], [notch.spec for notch in notches[0]]),
        grain=_grain(shape, shown[0]),
        papers=Papers.EACH_FACE if shape.edge.bevelled else Papers.OUTLINE,
    )
    saw = bare.saw().area
    level = levels(repair, saw, sections[0])
    clear = [
        list(kept_clear(repair, edge, face.region, shape.side))
        for edge, face in zip(whole, faces, strict=True)
    ]
    own = [line for end in shape.ends for line in end.scribed]
    behind = [line for end in shape.ends for line in end.behind]
    flips = _flips(shape, saw) if shape.half else ()
    return replace(
        bare,
        faces=(
            replace(faces[0], scribed=(*level, *own, *clear[0])),
            replace(faces[1], scribed=(*level, *behind, *clear[1])),
        ),
        centreline=_centre(repair, shape, saw),
        flips=flips,
        distances=_distances(shown[0], flips, both=shape.side is None),
    )


def _grain(shape: Shape, shown: Edge) -> XY:
    """Along the chord of a part; straight across a floor; a whole frame has none of its own."""
    if shape.spec.kind == "floor":
        return 1.0, 0.0
    return grain_of(shown) if shape.suffix or shape.side is not None else (0.0, 0.0)


def _joints(repair: Repair, shape: Shape, name: str) -> Iterator[Meeting]:
    """Where it meets the other futtocks; a mitre cuts both."""
    for joint in shape.joints:
        if joint is not None:
            above, below = (f"{shape.name} {each}" for each in (joint.above, joint.below))
            yield Meeting(
                kind=Joinery.MITRE,
                lands=above,
                on=below,
                edges=(Against(joint.above), Against(joint.below)),
                cuts=joint.losses((below, above), [mitre(joint)] * 2),
            )
    if is_butted(shape):
        yield from futtock_meetings(repair, shape, name)


def _on_the_old(repair: Repair, shape: Shape, name: str) -> Iterator[Meeting]:
    """Where it meets the old frame."""
    old = NotMade(f"old frame {repair.spec.frame}")
    if shape.spec.against is not None:
        yield Meeting(kind=Joinery.FACE, lands=name, on=old, faces=(0,))
    elif shape.spec.kind == "frame" and any(end.less or end.scribed or end.behind for end in shape.ends):
        cut = dict.fromkeys(label for end in shape.ends for part in end.less for label in part.palette)
        yield Meeting(kind=Joinery.SCARF, lands=name, on=old, edges=tuple(cut))


def _flips(shape: Shape, saw: Polygon) -> tuple[float, float]:
    low = float(shape.edge.points[0, 1])
    return low, max(float(saw.bounds[3]), low + FLIP)


def _centre(repair: Repair, shape: Shape, saw: Polygon) -> tuple[float, float] | None:
    """The v from and to which the centreline is drawn, where it is known and the piece reaches it."""
    if shape.half:
        return _flips(shape, saw)
    if repair.spec.centreline == "not known" or not saw.bounds[0] <= 1e-3 <= saw.bounds[2]:
        return None
    _, low, _, high = saw.bounds
    middle = overlays.intersection(saw, shapely.box(-0.5, low - 1.0, 0.5, high + 1.0))
    return float(middle.bounds[1]), float(middle.bounds[3])


def _distances(edge: Edge, flips: tuple[float, ...], *, both: bool) -> tuple[Distance, ...]:
    """Long distances to prove the paper by: end to end, and from each end to the corner farthest from it."""
    places = [xy(at) for at in edge.corner_places]
    last = len(places) - 1
    if flips:
        return tuple(
            Distance(
                fact=Fact("flip-point-to-end", {"which": which, "end": edge.corners[-1]}),
                start=(0.0, v),
                end=places[-1],
            )
            for which, v in zip(("lower", "upper"), flips, strict=True)
        )
    names = [name or "end" for name in edge.corners]
    if both:
        names = [f"{'port' if i <= last // 2 else 'starboard'} {name}" for i, name in enumerate(names)]
    pairs = {(0, last)}
    if last > 1:
        pairs |= {(0, last - 1), (1, last)} if both else {(0, 1), (last - 1, last)}
    return tuple(distance(places[a], places[b], names[a], names[b]) for a, b in sorted(pairs))
