"""The king plank: on the centreline under the deck, let into the beams."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from patterns.boat import Boat
from patterns.design.deck_models import KingPlankSpec
from patterns.joinery.deck_timbers import carling_called
from patterns.joinery.wood import Piece
from patterns.members.carling import fore_and_aft_pattern
from patterns.pattern import Pattern

__all__ = ["pieces"]


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
