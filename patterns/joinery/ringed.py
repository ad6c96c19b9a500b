"""What frames and the transom's pieces share: a ring of wood inside the planking as a piece."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from patterns.boat import Boat
from patterns.hull.curved import Curved
from patterns.hull.sections import Section
from patterns.joinery.rings import Ring
from patterns.joinery.set_up import set_up_facts, set_up_scribed
from patterns.joinery.wood import centre_ends, corner_notes, levels_scribed
from patterns.timbers.notches import Notch
from patterns.wood.ends import Way
from patterns.wood.facts import Fact
from patterns.wood.features import Distance, Note
from patterns.wood.labels import Free, Rounded
from patterns.wood.meeting import Meeting
from patterns.wood.piece import Face, Hand, Piece, Stock
from patterns.wood.placement import OnFace
from patterns.wood.section import sources_of

__all__ = [
    "breadth_facts",
    "lamination_facts",
    "notch_notes",
    "ring_faces",
    "ring_meetings",
    "ring_piece",
]


def ring_piece(
    boat: Boat, ring: Ring, *, sense: float, name: str, member: str, stock: Stock, facts: Sequence[Fact]
) -> Piece:
    """A ring in one, given by its starboard half and flipped about the centreline.

    Args:
        sense: 1 where the wood runs aft from the moulded face, -1 where forward.
        facts: of its kind; the breadths that prove the halves are added.
    """
    section = ring.sections[0]
    ends = centre_ends(section)
    return Piece(
        name=name,
        member=member,
        stock=stock,
        hand=Hand.CENTRE,
        placement=OnFace(section.plane, sense),
        faces=ring_faces(boat, ring),
        centreline=ends,
        flips=ends,
        meetings=ring_meetings(name, ring),
        distances=tuple(_distances(section)),
        facts=(
            *facts,
            *lamination_facts(stock),
            *breadth_facts(section),
            *set_up_facts(boat, section),
        ),
    )


def ring_faces(boat: Boat, ring: Ring) -> tuple[Face, Face]:
    """The two faces of a ring, with corners, notches, level lines and the set-up line."""
    moulded, other = (
        Face(
            region=wood,
            sources=sources_of(section),
            notes=(*corner_notes(section), *notch_notes(notches)),
            scribed=(
                *levels_scribed(boat, ring.saw, section.plane),
                *(() if section.plane.cant else set_up_scribed(boat, ring.saw, section.plane)),
            ),
        )
        for section, notches, wood in zip(ring.sections, ring.passing.notches, ring.wood, strict=True)
    )
    return moulded, other


def ring_meetings(name: str, ring: Ring) -> tuple[Meeting, ...]:
    """The timbers that pass through a ring."""
    return tuple(ring.passing.of_piece(name, left_to=(Free, Rounded), measured=ring.depth_left()))


def lamination_facts(stock: Stock) -> tuple[Fact, ...]:
    """In which order a piece of several layers is sawn, glued and bevelled."""
    return () if stock.laminations == 1 else (Fact("saw-then-bevel"),)


def breadth_facts(section: Section) -> list[Fact]:
    """The breadths across both halves, to prove the two halves against; of a bent piece the straight ones too."""
    if isinstance(section.plane, Curved):
        breadths = {
            corner.name: (2.0 * float(corner.at[0]), 2.0 * float(section.plane.space(corner.at)[1]))
            for corner in section.corners
        }
        return [Fact("breadths-on-a-curve", {"breadths": breadths})]
    return [Fact("breadths", {"breadths": {c.name: 2.0 * float(c.at[0]) for c in section.corners}})]


def notch_notes(notches: Sequence[Notch]) -> tuple[Note, ...]:
    """The timbers' names at their notches on one face, with the angles to cut them by."""
    notes = []
    for notch in notches:
        at = notch.inner.mean(axis=0)
        values = {
            "timber": notch.timber,
            "going": Way.AFT,
            "in_plan": notch.in_plan,
            "in_profile": notch.in_profile,
        }
        notes.append(Note(fact=Fact("notch", values), at=(float(at[0]), float(at[1])), bare=True))
    return tuple(notes)


def _distances(section: Section) -> Iterator[Distance]:
    """Long distances over the half: from the two flip points to the sheer corner."""
    sheer = section.corners[-1].at
    for which, v in zip(("lower", "upper"), centre_ends(section), strict=True):
        fact = Fact("flip-point-to-sheer-corner", {"which": which})
        yield Distance(fact=fact, start=(0.0, v), end=(float(sheer[0]), float(sheer[1])))
