"""Every code that a finding may have: how grave it is, and what it means in one sentence.

A code names the finding, not its words: programs, tests and the user's ``confirmed`` ask for it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from patterns.codes import assembly, common, design, fairing, lesson, members, repair, table
from patterns.codes.severity import Severity

__all__ = ["CODES", "DOUBTS", "Code", "Severity"]

ROOMS = (common, design, members, table, fairing, assembly, repair, lesson)


@dataclass(frozen=True, slots=True)
class Code:
    """One finding.

    Attributes:
        name: e.g. ``keel-band``.
        severity: what follows from it.
        means: one sentence.
    """

    name: str
    severity: Severity
    means: str


def _codes() -> Iterator[Code]:
    for room in ROOMS:
        for severity, meanings in room.MEANINGS.items():
            for name, means in meanings.items():
                yield Code(name=name, severity=severity, means=means)


CODES = {code.name: code for code in _codes()}
"""The codes by their names."""

DOUBTS = frozenset(code.name for code in CODES.values() if code.severity is Severity.DOUBT)
"""Every code that a doubt may have; a code that is not here cannot be confirmed."""
