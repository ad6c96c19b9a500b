"""A canted frame: its plane is turned about the vertical, so each half is a piece of its own, one to a side."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from shapely.geometry import Polygon

from patterns.boat import Boat
from patterns.flat.shapes import outline_of
from patterns.hull.planes import FloatArray, Plane
from patterns.hull.sections import Section
from patterns.joinery.ringed import notch_facts, notch_marks, ring_readings
from patterns.joinery.rings import Ring, face_edges
from patterns.joinery.wood import centre_line, hole_facts, level_lines, line_marks, looking, register_holes
from patterns.pattern import Body, Kind, Line, Pattern, Reading, Span
from patterns.wood.labels import Centre

__all__ = ["canted_pattern"]

QUANTITY = "1 port + 1 starboard"


def canted_pattern(
    boat: Boat,
    ring: Ring,
    plane: Plane,
    *,
    sense: float,
    name: str,
    member: str,
    stock: str,
    thickness: float,
    laminations: int,
    facts: Sequence[str],
) -> Pattern:
    """The pattern of one half, which is a whole piece; the other side's is its mirror.

    The half on the right of a drawing is the starboard one looking forward, the port one looking aft.

    Args:
        plane: the moulded face; its u is 0 on the centreline.
        sense: 1 where the wood runs aft from it, -1 where forward.
        facts: words for the bench; the breadths and the notches are added.
    """
    siding = sense * plane.normal
    section, other = ring.sections
    face, look, sides = looking(sense)
    behind, look_back, _ = looking(-sense)
    this, that = (side.lower() for side in sides[:2])
    holes = register_holes(boat, ring)
    return Pattern(
        name=name,
        member=member,
        stock=stock,
        thickness=thickness,
        laminations=laminations,
        quantity=QUANTITY,
        face=f"{face} face (moulded) of the {this} piece, seen looking {look}",
        sides=sides,
        half=False,
        lines=(
            *_outline(Kind.SAW, ring.saw),
            *_outline(Kind.FACE, ring.faces[0]),
            *_outline(Kind.OTHER, ring.faces[1]),
            centre_line(section),
            *level_lines(boat, ring.saw, plane),
        ),
        readings=(*ring_readings(ring, siding), *_heel(ring, siding, 0)),
        behind=f"{behind} face of the {this} piece, seen looking {look_back}",
        behind_readings=(*ring_readings(ring, -siding, face=1), *_heel(ring, -siding, 1)),
        holes=holes,
        marks=(*line_marks(section), *notch_marks(ring.notches[0])),
        behind_marks=(*line_marks(other), *notch_marks(ring.notches[1])),
        behind_levels=tuple(level_lines(boat, ring.saw, other.plane)),
        spans=_spans(section),
        facts=(
            *facts,
            f"The {that} piece: turn the pattern over and prick through from the back; bevels as here",
            *(() if laminations == 1 else ("Saw all laminations to the saw line, glue, then bevel",)),
            *_breadths(boat, section),
            *notch_facts(ring),
            *hole_facts(holes),
        ),
        plane=plane,
        siding=sense,
        edges=(
            *face_edges(section, "moulded face", siding),
            *face_edges(other, "other face", siding),
        ),
        body=Body(
            plane=plane,
            depth=sense * thickness,
            moulded=ring.faces[0],
            other=ring.faces[1],
            mirrored=True,
        ),
        depth_left=ring.depth_left(),
    )


def _outline(kind: Kind, area: Polygon) -> list[Line]:
    rings = [outline_of(area), *(np.asarray(hole.coords)[:-1] for hole in area.interiors)]
    return [Line(kind=kind, points=points, closed=True) for points in rings]


def _heel(ring: Ring, siding: FloatArray, face: int) -> list[Reading]:
    """The bevel of the cut along the centreline, where the two halves meet; none where the wood stops short of it.

    That cut's face is the centreline plane itself, and its outward direction on the starboard piece is to port.
    """
    runs = [stretch.points for stretch in ring.wood[face].stretches(Centre)]
    if not runs:
        return []
    on, centre = np.vstack(runs), ring.sections[face].plane.centre
    bevel = float(np.arccos(siding @ np.array([0.0, -1.0, 0.0])))
    at = (float(centre), float(on[:, 1].mean()))
    where = "heel, on the centreline"
    return [Reading(at=at, bevel=bevel, towards=(-1.0, 0.0), edge="heel", where=where)]


def _breadths(boat: Boat, section: Section) -> list[str]:
    """How far out the corners lie, square to the centreline: what the frame is set up by."""
    corners = section.plane.space(np.array([corner.at for corner in section.corners]))
    return [
        "From the centreline, square to it: "
        + ", ".join(
            f"{corner.name} {boat.length_words(float(at[1]))}"
            for corner, at in zip(section.corners, corners, strict=True)
        )
    ]


def _spans(section: Section) -> tuple[Span, ...]:
    """Long distances over the piece: from the centreline at the apex and under the deck to the sheer corner."""
    low, high = float(section.apex[1]), float(section.deck.uv[0, 1])
    corner = (float(section.corners[-1].at[0]), float(section.corners[-1].at[1]))
    return (
        Span(name="apex on the centreline to sheer corner", start=(0.0, low), end=corner),
        Span(name="deck on the centreline to sheer corner", start=(0.0, high), end=corner),
    )
