"""What all flat pieces inside the planking have on them: corners, notches, limber holes, level lines, distances.

Futtocks, gussets and floor timbers are such pieces; they differ in their shape and in their facts.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import Point, Polygon

from patterns.boat import Boat
from patterns.flat import overlays
from patterns.flat.shapes import area_of, outline_of
from patterns.hull.planes import FloatArray
from patterns.hull.sections import Section
from patterns.joinery.limbers import Limber
from patterns.joinery.passages import Passages
from patterns.joinery.ringed import notch_notes
from patterns.joinery.set_up import set_up_scribed
from patterns.joinery.wood import levels_scribed
from patterns.pattern import Kind, Line
from patterns.timbers.notches import Notch
from patterns.wood.facts import Fact
from patterns.wood.features import XY, Distance, Note, Scribed
from patterns.wood.labels import Free, Rounded
from patterns.wood.piece import Face, Hand, Piece
from patterns.wood.region import Region
from patterns.wood.section import sources_of

__all__ = ["FLIP", "bare_faces", "fitted", "outlines", "xy"]

NEAR = 30.0  # mm; a corner's cross is drawn on a piece that comes this near to it
RIM = 0.01  # mm; a notch this near to a piece is cut out of it
ASLANT = np.array([1.0, 0.317])  # along it a distance begins, in whatever order an outline has its corners
FLIP = 150.0  # mm of centreline beyond a piece across, so that its two flip points stand well apart


def xy(point: FloatArray) -> XY:
    """A point as two numbers."""
    return float(point[0]), float(point[1])


def outlines(kind: Kind, area: Polygon) -> list[Line]:
    """An area's outline and those of the holes in it."""
    rings = [outline_of(area), *(np.asarray(hole.coords)[:-1] for hole in area.interiors)]
    return [Line(kind=kind, points=points, closed=True) for points in rings]


def bare_faces(
    sections: tuple[Section, Section],
    wood: tuple[Region, Region],
    *,
    notes: Sequence[Note] = (),
    scribed: Sequence[Scribed] = (),
) -> tuple[Face, Face]:
    """The two faces of a piece by its wood on them.

    Args:
        notes, scribed: of the moulded face.
    """
    moulded, other = (
        Face(region=region, sources=sources_of(section))
        for section, region in zip(sections, wood, strict=True)
    )
    return replace(moulded, notes=tuple(notes), scribed=tuple(scribed)), other


def fitted(
    boat: Boat,
    piece: Piece,
    sections: tuple[Section, Section],
    passing: Passages,
    *,
    limbers: Sequence[Limber] = (),
    near: float = NEAR,
    left: Mapping[str, float] | None = None,
) -> Piece:
    """A piece with all that follows from the sections and timbers that it was cut by.

    Args:
        piece: with its bare faces and what is its own.
        sections: the hull on the moulded face and on the other.
        passing: the timbers that it was cut for.
        limbers: limber holes, noted where they lie on it.
        near: mm within which the chines' and the sheer's corners are marked.
        left: the least wood over each notch in what the piece is a part of, mm, by timber.
    """
    saw = piece.saw().area
    faces = []
    for number, (face, section) in enumerate(zip(piece.faces, sections, strict=True)):
        here = [notch for notch in passing.notches[number] if _cut_by(face.region, notch)]
        holes = _limber_notes(face.region, limbers) if number == 0 else ()
        notes = (*_corner_notes(face.region, section, near), *notch_notes(here), *holes, *face.notes)
        levels = levels_scribed(boat, saw, section.plane), set_up_scribed(boat, saw, section.plane)
        faces.append(replace(face, notes=notes, scribed=(*face.scribed, *levels[0], *levels[1])))
    return replace(
        piece,
        faces=(faces[0], faces[1]),
        centreline=_centreline(piece, saw),
        distances=_distances(piece),
        meetings=(
            *passing.of_piece(piece.name, left_to=(Free, Rounded), left=left),
            *piece.meetings,
        ),
    )


def _cut_by(wood: Region, notch: Notch) -> bool:
    return bool(wood.area.buffer(RIM, quad_segs=1).intersects(area_of(notch.corners)))


def _corner_notes(wood: Region, section: Section, near: float) -> Iterator[Note]:
    """The corners of planking that a piece comes near to, the apex first."""
    places = [("apex", section.apex), *((corner.name, corner.at) for corner in section.corners)]
    for name, at in places:
        if wood.area.distance(Point(at)) < near:
            yield Note(fact=Fact("planking-corner", {"line": name}), at=xy(at))


def _limber_notes(wood: Region, limbers: Sequence[Limber]) -> tuple[Note, ...]:
    near = wood.area.buffer(0.5)
    return tuple(limber.note() for limber in limbers if near.intersects(Point(limber.at)))


def _distances(piece: Piece) -> tuple[Distance, ...]:
    """Long distances to prove the paper by."""
    outline = outline_of(piece.faces[0].region.area)
    if piece.hand is Hand.CENTRE:
        centre = piece.on.face.centre
        tip = outline[int((outline[:, 0] - 1e-3 * np.abs(outline[:, 1])).argmax())]
        return tuple(
            Distance(fact=Fact("flip-point-to-end", {"which": which}), start=(centre, v), end=xy(tip))
            for which, v in zip(("lower", "upper"), piece.flips, strict=True)
        )
    reach = np.hypot(*(outline[:, None] - outline[None]).T)
    first, second = np.unravel_index(int(reach.argmax()), reach.shape)
    ends = sorted((outline[first], outline[second]), key=lambda end: float(end @ ASLANT))
    return (Distance(fact=Fact("corner-to-corner"), start=xy(ends[0]), end=xy(ends[1])),)


def _centreline(piece: Piece, saw: Polygon) -> tuple[float, float] | None:
    """The centreline of a piece that reaches it."""
    if piece.hand is Hand.CENTRE:
        return piece.flips[0], piece.flips[1]
    centre = piece.on.face.centre
    _, low, _, high = overlays.intersection(saw, shapely.box(-1e4, -1e4, centre + 1e-3, 1e4)).bounds
    return (low, high) if np.isfinite(low) else None
