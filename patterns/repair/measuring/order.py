"""The order of the points along an edge: rows run from the keel up, and no edge folds back on itself."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import groupby

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.repair.measuring.spots import Spot

__all__ = ["folds", "folds_of"]

TOGETHER = 2.0  # mm; which of two points nearer than this comes first does not matter


def folds(at: FloatArray, corners: Collection[int]) -> list[int]:
    """The points (n, 2) at which an edge turns by a right angle or more and has no corner."""
    if len(at) < 3:
        return []
    step = np.diff(at, axis=0)
    far = np.hypot(*step.T)
    back = (np.sum(step[1:] * step[:-1], axis=1) <= 0.0) & (far[1:] > TOGETHER) & (far[:-1] > TOGETHER)
    return [int(i) + 1 for i in np.flatnonzero(back) if i + 1 not in corners]


def folds_of(spots: Sequence[Spot], at: FloatArray) -> list[int]:
    """The spots, by their indices, at which some side of some frame folds back; at (spots, 2)."""
    found: list[int] = []
    for _, run in groupby(range(len(spots)), key=lambda i: (spots[i].frame, spots[i].side)):
        own = list(run)
        corners = [k for k, i in enumerate(own) if len(spots[i].stretches) > 1]
        found += [own[k] for k in folds(at[own], corners)]
    return found
