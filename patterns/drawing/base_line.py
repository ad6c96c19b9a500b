"""The base line of a long piece: the straight edge of the sheet or board that it is sawn of."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from patterns.hull.planes import FloatArray
from patterns.pattern import XY, Kind, Pattern

__all__ = ["BaseLine", "base_line_of"]

HARDLY = 1.03  # times the least breadth; a piece that needs hardly more so lies along its drawing's own x


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BaseLine:
    """A line in the drawing, with the piece above it.

    Attributes:
        start: (2,), where distances along it are counted from, mm.
        along: (2,), a unit vector.
    """

    start: FloatArray
    along: FloatArray

    @property
    def turn(self) -> FloatArray:
        """The matrix (2, 2) from the drawing's directions to its own."""
        c, s = self.along
        return np.array([[c, s], [-s, c]])

    def own(self, points: FloatArray) -> FloatArray:
        """Places (n, 2) along and square to it, mm, of places of the drawing."""
        return np.asarray((np.asarray(points) - self.start) @ self.turn.T)

    def place(self, at: XY) -> XY:
        """The same of one place."""
        x, y = self.own(np.asarray([at]))[0]
        return float(x), float(y)

    def way(self, direction: XY) -> XY:
        """A direction of the drawing in its own."""
        x, y = self.turn @ np.asarray(direction)
        return float(x), float(y)


def base_line_of(pattern: Pattern) -> BaseLine:
    """The base line of a pattern: along the least box of its wood, touching it from below."""
    points = np.vstack([line.points for line in pattern.of_kind(Kind.SAW)])
    along = _along(points)
    base = BaseLine(start=np.zeros(2), along=along)
    low = base.own(points).min(axis=0)
    return BaseLine(start=base.turn.T @ low, along=along)


def _along(points: FloatArray) -> FloatArray:
    box = np.asarray(shapely.MultiPoint(points).minimum_rotated_rectangle.exterior.coords)
    sides = np.diff(box, axis=0)[:2]
    long, short = sorted(sides.tolist(), key=lambda side: -float(np.hypot(*side)))
    if np.ptp(points[:, 1]) <= HARDLY * np.hypot(*short):
        return np.array([1.0, 0.0])
    along: FloatArray = np.array(long) / np.hypot(*long)
    return along if along[0] > 0.0 else -along
