"""Cubic B-splines over given breaks, as matrices: values, derivatives, jumps of the third derivative."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from patterns.hull.planes import FloatArray

__all__ = ["Splines", "through"]


def _pieces_of(breaks: FloatArray) -> FloatArray:
    """The four splines over each piece as polynomials, (n, 4, 4): function, power from the highest.

    Source: the recurrence of C. de Boor and M. G. Cox, evaluated at four places of each piece.
    """
    knots = np.concatenate([breaks[:1].repeat(3), breaks, breaks[-1:].repeat(3)])
    h = np.diff(breaks)
    share = np.array([0.0, 1.0 / 3.0, 2.0 / 3.0, 1.0])
    at = breaks[:-1, None] + h[:, None] * share
    first = np.arange(len(h)) + 3  # the knot at which the piece begins
    values = np.ones((1, *at.shape))
    for degree in range(1, 4):
        grown = np.zeros((degree + 1, *at.shape))
        for k in range(degree):
            right = knots[first + k + 1][:, None]
            left = knots[first + k + 1 - degree][:, None]
            part = values[k] / (right - left)
            grown[k] += part * (right - at)
            grown[k + 1] += part * (at - left)
        values = grown
    powers = np.vander(share, 4)
    local = np.linalg.solve(powers, values.transpose(2, 0, 1).reshape(4, -1)).reshape(4, 4, -1)
    scale = h ** -np.arange(3.0, -1.0, -1.0)[:, None]
    return np.ascontiguousarray((local * scale[:, None, :]).transpose(2, 1, 0))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Splines:
    """All cubic B-splines over breaks; the first and the last alone reach the ends.

    Attributes:
        breaks: shape (n,), rising.
    """

    breaks: FloatArray
    _pieces: FloatArray = field(init=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_pieces", _pieces_of(self.breaks))

    @property
    def count(self) -> int:
        """How many splines there are."""
        return len(self.breaks) + 2

    def matrix(self, x: FloatArray, nu: int = 0) -> FloatArray:
        """Every spline's nu-th derivative at ``x`` (m,), (m, count); beyond the ends the end pieces run on."""
        piece = np.clip(np.searchsorted(self.breaks, x, side="right") - 1, 0, len(self.breaks) - 2)
        u = (x - self.breaks[piece])[:, None]
        c = self._pieces[piece]
        for _ in range(nu):
            degree = c.shape[-1] - 1
            c = c[..., :-1] * np.arange(degree, 0, -1.0)
        value = c[..., 0]
        for k in range(1, c.shape[-1]):
            value = value * u + c[..., k]
        out = np.zeros((len(x), self.count))
        out[np.arange(len(x))[:, None], piece[:, None] + np.arange(4)] = value
        return out

    def jumps(self) -> FloatArray:
        """The jump of the third derivative at every inner break over the root of the mean spacing there.

        All in units of the breaks' mean spacing: shape (n - 2, count).
        """
        h = np.diff(self.breaks)
        unit = float(h.mean())
        third = np.zeros((len(h), self.count))
        third[np.arange(len(h))[:, None], np.arange(len(h))[:, None] + np.arange(4)] = self._pieces[:, :, 0]
        root = np.sqrt((h[:-1] + h[1:]) / 2.0 / unit)
        return np.asarray(6.0 * unit**3 * np.diff(third, axis=0) / root[:, None])


def through(x: FloatArray, values: FloatArray, at: FloatArray) -> FloatArray:
    """The cubic spline through points, read at other places: shape (m, k).

    Its two outermost pieces at either end are one cubic (no knot at the second and the last but one point).

    Args:
        x: shape (n,), rising, at least 4.
        values: shape (n, k).
        at: shape (m,); beyond the ends the end pieces run on.
    """
    splines = Splines(breaks=np.concatenate([x[:1], x[2:-2], x[-1:]]))
    found: FloatArray = splines.matrix(at) @ np.linalg.solve(splines.matrix(x), values)
    return found
