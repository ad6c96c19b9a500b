"""A file for each kind of member, and the list of them.

A member's file gives ``pieces(boat)``: for every piece that the design asks for, where it is asked for and
how its patterns are made.  A new member is a new file and a row in the list here.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from patterns.boat import Boat
from patterns.design.file import DESIGN_FILE
from patterns.distances import limit_problems
from patterns.errors import DesignError, PatternsError, Problem, TimberError
from patterns.joinery.other_end import from_the_other_end
from patterns.joinery.wood import Piece
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
from patterns.output import safe_name
from patterns.pattern import Pattern

__all__ = ["MEMBERS", "all_patterns", "named", "same_names"]

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
    bow, stern = boat.design.fore_end.kind, boat.design.after_end.kind
    for member in MEMBERS:
        if (member is not transom or stern == "transom") and (member is not stem or bow == "stem"):
            yield from member.pieces(boat)
    turned = (*(AT_A_TRANSOM if bow == "transom" else ()), *(AT_A_STEM if stern == "stem" else ()))
    for member in turned:
        yield from from_the_other_end(member.pieces, boat)


def same_names(patterns: Iterable[Pattern]) -> list[Problem]:
    """Patterns whose names are one name to a shop or to a file system."""
    seen: dict[str, str] = {}
    found = []
    for pattern in patterns:
        key = safe_name(pattern.name).casefold()
        if key in seen:
            found.append(
                Problem(
                    DESIGN_FILE,
                    f'two pieces are called "{seen[key]}" and "{pattern.name}", which are one name to a file',
                    "give one of them another",
                )
            )
        seen.setdefault(key, pattern.name)
    return found


def all_patterns(boat: Boat, *, only: Collection[str] = ()) -> tuple[Pattern, ...]:
    """Every pattern of the boat, in the order of the list of members.

    Args:
        only: names; where all of these can be made, pieces that cannot be are no hindrance.
    Raises:
        DesignError: with every piece that cannot be made, and why.
    """
    made: list[Pattern] = []
    problems: list[Problem] = []
    for place, make in _pieces(boat):
        try:
            made += make()
        except TimberError as error:  # every piece that meets it fails for the same cause, which is told once
            told = Problem(f'{DESIGN_FILE}, timber "{error.timber}"', error.why)
            problems += [] if told in problems else [told]
        except PatternsError as error:
            problems.append(Problem(f"{DESIGN_FILE}, {place}", str(error)))
        except (ArithmeticError, IndexError, ValueError) as error:
            # A table gone wrong can give a shape that no member was thought for; the others are made all the same.
            problems.append(
                Problem(
                    f"{DESIGN_FILE}, {place}",
                    f"the lines and sizes given make no such piece ({type(error).__name__})",
                    "look for a slip in the table beside it, or in its own sizes",
                )
            )
    problems += same_names(made)
    problems += limit_problems(boat.design, made)
    if problems and not (only and all(named(made, name) for name in only)):
        raise DesignError(problems)
    return tuple(made)


def named(patterns: Iterable[Pattern], name: str) -> tuple[Pattern, ...]:
    """The pattern of a name, or all pieces of what is called so: ``frame 3 side`` and its like for ``frame 3``."""
    wanted = name.strip().casefold()
    every = [(pattern.name.casefold(), pattern) for pattern in patterns]
    whole = tuple(pattern for called, pattern in every if called == wanted)
    return whole or tuple(pattern for called, pattern in every if wanted and called.startswith(f"{wanted} "))
