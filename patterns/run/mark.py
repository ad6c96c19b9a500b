"""What marks are made of, the short mark of a design and its settings, and the record of marks in a folder."""

from __future__ import annotations

import hashlib
from pathlib import Path

from tiling.paper.scale import Scale
from tiling.planning.piece_marks import mark_of
from tiling.planning.previous_runs import PreviousRuns

__all__ = ["former_of", "made_from", "record_name", "short_mark"]

DRAWING = (
    6  # raised when the same design and settings give other pages than an earlier version of this program
)


def made_from(typed: str, *settings: str | float | bool) -> str:
    """What a pattern is made from, as text.

    A pattern depends on the hull, which all rows of the table shape, and on every piece that it meets; which these
    are is not known before all are made, so it is made from the whole design.  In a folder that holds an earlier
    record, patterns that came out the same keep their marks nevertheless.

    Args:
        typed: as `patterns.run.typed_values.typed_values` gives it.
        settings: what was asked for besides and changes what is drawn.
    """
    return repr((DRAWING, settings, typed))


def short_mark(typed: str, *settings: str | float | bool) -> str:
    """Five characters for the file as a whole and for the shop's papers.

    Args:
        typed: as `patterns.run.typed_values.typed_values` gives it.
        settings: what was asked for besides (paper, overlap and so on).
    """
    return mark_of(hashlib.sha256(made_from(typed, *settings).encode()).digest())


def record_name(scale: Scale) -> str:
    """The file in the folder of patterns that keeps which mark belongs to what."""
    return f"marks{scale.in_names}.json"


def former_of(folder: Path, scale: Scale) -> PreviousRuns:
    """What earlier runs into a folder laid; empty where nothing of it can be read."""
    try:
        return PreviousRuns.parse((folder / record_name(scale)).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return PreviousRuns()
