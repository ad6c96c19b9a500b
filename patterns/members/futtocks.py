"""The pieces of a built frame as patterns: futtocks, a bottom piece across, a piece across under the deck."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon

from patterns.boat import Boat
from patterns.flat.polylines import lengths
from patterns.flat.shapes import area_of, both_halves, outline_of
from patterns.hull.cuts import Trace
from patterns.hull.planes import FloatArray
from patterns.hull.sections import Section
from patterns.members.built import Built, Futtock
from patterns.members.ringed import notch_marks
from patterns.members.rings import TOP, edge_readings, half_lines, register_places
from patterns.members.set_up import set_up_lines
from patterns.members.wood import PAST, hole_facts, level_lines, looking, wood_words
from patterns.pattern import XY, Body, FaceEdge, Hole, Kind, Line, Mark, Pattern, Reading, Span

__all__ = [
    "HANDS",
    "TURNED",
    "bodies_of",
    "edges_on",
    "futtock_patterns",
    "outlines",
    "readings_on",
    "title_of",
    "xy",
]

HANDS = "1 port + 1 starboard"
TURNED = "The other hand: turn the pattern over and prick through from the back; bevels as here"
RIM = 0.01  # mm; a piece's edge and the hull's are one where they are no farther apart
LEAST = 1.0  # mm; a shorter stretch of edge is none
NEAR = 30.0  # mm; a chine's cross is drawn on a piece that comes this near to it
FLIP = 150.0  # mm of centreline beyond a piece across, so that its two flip points stand well apart


def title_of(built: Built, name: str) -> str:
    """What a piece of the frame is called."""
    return f"frame {built.spec.name} {name}"


def xy(point: FloatArray) -> XY:
    """A point as two numbers."""
    return float(point[0]), float(point[1])


def outlines(kind: Kind, area: Polygon) -> list[Line]:
    """An area's outline and those of the holes in it."""
    rings = [outline_of(area), *(np.asarray(hole.coords)[:-1] for hole in area.interiors)]
    return [Line(kind=kind, points=points, closed=True) for points in rings]


def edges_on(section: Section, wood: Any) -> Iterator[tuple[str, Trace]]:
    """The stretches of the hull's edges, strakes and deck, that are an area's own edge or lie in it."""
    rim = wood.buffer(RIM, quad_segs=1)
    shapely.prepare(rim)
    for name, trace in (*section.traces.items(), ("deck", section.deck)):
        line = LineString(trace.uv)
        if not rim.intersects(line):
            continue
        run = lengths(trace.uv)
        for part in shapely.get_parts(shapely.line_merge(shapely.intersection(line, rim))):
            ends = shapely.line_locate_point(line, [Point(part.coords[0]), Point(part.coords[-1])])
            first, last = np.sort(np.interp(ends, run, np.arange(len(run))))
            if part.length > LEAST and last > first:
                yield name, trace.between(float(first), float(last))


def readings_on(section: Section, region: Any, siding: FloatArray) -> tuple[Reading, ...]:
    """The bevels along the hull's edges that are a piece's own.

    Args:
        region: the piece's wood on that face.
        siding: the direction in which the wood runs from it.
    """
    return tuple(
        reading
        for name, run in edges_on(section, region)
        for reading in edge_readings(run, siding, name, outward=1.0 if name == "deck" else -1.0)
    )


def _face_edges(built: Built, piece: Futtock, siding: FloatArray) -> Iterator[FaceEdge]:
    names = ("moulded face", "other face")
    for face, section, region in zip(names, built.ring.sections, piece.share.regions, strict=True):
        shift = np.array([section.plane.centre, section.plane.up_at_height(0.0)])
        for name, run in edges_on(section, region):
            yield FaceEdge(face=face, strake=name, uv=run.uv - shift, bevel=run.bevel(siding))


