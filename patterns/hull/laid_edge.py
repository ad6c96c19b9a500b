"""A line laid through points close together, as clinker planks' edges are: a cubic spline over its own run."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.vectors import FloatArray

__all__ = ["LaidEdge", "Spread", "laid_through"]

AHEAD = (
    1.0  # mm before a stem's end from which the root of the distance is taken, so that its slope is finite
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """How the parameter of a line goes with the distance aft: by its root at a stem, where a bow may be blunt.

    Attributes:
        fore, aft: the distances aft at which a stem ends the line, mm; None where a transom does.
    """

    fore: float | None
    aft: float | None

    def t(self, x: FloatArray) -> FloatArray:
        """The parameter at distances aft, (...); it rises with them."""
        if self.fore is not None and self.aft is not None:
            middle, half = 0.5 * (self.fore + self.aft), 0.5 * (self.aft - self.fore) + AHEAD
            return np.asarray(np.arcsin(np.clip((x - middle) / half, -1.0, 1.0)))
        if self.fore is not None:
            return np.asarray(np.sqrt(np.maximum(x - self.fore + AHEAD, 0.0)))
        if self.aft is not None:
            return np.asarray(-np.sqrt(np.maximum(self.aft + AHEAD - x, 0.0)))
        return np.asarray(x, dtype=float)

    def x(self, t: FloatArray) -> FloatArray:
        """The distances aft at parameters, (...)."""
        if self.fore is not None and self.aft is not None:
            middle, half = 0.5 * (self.fore + self.aft), 0.5 * (self.aft - self.fore) + AHEAD
            return np.asarray(middle + half * np.sin(t))
        if self.fore is not None:
            return np.asarray(t * t + self.fore - AHEAD)
        if self.aft is not None:
            return np.asarray(self.aft + AHEAD - t * t)
        return np.asarray(t, dtype=float)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LaidEdge:
    """A `Curve` through points; past its ends its last pieces run on.

    Attributes:
        start, end: the parameters of its ends.
        spread: from the distance aft to the parameter.
    """

    start: float
    end: float
    spread: Spread
    _knots: FloatArray
    _cubics: FloatArray

    def at(self, t: FloatArray, nu: int = 0) -> FloatArray:
        """See `Curve.at`; up to the second derivative."""
        t = np.asarray(t, dtype=float)
        piece = np.searchsorted(self._knots[1:-1], t, side="right")
        u = (t - self._knots[piece])[..., None]
        a, b, c, d = np.moveaxis(self._cubics[piece], -2, 0)
        if nu == 0:
            return np.asarray(((a * u + b) * u + c) * u + d)
        if nu == 1:
            return np.asarray((3.0 * a * u + 2.0 * b) * u + c)
        return np.asarray(6.0 * a * u + 2.0 * b)

    def t_at_x(self, x: FloatArray) -> FloatArray:
        """See `Curve.t_at_x`."""
        return self.spread.t(np.asarray(x, dtype=float))


def laid_through(points: FloatArray, spread: Spread, *, ends: tuple[float, float]) -> LaidEdge:
    """The line through points (n, 3), from forward aft, whose slope and bend are continuous.

    Args:
        ends: the distances aft at which it ends, mm; points may lie beyond.
    """
    t = spread.t(points[:, 0])
    yz = _cubics(t, points[:, 1:])
    # Between its knots the distance aft follows from the parameter by the spread, so it is no spline of its own:
    # a quadratic by the root, and a sine that a cubic follows to 1e-6 of its step.
    x = _cubics(t, points[:, :1])
    first, last = spread.t(np.array(ends))
    return LaidEdge(
        start=float(first),
        end=float(last),
        spread=spread,
        _knots=t,
        _cubics=np.concatenate([x, yz], axis=-1),
    )


def _cubics(t: FloatArray, values: FloatArray) -> FloatArray:
    """The cubic spline through values (n, k) at t (n,), (n - 1, 4, k), its end pieces by a parabola's slope."""
    h = np.diff(t)[:, None]
    secant = np.diff(values, axis=0) / h
    n = len(t)
    matrix, right = np.zeros((n, n)), np.zeros_like(values)
    rows = np.arange(1, n - 1)
    matrix[rows, rows - 1], matrix[rows, rows + 1] = h[1:, 0], h[:-1, 0]
    matrix[rows, rows] = 2.0 * (h[1:, 0] + h[:-1, 0])
    right[1:-1] = 3.0 * (h[1:] * secant[:-1] + h[:-1] * secant[1:])
    matrix[0, 0] = matrix[-1, -1] = 1.0
    for row, (i, j) in ((0, (0, 1)), (-1, (-1, -2))):
        right[row] = ((2.0 * h[i] + h[j]) * secant[i] - h[i] * secant[j]) / (h[i] + h[j])
    slope = np.linalg.solve(matrix, right)
    return np.stack(
        [
            (slope[:-1] + slope[1:] - 2.0 * secant) / h**2,
            (3.0 * secant - 2.0 * slope[:-1] - slope[1:]) / h,
            slope[:-1],
            values[:-1],
        ],
        axis=1,
    )
