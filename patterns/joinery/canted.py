"""A canted frame: its plane is turned about the vertical, so each half is a piece of its own, one to a side."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from patterns.boat import Boat
from patterns.hull.cuts import Trace
from patterns.hull.planes import Plane
from patterns.hull.sections import Section
from patterns.joinery.ringed import lamination_facts, ring_faces, ring_meetings
from patterns.joinery.rings import Ring
from patterns.joinery.wood import centre_ends, looking
from patterns.text.wood_facts import Template
from patterns.wood.facts import Fact
from patterns.wood.features import Distance
from patterns.wood.labels import Centre
from patterns.wood.meeting import Joinery, Meeting
from patterns.wood.piece import Hand, Piece, Stock
from patterns.wood.placement import OnFace

__all__ = ["WORDS", "canted_piece"]

FAR = 1e4  # mm; past every boat
TO_PORT = np.array([0.0, -1.0, 0.0])


def canted_piece(
    boat: Boat, ring: Ring, *, sense: float, name: str, member: str, stock: Stock, facts: Sequence[Fact]
) -> Piece:
    """One half, which is a whole piece; the other side's is its mirror.

    The half on the right of a drawing is the starboard one looking forward, the port one looking aft.

    Args:
        sense: 1 where the wood runs aft from the moulded face, -1 where forward.
        facts: of its kind; the breadths are added.
    """
    section = ring.sections[0]
    _, _, (_, that, _) = looking(sense)
    moulded, other = (
        replace(face, sources={**face.sources, Centre(): _heel(each.plane)})
        for face, each in zip(ring_faces(boat, ring), ring.sections, strict=True)
    )
    return Piece(
        name=name,
        member=member,
        stock=stock,
        hand=Hand.PAIR,
        placement=OnFace(section.plane, sense),
        faces=(moulded, other),
        centreline=centre_ends(section),
        meetings=(
            *ring_meetings(name, ring),
            Meeting(kind=Joinery.BUTT, lands=name, on=name, edges=(Centre(),)),
        ),
        distances=tuple(_distances(section)),
        facts=(
            *facts,
            Fact("turn-over", {"side": that.lower()}),
            *lamination_facts(stock),
            _breadths(boat, section),
        ),
    )


def _heel(face: Plane) -> Trace:
    """What the cut along the centreline lies on, where the two halves meet: the boat's plane of symmetry.

    Its outward direction on the starboard piece is to port.
    """
    uv = np.array([[face.centre, -FAR], [face.centre, FAR]])
    return Trace(uv=uv, normal=np.array([TO_PORT, TO_PORT]), r=np.array([0.0, 1.0]))


def _breadths(boat: Boat, section: Section) -> Fact:
    """How far out the corners lie, square to the centreline: what the frame is set up by."""
    corners = section.plane.space(np.array([corner.at for corner in section.corners]))
    away = {corner.name: float(at[1]) for corner, at in zip(section.corners, corners, strict=True)}
    return Fact("breadths-square", {"away": away})


def _distances(section: Section) -> Iterator[Distance]:
    """Long distances over the piece: from the centreline at the apex and under the deck to the sheer corner."""
    corner = (float(section.corners[-1].at[0]), float(section.corners[-1].at[1]))
    places = (("apex", section.apex[1]), ("deck", section.deck.uv[0, 1]))
    for which, v in places:
        fact = Fact("centreline-to-sheer-corner", {"which": which})
        yield Distance(fact=fact, start=(0.0, float(v)), end=corner)


WORDS: Mapping[str, Template] = {
    "turn-over": lambda v, _: (
        f"The {v['side']} piece: turn the pattern over and prick through from the back; bevels as here"
    ),
    "breadths-square": lambda v, lengths: (
        "From the centreline, square to it: "
        + ", ".join(f"{name} {lengths(away)}" for name, away in v["away"].items())
    ),
    "centreline-to-sheer-corner": lambda v, _: f"{v['which']} on the centreline to sheer corner",
}
