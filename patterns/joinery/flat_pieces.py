"""A flat piece inside the planking as a pattern: both faces, saw line, bevels, notches, holes, marks.

Futtocks, gussets and floor timbers are such pieces; they differ in their shape and in what is told of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Point, Polygon

from patterns.boat import Boat
from patterns.flat.shapes import area_of, both_halves, largest, outline_of
from patterns.hull.cuts import Trace
from patterns.hull.planes import FloatArray
from patterns.hull.sections import Section
from patterns.joinery.limbers import Limber
from patterns.joinery.ringed import notch_marks
from patterns.joinery.rings import edge_readings, edge_runs, half_lines, register_places
from patterns.joinery.set_up import set_up_lines
from patterns.joinery.wood import PAST, hole_facts, level_lines, looking
from patterns.pattern import XY, Body, FaceEdge, Hole, Kind, Line, Mark, Pattern, Reading, Span
from patterns.timbers.notches import Notch
from patterns.wood.region import Region

__all__ = ["FLIP", "HANDS", "TURNED", "FlatPiece", "flat_pattern", "outlines", "xy"]

HANDS = "1 port + 1 starboard"
TURNED = "The other hand: turn the pattern over and prick through from the back; bevels as here"
RIM = 0.01  # mm; a piece's edge and the hull's are one where they are no farther apart
NEAR = 30.0  # mm; a corner's cross is drawn on a piece that comes this near to it
ASLANT = np.array([1.0, 0.317])  # along it a distance begins, in whatever order an outline has its corners
FLIP = 150.0  # mm of centreline beyond a piece across, so that its two flip points stand well apart


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlatPiece:
    """A piece before it becomes a pattern: the starboard one, or the starboard half of one across the centreline.

    Attributes:
        sense: 1 where the wood runs along the planes' normal from the moulded face, -1 where against it.
        sections, notches: the hull and the timbers' spaces on the moulded face and on the other.
        wood: its wood on them.
        across: it runs across the centreline, in one with its other half.
        flips: of a piece across, the v of its two flip points, the lower first.
        moulded: what its moulded face is called.
        bodies: the wood where it stands, where it is more than what lies between the two faces.
        dowels: holes that it shares with other pieces.
        lines, marks: more of them.
        words: for the bench; the first are printed on the pattern.
        limbers: limber holes of which the cut is told where they lie on it.
        near: mm within which the chines' and the sheer's corners are marked.
        depth_left: least depth of wood at each notch, mm, by timber.
    """

    name: str
    member: str
    stock: str
    thickness: float
    laminations: int
    sense: float
    sections: tuple[Section, Section]
    notches: tuple[Sequence[Notch], Sequence[Notch]]
    wood: tuple[Region, Region]
    across: bool
    flips: tuple[float, float] = (0.0, 0.0)
    moulded: str = "moulded"
    bodies: tuple[Body, ...] = ()
    dowels: Sequence[Hole] = ()
    lines: Sequence[Line] = ()
    marks: Sequence[Mark] = ()
    words: Sequence[str] = ()
    limbers: Sequence[Limber] = ()
    near: float = NEAR
    grain: XY = (0.0, 0.0)
    depth_left: Mapping[str, float]

    @property
    def faces(self) -> tuple[Any, Any]:
        """The areas of wood on the two faces."""
        return self.wood[0].area, self.wood[1].area

    @property
    def saw(self) -> Polygon:
        """The outer of the two faces."""
        return largest(shapely.union(*self.faces))


def xy(point: FloatArray) -> XY:
    """A point as two numbers."""
    return float(point[0]), float(point[1])


def outlines(kind: Kind, area: Polygon) -> list[Line]:
    """An area's outline and those of the holes in it."""
    rings = [outline_of(area), *(np.asarray(hole.coords)[:-1] for hole in area.interiors)]
    return [Line(kind=kind, points=points, closed=True) for points in rings]


def _readings(edges: Sequence[tuple[str, Trace]], siding: FloatArray) -> tuple[Reading, ...]:
    return tuple(
        reading
        for name, run in edges
        for reading in edge_readings(run, siding, name, outward=1.0 if name == "deck" else -1.0)
    )


def _face_edges(face: str, edges: Sequence[tuple[str, Trace]], siding: FloatArray) -> Iterator[FaceEdge]:
    for name, run in edges:
        yield FaceEdge(face=face, strake=name, uv=run.uv, bevel=run.bevel(siding))


def _corners(piece: FlatPiece, face: int) -> list[tuple[str, FloatArray]]:
    """The corners of planking that a piece comes near to, the apex first."""
    section, wood = piece.sections[face], piece.faces[face]
    places = [("apex", section.apex), *((corner.name, corner.at) for corner in section.corners)]
    return [(name, at) for name, at in places if wood.distance(Point(at)) < piece.near]


def _marks(piece: FlatPiece, face: int) -> tuple[Mark, ...]:
    near = piece.faces[face].buffer(RIM, quad_segs=1)
    here = [notch for notch in piece.notches[face] if near.intersects(area_of(notch.corners))]
    return (
        *(Mark(name=f"{name}, inside of planking", at=xy(at)) for name, at in _corners(piece, face)),
        *notch_marks(here),
    )


