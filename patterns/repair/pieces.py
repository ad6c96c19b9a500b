"""The pieces of a repair as patterns: a frame, its halves or futtocks, a part scarfed in, a sister."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.design.repair_models import PieceSpec
from patterns.flat.shapes import inside_points, largest, up_to_the_centreline
from patterns.hull.planes import station_plane
from patterns.joinery.rings import half_lines
from patterns.joinery.wood import PAST, Piece
from patterns.pattern import XY, FaceEdge, Hole, Kind, Line, Pattern, Span, redrawn
from patterns.repair.cutting import share_of, trimmed, wood_of
from patterns.repair.drawn import marks, outlines, readings, register, xy
from patterns.repair.gussets import toe_marks
from patterns.repair.notches import Notch, notched, notches_of, own_notches
from patterns.repair.outline import Edge
from patterns.repair.repair import Repair
from patterns.repair.shapes import (
    Shape,
    Stand,
    greatest_moulding,
    in_pieces,
    shapes_of,
    sided_of,
    stand_of,
    view,
)
from patterns.repair.words import facts_of

__all__ = ["pieces", "shape_pattern"]

FLIP = 200.0  # mm above the heel at which the upper flip point is pricked, at least


def pieces(repair: Repair) -> Iterator[Piece]:
    """Every piece that is asked for: where, and how its patterns are made."""
    for place, spec in repair.pieces:
        yield place.removeprefix("design.toml, "), partial(_patterns, repair, spec)


def _patterns(repair: Repair, spec: PieceSpec) -> tuple[Pattern, ...]:
    return tuple(
        shape_pattern(repair, part) for shape in shapes_of(repair, spec) for part in in_pieces(repair, shape)
    )


def shape_pattern(repair: Repair, shape: Shape) -> Pattern:
    """The pattern of one piece.

    Raises:
        PatternsError: it cannot be made of these points.
    """
    stand = stand_of(repair, shape.spec)
    cuts = [end.cut for end in shape.ends]
    whole = [shape.edge.at_depth(depth) for depth in (stand.moulded, stand.other)]
    edges = [trimmed(edge, *cuts) for edge in whole]
    borders = [joint or end.on_planking for joint, end in zip(shape.joints, shape.ends, strict=True)]
    shown = [trimmed(edge, *borders) for edge in whole]
    less = [end.less for end in shape.ends if end.less is not None]
    faces = wood_of(
        edges,
        lambda name: repair.moulded(name, shape.spec),
        cuts,
        less=shapely.union_all(less) if less else None,
    )
    joints = [joint for joint in shape.joints if joint is not None]
    deep = greatest_moulding(repair, shape.spec, shape.edge)
    faces = tuple(share_of(face, edge, joints, deep) for face, edge in zip(faces, shown, strict=True))
    notches = [tuple(notches_of(repair, edge, shape.side)) for edge in whole]
    notches = [own_notches(face, all_of) for face, all_of in zip(faces, notches, strict=True)]
    faces = tuple(notched(face, own) for face, own in zip(faces, notches, strict=True))
    if shape.half:
        faces = tuple(up_to_the_centreline(face) for face in faces)
    pattern = _pattern(repair, shape, stand, shown, faces, notches)
    right = view(repair, stand.way)[3][0]
    mirror = right == "PORT" if shape.side is None else right != shape.side.upper()
    drawn = redrawn(pattern, np.diag([-1.0, 1.0])) if mirror and not shape.half else pattern
    # Both sides are worked out with u outboard; a port piece is to port in the boat, where u is negative.
    return replace(drawn, view=drawn.view @ np.diag([-1.0, 1.0])) if shape.side == "port" else drawn


def _pattern(
    repair: Repair,
    shape: Shape,
    stand: Stand,
    edges: Sequence[Edge],
    faces: Sequence[Polygon],
    notches: Sequence[Sequence[Notch]],
) -> Pattern:
    sense, face, look, sides = view(repair, stand.way)
    _, behind, back, _ = view(repair, -stand.way)
    spec = shape.spec
    bevelled = shape.edge.bevelled
    saw = largest(shapely.union_all(list(faces))) if bevelled else faces[0]
    holes = register(repair, shapely.intersection(*faces), half=shape.half)
    flips = _flips(shape, saw) if shape.half else ()
    draw = half_lines if shape.half else outlines
    hand = "" if shape.side is None or repair.symmetrical else f" of the {shape.side} piece"
    return Pattern(
        name=f"{shape.name} {shape.suffix}".strip(),
        member=spec.kind if not shape.suffix else "futtock",
        stock=repair.spec.stock,
        thickness=sided_of(repair, spec),
        laminations=repair.spec.laminations,
        quantity=_quantity(repair, shape),
        face=f"{face} face (moulded){hand}, seen looking {look}",
        sides=sides,
        half=shape.half,
        behind=f"{behind} face{hand}, seen looking {back}" if bevelled else "",
        behind_readings=readings(edges[1], notches[1], stand.other, -stand.way) if bevelled else (),
        behind_marks=(*marks(edges[1]), *(notch.mark() for notch in notches[1])),
        lines=(
            *draw(Kind.SAW, saw),
            *(draw(Kind.FACE, faces[0]) if bevelled else ()),
            *(draw(Kind.OTHER, faces[1]) if bevelled else ()),
            *_centre(repair, shape, saw),
            *_levels(repair, saw),
            *(line for end in shape.ends for line in end.lines),
        ),
        readings=readings(edges[0], notches[0], stand.moulded, stand.way) if bevelled else (),
        holes=(*holes, *flips),
        marks=(
            *marks(edges[0]),
            *(notch.mark() for notch in notches[0]),
            *(mark for end in shape.ends for mark in end.marks),
            *(toe_marks(repair, shape.side, edges[0]) if shape.side and spec.kind == "frame" else ()),
        ),
        spans=_spans(edges[0], flips, both=shape.side is None),
        facts=facts_of(repair, shape, edges[0], [notch.spec for notch in notches[0]]),
        plane=station_plane(repair.behind * stand.moulded),
        siding=sense,
        edges=tuple(
            FaceEdge(
                face=name,
                strake=stretch.name,
                uv=stretch.points * ([-1.0, 1.0] if shape.side == "port" else [1.0, 1.0]),
                bevel=stretch.bevel(depth, stand.way),
            )
            for name, edge, depth in (
                ("moulded face", edges[0], stand.moulded),
                ("other face", edges[1], stand.other),
            )
            for stretch in edge.stretches
        )
        if bevelled
        else (),
        grain=_grain(edges[0]) if shape.suffix or shape.side is not None else (0.0, 0.0),
    )


def _quantity(repair: Repair, shape: Shape) -> str:
    if shape.side is None:
        return "1"
    if repair.symmetrical and shape.spec.side == "both":
        return "1 port + 1 starboard"
    return f"1 ({shape.side})"


def _flips(shape: Shape, saw: Polygon) -> tuple[Hole, ...]:
    low = float(shape.edge.points[0, 1])
    high = max(float(saw.bounds[3]), low + FLIP)
    return tuple(Hole(at=(0.0, v), diameter=1.0, purpose="flip point") for v in (low, high))


def _centre(repair: Repair, shape: Shape, saw: Polygon) -> list[Line]:
    """The centreline, where it is known and the piece reaches it."""
    low, high = saw.bounds[1], saw.bounds[3]
    if not shape.half and (
        repair.spec.centreline == "not known" or not saw.bounds[0] <= 1e-3 <= saw.bounds[2]
    ):
        return []
    if not shape.half:
        middle = saw.intersection(shapely.box(-0.5, low - 1.0, 0.5, high + 1.0))
        low, high = middle.bounds[1], middle.bounds[3]
    else:
        low, high = float(shape.edge.points[0, 1]), max(high, float(shape.edge.points[0, 1]) + FLIP)
    ends = np.array([[0.0, low - PAST], [0.0, high + PAST]])
    return [Line(kind=Kind.CENTRE, points=ends, name="centreline")]


def _levels(repair: Repair, saw: Polygon) -> list[Line]:
    room = saw.buffer(PAST)
    x0, _, x1, _ = room.bounds
    return [
        Line(kind=Kind.REFERENCE, points=part, name=f"WL {repair.length_words(height)}")
        for height in repair.marks.waterlines
        for part in inside_points(room, [np.array([[x0, height], [x1, height]])])
    ]


def _spans(edge: Edge, flips: Sequence[Hole], *, both: bool) -> tuple[Span, ...]:
    """Long distances to prove the paper by: end to end, and from each end to the corner farthest from it."""
    places = [xy(at) for at in edge.corner_places]
    last = len(places) - 1
    if flips:
        return tuple(
            Span(name=f"{word} flip point to the {edge.corners[-1]}", start=hole.at, end=places[-1])
            for word, hole in zip(("lower", "upper"), flips, strict=True)
        )
    names = [name or "end" for name in edge.corners]
    if both:
        names = [f"{'port' if i <= last // 2 else 'starboard'} {name}" for i, name in enumerate(names)]
    pairs = {(0, last)}
    if last > 1:
        pairs |= {(0, last - 1), (1, last)} if both else {(0, 1), (last - 1, last)}
    return tuple(
        Span(name=f"{names[a]} to {names[b]}", start=places[a], end=places[b]) for a, b in sorted(pairs)
    )


def _grain(edge: Edge) -> XY:
    chord = edge.points[-1] - edge.points[0]
    return xy(chord / np.hypot(*chord))
