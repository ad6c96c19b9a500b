"""What frames and the transom's pieces share: a ring of wood inside the planking as a pattern."""

from __future__ import annotations

from collections.abc import Sequence

from patterns.boat import Boat
from patterns.drawing.marks import mark_of
from patterns.flat.shapes import both_halves
from patterns.hull.curved import Curved, stretch_of
from patterns.hull.planes import FloatArray, Plane
from patterns.hull.sections import Section
from patterns.joinery.rings import Ring, edge_readings, edge_runs, face_edges, half_lines
from patterns.joinery.set_up import set_up_facts, set_up_lines
from patterns.joinery.wood import (
    centre_line,
    flip_points,
    hole_facts,
    level_lines,
    line_marks,
    looking,
    register_holes,
)
from patterns.pattern import Body, Kind, Mark, Pattern, Reading, Span
from patterns.text.wood_facts import said
from patterns.timbers.notches import Notch, notch_in
from patterns.wood.facts import Fact
from patterns.wood.features import Note

__all__ = [
    "breadth_facts",
    "notch_facts",
    "notch_marks",
    "notch_notes",
    "notches_in",
    "ring_pattern",
    "ring_readings",
    "ring_spans",
]


def notches_in(boat: Boat, section: Section) -> tuple[Notch, ...]:
    """The spaces of all timbers, and of the stem, that cross a section.

    Raises:
        PatternsError: a timber cannot be laid, or is wider than its strake.
    """
    let_in = (run for run in (*boat.runs, *boat.stems) if run.let_in)
    found = (notch_in(section, run) for run in let_in)
    return tuple(notch for notch in found if notch is not None)


def ring_pattern(
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
    """The pattern of half a ring, to be flipped about the centreline.

    Args:
        plane: the moulded face.
        sense: 1 where the wood runs aft from it, -1 where forward.
        facts: words for the bench; the breadths to prove the halves by, and the notches, are added.
    """
    siding = sense * plane.normal
    section = ring.sections[0]
    face, look, sides = looking(sense)
    behind, look_back, _ = looking(-sense)
    holes = register_holes(boat, ring)
    return Pattern(
        name=name,
        member=member,
        stock=stock,
        thickness=thickness,
        laminations=laminations,
        quantity="1",
        face=f"{face} face (moulded), seen looking {look}",
        sides=sides,
        half=True,
        lines=(
            *half_lines(Kind.SAW, ring.saw),
            *half_lines(Kind.FACE, ring.faces[0]),
            *half_lines(Kind.OTHER, ring.faces[1]),
            centre_line(section),
            *level_lines(boat, ring.saw, plane),
            *set_up_lines(boat, ring.saw, plane),
        ),
        readings=ring_readings(ring, siding),
        behind=f"{behind} face, seen looking {look_back}",
        behind_readings=ring_readings(ring, -siding, face=1),
        holes=(*holes, *flip_points(section)),
        marks=(*line_marks(section), *notch_marks(ring.notches[0])),
        behind_marks=(*line_marks(ring.sections[1]), *notch_marks(ring.notches[1])),
        behind_levels=(
            *level_lines(boat, ring.saw, ring.sections[1].plane),
            *set_up_lines(boat, ring.saw, ring.sections[1].plane),
        ),
        behind_stretch=stretch_of(ring.sections[1].plane),
        spans=ring_spans(section),
        facts=(
            *facts,
            *(() if laminations == 1 else ("Saw all laminations to the saw line, glue, then bevel",)),
            *(
                said(fact, boat.length_words)
                for fact in (*breadth_facts(section), *set_up_facts(boat, section))
            ),
            *notch_facts(ring),
            *hole_facts(holes),
        ),
        plane=plane,
        siding=sense,
        edges=(
            *face_edges(section, "moulded face", siding),
            *face_edges(ring.sections[1], "other face", siding),
        ),
        depth_left=ring.depth_left(),
        # A bent piece is no flat one.
        body=None
        if isinstance(plane, Curved)
        else Body(
            plane=plane,
            depth=sense * thickness,
            moulded=both_halves(ring.faces[0]),
            other=both_halves(ring.faces[1]),
        ),
    )


def ring_readings(ring: Ring, siding: FloatArray, *, face: int = 0) -> tuple[Reading, ...]:
    """The bevels along every edge of one face that is left between the notches, and under the deck.

    Args:
        siding: the direction in which the wood runs from that face.
        face: 0 the moulded face, 1 the other.
    """
    section = ring.sections[face]
    return tuple(
        reading
        for name, run in edge_runs(section, ring.wood[face])
        for reading in edge_readings(
            run, section.plane.turned(siding, run.uv), name, outward=1.0 if name == "deck" else -1.0
        )
    )


def breadth_facts(section: Section) -> list[Fact]:
    """The breadths across both halves, to prove the two halves against; of a bent piece the straight ones too."""
    if isinstance(section.plane, Curved):
        breadths = {
            corner.name: (2.0 * float(corner.at[0]), 2.0 * float(section.plane.space(corner.at)[1]))
            for corner in section.corners
        }
        return [Fact("breadths-on-a-curve", {"breadths": breadths})]
    return [Fact("breadths", {"breadths": {c.name: 2.0 * float(c.at[0]) for c in section.corners}})]


def notch_facts(ring: Ring) -> list[str]:
    """The depth of wood left over each notch; the angles stand at the notches themselves."""
    left = ring.depth_left()
    if not left:
        return []
    here = {notch.timber for notch in ring.notches[0]}
    behind = {notch.timber for notch in ring.notches[1]}
    words = [
        f"{timber} {depth:.0f} mm" + ("" if timber in here and timber in behind else " (one face only)")
        for timber, depth in left.items()
    ]
    return [f"Wood left over the notches: {', '.join(words)}"]


def notch_notes(notches: Sequence[Notch]) -> tuple[Note, ...]:
    """The timbers' names at their notches on one face, with the angles to cut them by."""
    notes = []
    for notch in notches:
        at = notch.inner.mean(axis=0)
        values = {"timber": notch.timber, "in_plan": notch.in_plan, "in_profile": notch.in_profile}
        notes.append(Note(fact=Fact("notch", values), at=(float(at[0]), float(at[1])), bare=True))
    return tuple(notes)


def notch_marks(notches: Sequence[Notch]) -> tuple[Mark, ...]:
    """The same as drawn."""
    return tuple(mark_of(note, str) for note in notch_notes(notches))


def ring_spans(section: Section) -> tuple[Span, ...]:
    """Long distances over the half: from the two flip points to the sheer corner."""
    low, high = (hole.at for hole in flip_points(section))
    sheer = section.corners[-1].at
    corner = (float(sheer[0]), float(sheer[1]))
    return (
        Span(name="lower flip point to sheer corner", start=low, end=corner),
        Span(name="upper flip point to sheer corner", start=high, end=corner),
    )
