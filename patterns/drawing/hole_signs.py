"""Signs for holes, each unlike the others: what is drilled in the wood, what paper is laid by, where one pricks."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TypeAlias

import numpy as np

from patterns.drawing.strokes import FINE
from patterns.hull.planes import FloatArray
from patterns.pattern import Hole
from tiling.drawing import Path

__all__ = ["FLIP_POINT", "SIGNS", "Sign", "sign_of"]

FLIP_POINT = "flip point"
PAST = 3.0  # mm that the arms of a cross run past a ring
ROUND = 32  # sides of a ring

Sign: TypeAlias = Callable[[float], list[Path]]
"""The strokes of a hole's sign about the origin, from the hole's radius on paper, mm."""


def _ring(radius: float, sides: int = ROUND, turn: float = 0.0) -> FloatArray:
    angle = turn + 2.0 * np.pi * np.arange(sides) / sides
    return radius * np.column_stack([np.cos(angle), np.sin(angle)])


def _cross(arm: float) -> list[Path]:
    """Two arms, upright and level."""
    ways = np.array([[[-arm, 0.0], [arm, 0.0]], [[0.0, -arm], [0.0, arm]]])
    return [Path(points=way, stroke=FINE) for way in ways]


def _register(radius: float) -> list[Path]:
    """A square around the hole's ring: the paper is laid by it, and no fastening goes there."""
    square = _ring((radius + PAST) * np.sqrt(2.0), 4, 0.25 * np.pi)
    return [
        Path(points=_ring(radius), stroke=FINE, closed=True),
        Path(points=square, stroke=FINE, closed=True),
        *_cross(radius),
    ]


def _dowel(radius: float) -> list[Path]:
    """A ring and an upright cross through it."""
    return [Path(points=_ring(radius), stroke=FINE, closed=True), *_cross(radius + PAST)]


def _flip(radius: float) -> list[Path]:
    """A spot in a ring, both small, whatever is pricked."""
    return [
        Path(points=_ring(0.5, 12), stroke=FINE, closed=True, filled=True),
        Path(points=_ring(PAST), stroke=FINE, closed=True),
    ]


SIGNS: Mapping[str, Sign] = {
    "register hole": _register,
    "dowel hole": _dowel,
    FLIP_POINT: _flip,
}
NAMES: Mapping[str, str] = {"dowel": "dowel hole"}


def sign_of(hole: Hole) -> str:
    """Which sign a hole has; one of no known purpose is drilled like a dowel's."""
    name = NAMES.get(hole.purpose, hole.purpose)
    return name if name in SIGNS else "dowel hole"
