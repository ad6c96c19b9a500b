"""Which points of a strake's two edges a sheet joins by straight lines: the rulings of a developable strake.

A sheet bends one way only, so that along each of its straight rulings it has one tangent plane: a ruling joins
points P1 and P2 of the two edges whose tangents T1 and T2 lie in one plane with it, det[T1, T2, P2 - P1] = 0.
Taken point by point that equation has no root, or several; so a whole way from one end of the strake to the
other is sought on a grid, along which the surface twists least, and the rulings nearest to it are then made exact.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from patterns.hull.planes import FloatArray, cross
from patterns.hull.surfaces import Curve

__all__ = ["Pairing", "Reach", "pair_edges", "twist_between"]

LOWER, UPPER = 241, 721  # places along the edges between which the way is sought
SHORTEST = 24  # places along the lower edge's shortest part
STEEP = 24  # places of the upper edge by which the way may go on for one of the lower edge
# What weighs beside the square of the twist (in radians), where a sheet nearly flat leaves the rulings open:
SKEW = 1e-6  # the square of a ruling's lean out of its station, in parts of the strake's width
PACE = 1e-5  # the square of the logarithm of one edge's pace beside the other's: neither stands still
BEND = 1e-6  # the square of the change of pace from place to place, in places of the upper edge
HOLD = 1e-9  # the square of the way back to the place that the grid gave, in places of the upper edge
FLAT = 1e-4  # radians of twist for one place of the upper edge; below it a ruling may lie as it likes
TIE = 1e6  # what holds a place fast
ROUNDS = 4  # Newton's steps from the grid to the rulings
LEAST_PACE = 0.03  # places of the upper edge for one of the lower; a sheet's edge never quite stands still


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reach:
    """A part of an edge, between two parameters of its curve."""

    curve: Curve
    start: float
    end: float

    def places(self, count: int) -> FloatArray:
        """Parameters (count,) at even distances along it."""
        t = np.linspace(self.start, self.end, 401)
        run = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(self.curve.at(t), axis=0), axis=1)))
        even: FloatArray = np.interp(np.linspace(0.0, run[-1], count), run, t)
        return even

    def length(self) -> float:
        """Its length, mm."""
        points = self.curve.at(np.linspace(self.start, self.end, 101))
        return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pairing:
    """The rulings of one piece of a strake.

    Attributes:
        lower, upper: shape (n,), rising, the edges' parameters that rulings join.
        twist: shape (n,), radians, the angle between the sheet's normals at a ruling's two ends.
    """

    lower: FloatArray
    upper: FloatArray
    twist: FloatArray


def _tangents(curve: Curve, t: FloatArray) -> FloatArray:
    slope = curve.at(t, 1)
    length = np.linalg.norm(slope, axis=-1, keepdims=True)
    return np.asarray(slope / np.where(length > 0.0, length, 1.0))


def twist_between(p1: FloatArray, t1: FloatArray, p2: FloatArray, t2: FloatArray) -> FloatArray:
    """The angle between the normals at both ends of rulings, radians, with its sign; shape (...).

    Args:
        p1, t1, p2, t2: shape (..., 3): points and tangents on the lower and on the upper edge.
    Source: the normals are T1 x d and T2 x d, d = P2 - P1; their vector product is d det[T1, d, T2].
    """
    d = p2 - p1
    along = np.sum(cross(t1, d) * t2, axis=-1) * np.linalg.norm(d, axis=-1)
    same = np.sum(t1 * t2, axis=-1) * np.sum(d * d, axis=-1) - np.sum(t1 * d, axis=-1) * np.sum(
        t2 * d, axis=-1
    )
    return np.asarray(np.arctan2(along, same))


def _twists(p1: FloatArray, t1: FloatArray, p2: FloatArray, t2: FloatArray) -> FloatArray:
    """`twist_between` for every pair of n and m points: (n, m), by products of matrices."""
    own1, own2 = np.sum(t1 * p1, axis=1), np.sum(t2 * p2, axis=1)
    square = np.sum(p1 * p1, axis=1)[:, None] + np.sum(p2 * p2, axis=1) - 2.0 * p1 @ p2.T
    det = t1 @ cross(p2, t2).T + cross(p1, t1) @ t2.T
    same = (t1 @ t2.T) * square - (t1 @ p2.T - own1[:, None]) * (own2 - p1 @ t2.T)
    return np.asarray(np.arctan2(det * np.sqrt(np.maximum(square, 0.0)), same))


def _least_way(
    cost: FloatArray, pace: FloatArray, tied: list[int], meet: tuple[bool, bool]
) -> tuple[int, NDArray[np.intp]]:
    """The cheapest way through costs (n, m) that never goes back, from corner to corner where the edges meet there.

    Where they do not meet the way begins anywhere in the first row or column, and ends so in the last.  Each row
    that it leaves out costs as much as the one that stands next to it.

    Args:
        pace: shape (k,), the cost of going on by 0, 1, ... columns from row to row.
        tied: rows that have the column of the row before them.
        meet: whether the edges meet in a point at their start, and at their end.
    Returns:
        The row in which the way begins, and the column of each row as far as it goes.
    """
    rows, columns = cost.shape
    reach = len(pace)
    padded = np.full((rows, columns + reach - 1), np.inf)
    sums = padded[:, reach - 1 :]
    before = np.lib.stride_tricks.sliding_window_view(padded, reach, axis=1)
    begin = np.full(rows, np.inf)
    if meet[0]:
        sums[0, 0] = begin[0] = cost[0, 0]
    else:
        sums[0] = cost[0]
        last = min(tied, default=rows) - 1
        begin[:last] = cost[:last, 0] * np.arange(1, last + 1)
    back = pace[::-1]
    for i in range(1, rows):
        sums[i] = cost[i] + (sums[i - 1] if i in tied else (before[i - 1] + back).min(axis=1))
        sums[i, 0] = min(sums[i, 0], begin[i])
    last, column = rows - 1, columns - 1
    if not meet[1]:
        off = sums[:, -1] + cost[:, -1] * np.arange(rows - 1, -1, -1)
        off[: max(tied, default=0) + 1] = np.inf
        last = int(off.argmin())
        if sums[-1].min() <= off[last]:
            last, column = rows - 1, int(sums[-1].argmin())
    way = [column]
    for i in range(last, 0, -1):
        if way[-1] == 0 and sums[i, 0] == begin[i]:
            break
        on = 0 if i in tied else reach - 1 - int((before[i - 1, way[-1]] + back).argmin())
        way.append(way[-1] - on)
    return last + 1 - len(way), np.array(way[::-1], dtype=np.intp)


def _onto_rulings(
    p1: FloatArray,
    t1: FloatArray,
    edge: Reach,
    even: FloatArray,
    way: FloatArray,
    tied: list[int],
) -> FloatArray:
    """The way moved onto the rulings: Newton's steps that take the twist out and leave the pace smooth.

    Args:
        p1, t1: shape (n, 3), points and tangents on the lower edge.
        even: the parameters of the upper edge's places; ``way`` counts in them.
        tied: rows that stay with the row before them: there the lower edge turns, and the pace may change.


    The first row stays where it is where the upper edge begins there, the last one where it ends there.
    """
    from scipy.linalg import solveh_banded

    rows, places = len(p1), np.arange(len(even), dtype=float)
    bent = np.ones(rows - 2)
    for row in tied:
        bent[max(row - 2, 0) : row] = 0.0
    start = way.copy()
    ends = {0: way[0] == 0.0, rows - 1: way[-1] == len(even) - 1}
    held = [row for row, fast in ends.items() if fast]

    def twist(at: FloatArray) -> FloatArray:
        t = np.interp(at, places, even)
        return twist_between(p1, t1, edge.curve.at(t), _tangents(edge.curve, t))

    for _ in range(ROUNDS):
        now = twist(way)
        slope = (twist(way + 0.05) - twist(way - 0.05)) / 0.1
        slope[held] = 0.0
        slope = np.where(np.abs(now) < 0.5, slope, 0.0)
        bends = bent * (way[2:] - 2.0 * way[1:-1] + way[:-2])
        band = np.zeros((3, rows))
        band[2] = slope**2 + HOLD
        band[2, :-2] += BEND * bent
        band[2, 1:-1] += 4.0 * BEND * bent
        band[2, 2:] += BEND * bent
        band[1, 1:-1] -= 2.0 * BEND * bent
        band[1, 2:] -= 2.0 * BEND * bent
        band[0, 2:] = BEND * bent
        pull = -slope * now - HOLD * (way - start)
        pull[:-2] -= BEND * bends
        pull[1:-1] += 2.0 * BEND * bends
        pull[2:] -= BEND * bends
        band[2, held] += TIE
        for row in tied:
            band[2, row - 1 : row + 1] += TIE
            band[1, row] -= TIE
        way = way + np.clip(solveh_banded(band, pull), -2.0, 2.0)
    # What smoothing still holds off the rulings goes, but where the sheet is so flat that nothing fixes them.
    loose = np.ones(rows)
    loose[[*held, *tied, *(row - 1 for row in tied)]] = 0.0
    for _ in range(2):
        way = way - np.clip(loose * twist(way) * slope / (slope**2 + FLAT**2), -0.1, 0.1)
    step = np.arange(rows) * LEAST_PACE
    for row in tied:
        step[row:] -= LEAST_PACE
    forward = np.maximum.accumulate(way - step) + step
    if rows - 1 in held:
        forward = np.minimum(forward, way[-1] - step[-1] + step)
    return np.asarray(np.interp(forward, places, even))


def _opposite(curve: Curve, t: FloatArray, i: int, point: FloatArray, tangent: FloatArray) -> float:
    """The lower edge's parameter, near its i-th place, whose ruling to a point of the upper edge twists least."""
    reach = 0.75 * min(t[i] - t[i - 1] if i else np.inf, t[i + 1] - t[i] if i + 1 < len(t) else np.inf)
    at = float(t[i])

    def twist(at: float) -> float:
        return float(twist_between(curve.at(np.array(at)), _tangents(curve, np.array(at)), point, tangent))

    for _ in range(ROUNDS):
        slope = (twist(at + 0.01 * reach) - twist(at - 0.01 * reach)) / (0.02 * reach)
        step = -twist(at) * slope / (slope**2 + (FLAT / reach) ** 2 * 1e-4)
        at = float(np.clip(at + step, t[i] - reach, t[i] + reach))
    return at


