"""The fair edge of one side with its points: nothing is faired through a corner."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from patterns.errors import Problem
from patterns.hull.planes import FloatArray
from patterns.repair.fixing import Fixed
from patterns.repair.measuring.order import folds
from patterns.repair.outline import Edge, EdgeStretch, moved_out

__all__ = ["HEAD", "HEEL", "FairSide", "fair_side", "order_problems", "stretch_spans"]

HEEL, HEAD = "heel", "head"
TOGETHER = 2.0  # mm; two points nearer than this are one, measured twice


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

    def stretches_at(self, index: int) -> list[str]:
        """The stretches that a point lies on: two at a corner."""
        return [
            stretch.name
            for k, stretch in enumerate(self.edge.stretches)
            if self.corners[k] <= index <= self.corners[k + 1]
        ]

    def named(self, name: str, stretch: str | None = None) -> int | None:
        """The index of a point by its name, or by what stands at it; None where there is none.

        Args:
            stretch: of several corners at which the same stands, the one that ends this stretch is meant.
        """
        names = [point.measured.name for point in self.points]
        if name in names:
            return names.index(name)
        found = [i for i in self.corners if self.points[i].measured.corner == name]
        return next(iter([*(i for i in found if stretch in self.stretches_at(i)), *found]), None)


def stretch_spans(points: Sequence[Fixed]) -> tuple[int, ...]:
    """The indices of the points at which the batten stops: both ends, and every corner."""
    inner = [i for i, point in enumerate(points) if point.measured.corner and 0 < i < len(points) - 1]
    return (0, *inner, len(points) - 1)


def order_problems(points: Sequence[Fixed]) -> list[Problem]:
    """Points from the head down, points that lie on each other, and where the edge first folds back."""
    at, stops = np.array([point.at for point in points]), stretch_spans(points)
    found = []
    if len(points) > 2 and float((at[-1] - at[0]).sum()) < 0.0:
        first, last = points[0].measured, points[-1].measured
        found.append(
            Problem(
                str(first.place),
                f"the {first.side} side's rows run from the head down, from point {first.name} to {last.name}",
                "put them in the order from the keel up: the wood lies inboard of an edge that runs upward",
                code="points-order",
            )
        )
        return found
    for i in range(1, len(points)):
        step = at[i] - at[i - 1]
        here, before = points[i].measured, points[i - 1].measured
        if np.hypot(*step) < TOGETHER:
            found.append(
                Problem(
                    str(here.place),
                    f"point {here.name} lies on point {before.name}",
                    "take one of them out",
                    code="points-same-place",
                )
            )
    for i in folds(at, stops)[:1]:
        point = points[i].measured
        found.append(
            Problem(
                str(point.place),
                f"at point {point.name} the edge of the {point.side} side folds back",
                "rows run from the keel up: put them in order, look for a slip of the tape, or mark it as a corner",
                code="edge-folds-back",
            )
        )
    return found


def fair_side(points: Sequence[Fixed], curves: Sequence[EdgeStretch]) -> FairSide:
    """One side's edge put together of the fair curves of its stretches, and its points set against it.

    Args:
        points: from the heel up.
        curves: the stretches between its corners, each by itself.
    """
    at = np.array([point.at for point in points])
    stops = stretch_spans(points)
    corners = [points[i].measured.corner for i in stops]
    apart = Edge(stretches=tuple(curves), corners=(corners[0] or HEEL, *corners[1:-1], corners[-1] or HEAD))
    # Each curve is known by itself; the corner is where two of them cross.
    edge = moved_out(apart, [np.zeros(len(stretch.points)) for stretch in curves])
    return _measured_on(points, at, edge, stops)


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


def _foot(stretch: EdgeStretch, point: FloatArray) -> tuple[FloatArray, float, FloatArray]:
    """The place of a stretch nearest to a point, the length along to it, and the normal there."""
    start, step = stretch.points[:-1], np.diff(stretch.points, axis=0)
    share = np.clip(np.sum((point - start) * step, axis=1) / np.sum(step * step, axis=1), 0.0, 1.0)
    near = start + share[:, None] * step
    i = int(np.hypot(*(near - point).T).argmin())
    out = stretch.out[i] + share[i] * (stretch.out[i + 1] - stretch.out[i])
    run = stretch.run
    return near[i], float(run[i] + share[i] * (run[i + 1] - run[i])), out / np.hypot(*out)