def _limber_marks(piece: FlatPiece) -> Iterator[Mark]:
    near = piece.faces[0].buffer(0.5)
    for limber in piece.limbers:
        if near.intersects(Point(limber.at)):
            yield limber.mark()


def _spans(piece: FlatPiece) -> tuple[Span, ...]:
    """Long distances to prove the paper by."""
    outline = outline_of(piece.faces[0])
    if piece.across:
        centre = piece.sections[0].plane.centre
        tip = outline[int((outline[:, 0] - 1e-3 * np.abs(outline[:, 1])).argmax())]
        return tuple(
            Span(name=f"{word} flip point to the piece's end", start=(centre, v), end=xy(tip))
            for word, v in zip(("lower", "upper"), piece.flips, strict=True)
        )
    reach = np.hypot(*(outline[:, None] - outline[None]).T)
    first, second = np.unravel_index(int(reach.argmax()), reach.shape)
    ends = sorted((outline[first], outline[second]), key=lambda end: float(end @ ASLANT))
    return (Span(name="corner to corner", start=xy(ends[0]), end=xy(ends[1])),)


def _centre(piece: FlatPiece) -> list[Line]:
    """The centreline of a piece that reaches it."""
    centre = piece.sections[0].plane.centre
    if piece.across:
        low, high = piece.flips
    else:
        _, low, _, high = piece.saw.intersection(shapely.box(-1e4, -1e4, centre + 1e-3, 1e4)).bounds
        if not np.isfinite(low):
            return []
    ends = np.array([[centre, low - PAST], [centre, high + PAST]])
    return [Line(kind=Kind.CENTRE, points=ends, name="centreline")]


def _bodies(piece: FlatPiece) -> tuple[Body, ...]:
    if piece.bodies:
        return piece.bodies
    areas = [both_halves(face) for face in piece.faces] if piece.across else list(piece.faces)
    return (
        Body(
            plane=piece.sections[0].plane,
            depth=piece.sense * piece.thickness,
            moulded=areas[0],
            other=areas[1],
            mirrored=not piece.across,
        ),
    )


def flat_pattern(boat: Boat, piece: FlatPiece) -> Pattern:
    """The pattern of a flat piece."""
    section, other = piece.sections
    siding = piece.sense * section.plane.normal
    face, look, sides = looking(piece.sense)
    behind, look_back, _ = looking(-piece.sense)
    saw = piece.saw
    solid: Any = shapely.intersection(*piece.faces)
    for hole in piece.dowels:
        solid = solid.difference(Point(hole.at).buffer(0.5 * hole.diameter))
    register = tuple(
        Hole(at=xy(at), diameter=boat.design.register)
        for at in register_places(solid, diameter=boat.design.register)
    )
    draw = half_lines if piece.across else outlines
    centre = section.plane.centre
    flips = tuple(Hole(at=(centre, v), diameter=1.0, purpose="flip point") for v in piece.flips)
    edges = list(edge_runs(section, piece.wood[0])), list(edge_runs(other, piece.wood[1]))
    bodies = _bodies(piece)
    hand = "" if piece.across else f" of the {sides[0].lower()} piece"
    left = ", ".join(f"{timber} {depth:.0f} mm" for timber, depth in piece.depth_left.items())
    return Pattern(
        name=piece.name,
        member=piece.member,
        stock=piece.stock,
        thickness=piece.thickness,
        laminations=piece.laminations,
        quantity="1" if piece.across else HANDS,
        face=f"{face} face ({piece.moulded}){hand}, seen looking {look}",
        sides=sides,
        half=piece.across,
        behind=f"{behind} face{hand}, seen looking {look_back}",
        behind_readings=_readings(edges[1], -siding),
        behind_marks=_marks(piece, 1),
        behind_levels=(*level_lines(boat, saw, other.plane), *set_up_lines(boat, saw, other.plane)),
        lines=(
            *draw(Kind.SAW, saw),
            *draw(Kind.FACE, piece.faces[0]),
            *draw(Kind.OTHER, piece.faces[1]),
            *_centre(piece),
            *piece.lines,
            *level_lines(boat, saw, section.plane),
            *set_up_lines(boat, saw, section.plane),
        ),
        readings=_readings(edges[0], siding),
        holes=(*register, *piece.dowels, *(flips if piece.across else ())),
        marks=(*_marks(piece, 0), *_limber_marks(piece), *piece.marks),
        spans=_spans(piece),
        facts=(
            *piece.words,
            *(() if piece.across else (TURNED,)),
            *((f"Wood left over the notches: {left}",) if left else ()),
            *hole_facts(register),
        ),
        plane=section.plane,
        siding=piece.sense,
        edges=(
            *_face_edges("moulded face", edges[0], siding),
            *_face_edges("other face", edges[1], siding),
        ),
        body=bodies[0],
        slabs=bodies[1:],
        grain=piece.grain,
        depth_left=dict(piece.depth_left),
    )
