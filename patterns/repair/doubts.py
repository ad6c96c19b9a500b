"""Points that do not fit: what the batten wants there, and the slip of the tape that would explain it.

Each stretch is looked at by itself. With six points or more the batten tells, as it does for a table of offsets;
with four or five a simpler curve through the others must do; with fewer nothing can be told.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from patterns.errors import Problem
from patterns.fairing.evenness import NOISE
from patterns.fairing.lifting import DOUBTED, FAR, lift
from patterns.fairing.paths import lay_path
from patterns.fairing.slips import Slip, explain
from patterns.hull.planes import FloatArray
from patterns.measure import Notation
from patterns.repair.corners import off_corners
from patterns.repair.fairing import FairSide
from patterns.repair.fixing import placed, pull
from patterns.repair.places import Places
from patterns.repair.points import VALUES, MeasuredPoint
from patterns.repair.told import source_words, value_words

__all__ = ["Doubted", "disagreements", "doubted_points"]

BATTEN = 6  # points from corner to corner by which the batten tells
FEW = 4  # points by which a simpler curve can
OUT = 8.0  # times as far off as the others lie from that curve
TIMES = 4.0  # and allowed moves
MOST = 3  # points of one stretch that are named; with more the whole of it is doubtful
BLIND = 0.2  # mm a mm: a value that moves the point less than this across the edge cannot be the cause
AT = 8.0  # deviations by which a corner may miss its place where one value is changed
AGREE = 3.0  # allowed moves by which three distances may disagree
ROUNDS = 6  # of Newton's steps


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Doubted:
    """One point that does not fit.

    Attributes:
        point: as measured.
        wanted: where the batten wants it, (2,), mm.
        out: unit normal of the edge there, (2,).
        off: how far the point stands out of that, mm; less than 0 inside of it.
        unsure: standard deviation of a good point from there, mm.
        place: the point is wanted at that very place (a corner), and not only as far out.
    """

    point: MeasuredPoint
    wanted: FloatArray
    out: FloatArray
    off: float
    unsure: float
    place: bool = False

    def problem(self, places: Places, notation: Notation) -> Problem:
        """In words: the value that is likeliest at fault, and what it would be."""
        what = f"point {self.point.name} of the {self.point.side} side lies {abs(self.off):.0f} mm "
        what += f"{'outside' if self.off > 0 else 'inside'} of where the batten wants it"
        if _swapped(self, places):
            return Problem(
                str(self.point.places[0]),
                what,
                f"{VALUES[0]} and {VALUES[1]} exchanged would explain it",
                code="suspect-point",
            )
        causes = list(_causes(self, places, notation))
        named = sorted((cause for cause in causes if cause.slips), key=lambda cause: -cause.likely)
        chosen = named or sorted(causes, key=lambda cause: abs(cause.wanted - cause.typed))[:1]
        if not chosen:
            return Problem(str(self.point.place), what, "measure it again", code="suspect-point")
        words = "; or ".join(cause.words(notation) for cause in chosen[:2])
        return Problem(str(self.point.places[chosen[0].which]), what, words, code="suspect-point")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cause:
    """One value that may be at fault."""

    which: int
    source: str
    written: str
    typed: float
    wanted: float
    slips: tuple[Slip, ...]
    unsure: float

    @property
    def likely(self) -> float:
        """How likely its slip is beside others: how common, and how near it comes (logarithm)."""
        slip = self.slips[0]
        return float(np.log(slip.common) - 0.5 * ((slip.meant - self.wanted) / self.unsure) ** 2)

    def words(self, notation: Notation) -> str:
        said = f"{self.source} {value_words(self.typed, notation, self.written)} would have to be about "
        said += value_words(self.wanted, notation)
        if self.slips:
            slip = self.slips[0]
            said += f": {slip.words} (then {value_words(slip.meant, notation)} was meant)"
            others = [other.words for other in self.slips[1:3]]
            said += f", or {', or '.join(others)}" if others else ""
        return said


def _swapped(doubt: Doubted, places: Places) -> bool:
    """Whether the first two values exchanged would put the point where the batten wants it."""
    first, second, *rest = doubt.point.values
    at = placed(replace(doubt.point, values=(second, first, *rest)), places)
    return at is not None and float(np.hypot(*(at - doubt.wanted))) < max(3.0 * doubt.unsure, 3.0)


def _causes(doubt: Doubted, places: Places, notation: Notation) -> Iterator[_Cause]:
    for which, typed in enumerate(doubt.point.values):
        found = _value_wanted(doubt, places, which)
        if found is None:
            continue
        wanted, pace = found
        yield _Cause(
            which=which,
            source=source_words(doubt.point, which),
            written=doubt.point.places[which].typed,
            typed=typed,
            wanted=wanted,
            slips=explain(typed, wanted, unsure=doubt.unsure / pace, notation=notation),
            unsure=doubt.unsure / pace,
        )


def _value_wanted(doubt: Doubted, places: Places, which: int) -> tuple[float, float] | None:
    """What one value would have to be for the point to lie on the batten, and how fast it moves it across."""
    values = doubt.point.values
    if len(values) == 3:  # the third distance is a check of the other two; each is tried with one of them
        return _of_three(doubt, places, which)
    point = doubt.point
    for _ in range(ROUNDS):
        at = placed(point, places)
        if at is None:
            return None
        pace = float(pull(point, places, which) @ doubt.out)
        if not np.isfinite(pace) or abs(pace) < BLIND:
            return None
        step = float((doubt.wanted - at) @ doubt.out) / pace
        point = replace(point, values=tuple(v + step * (i == which) for i, v in enumerate(point.values)))
        if abs(step) < 1e-6:
            break
    there = placed(point, places)
    if there is None or (doubt.place and np.hypot(*(there - doubt.wanted)) > AT * doubt.unsure):
        return None
    return point.values[which], abs(pace)


def _of_three(doubt: Doubted, places: Places, which: int) -> tuple[float, float] | None:
    """With three nails: the distance to the place that the other two agree on, if the batten wants it there."""
    nails = [places.nails[name].at(doubt.point.side) for name in doubt.point.sources]
    others = [i for i in range(3) if i != which]
    pair = replace(
        doubt.point,
        sources=tuple(doubt.point.sources[i] for i in others),
        values=tuple(doubt.point.values[i] for i in others),
    )
    found = []
    for way in ("outboard", "inboard", "up", "down"):
        at = placed(replace(pair, lies=way), places)
        if at is not None:
            found.append(at)
    near = [at for at in found if abs(float((at - doubt.wanted) @ doubt.out)) < max(3.0 * doubt.unsure, 3.0)]
    if not near:
        return None
    at = min(near, key=lambda one: float(np.hypot(*(one - doubt.wanted))))
    return float(np.hypot(*(at - nails[which]))), 1.0


def disagreements(side: FairSide, *, allow: float, notation: Notation, places: Places) -> Iterator[Problem]:
    """Points whose three distances do not agree."""
    for fixed in side.points:
        if fixed.check is None or fixed.worst_check <= AGREE * allow * 0.5:
            continue
        point = fixed.measured
        hints = []
        for which, typed in enumerate(point.values):
            at = _by_the_others(point, places, which, fixed.at)
            if at is None:
                continue
            nail = places.nails[point.sources[which]].at(point.side)
            wanted = float(np.hypot(*(at - nail)))
            slips = explain(typed, wanted, unsure=allow, notation=notation)
            if slips:
                hints.append(
                    f"{value_words(slips[0].meant, notation)} from {point.sources[which]} would agree with the "
                    f"other two ({slips[0].words})"
                )
        yield Problem(
            str(point.place),
            f"the three distances of point {point.name} of the {point.side} side disagree by up to "
            f"{fixed.worst_check:.1f} mm",
            "; or ".join(hints) or "measure them again",
            code="distances-disagree",
        )


def _by_the_others(point: MeasuredPoint, places: Places, which: int, near: FloatArray) -> FloatArray | None:
    others = [i for i in range(3) if i != which]
    pair = replace(
        point,
        sources=tuple(point.sources[i] for i in others),
        values=tuple(point.values[i] for i in others),
    )
    found = [placed(replace(pair, lies=way), places) for way in ("outboard", "inboard", "up", "down")]
    there = [at for at in found if at is not None]
    return min(there, key=lambda at: float(np.hypot(*(at - near)))) if there else None


def doubted_points(
    side: FairSide, *, allow: float, least: float, other: FairSide | None = None
) -> tuple[Doubted, ...]:
    """The points of one side that do not fit, the most doubtful of each stretch first.

    Args:
        allow: how far fairing may move a point, mm.
        least: half of the step to which the points were read, mm.
        other: the frame's other side, a witness where a batten's end alone can tell nothing.
    """
    tolerance = max(allow, least, 0.5)
    at = np.array([point.at for point in side.points])
    usual = _along(side, at, tolerance)
    for led in off_corners(side, other, tolerance=tolerance):
        moved = at.copy()
        moved[led.index] = led.wanted
        # A slip at a corner makes its neighbours look wrong: with the corner put right they are not.
        then = _along(side, moved, tolerance)
        if len(then) > len(usual) - (led.index in usual):
            continue
        point = side.points[led.index].measured
        at, usual = moved, then
        usual[led.index] = Doubted(
            point=point, wanted=led.wanted, out=led.out, off=led.off, unsure=led.unsure, place=led.place
        )
    return tuple(usual.values())


def _along(side: FairSide, at: FloatArray, tolerance: float) -> dict[int, Doubted]:
    """The doubted points of every stretch, by their index, with the points at places (n, 2)."""
    found: dict[int, Doubted] = {}
    for a, b in zip(side.corners, side.corners[1:], strict=False):
        index = list(range(a, b + 1))
        look = _by_batten if len(index) >= BATTEN else _by_simpler
        for i, doubt in look(side, index, at[index], tolerance).items():
            known = found.get(i)
            if known is None or abs(known.off) < abs(doubt.off):
                found[i] = doubt
    return found


def _crosswise(at: FloatArray, i: int) -> FloatArray:
    """The unit normal out of the wood of the line through a point's neighbours, (2,)."""
    before, after = at[max(i - 1, 0)], at[min(i + 1, len(at) - 1)]
    way = (after - before) / np.hypot(*(after - before))
    return np.array([way[1], -way[0]])


