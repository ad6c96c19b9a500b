"""The king plank: on the centreline under the deck, let into the beams."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import partial

from patterns.boat import Boat
from patterns.design.bounds import BoatSize, Bound
from patterns.design.deck_models import KingPlankSpec
from patterns.design.entries import Parts
from patterns.design.kind import Table
from patterns.drawing.of_piece import pattern_of
from patterns.errors import Problem
from patterns.joinery.fore_and_aft import lengthwise_called
from patterns.joinery.wood import Wanted
from patterns.member_kind import MemberKind
from patterns.members.beam_rules import lapped_rules
from patterns.members.carling import WORDS as CARLING_WORDS
from patterns.members.carling import fore_and_aft_piece
from patterns.pattern import Pattern
from patterns.text.wood_facts import Template
from patterns.wood.facts import Fact
from patterns.wood.labels import Deck
from patterns.wood.meeting import Joinery, Meeting, Slack
from patterns.wood.piece import Hand, Piece, View
from patterns.wood.work_stage import WorkStage

__all__ = ["KIND", "WORDS", "king_plank_piece", "pieces"]


def pieces(boat: Boat) -> Iterator[Wanted]:
    """Every king plank in the design."""
    for spec in boat.design.all(KingPlankSpec):
        yield f'king_plank "{spec.name}"', partial(_king_plank, boat, spec)


def _king_plank(boat: Boat, spec: KingPlankSpec) -> tuple[Pattern, ...]:
    return (pattern_of(boat, king_plank_piece(boat, spec), WORDS),)


def king_plank_piece(boat: Boat, spec: KingPlankSpec) -> Piece:
    """One king plank, drawn on its side.

    Raises:
        PatternsError: it cannot be placed, or a notch cuts it in two.
    """
    plank = lengthwise_called(boat, spec.name)
    crown = _crown(plank.tops[0].normal[len(plank.tops[0]) // 2][1], spec.sided)
    piece = fore_and_aft_piece(
        boat,
        plank,
        member="king plank",
        hand=Hand.CENTRE,
        view=View.FROM_PORT,
        facts=(Fact("top-above-line", {"above": crown}),),
    )
    # It is a board laid flat: the pattern shows its edge.
    crowned = Meeting(
        kind=Joinery.EDGE,
        lands=spec.name,
        on=Deck(),
        edges=(Deck(),),
        slack=Slack(why="its top is planed to the crown"),
    )
    return replace(piece, on_edge=spec.moulded, meetings=(*piece.meetings, crowned))


def _crown(slope: float, breadth: float) -> float:
    """The rise of a shallow arc over a breadth, by its slope at the edge: a quarter of the breadth times it."""
    return 0.25 * abs(float(slope)) * breadth


WORDS: Mapping[str, Template] = {
    **CARLING_WORDS,
    "top-above-line": lambda v, _: (
        f"Saw its top {v['above']:.1f} mm above the line and plane it to the crown, higher in the middle"
    ),
}


def _rules(parts: Parts) -> Iterator[Problem]:
    for place, plank in parts.all(KingPlankSpec):
        yield from lapped_rules(parts, place, plank)


def _bounds(plank: KingPlankSpec, scale: BoatSize) -> Iterator[Bound]:
    yield Bound("sided", plank.sided, plank.moulded, 0.5 * scale.breadth, "moulding and breadth")
    yield Bound("moulded", plank.moulded, 0.05 * plank.sided, 2.0 * plank.sided, "its breadth")


KIND = MemberKind(
    name="king plank",
    order=110,
    pieces=pieces,
    stage=WorkStage.DECK,
    tables=(Table(name="king_plank", model=KingPlankSpec, group="deck", bounds=_bounds),),
    rules=(_rules,),
)
