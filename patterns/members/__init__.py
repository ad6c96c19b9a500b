"""A file for each kind of member, and the list of them, which is what files there are.

A member's file gives its ``KIND``: the tables that ask for it with their keys and rules, and how its pieces are
made. A new member is a new file; nothing else lists the kinds.  Files without a ``KIND`` hold what is too much
for one file.
"""

from __future__ import annotations

import contextlib
import importlib
import pkgutil
from collections.abc import Callable, Collection, Iterator
from dataclasses import replace
from functools import partial

from patterns.boat import Boat
from patterns.errors import KeyedError, PatternsError, SizeError
from patterns.joinery.distances import limit_problems
from patterns.joinery.make_pieces import make_all
from patterns.joinery.other_end import from_the_other_end
from patterns.joinery.wood import Wanted
from patterns.member_kind import MemberKind
from patterns.pattern import Pattern

__all__ = ["KINDS", "all_patterns"]


SIZES = ("moulded", "moulded_side", "moulded_bottom", "framing_moulded", "throat", "height")


def _kinds() -> Iterator[MemberKind]:
    """What each file of this folder gives."""
    for module in pkgutil.iter_modules(__path__, f"{__name__}."):
        kind = getattr(importlib.import_module(module.name), "KIND", None)
        if isinstance(kind, MemberKind):
            yield kind


KINDS = tuple(sorted(_kinds(), key=lambda kind: (kind.order, kind.name)))


def _pieces(boat: Boat) -> Iterator[Wanted]:
    """Every piece: where the design asks for it, and how it is made."""
    _lay_timbers(boat)
    for kind in KINDS:
        yield from _in_stage(kind, kind.pieces(boat))
    # What is made at a transom at the stern, or at a stem at the bow, is made at the other end with the boat
    # turned.
    others = (("transom", boat.design.fore_end.kind), ("stem", boat.design.after_end.kind))
    for end, other in others:
        for kind in KINDS:
            if kind.at == end == other:
                yield from _in_stage(kind, from_the_other_end(kind.pieces, boat))


def _in_stage(kind: MemberKind, pieces: Iterator[Wanted]) -> Iterator[Wanted]:
    """The pieces of a kind, whose patterns know their place in the order of work."""

    def made(place: str, make: Callable[[], tuple[Pattern, ...]]) -> tuple[Pattern, ...]:
        try:
            found = make()
        except SizeError as error:
            keys = _sizes(kind)
            if not keys:
                raise
            remedy = "increase" if error.larger else "reduce"
            raise KeyedError(
                f"{place}, key {keys[0]}", f"{error.why}; {remedy} {' and '.join(keys)}"
            ) from error
        return tuple(
            pattern if pattern.work[0] else replace(pattern, work=(kind.stage, kind.order))
            for pattern in found
        )

    for place, make in pieces:
        yield place, partial(made, place, make)


def _sizes(kind: MemberKind) -> list[str]:
    """The keys that say how large a piece of a kind is in its own plane."""
    known = {key for table in kind.tables for key in table.model.model_fields}
    return [key for key in SIZES if key in known]


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
