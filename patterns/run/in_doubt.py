"""The pieces of a design with what is doubtful about them; a doubtful one carries a mark on its pages."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from patterns.codes import DOUBTS
from patterns.errors import DesignError, Problem
from patterns.pattern import Pattern
from patterns.subject import Subject
from patterns.text.wood_facts import said
from patterns.wood.facts import Fact

__all__ = ["judged", "marked"]


def judged(subject: Subject, only: Collection[str]) -> tuple[tuple[Pattern, ...], tuple[Problem, ...]]:
    """Every pattern, marked where it is in doubt, and what the pieces show; see `Subject.patterns`.

    Where some pieces fail that are not asked for, the others are not held against each other.

    Raises:
        DesignError: a piece cannot be made.
    """
    try:
        every = subject.patterns(shown=only)
    except DesignError:
        if not only:
            raise
        return marked(subject.patterns(only=only, shown=only), subject.doubts()), ()
    shown = subject.piece_doubts(every)
    return marked(every, subject.doubts(shown)), shown


def marked(patterns: Sequence[Pattern], doubts: Sequence[Problem]) -> tuple[Pattern, ...]:
    """The patterns, those in doubt with a fact more, the second one, that their pages and their cards show."""
    return tuple(_marked(pattern, doubts) for pattern in patterns)


def _marked(pattern: Pattern, doubts: Sequence[Problem]) -> Pattern:
    names = {pattern.name, pattern.part_of}
    codes = tuple(
        dict.fromkeys(each.code for each in doubts if each.code in DOUBTS and names.intersection(each.pieces))
    )
    if not codes:
        return pattern
    fact = Fact("in-doubt", {"codes": codes})
    return replace(
        pattern,
        known=(*pattern.known[:1], fact, *pattern.known[1:]),
        facts=(*pattern.facts[:1], said(fact, str), *pattern.facts[1:]),
    )
