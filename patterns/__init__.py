"""Boats: numbers to true shapes.  Knows the trade, not paper.

A script does with three functions what the commands do with them::

    from patterns import check, load, make

    boat = load("demo_design")       # the faired boat, or the repair of a frame; a DesignError lists what is wrong
    findings = check(boat)           # values: problems with codes, suspects, bands, missing members, patterns
    made = make("demo_design", into="out")  # every file that `scrieve patterns` writes

Lengths are in mm and angles in radians.  A name is looked up when it is first used, so that a command which needs
little starts quickly.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from patterns.boat import Boat
    from patterns.errors import DesignError, InternalError, PatternsError, Problem, RequestError
    from patterns.fairing.bands import SpanBand
    from patterns.fairing.suspects import Suspect
    from patterns.findings import Findings
    from patterns.pattern import Pattern
    from patterns.run.check import check
    from patterns.run.make import Made, make
    from patterns.run.page_request import PageRequest
    from patterns.subject import BoatSubject, Subject, load

__all__ = [
    "Boat",
    "BoatSubject",
    "DesignError",
    "Findings",
    "InternalError",
    "Made",
    "PageRequest",
    "Pattern",
    "PatternsError",
    "Problem",
    "RequestError",
    "SpanBand",
    "Subject",
    "Suspect",
    "check",
    "load",
    "make",
]

_HOMES = {
    "patterns.boat": ("Boat",),
    "patterns.errors": ("DesignError", "InternalError", "PatternsError", "Problem", "RequestError"),
    "patterns.fairing.bands": ("SpanBand",),
    "patterns.fairing.suspects": ("Suspect",),
    "patterns.findings": ("Findings",),
    "patterns.run.page_request": ("PageRequest",),
    "patterns.pattern": ("Pattern",),
    "patterns.run.check": ("check",),
    "patterns.run.make": ("Made", "make"),
    "patterns.subject": ("BoatSubject", "Subject", "load"),
}


if not TYPE_CHECKING:  # a type checker knows the names from their imports, and reports any other

    def __getattr__(name: str) -> object:
        """One of the names above, from the module that makes it."""
        for home, names in _HOMES.items():
            if name in names:
                return getattr(import_module(home), name)
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
