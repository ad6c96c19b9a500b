"""The nearest of many points: few are held against all of them, for many there is a tree."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from patterns.vectors import FloatArray

if TYPE_CHECKING:
    from scipy.spatial import cKDTree

__all__ = ["NearestPoints"]

ALL = 4_000_000  # pairs that are looked at without a tree, whose import alone takes longer
TOGETHER = 250_000  # of them at a time


@dataclass(frozen=True, eq=False)
class NearestPoints:
    """Points (m, 3), mm, of which the nearest is asked for."""

    points: FloatArray

    @cached_property
    def _tree(self) -> cKDTree:
        from scipy.spatial import cKDTree

        return cKDTree(self.points)

    @cached_property
    def _centred(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Their middle, and twice the way from it to each, (3, m), and half the square of that, (m,)."""
        middle = self.points.mean(axis=0)
        ways = self.points - middle
        return middle, 2.0 * ways.T, np.einsum("ij,ij->i", ways, ways)

    def query(self, places: FloatArray) -> tuple[FloatArray, NDArray[np.intp]]:
        """How far the nearest point is from each place (n, 3), mm, (n,), and which it is, (n,)."""
        if len(places) * len(self.points) > ALL:
            far, which = self._tree.query(places)
            return far, which
        middle, twice, squares = self._centred
        nearest = np.empty(len(places), dtype=np.intp)
        step = max(TOGETHER // len(self.points), 1)
        for k in range(0, len(places), step):
            # The square of a distance, less what is the same for all points.
            apart = squares - (places[k : k + step] - middle) @ twice
            nearest[k : k + step] = apart.argmin(axis=1)
        off = places - self.points[nearest]
        return np.sqrt(np.einsum("ij,ij->i", off, off)), nearest
