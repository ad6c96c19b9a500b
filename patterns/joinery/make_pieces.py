"""All pieces that were asked for are made; those that cannot be are told together."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import replace

from patterns.design.parts import DESIGN_FILE
from patterns.errors import DesignError, InternalError, KeyedError, PatternsError, Problem, TimberError
from patterns.files.batch import safe_name
from patterns.joinery.wood import Wanted
from patterns.numeric_errors import PiecesOmitted, no_numeric_errors
from patterns.pattern import Pattern

__all__ = ["make_all", "named"]


def make_all(
    pieces: Iterable[Wanted],
    *,
    given: str,
    slip_in: str,
    only: Collection[str] = (),
    limits: Callable[[Sequence[Pattern]], Iterable[Problem]] = lambda _: (),
) -> tuple[Pattern, ...]:
    """The patterns of pieces, in their order.

    Args:
        pieces: where each is asked for, and how it is made.
        given: what a piece is made from, in words, for one whose shape has no answer.
        slip_in: where a slip may be then, besides its own sizes.
        only: names; where all of these can be made, pieces that cannot be are no hindrance.
        limits: what is wrong with those that were made.
    Warns:
        PiecesOmitted: the figures of some have no answer; those are left out.
    Raises:
        DesignError: with every piece that cannot be made, and why.
    """
    made: list[Pattern] = []
    problems: list[Problem] = []
    omitted: list[str] = []
    for place, make in pieces:
        these: tuple[Pattern, ...] = ()
        try:
            with no_numeric_errors():
                these = tuple(_asked(pattern, place) for pattern in make())
            made += these
        except InternalError:
            omitted += [pattern.name for pattern in these] or [place]
        except TimberError as error:  # every piece that meets it fails for the same cause, which is told once
            told = Problem(f'{DESIGN_FILE}, timber "{error.timber}"', error.why, code="timber-not-laid")
            problems += [] if told in problems else [told]
        except KeyedError as error:
            problems.append(Problem(f"{DESIGN_FILE}, {error.place}", error.why, code="piece-not-made"))
        except PatternsError as error:
            problems.append(Problem(f"{DESIGN_FILE}, {place}", str(error), code="piece-not-made"))
        except (ArithmeticError, IndexError, ValueError) as error:
            # Figures gone wrong can give a shape that no member was thought for; the others are made all the same.
            problems.append(
                Problem(
                    f"{DESIGN_FILE}, {place}",
                    f"{given} cannot be made into this piece ({type(error).__name__})",
                    f"look for a slip in {slip_in}, or in its own sizes",
                    code="piece-shape-failed",
                )
            )
    problems = list(dict.fromkeys(problems))  # one piece's fault stops all that end on it
    problems += _same_names(made)
    problems += limits(made)
    if problems and not (only and all(named(made, name) for name in only)):
        raise DesignError(problems)
    if omitted:
        warnings.warn(PiecesOmitted(tuple(omitted)), stacklevel=2)
    return tuple(made)


def _asked(pattern: Pattern, place: str) -> Pattern:
    """The pattern, its meetings naming the entry that asks for it where they name no key of their own."""
    return replace(
        pattern,
        meetings=tuple(each if each.keys else replace(each, keys=(place,)) for each in pattern.meetings),
    )


def _same_names(patterns: Iterable[Pattern]) -> list[Problem]:
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
                    code="same-file-name",
                )
            )
        seen.setdefault(key, pattern.name)
    return found


def named(patterns: Iterable[Pattern], name: str) -> tuple[Pattern, ...]:
    """The pattern of a name, else all parts of what is called so, e.g. of ``frame 3``.

    Where nothing is called so, what was asked for is the beginning of names, e.g. ``mould`` for all moulds.
    """
    wanted, every = name.strip().casefold(), tuple(patterns)
    return (
        tuple(pattern for pattern in every if pattern.name.casefold() == wanted)
        or tuple(pattern for pattern in every if wanted and pattern.part_of.casefold() == wanted)
        or tuple(pattern for pattern in every if wanted and pattern.name.casefold().startswith(f"{wanted} "))
    )