def _by_batten(
    side: FairSide, index: Sequence[int], at: FloatArray, tolerance: float
) -> Mapping[int, Doubted]:
    """Lift one duck after another, the batten's place put in for the one doubted most."""
    now = at.copy()
    n = len(now)
    noise = np.repeat(tolerance * NOISE * np.array([min(side.points[i].unsure, 3.0) for i in index]), 2)
    found: dict[int, Doubted] = {}
    while len(found) < MOST:
        laid, _ = lay_path(now, shared=False)
        both = np.zeros((2 * len(laid.inner), 2 * n))
        both[: len(laid.inner), 0::2] = both[len(laid.inner) :, 1::2] = laid.uneven
        lifted = lift(both, now.ravel(), noise=noise, ducks=n, reach=float(np.ptp(now, axis=0).max()))
        spring, deviation = lifted.spring.reshape(n, 2), lifted.deviation.reshape(n, 2)
        ways = np.array([_crosswise(now - spring * (np.arange(n) == i)[:, None], i) for i in range(n)])
        off, doubt = np.sum(spring * ways, axis=1), np.sum(deviation * ways, axis=1)
        i = int(np.abs(doubt).argmax())
        if abs(doubt[i]) <= DOUBTED or abs(off[i]) <= FAR * tolerance or index[i] in found:
            break
        wanted = now[i] - off[i] * ways[i]
        found[index[i]] = Doubted(
            point=side.points[index[i]].measured,
            wanted=wanted,
            out=ways[i],
            off=float(off[i]),
            unsure=abs(float(off[i] / doubt[i])),
        )
        now[i] = wanted
    return found


def _by_simpler(
    side: FairSide, index: Sequence[int], at: FloatArray, tolerance: float
) -> Mapping[int, Doubted]:
    """With four points a straight line, with five a parabola, through all but one: who alone lies off it?"""
    n = len(index)
    if n < FEW:
        return {}
    chord = (at[-1] - at[0]) / np.hypot(*(at[-1] - at[0]))
    out = np.array([chord[1], -chord[0]])
    along, over = at @ chord, at @ out
    alone = []
    for i in range(1, n - 1):
        rest = np.arange(n) != i
        fit = np.polyfit(along[rest], over[rest], n - 3)
        left = float(np.abs(over[rest] - np.polyval(fit, along[rest])).max())
        off = float(over[i] - np.polyval(fit, along[i]))
        if left < tolerance and abs(off) > max(OUT * left, TIMES * tolerance):
            alone.append((i, off))
    if len(alone) != 1:
        return {}
    i, off = alone[0]
    return {
        index[i]: Doubted(
            point=side.points[index[i]].measured, wanted=at[i] - off * out, out=out, off=off, unsure=tolerance
        )
    }
