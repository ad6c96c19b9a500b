"""The grid over which the profile line's curvature is described: knots along its length, and cells between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from patterns.hull.planes import FloatArray

__all__ = ["ProfileGrid", "profile_grid"]

TURNS = 0.05  # radians from chord to chord beyond which the line is taken to turn there
FINE, COARSE = 120.0, 250.0  # mm between knots where the line turns, and where it does not
MOST_PARTS = 6  # knots that one span is divided into
CELL = 40.0  # mm; curvature is constant in a cell
LEAST_CELLS, MOST_CELLS = 3, 10  # in each span between knots
BESIDE = 1.0  # mm before a knuckle at which a second knot lies, so that curvature may jump there too
NEAR = 20.0  # mm by which a point may always lie elsewhere than the chords have it
RUN_ON = 0.02  # of the length by which the line runs on past its last point


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ProfileGrid:
    """Points of the profile line, and the grid over its length.

    Attributes:
        points: shape (n, 2), x and z, mm.
        measured: shape (n,), 0 where x was measured, 1 where z was; the other coordinate is exact.
        sigma: shape (n,), standard deviation of the measured figures, mm.
        heading: shape (n-1,), the chords' angles above level and aft, unwrapped, radians.
        s: shape (n,), a first guess of the length at each point, mm.
        low, high: shape (n,), the lengths between which each point is looked for, mm.
        knots: shape (m,), lengths at which the shape of curvature is given, mm.
        cell: shape (c+1,), ends of the cells, mm.
        weight: shape (c, m), what each knot adds at each cell's middle; 0 where the line is straight on purpose.
        breaks: the indices of knots at which a new run begins (the second of a pair).
        turns: shape (k,), the indices of cells' ends at which the line turns: the knuckles.
    """

    points: FloatArray
    measured: NDArray[np.intp]
    sigma: FloatArray
    heading: FloatArray
    s: FloatArray
    low: FloatArray
    high: FloatArray
    knots: FloatArray
    cell: FloatArray
    weight: FloatArray
    breaks: tuple[int, ...]
    turns: tuple[int, ...]
    knuckles: tuple[int, ...]

    @property
    def length(self) -> float:
        """Sum of the chords, mm."""
        return float(np.hypot(*np.diff(self.points, axis=0).T).sum())

    @property
    def turned(self) -> FloatArray:
        """By how much the chords turn at each knuckle, shape (k,), radians."""
        return np.array([self.heading[q] - self.heading[q - 1] for q in self.knuckles])

    def doubting(self, index: int, sigma: float) -> ProfileGrid:
        """The same with one figure taken to be so much less sure."""
        loose = self.sigma.copy()
        loose[index] = sigma
        return replace(self, sigma=loose)


def profile_grid(
    points: FloatArray,
    measured: Sequence[int],
    sigma: FloatArray,
    *,
    knuckles: Sequence[int] = (),
    straight: tuple[int, int] | None = None,
    lengths: FloatArray | None = None,
) -> ProfileGrid:
    """Lay the grid.

    Args:
        points: shape (n, 2), n >= 3, in order along the line, mm.
        measured, sigma: see `ProfileGrid`.
        knuckles: indices of inner points at which the line turns.
        straight: the first and the last of the points between which the line is straight on purpose; both
            must be knuckles or ends.
        lengths: shape (n,), lengths at the points, mm, where they are known better than by the chords.
    """
    n, chord = len(points), np.hypot(*np.diff(points, axis=0).T)
    corners = tuple(sorted(q for q in set(knuckles) if 0 < q < n - 1))
    heading = np.unwrap(np.arctan2(np.diff(points[:, 1]), np.diff(points[:, 0])))
    turn = np.abs(np.diff(heading))
    turn[[q - 1 for q in corners]] = 0.0
    most = np.maximum(np.r_[turn[:1], turn], np.r_[turn, turn[-1:]])
    chord = chord * (1 + np.minimum(most, 1.0) ** 2 / 24)  # an arc over its chord
    s = np.r_[0.0, np.cumsum(chord)] if lengths is None else lengths - lengths[0]
    knots, breaks = _knots(s, chord, most, corners)
    cells = np.clip(np.ceil(np.diff(knots) / CELL), LEAST_CELLS, MOST_CELLS).astype(int)
    runs = [np.linspace(a, b, c + 1)[:-1] for a, b, c in zip(knots, knots[1:], cells, strict=False)]
    cell = np.concatenate([*runs, knots[-1:]])
    middle = (cell[1:] + cell[:-1]) / 2
    j = np.searchsorted(knots, middle) - 1
    part, row = (middle - knots[j]) / (knots[j + 1] - knots[j]), np.arange(len(middle))
    weight = np.zeros((len(middle), len(knots)))
    weight[row, j], weight[row, j + 1] = 1 - part, part
    if straight is not None:
        end = cell[-1] if straight[1] == n - 1 else s[straight[1]] - BESIDE
        weight[(middle > s[straight[0]]) & (middle < end)] = 0.0
    return ProfileGrid(
        points=points,
        measured=np.asarray(measured),
        sigma=sigma,
        heading=heading,
        s=s,
        low=s - np.maximum(0.5 * np.r_[0.0, chord], NEAR),
        high=np.minimum(s + np.maximum(0.5 * np.r_[chord, chord[-1]], NEAR), s[-1] * (1 + 0.75 * RUN_ON)),
        knots=knots,
        cell=cell,
        weight=weight,
        breaks=breaks,
        turns=tuple(int(np.abs(cell - s[q]).argmin()) for q in corners),
        knuckles=corners,
    )


def _knots(
    s: FloatArray, chord: FloatArray, most: FloatArray, corners: Sequence[int]
) -> tuple[FloatArray, tuple[int, ...]]:
    """The knots, and the indices of those that follow a knuckle's first."""
    parts = np.clip(np.ceil(chord / np.where(most > TURNS, FINE, COARSE)), 1, MOST_PARTS).astype(int)
    knots: list[float] = []
    breaks = []
    for i, part in enumerate(parts):
        if i in corners:
            knots.append(s[i] - BESIDE)
            breaks.append(len(knots))
        knots.extend(np.linspace(s[i], s[i + 1], part + 1)[:-1])
    return np.array([*knots, s[-1], (1 + RUN_ON) * s[-1]]), tuple(breaks)
