"""Which pieces touch and which want the same place, found from their outlines: cheap enough for every check."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from patterns.assembly.slabs import NEAR, Slab, met, near
from patterns.hull.planes import FloatArray
from patterns.timbers.run import Run

__all__ = ["Touch", "deepest_in", "run_overlaps", "touches"]

APART = 4  # of a run's places one is looked at


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Touch:
    """Two bodies of two pieces that touch or overlap.

    Attributes:
        slabs: the two.
        overlap: how deep one lies in the other for certain, mm; 0 where it does not.
        at: where, (x, y, z), mm.
    """

    slabs: tuple[Slab, Slab]
    overlap: float
    at: FloatArray


def touches(slabs: Sequence[Slab]) -> Iterator[Touch]:
    """Every two bodies of different pieces, or of the two sides, that touch; both on the port side tell nothing."""
    for a, b in combinations(slabs, 2):
        same = a.name == b.name and a.port == b.port
        if same or (a.port and b.port) or not near(a, b):
            continue
        touching, overlap, at = met(a, b)
        if touching or overlap > 0.0:
            yield Touch(slabs=(a, b), overlap=overlap, at=at)


def deepest_in(run: Run, points: FloatArray) -> tuple[float, FloatArray]:
    """How deep the deepest of points (n, 3) lies in a timber, mm, and which, (3,); less than 0 outside.

    Points far from it count as `-inf`.
    """
    none = -np.inf, np.zeros(3)
    low, high = run.box()
    points = points[np.all((points >= low - NEAR) & (points <= high + NEAR), axis=1)]
    middle = run.middle[np.argsort(run.middle[:, 0])]
    if np.all(np.diff(run.middle[:, 0]) < 0.0) or np.all(np.diff(run.middle[:, 0]) > 0.0):
        # Most points of a long timber's box are far from it: those are left out by the place at the same x.
        there = np.stack([np.interp(points[:, 0], middle[:, 0], middle[:, i]) for i in (1, 2)], axis=-1)
        points = points[np.hypot(*(points[:, 1:] - there).T) <= 3.0 * (run.across + run.deep)]
    if not len(points):
        return none
    depth = run.depth(points)
    most = int(depth.argmax())
    return float(depth[most]), points[most]


def run_overlaps(runs: Sequence[Run]) -> Iterator[tuple[Run, Run, float, FloatArray]]:
    """Every two long timbers on the starboard side that want the same place, how deep, mm, and where, (3,)."""
    for first, second in combinations(runs, 2):
        deepest, at = 0.0, np.zeros(3)
        for one, other in ((first, second), (second, first)):
            corners = one.corners[::APART]
            points = np.concatenate([corners, 0.5 * (corners + np.roll(corners, 1, axis=1))], axis=1)
            depth, where = deepest_in(other, points.reshape(-1, 3))
            if depth > deepest:
                deepest, at = depth, where
        if deepest > NEAR:
            yield first, second, deepest, at
