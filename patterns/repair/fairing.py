"""The measured points faired: a batten between corners, never through one."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from patterns.errors import Problem
from patterns.fairing.batten import Ends, fair
from patterns.fairing.paths import fair_path
from patterns.flat.polylines import normals_left
from patterns.hull.planes import FloatArray
from patterns.repair.fixing import Fixed
from patterns.repair.outline import Edge, EdgeStretch, moved_out

__all__ = ["HEAD", "HEEL", "FairSide", "fair_side", "order_problems", "stretch_spans"]

HEEL, HEAD = "heel", "head"
SPACING = 4.0  # mm between the points of a curved stretch
FEWEST = 24  # and not fewer than this
TOGETHER = 2.0  # mm; two points nearer than this are one, measured twice
TURNED = 0.0  # cosine of the turn at a point that is no corner; more than a right angle folds the edge back
SHALLOW = 0.6  # slope to its chord up to which a stretch is faired square to it, else over its own length
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


def _name(points: Sequence[Fixed], first: int, last: int) -> str:
    """What a stretch is called: by the points within it, or by the corner at its upper end."""
    inner = [point.measured.edge for point in points[first + 1 : last]]
    return inner[0] if inner else points[last].measured.edge


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
    folded = False
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
            continue
        if i > 1 and i - 1 not in stops and not folded:
            last = at[i - 1] - at[i - 2]
            if float(step @ last) <= TURNED * np.hypot(*step) * max(np.hypot(*last), 1e-9):
                folded = True
                found.append(
                    Problem(
                        str(before.place),
                        f"at point {before.name} the edge of the {here.side} side folds back",
                        "rows run from the keel up: put them in order, look for a slip of the tape, or "
                        "mark it as a corner",
                        code="edge-folds-back",
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
    room = allow * np.minimum([point.unsure for point in points], LOOSEST)
    stretches = []
    for a, b in pairwise(stops):
        name = _name(points, a, b)
        own = slice(a, b + 1)
        line = _straight(at[own]) if name in straight else _curve(at[own], room[own], ends)
        blank = np.full(len(line[0]), np.nan)
        stretches.append(EdgeStretch(name=name, points=line[0], out=line[1], slope=blank, hollow=blank))
    corners = [points[i].measured.corner for i in stops]
    apart = Edge(
        stretches=tuple(stretches), corners=(corners[0] or HEEL, *corners[1:-1], corners[-1] or HEAD)
    )
    # Each batten is laid by itself; the corner is where two of them cross.
    edge = moved_out(apart, [np.zeros(len(stretch.points)) for stretch in stretches])
    return _measured_on(points, at, edge, stops), []


def _straight(own: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The best straight line through points by least squares, from the first one's foot to the last one's."""
    middle = own.mean(axis=0)
    way = np.linalg.svd(own - middle)[2][0]
    ends = np.array([middle + float((point - middle) @ way) * way for point in own[[0, -1]]])
    return ends, -normals_left(ends)


def _curve(own: FloatArray, room: FloatArray, ends: Ends) -> tuple[FloatArray, FloatArray]:
    """A batten laid along points, (n, 2), and eased: fine points of it and its normals out of the wood."""
    if len(own) == 2:
        return own, -normals_left(own)
    chord = (own[-1] - own[0]) / np.hypot(*(own[-1] - own[0]))
    out = np.array([chord[1], -chord[0]])
    along, over = (own - own[0]) @ chord, (own - own[0]) @ out
    if np.all(np.diff(along) > 0.0) and np.abs(np.diff(over) / np.diff(along)).max() < SHALLOW:
        curve = fair(along, over, tolerance=room, ends=ends).curve
        t = np.linspace(along[0], along[-1], _count(along[-1]))
        points = own[0] + t[:, None] * chord + curve(t)[:, None] * out
        run = chord + curve(t, 1)[:, None] * out
    else:
        path = fair_path(own, np.stack([room, room], axis=1), ends=ends)
        t = np.linspace(path.t[0], path.t[-1], _count(path.t[-1]))
        points = np.stack([path.x(t), path.z(t)], axis=-1)
        run = np.stack([path.x(t, 1), path.z(t, 1)], axis=-1)
    normal = np.stack([run[:, 1], -run[:, 0]], axis=-1)
    return points, normal / np.linalg.norm(normal, axis=-1, keepdims=True)


def _count(length: float) -> int:
    return max(FEWEST, int(length / SPACING)) + 1


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
