"""How quickly the curvature of each part of a profile line may be expected to change, from the batten's own.

An arc that runs into a straight keel bends quickly in one place and not at all in the next.  With one measure for
all the keel would be as loose as the bend.  The batten through the points shows where curvature changes; it is
averaged in logarithms over neighbouring points, so that one duck's load does not pass for a bend.
"""

from __future__ import annotations

import numpy as np

from patterns.fairing.paths import FairedPath
from patterns.fairing.profile_curve import FLAT, GAIN
from patterns.fairing.profile_grid import ProfileGrid
from patterns.hull.planes import FloatArray

__all__ = ["shares"]

REACHES = 1.0  # points; how far one point's change of curvature tells of its neighbours'
LEAST = 0.01  # of the greatest change


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
