"""How quickly the curvature of each part of a profile line may be expected to change.

A keel that runs level changes slowly, and its points are far apart: with the forefoot's own measure for all of the
line the last heights' errors would pass for bends, and the keel would swing at the stern.

An arc that runs into a straight keel bends quickly in one place and not at all in the next: there the keel wants
still less.  The batten through the points shows where curvature changes; it is averaged in logarithms over
neighbouring points, so that one duck's load does not pass for a bend.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from patterns.fairing.paths import FairedPath
from patterns.fairing.profile_curve import FLAT, GAIN
from patterns.fairing.profile_grid import ProfileGrid
from patterns.hull.planes import FloatArray

__all__ = ["level_shares", "shares"]

REACHES = 1.0  # points; how far one point's change of curvature tells of its neighbours'
LEAST = 0.01  # of the greatest change
LEVEL = 0.2  # rise over run of a chord that belongs to the level run
BEYOND = 1  # points of it, beside a bend, that may still belong to the bend
CALM = 0.2  # of the roughness elsewhere: that of a level run farther on


def level_shares(grid: ProfileGrid) -> FloatArray:
    """Each inner knot's share of the roughness by what is seen before any fairing: the chords' slopes, (m - 2,)."""
    run, rise = np.abs(np.diff(grid.points, axis=0)).T
    chords = rise <= LEVEL * run
    level = np.r_[chords[:1], chords] & np.r_[chords, chords[-1:]]  # on both sides of each point
    for _ in range(BEYOND):
        level = _with_both(level)
    share = CALM ** np.interp(grid.knots[1:-1], grid.s, level.astype(float))
    return np.asarray(share / share.max())


def _with_both(point: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Those points of which both neighbours are such points too; at an end the one that there is."""
    return np.asarray(point & np.r_[point[:1], point[:-1]] & np.r_[point[1:], point[-1:]])


def shares(grid: ProfileGrid, batten: FairedPath) -> tuple[FloatArray, FloatArray]:
    """Each inner knot's share of the roughness, the greatest 1, (m - 2,); the batten's g at the knots (m,)."""
    t = batten.t
    pace = np.hypot(batten.x(t, 1), batten.z(t, 1))
    kappa = (batten.x(t, 1) * batten.z(t, 2) - batten.z(t, 1) * batten.x(t, 2)) / pace**3
    g = np.arcsinh(kappa * grid.length / FLAT) / GAIN
    h = np.diff(t) / (t[-1] - t[0])
    bend = np.diff(np.diff(g) / h) / np.sqrt((h[1:] + h[:-1]) / 2)
    square = np.maximum(bend**2, LEAST**2 * float((bend**2).max())) + 1e-30
    place = np.arange(len(square))
    near = np.exp(-np.abs(place[:, None] - place) / REACHES)
    local = (near @ np.log(square)) / near.sum(axis=1)
    share = np.exp(0.5 * np.interp(grid.knots[1:-1], t[1:-1], local - local.max()))
    return np.asarray(share), np.interp(grid.knots, t, g)
