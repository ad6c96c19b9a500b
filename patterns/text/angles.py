"""Angles as the bench sets them: to half a degree."""

from __future__ import annotations

from math import degrees

__all__ = ["angle_words", "half_degrees"]


def half_degrees(angle: float) -> float:
    """An angle, radians, in degrees to the nearest half; with its sign."""
    return round(2.0 * degrees(angle)) / 2.0


def angle_words(angle: float) -> str:
    """An angle, radians, without its sign: ``12.5°``."""
    return f"{abs(half_degrees(angle)):g}°"
