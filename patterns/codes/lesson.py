"""Codes of findings in a class list."""

from __future__ import annotations

from patterns.codes.severity import Severity

__all__ = ["MEANINGS"]

MEANINGS = {
    Severity.ERROR: {
        "name-empty": "A row of a class list has no name.",
        "no-names": "A class list has no names.",
        "worksheets-count": "A number of worksheets is not a whole number in its bounds.",
    },
}
