"""Supports: straight pieces fore and aft between the real faces of two beams or frames."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import partial

from patterns.boat import Boat
from patterns.design.deck_models import SupportSpec
from patterns.design.entries import Parts
from patterns.design.kind import Table
from patterns.drawing.of_piece import pattern_of
from patterns.errors import Problem
from patterns.joinery.fore_and_aft import lengthwise_called
from patterns.joinery.wood import Wanted
from patterns.member_kind import MemberKind
from patterns.members.beam_rules import deck_timber_bounds, lapped_rules
from patterns.members.carling import WORDS as CARLING_WORDS
from patterns.members.carling import fore_and_aft_piece
from patterns.pattern import Pattern
from patterns.text.bevels import rounded_departure
from patterns.text.wood_facts import Template
from patterns.wood.facts import Fact
from patterns.wood.piece import Face, Hand, Papers, Piece, View
from patterns.wood.work_stage import WorkStage

__all__ = ["KIND", "WORDS", "pieces", "support_piece"]


def pieces(boat: Boat) -> Iterator[Wanted]:
    """Every support in the design."""
    for spec in boat.design.all(SupportSpec):
        yield f'support "{spec.name}"', partial(_support, boat, spec)


def _support(boat: Boat, spec: SupportSpec) -> tuple[Pattern, ...]:
    return (pattern_of(boat, support_piece(boat, spec), WORDS),)


def support_piece(boat: Boat, spec: SupportSpec) -> Piece:
    """One support, drawn on its side.

    Raises:
        PatternsError: it cannot be placed, or a notch cuts it in two.
    """
    laid = lengthwise_called(boat, spec.name)
    piece = fore_and_aft_piece(
        boat,
        laid,
        member="support",
        hand=Hand.PAIR,
        view=View.FROM_INBOARD,
        facts=(Fact("stands-between", {"fore": spec.between[0], "after": spec.between[1]}),),
        papers=Papers.ONE if spec.heights is not None else Papers.EACH_FACE,
    )
    return piece if spec.heights is None else replace(piece, faces=_bevelled(piece))


def _bevelled(piece: Piece) -> tuple[Face, Face]:
    """Its faces with the ends alone that are not square through the wood."""
    first, second = (
        replace(
            face,
            sources={
                label: source
                for label, source in face.sources.items()
                if rounded_departure(float(source.bevel(piece.on.siding)[0])) > 0.0
            },
        )
        for face in piece.faces
    )
    return first, second


WORDS: Mapping[str, Template] = {
    **CARLING_WORDS,
    "stands-between": lambda v, _: f"Between {v['fore']} and {v['after']}",
}


def _rules(parts: Parts) -> Iterator[Problem]:
    for place, support in parts.all(SupportSpec):
        yield from lapped_rules(parts, place, support)


KIND = MemberKind(
    name="support",
    order=120,
    pieces=pieces,
    stage=WorkStage.DECK,
    tables=(Table(name="support", model=SupportSpec, group="deck", bounds=deck_timber_bounds),),
    rules=(_rules,),
)
