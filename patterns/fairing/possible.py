"""Every line that the offsets of one view allow, each as likely as it is fair and near to them.

A fair line's fourth derivative (or its third) is taken as white noise of unknown strength.  Lines change
faster towards the bow, more or less so: the distance aft may be counted by ``sqrt(x + c)``, which stretches
the bow.  Nothing is chosen: every power of the noise, every order and every ``c`` is kept with the weight
that the offsets give it (its evidence times what is usual), so that what is said of the line is as unsure as
the offsets leave it.

Sources: smoothing by integrated white noise: G. Wahba, "Improper priors, spline smoothing and the problem of
guarding against model errors in regression", Journal of the Royal Statistical Society B 40 (1978) 364-372;
leaving one out without fitting again and the likelihood of contrasts: C. E. Rasmussen, C. K. I. Williams,
"Gaussian Processes for Machine Learning" (2006), sections 2.7 and 5.4.2; both from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from math import factorial

import numpy as np
from numpy.typing import NDArray

from patterns.hull.planes import FloatArray

__all__ = ["Possible", "logsum", "possible"]

# For each order: natural logarithm of the noise's usual strength over the range of the offsets, on a line of
# unit length, and its standard deviation from line to line; measured on lines of invented small boats.
USUAL = {2: (1.0, 1.0), 3: (0.5, 1.3), 4: (1.5, 1.8)}
ORDERS = (3, 4)
GRID = np.linspace(-4.0, 4.0, 25)  # standard deviations of the strength that are looked at
# The parts of the length that c may be, and logarithms of how usual each is beside none (common practice, no
# source).  Where a line may meet the bow bluntly the root itself (0) is usual: the bow's plan form is round.
STRETCHED = ((np.inf, 0.0), (1.0, -2.5), (0.3, -3.0), (0.1, -3.5), (0.03, -4.5))
BLUNT = (
    (np.inf, 0.0), (1.0, -2.5), (0.3, -3.0), (0.1, -2.5), (0.03, -3.0), (0.01, -3.0), (0.003, -3.5),
    (0.001, -4.0), (0.0003, -4.0), (0.0, -2.0),
)  # fmt: skip
USUAL_PART = (3.0, 2.0, 1.0, 0.6)  # size of each power of the polynomial part over the range
KEPT = 1e-5  # of the greatest weight, below which a line is left out


def logsum(a: FloatArray, axis: int = 0) -> FloatArray:
    """Logarithm of the sum of exponentials along an axis."""
    most = a.max(axis=axis, keepdims=True)
    return np.asarray(np.squeeze(np.log(np.exp(a - most).sum(axis=axis, keepdims=True)) + most, axis=axis))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Kind:
    """One order and one way to count the distance: all that does not depend on the noise's strength.

    Attributes:
        order, stretch: the derivative that is noise; c over the length.
        strength: shape (g,), the squares of the strengths that are looked at.
        evidence: shape (g,), logarithms.
        mean, spread: shape (g, n), what each offset would be by all the others, and that guess's variance.
        forms: see `Possible.forms`, without the evidence.
        cov: shape (n, n), the covariance of noise of unit strength, over the offsets' own errors.
        drift, upper: the polynomials over the offsets' own errors as an orthogonal matrix (n, p) and a
            triangular one (p, p).
        shapes, stiff, part: shape (n, m), (m,), (m,): shapes that no polynomial has, the noise's variance in
            each, and the offsets' part.
    """

    order: int
    stretch: float
    strength: FloatArray
    evidence: FloatArray
    mean: FloatArray
    spread: FloatArray
    forms: tuple[FloatArray, FloatArray, FloatArray]
    cov: FloatArray
    drift: FloatArray
    upper: FloatArray
    shapes: FloatArray
    stiff: FloatArray
    part: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Possible:
    """All the lines of one view, in ``m`` sorts.

    Attributes:
        x, y, noise: shape (n,), places, offsets, standard deviations of the offsets' own errors, mm.
        knuckles: indices at which the line turns.
        kinds: orders and stretches.
    """

    x: FloatArray
    y: FloatArray
    noise: FloatArray
    knuckles: tuple[int, ...]
    kinds: tuple[_Kind, ...]

    @property
    def evidence(self) -> FloatArray:
        """Logarithm of the likelihood of the offsets by each sort of line, shape (m,)."""
        return np.concatenate([kind.evidence for kind in self.kinds])

    def without(self, i: int) -> tuple[FloatArray, FloatArray]:
        """What offset ``i`` would be by all the others, mm, and that guess's variance, its own error included.

        Returns:
            Two arrays of shape (m,), a value for each sort of line.
        """
        mean, spread = ([getattr(kind, name)[:, i] for kind in self.kinds] for name in ("mean", "spread"))
        return np.concatenate(mean), np.concatenate(spread)

    def forms(self) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        """The quadratic forms that give the likelihood, by each sort of line, with one offset or two moved.

        Returns:
            The evidence (m,); how the logarithm grows with an offset that is less by its own error (m, n), and
            how that falls (m, n); and how it falls with two neighbours together (m, n - 1).
        """
        pull, own, beside = (
            np.concatenate(parts) for parts in zip(*(k.forms for k in self.kinds), strict=True)
        )
        return self.evidence, pull, own, beside

    def stretches(self) -> dict[float, float]:
        """Logarithm of the likelihood by each stretch of the bow, over all orders and strengths."""
        found: dict[float, list[FloatArray]] = {}
        for kind in self.kinds:
            found.setdefault(kind.stretch, []).append(kind.evidence)
        return {stretch: float(logsum(np.concatenate(parts))) for stretch, parts in found.items()}

    def missed(self, at: FloatArray, curve: FloatArray) -> FloatArray:
        """How far the true line may be from a curve, root mean square over all possible lines, mm.

        Args:
            at: shape (k,), places, mm.
            curve: shape (k,), the curve there, mm.
        """
        most = max(float(kind.evidence.max()) for kind in self.kinds)
        total, weight = np.zeros(len(at)), 0.0
        for kind in self.kinds:
            share = np.exp(kind.evidence - most)
            kept = share > KEPT
            if kept.any():
                total += share[kept] @ self._missed_by(kind, kept, at, curve)
                weight += float(share[kept].sum())
        return np.asarray(np.sqrt(total / weight))

    def _missed_by(
        self, kind: _Kind, kept: NDArray[np.bool_], at: FloatArray, curve: FloatArray
    ) -> FloatArray:
        """Mean square distances (g, k) from the curve, for each of a kind's strengths that are kept.

        The polynomials that the offsets would give alone are taken for the line, and what is left is guessed
        from what they leave at the offsets.
        """
        there = _stretched(at, self.x, kind.stretch)
        here = _stretched(self.x, self.x, kind.stretch)
        drift = _drift(there, here[list(self.knuckles)], here, kind.order)
        alone = np.linalg.solve(kind.upper.T, drift.T).T @ kind.drift.T  # (k, n), on offsets over noise
        cross = _integrated(there, here, kind.order) / self.noise
        left = cross - alone @ kind.cov
        own = _integrated_own(there, kind.order) - ((cross + left) * alone).sum(axis=1)
        by_shape = left @ kind.shapes
        strength = kind.strength[kept, None]
        precise = 1.0 / (strength * kind.stiff + 1.0)  # (g, m)
        mean = alone @ (self.y / self.noise) + strength * ((precise * kind.part) @ by_shape.T)
        variance = strength * own + (alone**2).sum(axis=1) - strength**2 * (precise @ (by_shape**2).T)
        return np.asarray(np.maximum(variance, 0.0) + (mean - curve) ** 2)


def _stretched(at: FloatArray, x: FloatArray, stretch: float) -> FloatArray:
    """Places over the line's whole length, 0 to 1, the bow stretched; places before it are brought to 0."""
    u = np.maximum((at - x[0]) / (x[-1] - x[0]), 0.0)
    if np.isinf(stretch):
        return np.asarray(u)
    low = float(np.sqrt(stretch))
    return np.asarray((np.sqrt(u + stretch) - low) / (np.sqrt(1.0 + stretch) - low))


