"""A batten held by ducks: one fair curve through the offsets of one view.

A thin batten at a small slope is a cubic spline.  Between ducks it carries no load; at a duck the third
derivative jumps by the duck's load.  A real batten runs on past its last ducks, so the moments at its ends
are free: they take the values that make the loads of the inner ducks least.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from patterns.fairing.boxed import boxed_least
from patterns.fairing.curves import FairCurve
from patterns.fairing.evenness import NOISE, likely_spread
from patterns.hull.planes import FloatArray

__all__ = ["Batten", "Ends", "Faired", "batten", "ease", "fair", "straight"]

Ends = Literal["free", "natural"]

SPENT = 0.5  # rms of move over tolerance; the noise of rounding alone would have 0.577
SOFTEST = 1e-7  # least weight of the moves, beside the stiffest move's own
FLAT = 1e-9  # part of the stiffest move's load below which a move carries none
LEAST_DUCKS = 5  # the loads of four ducks or fewer can always be none


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Batten:
    """What a batten does over given ducks; everything is linear in the offsets.

    Attributes:
        x: shape (n,), the ducks' places, mm, rising.
        spacing: mean distance of neighbouring ducks, mm.
        rank: how many of the loads are independent.
        inner: shape (m,), the indices of the ducks that are neither ends nor knuckles.
        uneven: shape (m, n); its product with the offsets is load over root of the ducks' mean spacing, in
            units of mean spacing, at the inner ducks; its squared length is what a fair batten makes least.
        load: shape (m, n); the loads of the inner ducks as the bend that each would give the batten between
            its two neighbours, mm a mm.
        before, after: shape (n-1, n); second derivatives at the beginning and end of each piece, times
            spacing squared.
    """

    x: FloatArray
    spacing: float
    rank: int
    inner: tuple[int, ...]
    uneven: FloatArray
    load: FloatArray
    before: FloatArray
    after: FloatArray

    def curve(self, y: FloatArray) -> FairCurve:
        """The batten through offsets (n,)."""
        h = np.diff(self.x)
        m0, m1 = self.before @ y / self.spacing**2, self.after @ y / self.spacing**2
        c = np.stack([(m1 - m0) / (6 * h), m0 / 2, np.diff(y) / h - h * (2 * m0 + m1) / 6, y[:-1]], axis=1)
        return FairCurve(knots=self.x, coefficients=c)

    def loads(self, y: FloatArray) -> FloatArray:
        """Each duck's load, shape (n,), mm: how far it alone would bend the batten between its neighbours.

        Positive pushes to greater offsets.  nan at ends and knuckles, where the batten's own end holds it.
        Source: deflection under a load P at a and b from two supports, P a^2 b^2 / (3 E I (a + b)) (Mott,
        Machine Elements in Mechanical Design, appendix A14-1b).
        """
        loads = np.full(len(self.x), np.nan)
        loads[list(self.inner)] = self.load @ y
        return loads


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Faired:
    """A batten at rest.

    Attributes:
        curve: the fair curve.
        values: shape (n,), where it passes each station, mm.
        moves: shape (n,), value less offset, mm.
        loads: shape (n,), see `Batten.loads`.
    """

    curve: FairCurve
    values: FloatArray
    moves: FloatArray
    loads: FloatArray


def _run(x: FloatArray, ends: Ends, share: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """One batten from end to end, in units of mean spacing; ``share`` (n-2,) is the inner ducks'.

    Returns:
        Second derivatives (n, n) and loads over root of mean spacing (n-2, n) as matrices on the offsets, the
        end moments being taken out, and the loads (n-2, n) themselves.
    """
    n = len(x)
    h = np.diff(x)
    m_y, m_end = np.zeros((n, n)), np.zeros((n, 2))
    m_end[0, 0] = m_end[-1, 1] = 1.0
    bend = np.zeros((n - 2, n))  # change of slope of the chords
    k = np.arange(n - 2)
    bend[k, k], bend[k, k + 1], bend[k, k + 2] = 1 / h[:-1], -1 / h[:-1] - 1 / h[1:], 1 / h[1:]
    if n > 2:
        three = np.zeros((n - 2, n))
        three[k, k], three[k, k + 1], three[k, k + 2] = h[:-1] / 6, (h[:-1] + h[1:]) / 3, h[1:] / 6
        inverse = np.linalg.inv(three[:, 1:-1])
        m_y[1:-1] = inverse @ bend
        m_end[1:-1] = -inverse @ three[:, [0, -1]]
    load_y, load_end = bend @ m_y, bend @ m_end
    root = np.sqrt((h[:-1] + h[1:]) / 2)[:, None]
    if ends == "free" and n > 2:
        wanted, by_end = load_y / root / share[:, None], load_end / root / share[:, None]
        if n == 3:  # one inner duck, two moments: of all that carry no load the one of even bend
            wanted = np.vstack([wanted, np.zeros(n)])
            by_end = np.vstack([by_end, [1.0, -1.0]])
        moments = -np.linalg.lstsq(by_end, wanted, rcond=None)[0]
        m_y = m_y + m_end @ moments
        load_y = load_y + load_end @ moments
        if n < LEAST_DUCKS:
            load_y = np.zeros_like(load_y)  # exactly, not to rounding
    return m_y, load_y / root, load_y


def batten(
    x: FloatArray,
    *,
    ends: Ends = "free",
    knuckles: Sequence[int] = (),
    share: FloatArray | None = None,
) -> Batten:
    """Lay a batten over ducks.

    Args:
        x: shape (n,), n >= 2, rising, mm.
        ends: ``free`` runs on past the last ducks; ``natural`` ends there without moment.
        knuckles: indices at which one batten stops and the next begins.
        share: shape (n,), how great each duck's load may be expected to be beside the others'; free end
            moments make the loads over their shares least.  Without it all are alike.
    Raises:
        ValueError: fewer than two ducks, or places that do not rise.
    """
    n = len(x)
    if n < 2 or not np.all(np.diff(x) > 0):
        raise ValueError("a batten needs two ducks or more, each farther on than the one before")
    spacing = float((x[-1] - x[0]) / (n - 1))
    stops = [0, *sorted(i for i in set(knuckles) if 0 < i < n - 1), n - 1]
    before, after = np.zeros((n - 1, n)), np.zeros((n - 1, n))
    uneven: list[FloatArray] = []
    load: list[FloatArray] = []
    inner: list[int] = []
    rank = 0
    for a, b in pairwise(stops):
        run = x[a : b + 1] / spacing
        own = np.ones(b - a - 1) if share is None else share[a + 1 : b]
        m_y, loads_over_root, loads = _run(run - run[0], ends, own)
        before[a:b, a : b + 1], after[a:b, a : b + 1] = m_y[:-1], m_y[1:]
        h = np.diff(run)
        bend = (h[:-1] * h[1:]) ** 2 / (3 * (h[:-1] + h[1:]))
        for rows, out in ((loads_over_root, uneven), (loads * bend[:, None], load)):
            wide = np.zeros((b - a - 1, n))
            wide[:, a : b + 1] = rows
            out.append(wide)
        inner.extend(range(a + 1, b))
        rank += max(b - a + 1 - (4 if ends == "free" else 2), 0)
    return Batten(
        x=x,
        spacing=spacing,
        rank=rank,
        inner=tuple(inner),
        uneven=np.vstack(uneven),
        load=np.vstack(load),
        before=before,
        after=after,
    )


def ease(uneven: FloatArray, loads: FloatArray, *, rank: int, ducks: int, reach: float) -> FloatArray:
    """The moves, in units of each duck's tolerance, that ease a batten.

    Least squares of ``loads + uneven @ u`` plus a weight times the squares of ``u``, each ``|u| <= 1``.  The
    weight is such that the root mean square of ``u`` is ``SPENT``, or least where the line needs less; but it
    is never less than the loads' own evenness asks for: where the offsets are truer than the tolerance, not
    all of it is spent.

    Args:
        uneven: shape (m, k): loads by moves.
        loads: shape (m,), mm.
        rank: number of independent loads.
        ducks: number of ducks of the line.
        reach: range of the offsets, mm.
    Returns:
        Shape (k,).
    """
    if uneven.shape[1] == 0 or rank == 0:
        return np.zeros(uneven.shape[1])
    left, s, right = np.linalg.svd(uneven, full_matrices=False)
    if not s.any():  # no duck bears on another, as where every piece between knuckles is straight
        return np.zeros(uneven.shape[1])
    kept = s > FLAT * s[0]
    left, s, right = left[:, kept], s[kept], right[kept]
    part = left.T @ loads

    def free(weight: float) -> FloatArray:
        return np.asarray(-right.T @ (s * part / (s * s + weight)))

    def spent(u: FloatArray) -> float:
        return float(np.sqrt(np.mean(u * u))) - SPENT

    spread = likely_spread(
        s, part, rest=max(float(loads @ loads - part @ part), 0.0), others=max(rank - len(s), 0),
        ducks=ducks, reach=reach,
    )  # fmt: skip
    scale = float(s[0] ** 2)
    low = float(np.log(max((spread / NOISE) ** 2, SOFTEST * scale)))
    weight = low
    if spent(free(float(np.exp(low)))) > 0.0:
        a, b = low, max(low, float(np.log(scale))) + 40.0
        for _ in range(50):
            middle = 0.5 * (a + b)
            a, b = (middle, b) if spent(free(float(np.exp(middle)))) > 0.0 else (a, middle)
        weight = b
    u = free(float(np.exp(weight)))
    if np.abs(u).max() <= 1.0:
        return u
    return _boxed(uneven, loads, low=low, high=weight)


def _boxed(uneven: FloatArray, loads: FloatArray, *, low: float, high: float) -> FloatArray:
    """`ease` where some move would exceed its tolerance; the logarithm of the weight lies in a bracket."""
    square, slope = uneven.T @ uneven, uneven.T @ loads

    def held(weight: float) -> FloatArray:
        return boxed_least(square + np.exp(weight) * np.eye(len(slope)), slope)

    def spent(u: FloatArray) -> float:
        return float(np.log(np.sqrt(np.mean(u * u)) / SPENT))

    u_low = held(low)
    f_low = spent(u_low)
    if f_low <= 0.0:
        return u_low
    u = held(high)
    f_high = spent(u)
    while f_high > 0.0:  # the box makes the moves smaller, if anything; but rounding is no proof
        high += 2.0
        u = held(high)
        f_high = spent(u)
    for _ in range(40):  # false position, halving the value at the end that stays (Illinois)
        middle = high - f_high * (high - low) / (f_high - f_low)
        u = held(middle)
        f = spent(u)
        if abs(f) < 1e-4 or high - low < 1e-6:
            break
        if f > 0.0:
            low, f_low, f_high = middle, f, f_high / 2
        else:
            high, f_high, f_low = middle, f, f_low / 2
    return u


def straight(x: FloatArray, y: FloatArray, *, tolerance: FloatArray, knuckles: Sequence[int] = ()) -> Faired:
    """A straight line, or straight lines from knuckle to knuckle, by least squares of move over tolerance.

    A held duck (tolerance 0) is passed through where one line can.  Where the offsets do not lie straight the
    moves exceed the tolerance: the caller must look.
    """
    n = len(x)
    stops = [0, *sorted(i for i in set(knuckles) if 0 < i < n - 1), n - 1]
    hats = np.stack([np.interp(x, x[stops], np.eye(len(stops))[j]) for j in range(len(stops))], axis=1)
    weight = 1.0 / np.maximum(tolerance, 1e-4 * max(float(np.max(tolerance)), 1e-9))
    ends = np.linalg.lstsq(hats * weight[:, None], y * weight, rcond=None)[0]
    values = hats @ ends
    slope = np.diff(ends) / np.diff(x[stops])
    c = np.zeros((len(stops) - 1, 4))
    c[:, 2], c[:, 3] = slope, ends[:-1]
    return Faired(
        curve=FairCurve(knots=x[stops], coefficients=c),
        values=values,
        moves=values - y,
        loads=np.full(n, np.nan),
    )


def fair(
    x: FloatArray,
    y: FloatArray,
    *,
    tolerance: float | FloatArray,
    ends: Ends = "free",
    knuckles: Sequence[int] = (),
) -> Faired:
    """Lay a batten to offsets and ease the ducks within what is allowed.

    Args:
        x: shape (n,), the stations, mm, rising.
        y: shape (n,), the offsets, mm.
        tolerance: how far each duck may be moved, mm, one number or shape (n,); 0 holds a duck.  With four
            ducks or fewer from knuckle to knuckle nothing is to be eased.
        ends: see `batten`.
        knuckles: indices at which the batten stops; the line turns there.
    Raises:
        ValueError: see `batten`.
    """
    laid = batten(x, ends=ends, knuckles=knuckles)
    allowed = np.broadcast_to(np.asarray(tolerance, dtype=float), x.shape)
    moves = np.zeros(len(x))
    loose = allowed > 0.0
    if loose.any():
        moves[loose] = allowed[loose] * ease(
            laid.uneven[:, loose] * allowed[loose],
            laid.uneven @ y,
            rank=laid.rank,
            ducks=len(x),
            reach=max(float(np.ptp(y)), 10.0 * float(allowed.max())),
        )
    values = y + moves
    return Faired(curve=laid.curve(values), values=values, moves=moves, loads=laid.loads(values))
