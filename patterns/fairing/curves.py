"""Piecewise cubics, and lines in space that are made of them.

A `FairCurve` is one view of a line: offsets over a distance.  A `SpaceLine` holds all three coordinates over
one parameter, and the `Profile` is the line of keel and stem in one.  Evaluation is plain numpy.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from patterns.hull.planes import FloatArray

__all__ = ["FairCurve", "Profile", "SpaceLine", "hermite", "rebased", "space_line", "unite"]

ROOT_ROUNDS = 60  # of halving or Newton's step; the bracket is shut long before
SAMPLES = 12  # places looked at in each piece of a line to bracket a root


def _pieces(knots: FloatArray, t: FloatArray) -> tuple[NDArray[np.intp], FloatArray]:
    """The piece in which each ``t`` lies, and the distance from that piece's first knot."""
    piece = np.searchsorted(knots[1:-1], t, side="right")
    return piece, t - knots[piece]


def _derived(coefficients: FloatArray, nu: int) -> FloatArray:
    """The coefficients, highest power first along axis 1, of the nu-th derivative."""
    for _ in range(nu):
        degree = coefficients.shape[1] - 1
        if degree == 0:
            return np.zeros_like(coefficients)
        powers = np.arange(degree, 0, -1.0).reshape(1, degree, *[1] * (coefficients.ndim - 2))
        coefficients = coefficients[:, :-1] * powers
    return coefficients


def rebased(coefficients: FloatArray, by: FloatArray) -> FloatArray:
    """The same polynomials (n, k, ...) with the local variable counted from ``by`` (n,) farther on."""
    out = np.array(coefficients)
    shift = by.reshape(-1, *[1] * (out.ndim - 2))
    k = out.shape[1]
    for last in range(k - 1, 0, -1):  # repeated synthetic division
        for i in range(1, last + 1):
            out[:, i] = out[:, i] + shift * out[:, i - 1]
    return out


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FairCurve:
    """A piecewise cubic: one view of a line.

    Attributes:
        knots: shape (n,), rising, mm.
        coefficients: shape (n-1, 4), highest power first, in the distance from each piece's first knot.
    """

    knots: FloatArray
    coefficients: FloatArray

    def __call__(self, x: FloatArray | float, nu: int = 0) -> FloatArray:
        """Values, or nu-th derivatives, at ``x`` of any shape; beyond the ends the end cubics run on.

        At a knuckle the value is that of the piece that begins there.
        """
        at = np.asarray(x, dtype=float)
        piece, u = _pieces(self.knots, at)
        c = _derived(self.coefficients, nu)[piece]
        value = c[..., 0]
        for k in range(1, c.shape[-1]):
            value = value * u + c[..., k]
        return np.asarray(value)

    def starting(self, x: float) -> FairCurve:
        """The same curve with its first knot moved to ``x``: run on, or cut off."""
        keep = max(int(np.searchsorted(self.knots[1:-1], x, side="right")), 0)
        knots = self.knots[keep:].copy()
        coefficients = self.coefficients[keep:].copy()
        coefficients[:1] = rebased(coefficients[:1], np.array([x - knots[0]]))
        knots[0] = x
        return FairCurve(knots=knots, coefficients=coefficients)

    def ending(self, x: float) -> FairCurve:
        """The same curve with its last knot moved to ``x``: run on, or cut off."""
        keep = len(self.knots) - max(int((self.knots[1:-1] >= x).sum()), 0)
        knots = self.knots[:keep].copy()
        knots[-1] = x
        return FairCurve(knots=knots, coefficients=self.coefficients[: keep - 1].copy())

    def refined(self, knots: FloatArray) -> FloatArray:
        """Coefficients (m-1, 4) of this curve over other knots (m,) that hold its own."""
        piece, u = _pieces(self.knots, knots[:-1])
        return rebased(self.coefficients[piece], u)


def hermite(knots: FloatArray, values: FloatArray, before: FloatArray, after: FloatArray) -> FairCurve:
    """The piecewise cubic with given values (n,) and slopes at both ends of each piece.

    Args:
        before: shape (n-1,), the slope at each piece's first knot.
        after: shape (n-1,), the slope at each piece's last knot.
    """
    h = np.diff(knots)
    secant = np.diff(values) / h
    c = np.stack(
        [(before + after - 2 * secant) / h**2, (3 * secant - 2 * before - after) / h, before, values[:-1]],
        axis=1,
    )
    return FairCurve(knots=knots, coefficients=c)


