"""An edge that folds back, or a point that has no place: the one change that would put the edge in order.

Each point is left out in turn.  Where the others make an edge in order, it is asked what would bring this one onto
their curve: its first two values exchanged, the other side of the nails' line, two rows exchanged, or one value
changed, and by how much.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from patterns.design.repair_models import WAYS
from patterns.errors import Problem
from patterns.fairing.slips import explain
from patterns.flat.polylines import meet
from patterns.hull.planes import FloatArray
from patterns.measure import Notation
from patterns.repair.fairing import order_problems, stretch_spans
from patterns.repair.fixing import Fixed, fix, placed
from patterns.repair.places import Places
from patterns.repair.points import MeasuredPoint
from patterns.repair.told import source_words, value_words

__all__ = ["one_change"]

REACH = 700.0  # mm by which one value is changed at most
STEP = 4.0  # mm between the values that are tried before they are made finer
FINER = 50  # bisections, at most
ON = 0.5  # mm; a point that is nearer than this lies on the curve
MEETS = 6.0  # mm by which a corner may miss the place where the curves on both sides of it meet
EXCHANGED = 8.0  # mm by which a point may lie off the others' curve where no length is changed
UNSURE = 2.0  # mm; standard deviation of a good value from the one that the others' curve asks for
AS_FAIR = 0.15  # radians by which an edge may turn more than the one that turns least
FINE = 60  # points of that curve from one point to the next
BEYOND = 1.5  # last distances between points by which it is carried on past an end


@dataclass(frozen=True, slots=True, kw_only=True)
class _Change:
    """What would put the edge in order.

    Attributes:
        turned: how far the edge would turn then between its corners, both ways counted, radians.
        slip: a usual slip would explain it.
        size: by how much a value is changed, mm; 0 where none is.
    """

    place: str
    words: str
    turned: float
    slip: bool = True
    size: float = 0.0


def one_change(points: Sequence[MeasuredPoint], places: Places, notation: Notation) -> Problem | None:
    """The likeliest single change that puts one side's edge in order, and the next likely; None where none does.

    Args:
        points: of one side, from the keel up, two or more; the edge that they make is not in order.
    """
    found = [change for i in range(len(points)) for change in _changes(points, i, places, notation)]
    if not found:
        return None
    least = min(change.turned for change in found)
    fair = [change for change in found if change.turned <= least + AS_FAIR]
    chosen = [c for c in fair if not c.size] or [c for c in fair if c.slip] or fair
    chosen = sorted(chosen, key=lambda change: change.size)[:2]
    words = "; or ".join(dict.fromkeys(change.words for change in chosen))
    return Problem(
        chosen[0].place,
        words,
        f"that would put the edge of the {points[0].side} side in order",
        code="fold-explained",
    )


def _changes(
    points: Sequence[MeasuredPoint], i: int, places: Places, notation: Notation
) -> Iterator[_Change]:
    """What would bring one point into the order that the others are in."""
    rest = [fix(point, places) for k, point in enumerate(points) if k != i]
    others = [point for point in rest if isinstance(point, Fixed)]
    if len(others) < len(rest) or len(others) < 3 or order_problems(others):
        return
    own = points[i]

    def turned(point: MeasuredPoint, k: int = i) -> float | None:
        """How far the edge turns with the point as its k-th one; None where it is not in order then."""
        fixed = fix(point, places)
        edge = [*others[:k], fixed, *others[k:]] if isinstance(fixed, Fixed) else []
        return None if not edge or order_problems(edge) else _turned(edge)

    line = _line_without(others, i, corner=bool(own.corner))
    if line is not None:
        yield from _without_lengths(own, line, places, turned)
        yield from _by_lengths(own, line, places, notation, turned)
    at = placed(own, places)
    for j in sorted({i - 1, i + 1} & set(range(len(points)))):
        if at is None or own.corner or points[j].corner or points[j].edge != own.edge:
            continue
        there, turn = _line_without(others, j, corner=False), turned(own, j)
        if there is not None and turn is not None and abs(there.off(at)) < EXCHANGED:
            low, high = points[min(i, j)].name, points[max(i, j)].name
            yield _Change(
                place=str(own.place), words=f"the rows of the points {low} and {high} exchanged", turned=turn
            )


def _turned(edge: Sequence[Fixed]) -> float:
    """How far an edge turns at the points that are no corners, both ways counted, radians."""
    step = np.diff([point.at for point in edge], axis=0)
    heading = np.arctan2(step[:, 1], step[:, 0])
    turn = np.abs((np.diff(heading) + np.pi) % (2.0 * np.pi) - np.pi)
    corners = [i - 1 for i in stretch_spans(edge)[1:-1]]
    return float(np.delete(turn, corners).sum())


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Line:
    """Where a point may lie by the others: a curve (n, 2), or for a corner the one place where two curves meet."""

    curve: FloatArray
    corner: FloatArray | None = None

    def off(self, at: FloatArray) -> float:
        """How far a place lies to the right of the curve, mm; of a corner the distance."""
        if self.corner is not None:
            return float(np.hypot(*(at - self.corner)))
        start, step = self.curve[:-1], np.diff(self.curve, axis=0)
        share = np.clip(np.sum((at - start) * step, axis=1) / np.sum(step * step, axis=1), 0.0, 1.0)
        gap = at - start - share[:, None] * step
        k = int(np.hypot(*gap.T).argmin())
        right = step[k, 1] * gap[k, 0] - step[k, 0] * gap[k, 1]
        return float(np.copysign(np.hypot(*gap[k]), right))


def _line_without(others: Sequence[Fixed], i: int, *, corner: bool) -> _Line | None:
    """Where one more point may lie among others, as the i-th of them."""
    stops = stretch_spans(others)
    at = np.array([point.at for point in others])
    if i == 0:
        return _Line(curve=_carried_on(at[: stops[1] + 1][::-1]))
    if i == len(others):
        return _Line(curve=_carried_on(at[stops[-2] :]))
    a = max(stop for stop in stops if stop < i)
    b = min(stop for stop in stops if stop >= i)
    if not corner:
        curve, t = _curve(at[a : b + 1])
        return _Line(curve=curve(np.linspace(t[i - 1 - a], t[i - a], FINE + 1)))
    before, after = at[a:i], at[i : b + 1]
    if len(before) < 2 or len(after) < 2:
        return None
    ahead, back = _carried_on(before), _carried_on(after[::-1])
    place = meet(ahead, back, near=0.5 * (before[-1] + after[0]))
    if place is None:
        return None
    k = min(int(place[0]), len(ahead) - 2)
    return _Line(curve=ahead, corner=ahead[k] + (place[0] - k) * (ahead[k + 1] - ahead[k]))


def _curve(own: FloatArray) -> tuple[Callable[[FloatArray], FloatArray], FloatArray]:
    """A smooth curve through points (n, 2), n >= 2, over the length of their chords."""
    t = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(own, axis=0).T))])
    if len(own) == 2:
        return lambda at: own[0] + at[:, None] / t[-1] * (own[1] - own[0]), t
    from scipy.interpolate import CubicSpline  # it starts slowly, and a fold is rare

    return CubicSpline(t, own), t


def _carried_on(own: FloatArray) -> FloatArray:
    """The parabola (or straight line) of the last points of a run carried on past its last one."""
    last = own[-4:]
    t = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(last, axis=0).T))])
    beyond = np.linspace(t[-1], t[-1] + BEYOND * (t[-1] - t[-2]), FINE + 1)
    fit = np.polyfit(t, last, min(2, len(last) - 1))
    return np.stack([np.polyval(fit[:, k], beyond) for k in (0, 1)], axis=-1)


def _without_lengths(
    point: MeasuredPoint, line: _Line, places: Places, turned: Callable[[MeasuredPoint], float | None]
) -> Iterator[_Change]:
    """Changes of no length: two values exchanged, the other side of the nails' line."""
    first, second, *rest = point.values
    ways = [way for way in WAYS if way != point.lies] if point.lies is not None else []
    tried = [
        (
            replace(point, values=(second, first, *rest)),
            point.places[0],
            f"a and b exchanged at point {point.name}",
        ),
        *(
            (
                replace(point, lies=way),
                point.place,
                f"point {point.name} lies {way} of its nails, and not {point.lies}",
            )
            for way in ways
        ),
    ]
    for other, place, words in tried:
        at = placed(other, places)
        turn = None if at is None or abs(line.off(at)) > EXCHANGED else turned(other)
        if turn is not None:
            yield _Change(place=str(place), words=words, turned=turn)