@cache
def _gauss(order: int) -> tuple[FloatArray, FloatArray]:
    """Places and weights that integrate the noise's covariance exactly."""
    nodes, weights = np.polynomial.legendre.leggauss(order)
    return nodes, weights


def _integrated(s: FloatArray, t: FloatArray, order: int) -> FloatArray:
    """Covariance (n, k) of white noise integrated ``order`` times from 0, at s (n,) and t (k,)."""
    nodes, weights = _gauss(order)
    half = 0.5 * np.minimum(s[:, None], t)
    u = half[..., None] * (nodes + 1.0)
    part = ((s[:, None, None] - u) * (t[None, :, None] - u)) ** (order - 1)
    return np.asarray(half * (part @ weights) / factorial(order - 1) ** 2, dtype=np.float64)


def _integrated_own(s: FloatArray, order: int) -> FloatArray:
    """The same at s with itself, shape (n,)."""
    return np.asarray(s ** (2 * order - 1) / ((2 * order - 1) * factorial(order - 1) ** 2))


def _drift(s: FloatArray, turns: FloatArray, ducks: FloatArray, order: int) -> FloatArray:
    """What bears no load: polynomials, and beyond every knuckle others that begin there; shape (len(s), p)."""
    columns = [np.polynomial.legendre.legvander(2.0 * s - 1.0, order - 1)]
    stops = [*turns, np.inf]
    for here, there in pairwise(stops):
        held = int(((ducks > here) & (ducks <= there)).sum())
        beyond = np.maximum(s - here, 0.0)
        columns.append(np.stack([beyond**k for k in range(1, min(order, held + 1))], axis=1))
    return np.concatenate(columns, axis=1)


