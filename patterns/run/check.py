"""Check a design folder: its table, its design and every piece, without a word."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from pathlib import Path

from patterns.errors import DesignError, Problem
from patterns.findings import Findings
from patterns.numeric_errors import no_numeric_errors
from patterns.pattern import Pattern
from patterns.subject import Subject, is_boat, load

__all__ = ["check", "not_loaded"]


def check(
    design: Subject | Path | str,
    *,
    assembly: bool = False,
    progress: Callable[[int, int], None] | None = None,
) -> Findings:
    """Check a design folder, or what was loaded from one: its table, its design and every piece.

    What is wrong with the design is returned, not raised.

    Args:
        assembly: put all pieces of a boat in their places and measure piece against piece; it takes a minute.
        progress: called with the pieces placed so far and all pieces.
    Warns:
        PiecesOmitted: the figures of some pieces have no answer; those are left out.
    Raises:
        RequestError: ``assembly`` of a repair, which knows no boat.
        InternalError: figures without an answer came out elsewhere than in a single piece.
    """
    if isinstance(design, (str, Path)):
        folder = Path(design)
        try:
            design = load(folder)
        except DesignError as error:
            return not_loaded(folder, error)
    errors: tuple[Problem, ...] = ()
    patterns: tuple[Pattern, ...] = ()
    placed = None
    doubts: tuple[Problem, ...] = ()
    with no_numeric_errors():
        try:
            patterns = design.patterns(landed=False)
        except DesignError as error:
            errors = error.problems
        if not errors:
            doubts = design.piece_doubts(patterns)
        if assembly and not errors:
            placed = design.assembly(patterns, progress=progress)
    found = design.findings()
    return dataclasses.replace(
        found,
        errors=errors,
        warnings=(*found.warnings, *doubts),
        of_pieces=doubts,
        patterns=patterns,
        assembly=placed,
    )


def not_loaded(folder: Path, error: DesignError) -> Findings:
    """What is found in a folder that cannot be loaded.

    Args:
        error: why it cannot be.
    """
    if not is_boat(folder):
        return Findings(title=folder.resolve().name, errors=error.problems)
    from patterns.draft import draft_boat

    draft = draft_boat(folder)
    lines = draft.lines
    return Findings(
        title=draft.title,
        errors=draft.problems or error.problems,
        suspects=() if lines is None else lines.suspects,
        draft=draft,
    )
