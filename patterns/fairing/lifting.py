"""Lifting a duck: which offset does the batten doubt?

A loftsman lifts one duck at a time and looks how far the batten springs.  The plain spring misleads: a batten
always springs most at its ends.  So each spring is set against the spring to be expected there, from how
uneven the loads of this very line are and from how coarsely its offsets are written.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from patterns.fairing.batten import Ends, batten
from patterns.fairing.evenness import NOISE, expected
from patterns.hull.planes import FloatArray

__all__ = ["Doubt", "Lifted", "doubts", "lift", "suspected"]

DOUBTED = 5.0  # deviations by which a spring must exceed what is expected
FAR = 2.5  # and tolerances
LEAST = 6  # ducks; with fewer the batten has too little to go by
MOST = 4  # doubts that are looked for in one line; with more, the whole line is doubtful
ALIKE = 0.5  # part of the greatest deviation by which its neighbour is doubted too
FLAT = 1e-9  # part of the largest eigenvalue below which a shape carries no load


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lifted:
    """What the batten says when each duck is lifted in turn.

    Attributes:
        spring: shape (n,), offset less the batten's own place with this duck lifted, mm.
        deviation: shape (n,), the spring over what is to be expected.
        whole: logarithm of the likelihood of all offsets.
    """

    spring: FloatArray
    deviation: FloatArray
    whole: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """One doubtful offset of a line.

    Attributes:
        index: which duck.
        wanted: where the batten wants it, mm.
        deviation: the spring over what is to be expected, with its sign.
        unsure: by how much a good offset would differ from that (standard deviation), mm.
        or_index: where two neighbours may each be the cause, the index of the other; else None.
        or_wanted: what the batten would want there if so, mm.
    """

    index: int
    wanted: float
    deviation: float
    unsure: float
    or_index: int | None = None
    or_wanted: float | None = None


def lift(uneven: FloatArray, y: FloatArray, *, noise: FloatArray, ducks: int, reach: float) -> Lifted:
    """Lift each duck in turn.

    The loads are taken to be drawn from a normal distribution of unknown spread, the offsets to be off by
    normal noise.  The spread is the likeliest one without the duck that is lifted (see `evenness`).

    Args:
        uneven: shape (m, n), see `Batten.uneven`.
        y: shape (n,), offsets, mm.
        noise: shape (n,), standard deviation of each offset's own error, mm, > 0.
        ducks: number of ducks of the line (two coordinates may share one).
        reach: range of the offsets, mm.
    """
    scaled = uneven * noise
    _, s, right = np.linalg.svd(scaled, full_matrices=False)
    kept = s > FLAT * max(float(s.max(initial=0.0)), FLAT)
    shapes, stiff = right[kept], s[kept] ** 2  # (k, n), (k,)
    part = shapes @ (y / noise)
    log_spread, prior = expected(ducks=ducks, reach=reach)
    precise = 1.0 / (np.exp(2 * log_spread)[:, None] / stiff + 1.0)  # (grid, k)
    own = precise @ shapes**2  # P_ii, (grid, n)
    pull = (precise * part) @ shapes  # (P y)_i
    tiny = own < 1e-12
    z = pull / np.sqrt(np.where(tiny, 1.0, own))
    z[tiny] = 0.0
    all_in = 0.5 * np.log(precise).sum(axis=1) - 0.5 * (precise * part**2).sum(axis=1) + prior
    without = all_in[:, None] + 0.5 * z**2 - 0.5 * np.log(np.where(tiny, 1.0, own))
    best = without.argmax(axis=0)
    duck = np.arange(len(y))
    return Lifted(
        spring=np.where(tiny[best, duck], 0.0, pull / np.where(tiny, 1.0, own))[best, duck] * noise,
        deviation=z[best, duck],
        whole=float(all_in.max()),
    )


def suspected(lifted: Lifted, tolerance: FloatArray) -> int | None:
    """The one duck that is doubted most, if it is doubted at all."""
    most = int(np.abs(lifted.deviation).argmax())
    doubted = abs(lifted.deviation[most]) > DOUBTED and abs(lifted.spring[most]) > FAR * tolerance[most]
    return most if doubted else None


def _alike(lifted: Lifted, i: int) -> list[int]:
    """The ducks that may be the cause instead of the one that is doubted most, the likeliest first.

    An end and its neighbour spring much alike; so do any two neighbours of a line with few ducks.
    """
    n, doubt = len(lifted.deviation), np.abs(lifted.deviation)
    ends = {0: 1, 1: 0, n - 2: n - 1, n - 1: n - 2}
    near = [k for k in (i - 1, i + 1) if 0 <= k < n and (doubt[k] > ALIKE * doubt[i] or ends.get(i) == k)]
    return sorted(near, key=lambda k: -doubt[k])


def doubts(
    x: FloatArray,
    y: FloatArray,
    *,
    tolerance: float | FloatArray,
    ends: Ends = "free",
    knuckles: Sequence[int] = (),
) -> tuple[Doubt, ...]:
    """The doubtful offsets of a line in one view, the most doubtful first.

    The batten's value is put in for the one doubted most, and the rest are looked at again.

    Args:
        x: shape (n,), mm.
        y: shape (n,), mm.
        tolerance: how far a good offset may be off, mm, > 0, one number or shape (n,).
    """
    n = len(x)
    if n - len(knuckles) < LEAST:
        return ()
    limits = np.broadcast_to(np.asarray(tolerance, dtype=float), x.shape)
    laid = batten(x, ends=ends, knuckles=knuckles)
    noise = limits * NOISE
    now = np.array(y, dtype=float)
    found: list[Doubt] = []

    def look(offsets: FloatArray) -> Lifted:
        reach = max(float(np.ptp(offsets)), 10.0 * float(limits.max()))
        return lift(laid.uneven, offsets, noise=noise, ducks=n, reach=reach)

    while len(found) < MOST:
        lifted = look(now)
        i = suspected(lifted, limits)
        if i is None:
            break
        wanted = float(now[i] - lifted.spring[i])
        other, or_wanted = None, None
        for near in _alike(lifted, i):
            tried = now.copy()
            tried[near] -= lifted.spring[near]
            if suspected(look(tried), limits) is None:
                other, or_wanted = near, float(tried[near])
                break
        found.append(
            Doubt(
                index=i,
                wanted=wanted,
                deviation=float(lifted.deviation[i]),
                unsure=abs(float(lifted.spring[i] / lifted.deviation[i])),
                or_index=other,
                or_wanted=or_wanted,
            )
        )
        now[i] = wanted
    return tuple(found)