def _kind(
    x: FloatArray,
    y: FloatArray,
    noise: FloatArray,
    knuckles: Sequence[int],
    order: int,
    stretch: float,
    usual: float,
) -> _Kind | None:
    """One order and one stretch; None where its polynomials alone go through everything."""
    s = _stretched(x, x, stretch)
    n = len(x)
    drift = _drift(s, s[list(knuckles)], s, order)
    if drift.shape[1] > n:
        return None
    width = drift.shape[1]
    turned, upper = np.linalg.qr(drift / noise[:, None], mode="complete")
    size = np.abs(np.diag(upper[:width]))
    if size.min() < 1e-9 * size.max():
        return None
    free = turned[:, width:]
    cov = _integrated(s, s, order) / noise[:, None] / noise
    stiff, shapes = np.linalg.eigh(free.T @ cov @ free)
    stiff, shapes = np.maximum(stiff, 0.0), free @ shapes
    part = shapes.T @ (y / noise)
    reach = max(float(np.ptp(y)), 10.0 * float(noise.max()))
    centre, varies = USUAL[order]
    strength = np.exp(2.0 * (np.log(reach) + centre + varies * GRID))
    spread = strength[:, None] * stiff + 1.0
    evidence = usual - 0.5 * GRID**2 - 0.5 * (np.log(spread) + part**2 / spread).sum(axis=1)
    # The polynomials' own density, so that kinds with other polynomials can be set beside each other.
    parts = np.array([*USUAL_PART[:order], *[1.0] * (width - order)]) * reach
    evidence = evidence - np.log(size).sum() - np.log(parts).sum()
    precise = np.maximum((1.0 / spread) @ (shapes**2).T, 1e-12)
    beside = (1.0 / spread) @ (shapes[1:] * shapes[:-1]).T
    pull = (part / spread) @ shapes.T
    return _Kind(
        order=order,
        stretch=stretch,
        strength=strength,
        evidence=evidence,
        mean=y - noise * pull / precise,
        spread=noise**2 / precise,
        forms=(pull, precise, beside),
        cov=cov,
        drift=turned[:, :width],
        upper=upper[:width],
        shapes=shapes,
        stiff=stiff,
        part=part,
    )


def possible(
    x: FloatArray,
    y: FloatArray,
    *,
    noise: FloatArray,
    knuckles: Sequence[int] = (),
    blunt: bool = False,
) -> Possible:
    """Every line that offsets of one view allow.

    Args:
        x: shape (n,), n >= 2, mm, not falling; two offsets may lie at one place.
        y: shape (n,), mm.
        noise: shape (n,), standard deviation of each offset's own error, mm, > 0.
        knuckles: indices at which the line turns.
        blunt: whether the line may meet its fore end bluntly.
    """
    stretches = BLUNT if blunt else STRETCHED
    turns = tuple(sorted(i for i in set(knuckles) if 0 < i < len(x) - 1))
    kinds: list[_Kind] = []
    for orders in (ORDERS, (2,)):
        for order in orders:
            for stretch, usual in stretches:
                kind = _kind(x, y, noise, turns, order, stretch, usual)
                if kind is not None:
                    kinds.append(kind)
        if kinds:
            break
    return Possible(x=x, y=y, noise=noise, knuckles=turns, kinds=tuple(kinds))
