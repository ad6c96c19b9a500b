"""The measured points faired: a batten between corners, never through one."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from patterns.errors import Problem
from patterns.fairing.batten import Ends
from patterns.fairing.paths import FairedPath, fair_path
from patterns.flat.polylines import normals_left
from patterns.hull.planes import FloatArray
from patterns.repair.fixing import Fixed
from patterns.repair.outline import Edge, Stretch

__all__ = ["HEAD", "HEEL", "FairSide", "fair_side", "order_problems", "stretch_spans"]

HEEL, HEAD = "heel", "head"
SPACING = 4.0  # mm between the points of a curved stretch
FEWEST = 24  # and not fewer than this
TOGETHER = 2.0  # mm; two points nearer than this are one, measured twice
TURNED = 0.0  # cosine of the turn at a point that is no corner; more than a right angle folds the edge back
SQUARE = np.sin(np.radians(8.0))  # two straight stretches that meet at a lesser angle have no sharp corner
LOOSEST = 3.0  # times the allowed move: a point that its nails fix badly may move no farther


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FairSide:
    """One side's edge as faired.

    Attributes:
        points: as measured, from the heel up.
        edge: the fair edge through them.
        at: (n, 2), where each point lies on it, mm.
        runs: (n,), the length along the edge to each, mm.
        moves: (n,), how far each was moved out of the wood (into it: less than 0), mm.
        corners: indices of the points at which a stretch ends, heel and head included.
    """

    points: tuple[Fixed, ...]
    edge: Edge
    at: FloatArray
    runs: FloatArray
    moves: FloatArray
    corners: tuple[int, ...]

    def share(self, index: int) -> tuple[int, float]:
        """The stretch on which a point lies, and its share of that stretch's length."""
        k = min(max(sum(stop <= index for stop in self.corners) - 1, 0), len(self.edge.stretches) - 1)
        return k, float((self.runs[index] - self.edge.corner_runs[k]) / self.edge.stretches[k].run[-1])


def stretch_spans(points: Sequence[Fixed]) -> tuple[int, ...]:
    """The indices of the points at which the batten stops: both ends, and every corner."""
    inner = [i for i, point in enumerate(points) if point.measured.corner and 0 < i < len(points) - 1]
    return (0, *inner, len(points) - 1)


def _name(points: Sequence[Fixed], first: int, last: int) -> str:
    """What a stretch is called: by the points within it, or by the corner at its upper end."""
    inner = [point.measured.edge for point in points[first + 1 : last]]
    return inner[0] if inner else points[last].measured.edge


def order_problems(points: Sequence[Fixed]) -> list[Problem]:
    """Points that lie on each other, and where the edge first folds back."""
    at, stops = np.array([point.at for point in points]), stretch_spans(points)
    found = []
    folded = False
    for i in range(1, len(points)):
        step = at[i] - at[i - 1]
        here, before = points[i].measured, points[i - 1].measured
        if np.hypot(*step) < TOGETHER:
            found.append(
                Problem(
                    str(here.place), f"point {here.name} lies on point {before.name}", "take one of them out"
                )
            )
            continue
        if i > 1 and i - 1 not in stops and not folded:
            last = at[i - 1] - at[i - 2]
            if float(step @ last) <= TURNED * np.hypot(*step) * max(np.hypot(*last), 1e-9):
                folded = True
                found.append(
                    Problem(
                        str(before.place),
                        f"at point {before.name} the edge of the {here.side} side folds back",
                        "rows run from the keel up: put them in order, look for a slip of the tape, or say that it "
                        "is a corner",
                    )
                )
    return found


def fair_side(
    points: Sequence[Fixed], *, allow: float, ends: Ends, straight: Collection[str] = ()
) -> tuple[FairSide | None, list[Problem]]:
    """Fair one side.

    Args:
        points: from the heel up, three or more.
        allow: how far a well fixed point may be moved, mm; one that its nails fix badly may be moved farther.
        straight: the stretches that are straight on purpose.
    Returns:
        The side, None where its points make no edge; and why.
    """
    at = np.array([point.at for point in points])
    stops = stretch_spans(points)
    problems = order_problems(points)
    if problems:
        return None, problems
    names = [_name(points, a, b) for a, b in pairwise(stops)]
    held, laid = _straightened(at, stops, [name in straight for name in names])
    kept = [i for i in range(len(points)) if i not in laid]
    knuckles = tuple(kept.index(i) for i in stops[1:-1])
    room = allow * np.minimum([points[i].unsure for i in kept], LOOSEST)
    room = np.where([i in held for i in kept], 0.0, room)
    path = fair_path(
        np.array([held.get(i, at[i]) for i in kept]),
        np.stack([room, room], axis=1),
        ends=ends,
        knuckles=knuckles,
    )
    t = dict(zip(kept, path.t, strict=True))
    stretches = tuple(
        _stretch(path, name, t[a], t[b], curved=b - a > 1 and name not in straight)
        for name, a, b in zip(names, stops, stops[1:], strict=False)
    )
    corners = [points[i].measured.corner for i in stops]
    edge = Edge(
        stretches=stretches,
        corners=(corners[0] or HEEL, *corners[1:-1], corners[-1] or HEAD),
    )
    return _measured_on(points, at, edge, stops), []