def bodies_of(built: Built, piece: Futtock) -> tuple[Body, ...]:
    """The wood where it stands: one body, or with half laps one for each half of the thickness."""

    def area(half: Any) -> Any:
        return both_halves(half) if piece.across else half

    def body(start: float, depth: float, moulded: Any, other: Any) -> Body:
        return Body(
            plane=built.ring.sections[0].plane.moved(start),
            depth=depth,
            moulded=area(moulded),
            other=area(other),
            mirrored=not piece.across,
        )

    deep = built.sense * built.spec.sided
    if piece.between is None:
        return (body(0.0, deep, *piece.faces),)
    return (
        body(0.0, 0.5 * deep, piece.faces[0], piece.between[0]),
        body(0.5 * deep, 0.5 * deep, piece.between[1], piece.faces[1]),
    )


def _joint_words(built: Built, piece: Futtock) -> Iterator[str]:
    spec = built.spec
    for joint in built.joints:
        if piece.name not in (joint.below, joint.above):
            continue
        mate = joint.above if piece.name == joint.below else joint.below
        runs = (piece.name == joint.below) == (spec.through == "lower")
        match spec.joint:
            case "butt":
                how = "this piece runs through" if runs else f"butts against the {mate} piece"
            case "half lap":
                cut = "other" if runs else "moulded"
                how = f"half lap, {cut} face cut away {0.5 * spec.sided:g} mm deep"
            case _:
                how = "mitre"
        yield f"At the {joint.name}: {how}"


def _corners(section: Section, piece: Futtock) -> list[tuple[str, FloatArray]]:
    """The corners of planking that a piece comes near to, the apex first."""
    saw = piece.saw
    places = [("apex", section.apex), *((corner.name, corner.at) for corner in section.corners)]
    return [(name, at) for name, at in places if saw.distance(Point(at)) < NEAR]


def _centre_ends(built: Built, piece: Futtock) -> tuple[float, float]:
    """The ends of the centreline on a piece across: its flip points."""
    section = built.ring.sections[0]
    at = section.plane.centre
    cut = piece.saw.intersection(shapely.box(at - 1.0, -1e4, at + 1e-3, 1e4)).bounds
    if piece.name == TOP:
        return cut[1] - FLIP, cut[3]
    return min(cut[1], float(section.apex[1])), cut[3] + (FLIP if piece.across else 0.0)


def _own_depths(built: Built, piece: Futtock) -> dict[str, float]:
    saw = piece.saw.buffer(0.01)
    mine = {
        notch.timber
        for notches in built.ring.notches
        for notch in notches
        if saw.intersects(area_of(notch.corners))
    }
    return {timber: left for timber, left in built.ring.depth_left().items() if timber in mine}


def _marks(built: Built, piece: Futtock, face: int) -> tuple[Mark, ...]:
    section, notches = built.ring.sections[face], built.ring.notches[face]
    near = piece.faces[face].buffer(0.01)
    return (
        *(Mark(name=f"{name}, inside of planking", at=xy(at)) for name, at in _corners(section, piece)),
        *notch_marks([notch for notch in notches if near.intersects(area_of(notch.corners))]),
        *(limber.mark() for limber in built.limbers if near.distance(Point(limber.at)) < 0.1 and face == 0),
    )


def _grain(built: Built, piece: Futtock) -> XY:
    """Along the piece: the chord of its planking edge."""
    if piece.name == TOP:
        return 1.0, 0.0
    edge = built.ring.sections[0].traces[piece.name].uv
    along = edge[-1] - edge[0]
    if piece.across:
        return 1.0, 0.0
    return xy(along / np.hypot(*along))


def futtock_patterns(
    boat: Boat, built: Built, *, dowels: dict[str, list[Hole]], facts: Sequence[str]
) -> Iterator[Pattern]:
    """A pattern for each piece.

    Args:
        dowels: the holes in each, by its name.
        facts: words for the bench that hold for all.
    """
    for piece in built.futtocks:
        yield _pattern(boat, built, piece, dowels=dowels.get(piece.name, []), facts=facts)


