"""A file for each kind of member, and the list of them.

A member's file gives ``pieces(boat)``: for every piece that the design asks for, where it is asked for and
how its patterns are made.  A new member is a new file and a row in the list here.
"""

from __future__ import annotations

import contextlib
from collections.abc import Collection, Iterator

from patterns.boat import Boat
from patterns.distances import limit_problems
from patterns.errors import PatternsError
from patterns.joinery.other_end import from_the_other_end
from patterns.joinery.wood import Piece
from patterns.making import make_all
from patterns.members import (
    beam,
    breasthook,
    carling,
    floor,
    frame,
    hanging_knee,
    king_plank,
    mould,
    quarter_knee,
    stem,
    stem_knee,
    strake,
    support,
    timber,
    transom,
    transom_knee,
)
from patterns.pattern import Pattern

__all__ = ["MEMBERS", "all_patterns"]

MEMBERS = (
    mould,
    frame,
    floor,
    transom,
    stem,
    stem_knee,
    transom_knee,
    breasthook,
    beam,
    carling,
    king_plank,
    support,
    quarter_knee,
    hanging_knee,
    strake,
    timber,
)
# What is made at a stem at the bow, or at a transom at the stern; at the other end it is made with the boat turned.
AT_A_STEM, AT_A_TRANSOM = (stem, stem_knee, breasthook), (transom, transom_knee)


def _pieces(boat: Boat) -> Iterator[Piece]:
    """Every piece: where the design asks for it, and how it is made."""
    _lay_timbers(boat)
    bow, stern = boat.design.fore_end.kind, boat.design.after_end.kind
    for member in MEMBERS:
        if (member is not transom or stern == "transom") and (member is not stem or bow == "stem"):
            yield from member.pieces(boat)
    turned = (*(AT_A_TRANSOM if bow == "transom" else ()), *(AT_A_STEM if stern == "stem" else ()))
    for member in turned:
        yield from from_the_other_end(member.pieces, boat)


def _lay_timbers(boat: Boat) -> None:
    """Lay the long timbers, which many pieces share, before any piece is made.

    Where their figures have no answer no single piece is at fault; one that cannot be laid is named with every
    piece that meets it.
    """
    with contextlib.suppress(PatternsError):
        _ = (boat.stems, boat.runs)


def all_patterns(boat: Boat, *, only: Collection[str] = ()) -> tuple[Pattern, ...]:
    """Every pattern of the boat, in the order of the list of members.

    Args:
        only: names; where all of these can be made, pieces that cannot be are no hindrance.
    Raises:
        DesignError: with every piece that cannot be made, and why.
    """
    return make_all(
        _pieces(boat),
        given="the lines and sizes given",
        slip_in="the table beside it",
        only=only,
        limits=lambda made: limit_problems(boat.design, made),
    )