def unite(curves: Sequence[FairCurve]) -> tuple[FloatArray, FloatArray]:
    """Curves over one parameter brought to common knots.

    Returns:
        Knots (n,) and coefficients (n-1, 4, number of curves).  The ends are the first curve's.
    """
    start, end = curves[0].knots[0], curves[0].knots[-1]
    knots = np.unique(np.concatenate([curve.knots for curve in curves]))
    knots = knots[(knots >= start) & (knots <= end)]
    return knots, np.stack([curve.refined(knots) for curve in curves], axis=-1)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SpaceLine:
    """A line in space over one parameter.

    A plain line's parameter is the distance aft.  A line that meets the bow bluntly, with its half-breadth
    growing as the root of the distance from there or from a place a little forward of it, has that root for
    its parameter (``x = root_from + t**2``), so that all derivatives are finite; ``t_at_x`` hides which it is.

    Attributes:
        name: the line's name.
        knots: shape (n,), rising.
        coefficients: shape (n-1, k, 3), highest power first, of x, y and z, mm.
        power: 1 where x = t, 2 where x = root_from + t**2, 0 where x is looked up (see `Profile`).
        knuckles: the parameters at which the line turns on purpose.
        root_from: the distance aft from which the root is taken, mm; nan where there is none.
    """

    name: str
    knots: FloatArray
    coefficients: FloatArray
    power: int = 1
    knuckles: tuple[float, ...] = ()
    root_from: float = float("nan")

    @property
    def start(self) -> float:
        """The parameter at the fore end (on the profile line: at the stem's head)."""
        return float(self.knots[0])

    @property
    def end(self) -> float:
        """The parameter at the stern."""
        return float(self.knots[-1])

    @property
    def x_fore(self) -> float:
        """The distance aft of the fore end, mm."""
        return float(self.at(self.start)[0])

    @property
    def x_aft(self) -> float:
        """The distance aft of the after end, mm."""
        return float(self.at(self.end)[0])

    def at(self, t: FloatArray | float, nu: int = 0) -> FloatArray:
        """Points (..., 3), mm, or nu-th derivatives by the parameter; the end pieces run on past the ends."""
        at = np.asarray(t, dtype=float)
        piece, u = _pieces(self.knots, at)
        c = _derived(self.coefficients, nu)[piece]
        value, u = c[..., 0, :], u[..., None]
        for k in range(1, c.shape[-2]):
            value = value * u + c[..., k, :]
        return np.asarray(value)

    def t_at_x(self, x: FloatArray | float) -> FloatArray:
        """The parameter at a distance aft, of any shape; the ends run on."""
        at = np.asarray(x, dtype=float)
        if self.power == 1:
            return at
        return np.sqrt(np.maximum(at - self.root_from, 0.0))


