"""What is found in a design folder, as a value: errors, doubts, how well its lines are known, the pieces."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from patterns.errors import Problem

if TYPE_CHECKING:
    from patterns.assembly.proof import Assembly
    from patterns.design.missing import Missing
    from patterns.draft import Draft
    from patterns.fairing.bands import SpanBand
    from patterns.fairing.suspects import Suspect
    from patterns.pattern import Pattern

__all__ = ["Findings"]


@dataclass(frozen=True, kw_only=True, eq=False)
class Findings:
    """What is found in a design folder.  Ask a problem for its ``code``; its words are for people.

    Attributes:
        title: the boat's name; the folder's where she has none yet.
        errors: what must be corrected before patterns can be made.
        warnings: what is doubtful; the user may confirm it by its code.
        suspects: offsets of a boat's table that the batten doubts.
        points: points of a repair that do not fit.
        bands: how well each span of each line of a boat is known.
        missing: members that one would look for, and that the design does not have.
        patterns: every piece; empty where there are errors.
        assembly: piece against piece, where it was asked for.
        draft: a boat's folder that cannot be loaded, as far as it is filled in.
    """

    title: str
    errors: tuple[Problem, ...] = ()
    warnings: tuple[Problem, ...] = ()
    suspects: tuple[Suspect, ...] = ()
    points: tuple[Problem, ...] = ()
    bands: tuple[SpanBand, ...] = ()
    missing: tuple[Missing, ...] = ()
    patterns: tuple[Pattern, ...] = ()
    assembly: Assembly | None = None
    draft: Draft | None = None

    @property
    def ready(self) -> bool:
        """Whether patterns can be made."""
        return not self.errors
