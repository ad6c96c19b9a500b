"""A carvel plank between the lines by which the hull is lined off, as an expanded shape."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import partial
from typing import Annotated, Any

from pydantic import Field, StrictInt

from patterns.boat import Boat
from patterns.design.entries import Parts
from patterns.design.kind import Table
from patterns.design.lining_models import LiningSpec
from patterns.design.models import TableSpec
from patterns.design.quantities import NotNegative, Words
from patterns.design.shared_keys import PrintedKeys
from patterns.design.strake_models import StrakePatternSpec
from patterns.drawing.of_piece import pattern_of
from patterns.errors import PatternsError, Problem
from patterns.joinery.carvel import carvel_boat, plank_name, rounds_of
from patterns.joinery.wood import Wanted
from patterns.member_kind import MemberKind
from patterns.members.strake import WORDS as STRAKE_WORDS
from patterns.members.strake import strake_piece
from patterns.pattern import Pattern
from patterns.text.wood_facts import Lengths, Template
from patterns.wood.facts import Fact
from patterns.wood.piece import Piece
from patterns.wood.work_stage import WorkStage

__all__ = ["KIND", "WORDS", "PlankPatternSpec", "pieces", "plank_piece"]


class PlankPatternSpec(PrintedKeys):
    """A plank of a hull that is lined off, laid flat along its own middle line, to be spiled on the boat."""

    plank: Annotated[StrictInt, Field(ge=1)] = Field(description="Its number, from the garboard up.")
    stock: Words = Field(description="Its wood, as named in the cut list.")
    trim: NotNegative = Field(description="How much is left all round, to be trimmed when it is fitted.")


def pieces(boat: Boat) -> Iterator[Wanted]:
    """Every plank that is asked for."""
    for spec in boat.design.all(PlankPatternSpec):
        yield f'plank_pattern "{spec.plank}"', partial(_plank, boat, spec)


def _plank(boat: Boat, spec: PlankPatternSpec) -> tuple[Pattern, ...]:
    return (pattern_of(boat, plank_piece(boat, spec), WORDS),)


def plank_piece(boat: Boat, spec: PlankPatternSpec) -> Piece:
    """One plank laid flat.

    Raises:
        PatternsError: the hull cannot be lined off as the design says.
    """
    planked = carvel_boat(boat)
    if planked is None:
        raise PatternsError("the hull is not lined off; give [lining]")
    asked = StrakePatternSpec.model_construct(
        strake=plank_name(spec.plank), stock=spec.stock, trim=spec.trim, print=spec.print
    )
    piece = strake_piece(planked, asked)
    rounds = rounds_of(boat, spec.plank)
    if not rounds:
        return piece
    stock = piece.stock.thickness + max(abs(much) for much in rounds.values())
    return replace(piece, facts=(*piece.facts, Fact("plank-round", {"round": rounds, "stock": stock})))


def _round_words(v: Mapping[str, Any], _: Lengths) -> str:
    at = ", ".join(f"{where} {much:.1f}" for where, much in v["round"].items())
    return (
        f"Rounded outside, and hollow inside, by mm across its width (below 0: the other way): {at}; so it takes "
        f"stock {v['stock']:.0f} mm thick"
    )


WORDS: Mapping[str, Template] = {**STRAKE_WORDS, "plank-round": _round_words}


def _rules(parts: Parts) -> Iterator[Problem]:
    """Planks of a hull that is lined off, to lines on its outside, each asked for once."""
    lining, table = parts.one(LiningSpec), parts.one(TableSpec)
    asked: set[int] = set()
    for place, spec in parts.all(PlankPatternSpec):
        if lining is None:
            if "lining" not in parts.unread:
                want = "give [lining] with planks"
                yield Problem(place, "the hull is not lined off", want, code="needed-key")
            continue
        if spec.plank > lining.planks:
            yield Problem(
                f"{place}, key plank",
                f"there are {lining.planks} planks to a side, and plank {spec.plank} is asked for",
                f"write a number from 1 to {lining.planks}",
                code="invalid-value",
            )
        if spec.plank in asked:
            what = f"plank {spec.plank} has a pattern already"
            yield Problem(place, what, "keep one of them", code="pattern-given-twice")
        asked.add(spec.plank)
        if table is not None and table.lines_to != "outside of planking":
            yield Problem(
                place,
                "its edges lie on the outside of planking, and the table's lines on the inside",
                "remove it; spile the plank on the boat",
                code="conflicting-keys",
            )


KIND = MemberKind(
    name="lined plank",
    order=151,
    pieces=pieces,
    stage=WorkStage.PLANKING,
    tables=(Table(name="plank_pattern", model=PlankPatternSpec, named=False),),
    rules=(_rules,),
)