def _pattern(
    boat: Boat, built: Built, piece: Futtock, *, dowels: Sequence[Hole], facts: Sequence[str]
) -> Pattern:
    spec, ring, sense = built.spec, built.ring, built.sense
    section, other = ring.sections
    siding = sense * section.plane.normal
    face, look, sides = looking(sense)
    behind, look_back, _ = looking(-sense)
    both = shapely.intersection(*piece.faces)
    for hole in dowels:
        both = both.difference(Point(hole.at).buffer(0.5 * hole.diameter))
    register = tuple(
        Hole(at=xy(point), diameter=boat.design.register)
        for point in register_places(both, diameter=boat.design.register)
    )
    draw = half_lines if piece.across else outlines
    centre = section.plane.centre
    middle: list[Line] = []
    flips: tuple[Hole, ...] = ()
    spans = tuple(
        Span(name=f"{first} to {second}", start=xy(a), end=xy(b))
        for (first, a), (second, b) in pairwise(_corners(section, piece))
    )
    if piece.across or piece.saw.bounds[0] < centre + 1e-3:
        low, high = _centre_ends(built, piece)
        if piece.across:
            flips = tuple(Hole(at=(centre, v), diameter=1.0, purpose="flip point") for v in (low, high))
            far = np.asarray(outline_of(piece.faces[0]))
            tip = xy(far[int(far[:, 0].argmax())])
            spans = tuple(
                Span(name=f"{word} flip point to the piece's end", start=(centre, v), end=tip)
                for word, v in (("lower", low), ("upper", high))
            )
        ends = np.array([[centre, low - PAST], [centre, high + PAST]])
        middle = [Line(kind=Kind.CENTRE, points=ends, name="centreline")]
    elif len(register) == 2:
        spans += (Span(name="register hole to register hole", start=register[0].at, end=register[1].at),)
    bodies = bodies_of(built, piece)
    left = _own_depths(built, piece)
    hand = "" if piece.across else f" of the {sides[0].lower()} piece"
    return Pattern(
        name=title_of(built, piece.name),
        member="futtock",
        stock=spec.stock,
        thickness=spec.sided,
        laminations=spec.laminations,
        quantity="1" if piece.across else HANDS,
        face=f"{face} face (moulded){hand}, seen looking {look}",
        sides=sides,
        half=piece.across,
        behind=f"{behind} face{hand}, seen looking {look_back}",
        behind_readings=readings_on(other, piece.faces[1], -siding),
        behind_marks=_marks(built, piece, 1),
        behind_levels=(
            *level_lines(boat, piece.saw, other.plane),
            *set_up_lines(boat, piece.saw, other.plane),
        ),
        lines=(
            *draw(Kind.SAW, piece.saw),
            *draw(Kind.FACE, piece.faces[0]),
            *draw(Kind.OTHER, piece.faces[1]),
            *middle,
            *level_lines(boat, piece.saw, section.plane),
            *set_up_lines(boat, piece.saw, section.plane),
        ),
        readings=readings_on(section, piece.faces[0], siding),
        holes=(*register, *dowels, *flips),
        marks=_marks(built, piece, 0),
        spans=spans,
        facts=(
            *wood_words(spec),
            *_joint_words(built, piece),
            *facts,
            *(() if piece.across else (TURNED,)),
            *_left_words(left),
            *hole_facts(register),
        ),
        plane=section.plane,
        siding=sense,
        edges=tuple(_face_edges(built, piece, siding)),
        body=bodies[0],
        slabs=bodies[1:],
        grain=_grain(built, piece),
        depth_left=left,
    )


def _left_words(left: dict[str, float]) -> Iterator[str]:
    if left:
        words = ", ".join(f"{timber} {depth:.0f} mm" for timber, depth in left.items())
        yield f"Wood left over the notches: {words}"