def pair_edges(
    lower: Sequence[Reach], upper: Reach, *, meet: tuple[bool, bool] = (True, False)
) -> tuple[Pairing, ...]:
    """The rulings between two edges, for each part of the lower one, from where both have begun to where one ends.

    Args:
        lower: the lower edge's parts from forward aft, each beginning where the one before it ends.
        meet: whether the edges meet in a point (on a stem) at their start, and at their end.
    """
    whole = sum(part.length() for part in lower)
    rows = [part.places(max(int(LOWER * part.length() / whole), SHORTEST)) for part in lower]
    p1 = np.vstack([part.curve.at(t) for part, t in zip(lower, rows, strict=True)])
    t1 = np.vstack([_tangents(part.curve, t) for part, t in zip(lower, rows, strict=True)])
    even = upper.places(UPPER)
    p2, t2 = upper.curve.at(even), _tangents(upper.curve, even)
    width = float(np.median(np.linalg.norm(p1[:, None, :] - p2[::6], axis=-1).min(axis=1)))
    twist, lean = _twists(p1, t1, p2, t2), (p2[:, 0] - p1[:, :1]) / width
    ends = [int(end) for end in np.cumsum([len(t) for t in rows])]
    share = (UPPER - 1) / (len(p1) - 1)
    pace = PACE * np.log((np.arange(STEEP + 1) + 0.5) / share) ** 2
    first, way = _least_way(twist**2 + SKEW * lean**2, pace, ends[:-1], meet)
    past = first + len(way)
    for row, column, at_end in ((first, way[0], first > 0), (past - 1, way[-1], past < len(p1))):
        if (
            at_end
        ):  # the upper edge has its own end here: the ruling from there is made exact on the lower one
            k = int(np.searchsorted(ends, row, side="right"))
            i = row - (ends[k] - len(rows[k]))
            rows[k][i] = _opposite(lower[k].curve, rows[k], i, p2[column], t2[column])
            p1[row] = lower[k].curve.at(rows[k][i])
            t1[row] = _tangents(lower[k].curve, rows[k][i])
    p1, t1 = p1[first:past], t1[first:past]
    tied = [row - first for row in ends[:-1]]
    on_upper = _onto_rulings(p1, t1, upper, even, way.astype(float), tied)
    after = upper.curve.at(on_upper), _tangents(upper.curve, on_upper)
    true_twist = twist_between(p1, t1, *after)
    made = []
    for t, end in zip(rows, ends, strict=True):
        begin = end - len(t)
        part = slice(max(begin - first, 0), min(end, past) - first)
        of_part = slice(part.start + first - begin, part.stop + first - begin)
        made.append(Pairing(lower=t[of_part], upper=on_upper[part], twist=true_twist[part]))
    return tuple(made)
