"""What is found in a design folder, as a value: errors, doubts, how well its lines are known, the pieces."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from patterns.codes import DOUBTS
from patterns.errors import Problem

if TYPE_CHECKING:
    from patterns.assembly.proof import Assembly
    from patterns.design.missing import Missing
    from patterns.draft import Draft
    from patterns.fairing.bands import SpanBand
    from patterns.fairing.suspects import Suspect
    from patterns.pattern import Pattern

__all__ = ["DOUBTFUL", "Findings"]

DOUBTFUL = 3  # the exit status where there is a doubt and no error


@dataclass(frozen=True, kw_only=True, eq=False)
class Findings:
    """What is found in a design folder.  Ask a problem for its ``code``; its words are for people.

    Attributes:
        title: the boat's name; the folder's where she has none yet.
        errors: what must be corrected before patterns can be made.
        warnings: doubts, which the user may confirm by their codes, and hints; those that the pieces show as well.
        of_pieces: those of the warnings that only the made pieces show.
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
    of_pieces: tuple[Problem, ...] = ()
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

    @property
    def doubts(self) -> tuple[Problem, ...]:
        """The warnings to look at before wood is cut."""
        return tuple(problem for problem in self.warnings if problem.code in DOUBTS)

    @property
    def hints(self) -> tuple[Problem, ...]:
        """The other warnings."""
        return tuple(problem for problem in self.warnings if problem.code not in DOUBTS)

    @property
    def status(self) -> int:
        """The exit status of a check: 1 with errors, 3 with doubts, 0 with neither; hints alone do not count."""
        if self.errors:
            return 1
        return DOUBTFUL if self.suspects or self.points or self.doubts else 0