def space_line(
    name: str, *, y: FairCurve, z: FairCurve, root_from: float | None = None, knuckles: Sequence[float] = ()
) -> SpaceLine:
    """The line in space of two views.

    Args:
        y: half-breadths over the distance aft, or, where ``root_from`` is given, over the root of the distance
            from there.
        z: heights over the distance aft.
        root_from: where the half-breadth is blunt at the fore end: the end itself, or a place forward of it.
        knuckles: distances aft at which the line turns.
    """
    if root_from is None:
        knots, yz = unite([y, z])
        c = np.zeros((len(knots) - 1, 4, 3))
        c[:, 2, 0], c[:, 3, 0] = 1.0, knots[:-1]
        c[:, :, 1:] = yz
        return SpaceLine(name=name, knots=knots, coefficients=c, knuckles=tuple(knuckles))
    # z is a cubic in x = root_from + t**2, so a polynomial of the sixth degree in t; all from t's own zero.
    at_z = np.sqrt(np.maximum(z.knots - root_from, 0.0))
    knots = np.unique(np.concatenate([y.knots, at_z[1:-1]]))
    middle = (0.5 * (knots[:-1] + knots[1:])) ** 2 + root_from
    piece = np.clip(np.searchsorted(z.knots, middle, side="right") - 1, 0, len(z.knots) - 2)
    in_x = rebased(z.coefficients[piece], root_from - z.knots[piece])
    c = np.zeros((len(knots) - 1, 7, 3))
    c[:, 4, 0], c[:, 6, 0] = 1.0, root_from
    c[:, 0:7:2, 2] = in_x
    c[:, :, 0::2] = rebased(c[:, :, 0::2], knots[:-1])
    c[:, 3:, 1] = y.refined(knots)
    return SpaceLine(
        name=name,
        knots=knots,
        coefficients=c,
        power=2,
        root_from=root_from,
        knuckles=tuple(float(np.sqrt(max(x - root_from, 0.0))) for x in knuckles),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Profile(SpaceLine):
    """The rabbet of keel and stem in one line; its parameter is its length from the stem's head, mm.

    Attributes:
        joint: the parameter of the aftmost of the stem's own points; `t_at_height` looks forward of it only.
    """

    power: int = 0
    joint: float = 0.0
    _t: FloatArray = field(init=False, repr=False)
    _x: FloatArray = field(init=False, repr=False)

    def __post_init__(self) -> None:
        part = np.arange(SAMPLES) / SAMPLES
        t = (self.knots[:-1, None] + np.diff(self.knots)[:, None] * part).ravel()
        t = np.append(t, self.knots[-1])
        object.__setattr__(self, "_t", t)
        # A stem may stand plumb or lean into the boat for a way; of several places at one distance the one nearest
        # amidships is wanted, since from there to the other end the line only goes on.
        x, half = self.at(t)[:, 0], len(t) // 2
        inward = np.minimum.accumulate(x[half::-1])[::-1]
        object.__setattr__(self, "_x", np.concatenate([inward, np.maximum.accumulate(x[half:])[1:]]))

    def t_at_x(self, x: FloatArray | float) -> FloatArray:
        """The parameter at a distance aft, of any shape; the place nearest amidships where there are several.

        Beyond both ends the end pieces run on; where the stem's head stands plumb, its head is given.
        """
        at = np.asarray(x, dtype=float)
        flat = at.ravel()
        i = np.clip(np.searchsorted(self._x, flat, side="right") - 1, 0, len(self._t) - 2)
        low, high = self._t[i], self._t[i + 1]
        t = self._root(0, flat, low, high)
        for end, outside in ((self.start, flat < self._x[0]), (self.end, flat > self._x[-1])):
            if outside.any():
                t[outside] = self._run_out(flat[outside], end)
        return t.reshape(at.shape)

    def extended(self, start: float, end: float | None = None) -> Profile:
        """The same line run on beyond its head to another first parameter, and beyond its after end."""
        knots, coefficients = self.knots.copy(), self.coefficients.copy()
        coefficients[:1] = rebased(coefficients[:1], np.array([start - knots[0]]))
        knots[0] = start
        if end is not None:
            knots[-1] = end
        return replace(self, knots=knots, coefficients=coefficients)

    def t_at_height(self, z: FloatArray | float) -> FloatArray:
        """The parameter at a height on the stem, of any shape; nan where the stem does not reach it."""
        at = np.asarray(z, dtype=float)
        flat = at.ravel()
        t = self._t[self._t <= self.joint + 1e-9]
        if len(t) < 2:
            return np.full(at.shape, np.nan)
        height = np.minimum.accumulate(self.at(t)[:, 2])  # falls from the head; the highest place is wanted
        i = np.clip(len(t) - np.searchsorted(height[::-1], flat, side="left") - 1, 0, len(t) - 2)
        found = self._root(2, flat, t[i], t[i + 1])
        missed = np.abs(self.at(found)[:, 2] - flat) > 1e-6
        found[missed] = np.nan
        return found.reshape(at.shape)

    def _root(self, axis: int, wanted: FloatArray, low: FloatArray, high: FloatArray) -> FloatArray:
        """Where a coordinate takes the wanted value: Newton's steps kept inside a bracket that halves."""
        rises = self.at(high)[:, axis] >= self.at(low)[:, axis]
        low, high = low.copy(), high.copy()
        t = 0.5 * (low + high)
        for _ in range(ROOT_ROUNDS):
            over = self.at(t)[:, axis] - wanted
            after = (over > 0.0) == rises
            high, low = np.where(after, t, high), np.where(after, low, t)
            slope = self.at(t, 1)[:, axis]
            with np.errstate(divide="ignore", invalid="ignore"):
                step = t - over / slope
            good = (step >= low) & (step <= high)
            new = np.where(good, step, 0.5 * (low + high))
            done = np.abs(new - t) <= 1e-12 * (1.0 + np.abs(t))
            t = new
            if done.all():
                break
        return np.asarray(t)

    def _run_out(self, wanted: FloatArray, end: float) -> FloatArray:
        """Beyond an end: a few of Newton's steps from it."""
        slope = float(self.at(end, 1)[0])
        if abs(slope) < 1e-3:
            return np.full(wanted.shape, end)
        t = end + (wanted - self.at(end)[0]) / slope
        for _ in range(6):
            by_t = self.at(t, 1)[:, 0]
            t = t - (self.at(t)[:, 0] - wanted) / np.where(np.abs(by_t) < 1e-6, slope, by_t)
        return np.asarray(t)
