"""The king plank: on the centreline under the deck, let into the beams."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from patterns.boat import Boat
from patterns.design.bounds import Bound, Scale
from patterns.design.deck_models import KingPlankSpec
from patterns.design.entries import Parts
from patterns.design.kind import Table
from patterns.errors import Problem
from patterns.joinery.deck_timbers import carling_called
from patterns.joinery.wood import Piece
from patterns.member_kind import MemberKind
from patterns.members.beam_rules import lapped_rules
from patterns.members.carling import fore_and_aft_pattern
from patterns.pattern import Pattern

__all__ = ["KIND", "pieces"]


def pieces(boat: Boat) -> Iterator[Piece]:
    """Every king plank in the design."""
    for spec in boat.design.all(KingPlankSpec):
        yield f'king_plank "{spec.name}"', partial(_king_plank, boat, spec)


def _king_plank(boat: Boat, spec: KingPlankSpec) -> tuple[Pattern, ...]:
    """One king plank, drawn on its side.

    Raises:
        PatternsError: it cannot be placed, or a notch cuts it in two.
    """
    plank = carling_called(boat, spec.name)
    crown = _crown(plank.tops[0].normal[len(plank.tops[0]) // 2][1], spec.sided)
    pattern = fore_and_aft_pattern(
        boat,
        plank,
        member="king plank",
        quantity="1",
        face="port face (moulded), seen from port",
        behind="starboard face, seen from starboard",
        mirrored=False,
        facts=(f"Saw its top {crown:.1f} mm above the line and plane it to the crown, higher in the middle",),
        by_design=(("deck", 0.0, "its top is planed to the crown"),),
    )
    # It is a board laid flat: the pattern shows its edge.
    return (replace(pattern, on_edge=spec.moulded),)


def _crown(slope: float, breadth: float) -> float:
    """The rise of a shallow arc over a breadth, by its slope at the edge: a quarter of the breadth times it."""
    return 0.25 * abs(float(slope)) * breadth


def _rules(parts: Parts) -> Iterator[Problem]:
    for place, plank in parts.all(KingPlankSpec):
        yield from lapped_rules(parts, place, plank)


def _bounds(plank: KingPlankSpec, scale: Scale) -> Iterator[Bound]:
    yield Bound("sided", plank.sided, plank.moulded, 0.5 * scale.breadth, "moulding and breadth")
    yield Bound("moulded", plank.moulded, 0.05 * plank.sided, 2.0 * plank.sided, "its breadth")


KIND = MemberKind(
    name="king plank",
    order=110,
    pieces=pieces,
    tables=(Table(name="king_plank", model=KingPlankSpec, group="deck", bounds=_bounds),),
    rules=(_rules,),
)
