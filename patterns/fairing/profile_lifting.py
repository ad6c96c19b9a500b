"""Which figure of the profile line is doubtful: each that may be is left out in turn, and the line is laid anew.

A slip bends the line, and a bent line is the rougher one.  So no residual shows the slip: what shows it is how much
likelier all other figures become without it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from patterns.fairing.batten import Ends
from patterns.fairing.lifting import Doubt
from patterns.fairing.profile_curve import locate
from patterns.fairing.profile_model import Modelled, model_profile
from patterns.hull.planes import FloatArray

__all__ = ["line_doubts"]

LEAST = 6  # points; with fewer the rest says too little
SLIP = 100.0  # mm, a usual slip
# Sound lines bend oddly by some millimetres, which may be worth 10 nats, but hardly by an inch: so what is off by
# less must be surer.  A figure that the rest hardly hold at all is not doubted either.
LIKELIER, SURER = 6.0, 10.0  # nats by which the others must be likelier without it; the same where it is near
NEARER = 20.0  # mm
CLEARLY = 4.0  # deviations that it is off
AT_END, DEVIATIONS = 0.3, 3.5  # the same at an end, which only one neighbour holds
END_NEAR = 5.0  # deviations there where it is near
FAR, FAR_MM = 2.5, 1.0  # tolerances, and mm, by which it must be off
LOOKED = -1.0  # nats that a quick look must promise before the line is laid anew
AMONG = 4  # figures that are left out in turn
NEAR = 3.0  # nats within which a neighbour may be the cause instead
MOST = 3  # doubts of one line


@dataclass(frozen=True, slots=True, kw_only=True)
class _Left:
    """What the line says without one figure: gain of evidence, nats; where it wants the figure; how surely."""

    index: int
    gain: float
    wanted: float
    unsure: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Line:
    """The points that are looked at; ``own`` are their indices in the whole line."""

    points: FloatArray
    measured: tuple[int, ...]
    tolerance: float
    knuckles: tuple[int, ...]
    ends: Ends
    own: tuple[int, ...]

    def model(self) -> Modelled:
        return model_profile(
            self.points, self.measured, np.full(len(self.points), self.tolerance), ends=self.ends,
            knuckles=self.knuckles,
        )  # fmt: skip

    def without(self, i: int) -> _Line:
        keep = [k for k in range(len(self.points)) if k != i]
        return _Line(
            points=self.points[keep],
            measured=tuple(self.measured[k] for k in keep),
            tolerance=self.tolerance,
            knuckles=tuple(k - (k > i) for k in self.knuckles if k != i),
            ends=self.ends,
            own=tuple(self.own[k] for k in keep),
        )


def line_doubts(
    points: FloatArray,
    measured: Sequence[int],
    *,
    tolerance: float,
    ends: Ends = "free",
    knuckles: Sequence[int] = (),
    whole: Modelled | None = None,
) -> list[Doubt]:
    """The doubtful figures, the most doubtful first.

    Args:
        points: shape (n, 2), from the stem's head to the stern, mm.
        measured: for each point 0 where x was measured, 1 where z was.
        tolerance: how far a good figure may be off, mm, > 0.
        whole: the model of all the points with this tolerance, where it is known already.
    """
    line = _Line(
        points=np.array(points, dtype=float), measured=tuple(measured), tolerance=tolerance,
        knuckles=tuple(knuckles), ends=ends, own=tuple(range(len(points))),
    )  # fmt: skip
    found: list[Doubt] = []
    model = whole
    while len(line.points) >= LEAST and len(found) < MOST:
        model = model or line.model()
        left = [_left_out(line, i, model) for i in _promising(line, model)]
        best = max((one for one in left if _doubtful(line, one)), key=lambda one: one.gain, default=None)
        if best is None:
            break
        found.append(_doubt(line, best, left))
        line, model = line.without(best.index), None
    return found


def _typed(line: _Line, i: int) -> float:
    return float(line.points[i, line.measured[i]])


def _doubtful(line: _Line, one: _Left) -> bool:
    """Whether a figure is far from where the line wants it, and the others are likelier without it."""
    away = abs(_typed(line, one.index) - one.wanted)
    if away < FAR * line.tolerance + FAR_MM:
        return False
    end = one.index in (0, len(line.points) - 1)
    if end:
        return one.gain > AT_END and away > (END_NEAR if away < NEARER else DEVIATIONS) * one.unsure
    return one.gain > (SURER if away < NEARER else LIKELIER) and away > CLEARLY * one.unsure


def _promising(line: _Line, model: Modelled) -> list[int]:
    """The figures without which the rest may be likelier, by the lines' linear neighbourhood; and both ends.

    A line that cannot hold its points at all lies so badly that its neighbourhood shows no more than about where
    the wrong figure is: the neighbours are looked at too.
    """
    sigma, total = model.grid.sigma, np.full(len(line.points), -np.inf)
    for one in model.fits:
        inverse = np.linalg.inv(one.cover)
        apart = one.r - one.pull @ np.linalg.solve(one.root, one.p - model.prior.aim)
        own = np.diag(inverse)
        looser = SLIP**2 - sigma**2
        gain = 0.5 * looser * (inverse @ apart) ** 2 / (1 + looser * own) - 0.5 * np.log1p(looser * own)
        total = np.maximum(total, one.evidence + gain)
    total -= model.evidence
    last = len(total) - 1
    best = [int(i) for i in np.argsort(-total)[:AMONG] if total[i] > LOOKED or not model.sound]
    beside = () if model.sound else (-1, 1)
    inner = dict.fromkeys(i + step for step in (0, *beside) for i in best)
    return [0, *(i for i in inner if 0 < i < last), last]


def _left_out(line: _Line, i: int, model: Modelled) -> _Left:
    """Lay the line without one figure: without its point, or at an end or a knuckle with the figure unsure."""
    if i in line.knuckles or i in (0, len(line.points) - 1):
        rest = _with_unsure(line, i)
        at, moved = float(rest.s[i]), float(rest.moves[i])
        evidence, wanted = rest.evidence, _typed(line, i) + moved
    else:
        rest = line.without(i).model()
        at = _meeting(line, i, rest)
        x, z, _ = locate(rest.grid, rest.shot, np.array(at))
        wanted = float((x, z)[line.measured[i]])
        away = (_typed(line, i) - wanted) / SLIP
        evidence = rest.evidence - np.log(SLIP) - 0.5 * away**2
    angle = float(locate(rest.grid, rest.shot, np.array(at))[2])
    rate = max(abs(np.sin(angle) if line.measured[i] == 0 else np.cos(angle)), 0.1)
    spread = float(np.interp(at, rest.grid.cell, rest.spread)) / rate
    unsure = float(np.hypot(spread, model.grid.sigma[i]))
    return _Left(index=i, gain=float(evidence - model.evidence), wanted=wanted, unsure=unsure)


def _with_unsure(line: _Line, i: int) -> Modelled:
    """The same points with one figure unsure.  From the line as it lies the steps would not find the way."""
    allow = np.full(len(line.points), line.tolerance)
    allow[i] = SLIP * np.sqrt(3.0)
    return model_profile(line.points, line.measured, allow, ends=line.ends, knuckles=line.knuckles)


def _meeting(line: _Line, i: int, rest: Modelled) -> float:
    """The length at which a line without a point meets the point's exact coordinate, between its neighbours."""
    axis = 1 - line.measured[i]
    low, high = float(rest.s[i - 1]), float(rest.s[i])
    s = np.linspace(low, high, 201)
    off = locate(rest.grid, rest.shot, s)[axis] - line.points[i, axis]
    k = int(np.abs(off).argmin())
    cross = np.nonzero(off[:-1] * off[1:] <= 0)[0]
    if len(cross):
        k = int(cross[np.abs(cross - k).argmin()])
        return float(s[k] + (s[k + 1] - s[k]) * off[k] / (off[k] - off[k + 1] or 1.0))
    return float(s[k])


def _doubt(line: _Line, best: _Left, left: Sequence[_Left]) -> Doubt:
    near = [
        one for one in left
        if abs(one.index - best.index) == 1 and one.gain > best.gain - NEAR
    ]  # fmt: skip
    other = max(near, key=lambda one: one.gain, default=None)
    return Doubt(
        index=line.own[best.index],
        wanted=best.wanted,
        deviation=(_typed(line, best.index) - best.wanted) / best.unsure,
        unsure=best.unsure,
        or_index=line.own[other.index] if other else None,
        or_wanted=other.wanted if other else None,
    )
