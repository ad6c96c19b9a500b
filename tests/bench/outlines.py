"""Plain outlines of members, invented and given by formulas, to count pages of."""

from __future__ import annotations

import math

import numpy as np

from tiling.drawing import Drawing, FloatArray, Path, Stroke

__all__ = ["gussets", "outlines"]

SAW = Stroke(width=0.7)


def _closed(points: FloatArray) -> Drawing:
    return Drawing(paths=(Path(points=points, stroke=SAW, closed=True),))


def _band(middle: FloatArray, breadth: float) -> FloatArray:
    """Both edges of a member that runs along a line, shape (n, 2), as one outline."""
    along = np.gradient(middle, axis=0)
    square = np.column_stack([-along[:, 1], along[:, 0]]) / np.hypot(*along.T)[:, None]
    return np.vstack([middle + 0.5 * breadth * square, (middle - 0.5 * breadth * square)[::-1]])


def _section(half: float, deep: float, power: float, start: float, end: float) -> FloatArray:
    """Part of a full section: |x / half|^power + |y / deep|^power = 1, angles from the right, anticlockwise."""
    angle = np.linspace(start, end, 600)
    c, s = np.cos(angle), np.sin(angle)
    return np.column_stack(
        [
            half * np.sign(c) * np.abs(c) ** (2.0 / power),
            deep * np.sign(s) * np.abs(s) ** (2.0 / power),
        ]
    )


def outlines() -> dict[str, Drawing]:
    """Each member by its name."""
    frame = _section(700.0, 820.0, 2.4, math.pi, 2.0 * math.pi)
    half = _section(700.0, 820.0, 2.4, 1.5 * math.pi, 2.0 * math.pi)
    ring = (_section(750.0, 500.0, 2.4, 0.0, 2.0 * math.pi), _section(660.0, 410.0, 2.4, 0.0, 2.0 * math.pi))
    along = np.linspace(0.0, 1.0, 400)[:, None]
    stem = along * [1130.0, 1720.0] + 1200.0 * along * (1.0 - along) * np.array([-0.836, 0.549])
    beam = np.linspace(-650.0, 650.0, 200)
    knee = [
        (0.0, 0.0),
        (400.0, 0.0),
        (400.0, 60.0),
        (170.0, 110.0),
        (110.0, 170.0),
        (60.0, 400.0),
        (0.0, 400.0),
    ]
    return {
        "U frame 1.5 m": _closed(_band(frame, 100.0)),
        "half frame": _closed(_band(half, 100.0)),
        "closed ring": Drawing(paths=tuple(Path(points=edge, stroke=SAW, closed=True) for edge in ring)),
        "curved stem 2 m": _closed(_band(stem, 130.0)),
        "deck beam 1.3 m": _closed(_band(np.column_stack([beam, -60.0 * (beam / 650.0) ** 2]), 70.0)),
        "knee 0.4 m": _closed(np.array(knee)),
    }


def gussets() -> list[Drawing]:
    """Twenty plates of 200 to 300 mm with three to five corners."""
    found = []
    for number in range(20):
        size = 200.0 + 100.0 * number / 19.0
        corners = 3 + number % 3
        angle = 2.0 * math.pi * (np.arange(corners) + 0.3 * np.sin(number + np.arange(corners))) / corners
        points = np.column_stack([np.cos(angle), np.sin(angle)])
        found.append(_closed(points * size / np.ptp(points, axis=0).max()))
    return found
