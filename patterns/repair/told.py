"""A point's values in words: what was read, and where it was read from."""

from __future__ import annotations

from patterns.measure import Notation, format_typed
from patterns.repair.points import MeasuredPoint

__all__ = ["source_words", "value_words"]


def value_words(mm: float, notation: Notation, typed: str = "") -> str:
    """A length in the file's notation, as it was typed if it was, with mm beside it where those are another."""
    words = format_typed(mm, notation, typed)
    if notation.metric:
        return f"{words} {notation.value}"
    return f"{words} ({mm:.0f} mm)"


def source_words(point: MeasuredPoint, which: int) -> str:
    """What one of a point's values is, to stand before it."""
    if point.method == "nails":
        return f"the distance from {point.sources[which]},"
    if point.method == "ordinate":
        return f"the distance {('along', 'off')[which]} {point.sources[0]},"
    return f"the {('half-breadth', 'height')[which]}"