def _by_lengths(
    point: MeasuredPoint,
    line: _Line,
    places: Places,
    notation: Notation,
    turned: Callable[[MeasuredPoint], float | None],
) -> Iterator[_Change]:
    """One value changed so far that the point comes onto the others' curve."""
    for which, typed in enumerate(point.values):
        find = _by_the_other_two if len(point.values) == 3 else _tried
        for wanted in find(point, which, line, places):
            turn = None if abs(wanted - typed) < STEP else turned(_with(point, which, wanted))
            if turn is None:
                continue
            slips = explain(typed, wanted, unsure=UNSURE, notation=notation)
            words = f"{source_words(point, which)} {value_words(typed, notation, point.places[which].typed)} would "
            words += f"have to be about {value_words(wanted, notation)} at point {point.name}"
            if slips:
                words += f": {slips[0].words} (then {value_words(slips[0].meant, notation)} was meant)"
            yield _Change(
                place=str(point.places[which]),
                words=words,
                turned=turn,
                slip=bool(slips),
                size=abs(wanted - typed),
            )
            break


def _with(point: MeasuredPoint, which: int, value: float) -> MeasuredPoint:
    values = tuple(value if k == which else old for k, old in enumerate(point.values))
    return replace(point, values=values)


def _tried(point: MeasuredPoint, which: int, line: _Line, places: Places) -> list[float]:
    """The values with which the point lies on a line, that nearest to what was read first."""
    typed = point.values[which]

    def off(value: float) -> float:
        if point.method == "nails" and value <= 0.0:
            return float("nan")
        at = placed(_with(point, which, value), places)
        return float("nan") if at is None else line.off(at)

    if line.corner is not None:
        values = typed + np.arange(-REACH, REACH + STEP, STEP)
        offs = np.array([off(float(value)) for value in values])
        if np.isnan(offs).all() or np.nanmin(offs) > MEETS + STEP:
            return []
        best = float(values[int(np.nanargmin(offs))])
        near = best + np.arange(-STEP, STEP + 1.0)
        offs = np.array([off(float(value)) for value in near])
        return [float(near[int(np.nanargmin(offs))])] if np.nanmin(offs) < MEETS else []
    found = []
    for way in (STEP, -STEP):
        last, before = typed, off(typed)
        for _ in range(int(REACH / STEP)):
            value = last + way
            here = off(value)
            if before * here <= 0.0 and (root := _between(off, last, value, before)) is not None:
                found.append(root)
            last, before = value, here
    return sorted(found, key=lambda value: abs(value - typed))


def _between(off: Callable[[float], float], low: float, high: float, at_low: float) -> float | None:
    for _ in range(FINER):
        middle = 0.5 * (low + high)
        here = off(middle)
        if here * at_low > 0.0:
            low, at_low = middle, here
        else:
            high = middle
        if abs(high - low) < 1e-6:
            break
    root = 0.5 * (low + high)
    return root if abs(off(root)) < ON else None


def _by_the_other_two(point: MeasuredPoint, which: int, line: _Line, places: Places) -> list[float]:
    """With three nails: the distance to the place of the other two's distances that lies on the line."""
    others = [k for k in range(3) if k != which]
    pair = replace(
        point,
        sources=tuple(point.sources[k] for k in others),
        values=tuple(point.values[k] for k in others),
    )
    found = [placed(replace(pair, lies=way), places) for way in WAYS]
    near = [at for at in found if at is not None and abs(line.off(at)) < MEETS]
    nail = places.nails[point.sources[which]].at(point.side)
    return [float(np.hypot(*(at - nail))) for at in sorted(near, key=lambda one: abs(line.off(one)))]
