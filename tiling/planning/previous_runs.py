"""What earlier runs laid: each taped pattern under its mark, as a record that a later run reads again.

A record keeps where the strokes of a pattern lay when its mark was given, not where they lay in the last run: else
a pattern that moves a little in every run would keep a mark to which it does not belong any more.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

__all__ = ["PreviousRuns", "former_text"]

FORM = 1  # of the record; one of another form is not read
OLDER = 4  # former records of a pattern's name that are kept besides the one in force


@dataclass(frozen=True, slots=True, kw_only=True)
class PreviousRuns:
    """The record of earlier runs; empty where there is none.

    Attributes:
        laid: one entry for each pattern under its mark, the latest first, as `tiling.planning.reuse` writes them.
        used: every mark that was given, also those of which no entry is left.
    """

    laid: tuple[Mapping[str, Any], ...] = ()
    used: frozenset[str] = frozenset()

    @classmethod
    def parse(cls, text: str) -> PreviousRuns:
        """The record in a text; empty where the text holds none that can be read."""
        try:
            data = json.loads(text)
            if data["form"] != FORM:
                return cls()
            laid = tuple(entry for entry in data["laid"] if isinstance(entry, dict))
            return cls(laid=laid, used=frozenset(str(mark) for mark in data["used"]))
        except (ValueError, TypeError, KeyError, RecursionError):
            return cls()


def former_text(entries: Iterable[Mapping[str, Any]], former: PreviousRuns) -> str:
    """The record of this run and of those before it.

    Args:
        entries: of this run's patterns.
        former: as this run found it.
    """
    laid = list(entries)
    marks = {entry["mark"] for entry in laid}
    older: dict[str, int] = {}
    for entry in former.laid:
        label, mark = str(entry.get("label")), entry.get("mark")
        if mark not in marks and older.get(label, 0) < OLDER:
            older[label] = older.get(label, 0) + 1
            laid.append(entry)
    used = sorted(former.used | marks)
    return json.dumps({"form": FORM, "used": used, "laid": laid}, ensure_ascii=False, separators=(",", ":"))
