"""Doubts that the user may confirm by their code, and how a doubt is printed.

A doubt is a warning of something that a real boat may have and that is mostly a slip.  Its code, named in the
design as ``confirmed = ["thin-planking"]`` under ``[boat]``, silences it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Annotated, Any

from pydantic import BeforeValidator

from patterns.codes import DOUBTS
from patterns.design.quantities import read_names, trouble
from patterns.errors import Problem, first_lines
from patterns.measure.nearest import nearest

__all__ = ["Confirmed", "doubt_lines", "needless", "unconfirmed", "with_remedy"]


def _known(value: Any) -> tuple[str, ...]:
    codes = read_names(value)
    for code in codes:
        if code not in DOUBTS:
            guess = nearest(code, sorted(DOUBTS))
            raise trouble(
                f'"{code}" is not the code of a doubt',
                guess or "use a code that scrieve check prints",
                code="invalid-choice",
            )
    return codes


Confirmed = Annotated[tuple[str, ...], BeforeValidator(_known)]
"""Codes out of :data:`patterns.codes.DOUBTS`."""


def unconfirmed(found: Iterable[Problem], confirmed: Iterable[str]) -> tuple[Problem, ...]:
    """The warnings that the user has not confirmed."""
    settled = set(confirmed)
    return tuple(problem for problem in found if problem.code not in settled)


def needless(found: Iterable[Problem], confirmed: Iterable[str], *, place: str) -> Iterator[Problem]:
    """Codes that the user confirmed and that no warning has: they would hide a slip that is made later."""
    codes = {problem.code for problem in found}
    for code in confirmed:
        if code not in codes:
            yield Problem(
                place,
                f'"{code}" confirms nothing: this design has no such doubt',
                "remove it",
                code="needless-confirmation",
            )


def doubt_lines(problems: Sequence[Problem]) -> Iterator[str]:
    """Doubts as they are listed, under their heading; nothing where there is none."""
    if problems:
        heading = "1 doubt" if len(problems) == 1 else f"{len(problems):,} doubts"
        yield f"{heading}: look before you cut:"
        yield from (f"  {line}" for line in first_lines([str(with_remedy(each)) for each in problems]))


def with_remedy(problem: Problem) -> Problem:
    """A warning as it is shown: a doubt also says how it is confirmed."""
    if problem.code not in DOUBTS:
        return problem
    how = f'if right, add confirmed = ["{problem.code}"] under [boat]'
    return replace(problem, want=f"{problem.want}; {how}" if problem.want else how)