def _straightened(
    at: FloatArray, stops: Sequence[int], straight: Sequence[bool]
) -> tuple[dict[int, FloatArray], set[int]]:
    """Straight stretches by least squares: where their ends are held, and the points between that are not used."""
    lines: list[tuple[FloatArray, FloatArray] | None] = []
    inner: set[int] = set()
    for is_straight, a, b in zip(straight, stops, stops[1:], strict=False):
        if not is_straight:
            lines.append(None)
            continue
        own = at[a : b + 1]
        middle = own.mean(axis=0)
        lines.append((middle, np.linalg.svd(own - middle)[2][0]))
        inner |= set(range(a + 1, b))
    held = {}
    for k, i in enumerate(stops):
        beside = [line for line in (*lines[max(k - 1, 0) : k], *lines[k : k + 1]) if line is not None]
        feet = [middle + float((at[i] - middle) @ way) * way for middle, way in beside]
        if len(beside) == 2:
            (first, way), (second, other) = beside
            turn = float(way[0] * other[1] - way[1] * other[0])
            if abs(turn) > SQUARE:
                gap = second - first
                feet = [first + float(gap[0] * other[1] - gap[1] * other[0]) / turn * way]
        if feet:
            held[i] = np.mean(feet, axis=0)
    return held, inner


def _stretch(path: FairedPath, name: str, first: float, last: float, *, curved: bool) -> Stretch:
    count = max(FEWEST, int((last - first) / SPACING)) if curved else 1
    # A hair short of the next corner: there the next batten begins.
    t = np.linspace(first, last, count + 1)
    t[-1] = last - 1e-9 * (last - first)
    points = np.stack([path.x(t), path.z(t)], axis=-1)
    slopes = np.stack([path.x(t, 1), path.z(t, 1)], axis=-1)
    if curved:
        out = np.stack([slopes[:, 1], -slopes[:, 0]], axis=-1)
        out = out / np.linalg.norm(out, axis=-1, keepdims=True)
    else:
        out = -normals_left(points)
    blank = np.full(len(t), np.nan)
    return Stretch(name=name, points=points, out=out, slope=blank, hollow=blank)


def _measured_on(points: Sequence[Fixed], at: FloatArray, edge: Edge, stops: Sequence[int]) -> FairSide:
    """Each point set against the fair edge: the nearest place on its own stretch."""
    feet, runs, moves = np.zeros_like(at), np.zeros(len(at)), np.zeros(len(at))
    starts = edge.corner_runs
    for k, (a, b) in enumerate(pairwise(stops)):
        stretch = edge.stretches[k]
        for i in range(a, b + 1):
            if i == a and k > 0:
                continue
            if i in (a, b):
                end = 0 if i == a else -1
                foot, along, out = stretch.points[end], stretch.run[end], stretch.out[end]
            else:
                foot, along, out = _foot(stretch, at[i])
            feet[i], runs[i] = foot, starts[k] + along
            gap = foot - at[i]
            if i in stops[1:-1]:  # a corner moves in no one direction
                moves[i] = float(
                    np.hypot(*gap) * np.copysign(1.0, gap @ (out + edge.stretches[k + 1].out[0]))
                )
            else:
                moves[i] = float(gap @ out)
    return FairSide(points=tuple(points), edge=edge, at=feet, runs=runs, moves=moves, corners=tuple(stops))


def _foot(stretch: Stretch, point: FloatArray) -> tuple[FloatArray, float, FloatArray]:
    """The place of a stretch nearest to a point, the length along to it, and the normal there."""
    start, step = stretch.points[:-1], np.diff(stretch.points, axis=0)
    share = np.clip(np.sum((point - start) * step, axis=1) / np.sum(step * step, axis=1), 0.0, 1.0)
    near = start + share[:, None] * step
    i = int(np.hypot(*(near - point).T).argmin())
    out = stretch.out[i] + share[i] * (stretch.out[i + 1] - stretch.out[i])
    run = stretch.run
    return near[i], float(run[i] + share[i] * (run[i + 1] - run[i])), out / np.hypot(*out)
