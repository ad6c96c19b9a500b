"""How likely a row of the table is when one of its offsets, or two, would be other than typed.

The loads of a good line's ducks are taken as drawn from a normal distribution, its offsets as off by normal
noise (see `lifting`).  How great the loads are, and where along the boat they are greater, is not known
beforehand: all sizes and several ways of being uneven are looked at and weighed by evidence.  The ways are
the boat's, not the row's: where a boat is full at the bow, all her lines bend there, and that is no sign of a
wrong station.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.fairing.batten import batten
from patterns.fairing.evenness import NOISE, expected
from patterns.fairing.table_rows import TableRow
from patterns.hull.planes import FloatArray

__all__ = ["RowLikelihood", "Ways", "added", "judge", "ways_of"]

FLAT = 1e-9  # part of the largest singular value below which a shape carries no load
EVERY = 2  # of the spreads of `expected` one in so many is looked at
AT_ENDS, AT_STATIONS = 0.3, 0.3  # how likely the loads are greater at an end, or about some station
ENDS = (1.5, 3.0)  # natural logarithm of how much greater they are at an end
STATION = 2.3  # and about a station
REACH = 0.12  # part of the boat's length over which they fall off from an end
CELL = 0.002  # how likely a cell is typed wrongly, beforehand
SMALLEST, GREATEST = 2.0, 500.0  # mm, of a single slip; all sizes between are alike likely, by logarithm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ways:
    """The ways in which a boat's loads may be uneven along her.

    Attributes:
        shares: for each a function's values are needed at ducks: rows of (centre, reach, logarithm), shape
            (s, 3), mm, mm and 1.
        weight: shape (s,), logarithm of how likely each is beforehand.
    """

    shares: FloatArray
    weight: FloatArray

    def at(self, x: FloatArray) -> FloatArray:
        """How great each duck's load may be beside the others', shape (s, n)."""
        centre, reach, high = (self.shares[:, [k]] for k in range(3))
        return np.asarray(np.exp(high * np.exp(-np.square((x - centre) / reach))))


def ways_of(stations: FloatArray, fore: float, aft: float) -> Ways:
    """Even loads; greater ones at the bow, or at the stern; greater ones about any station.

    Args:
        stations: shape (m,), m >= 1, mm aft.
        fore, aft: where the lines end, mm aft.
    """
    reach = REACH * (aft - fore)
    shares, weights = [(0.0, 1.0, 0.0)], [1.0 - AT_ENDS - AT_STATIONS]
    for high in ENDS:
        for end in (fore, aft):
            shares.append((end, reach * np.sqrt(2.0), high))
            weights.append(AT_ENDS / (2 * len(ENDS)))
    near = float(np.median(np.diff(stations))) if len(stations) > 1 else reach
    for station in stations:
        shares.append((float(station), near, STATION))
        weights.append(AT_STATIONS / len(stations))
    return Ways(shares=np.array(shares), weight=np.log(np.array(weights)))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RowLikelihood:
    """A row's likelihood, for each way (s) and spread (g) of its loads; logarithms of one common scale.

    Attributes:
        row: the row.
        noise: mm, standard deviation of a good offset's own error.
        whole: shape (s,), as typed.
        one_wrong: shape (s,), with one wrong offset at most.
        apart: shape (s, n), of the row with the duck lifted to where the batten wants it.
        spring: shape (s, n), typed less what the batten wants there, mm.
        unsure: shape (s, n), its standard deviation, mm.
        base, pull, own, beside: shapes (s, g), (s, g, n), (s, g, n), (s, g, n-1): the quadratic forms that give the
            likelihood with offsets moved (`beside` for two neighbours).
    """

    row: TableRow
    noise: float
    whole: FloatArray
    one_wrong: FloatArray
    apart: FloatArray
    spring: FloatArray
    unsure: FloatArray
    base: FloatArray
    pull: FloatArray
    own: FloatArray
    beside: FloatArray

    def moved(self, i: int, by: FloatArray) -> FloatArray:
        """The likelihood, shape (s, t), with offset ``i`` less by each of ``by`` (t,), mm."""
        d = by / self.noise
        return added(self.base[..., None] + self.pull[..., [i]] * d - 0.5 * self.own[..., [i]] * d**2, axis=1)

    def exchanged(self, i: int) -> FloatArray:
        """The likelihood, shape (s,), with the offsets ``i`` and ``i + 1`` exchanged."""
        d = float(self.row.y[i] - self.row.y[i + 1]) / self.noise
        pull = self.pull[..., i] - self.pull[..., i + 1]
        own = self.own[..., i] + self.own[..., i + 1] - 2.0 * self.beside[..., i]
        return added(self.base + pull * d - 0.5 * own * d**2, axis=1)


def added(logarithms: FloatArray, *, axis: int) -> FloatArray:
    """The logarithm of the sum of what these are the logarithms of."""
    most = logarithms.max(axis=axis, keepdims=True)
    total = np.log(np.exp(logarithms - most).sum(axis=axis))
    return np.asarray(np.squeeze(most, axis=axis) + total)


def judge(row: TableRow, ways: Ways) -> RowLikelihood:
    """Look at one row.

    The moments at the batten's ends may be anything, so only those sums of loads count that they do not
    reach; in these, what a way says of the loads is a covariance matrix.
    """
    n, noise = len(row.x), row.tolerance * NOISE
    laid = batten(row.across(row.x), ends=row.ends, knuckles=row.knuckles)
    left, s, right = np.linalg.svd(laid.uneven * noise, full_matrices=False)
    kept = s > FLAT * max(float(s.max(initial=0.0)), FLAT)
    left, s, right = left[:, kept], s[kept], right[kept]
    share = ways.at(row.x)[:, list(laid.inner)]  # (s, m)
    by_way = np.einsum("mj,sm,mk->sjk", left / s, share**2, left / s)
    great, turn = np.linalg.eigh(by_way)
    great = np.maximum(great, 0.0)  # (s, k)
    shapes = np.einsum("sjk,jn->skn", turn, right)
    part = shapes @ (row.y / noise)  # (s, k)
    reach = max(float(np.ptp(row.y)), 10.0 * row.tolerance)
    log_spread, prior = (values[::EVERY] for values in expected(ducks=n, reach=reach))
    precise = 1.0 / (np.exp(2 * log_spread)[:, None] * great[:, None, :] + 1.0)  # (s, g, k)
    pulled = precise * part[:, None, :]
    base = 0.5 * np.log(precise).sum(axis=2) - 0.5 * (pulled * part[:, None, :]).sum(axis=2) + prior
    own = precise @ shapes**2
    pull = pulled @ shapes
    return _judged(row, noise, base, pull, own, precise @ (shapes[..., 1:] * shapes[..., :-1]))


def _judged(
    row: TableRow, noise: float, base: FloatArray, pull: FloatArray, own: FloatArray, beside: FloatArray
) -> RowLikelihood:
    """What follows from the quadratic forms, see `RowLikelihood`."""
    held = np.maximum(own, 1e-12)
    likely = base[..., None] + 0.5 * pull**2 / held - 0.5 * np.log(held)
    best = likely.argmax(axis=1)[:, None, :]
    held_best = np.take_along_axis(held, best, axis=1)[:, 0]
    spring = np.take_along_axis(pull, best, axis=1)[:, 0] / held_best
    unsure = noise / np.sqrt(held_best)
    apart = added(base[..., None] + pull * spring[:, None] - 0.5 * own * spring[:, None] ** 2, axis=1)
    size = np.maximum(np.abs(spring * noise), SMALLEST)
    wrong = apart + np.log(np.sqrt(2 * np.pi) * unsure / (2 * size * np.log(GREATEST / SMALLEST)))
    whole = added(base, axis=1)
    return RowLikelihood(
        row=row,
        noise=noise,
        whole=whole,
        one_wrong=np.logaddexp(whole, np.log(CELL) + added(wrong, axis=1)),
        apart=apart,
        spring=spring * noise,
        unsure=unsure,
        base=base,
        pull=pull,
        own=own,
        beside=beside,
    )
