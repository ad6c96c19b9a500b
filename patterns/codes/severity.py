"""How grave a finding is."""

from __future__ import annotations

from enum import Enum

__all__ = ["Severity"]


class Severity(Enum):
    """What follows from a finding."""

    ERROR = "error"
    """No pattern is made until it is put right."""

    DOUBT = "doubt"
    """To look at before wood is cut: mostly a slip, but a boat may have it.  The user confirms it by its code."""

    HINT = "hint"
    """Worth knowing before wood is cut; it cannot be confirmed, and patterns are made."""

    MISSING = "missing"
    """Not typed yet."""
