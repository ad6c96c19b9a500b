"""What is known of a profile line before its points are looked at: g bends little from place to place.

The second derivative of g over the part of the length is white noise of size tau, between one knuckle and the
next; its level and its fall are hardly known at all.  Where an arc runs into a straight line one tau would not do
for both: then each knot has its own share of it.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from patterns.fairing.batten import Ends
from patterns.fairing.profile_grid import ProfileGrid
from patterns.hull.planes import FloatArray

__all__ = ["TAUS", "USUAL", "Prior", "expected_tau", "prior_of"]

LEVEL, FALL = 2.0, 4.0  # standard deviations of g, and of its change from end to end of a run
ENDED = 0.02  # of g where a batten ends without moment
ANGLE, PLACE, TURN = 0.5, 50.0, 1.0  # of the first angle (radians), place (mm), and the turns at knuckles
HELD = 0.01  # mm, of the first point's exact coordinate
TAUS = 2.0 ** np.arange(-2, 11)  # the sizes that are looked at
USUAL, VARIES = np.log(16.0), 2.5  # nothing is said against a tau within some four octaves of a usual one


class Prior:
    """The prior of one grid, for any tau."""

    def __init__(self, grid: ProfileGrid, ends: Ends, share: FloatArray | None) -> None:
        self.grid = grid
        m = len(grid.knots)
        h = np.diff(grid.knots) / np.ptp(grid.knots)
        bend = np.diff(np.diff(np.eye(m), axis=0) / h[:, None], axis=0)
        bend /= np.sqrt((h[1:] + h[:-1]) / 2)[:, None]
        if share is not None:
            bend /= share[:, None]
        self._bend = np.delete(bend, [row for b in grid.breaks for row in (b - 2, b - 1)], axis=0)
        unit, weak = np.eye(m), []
        for a, b in pairwise([0, *grid.breaks, m]):
            last = b - 1
            weak += [unit[a + (last - a) // 3] / LEVEL, (unit[last] - unit[a]) / FALL]
        if ends == "natural":
            weak += [unit[0] / ENDED, unit[m - 2] / ENDED]
        self._weak = np.array(weak)
        own = 2 - int(grid.measured[0])
        self._sd = np.concatenate([[ANGLE, PLACE, PLACE], np.full(len(grid.turns), TURN)])
        self._sd[own] = HELD
        self.aim = np.concatenate([np.zeros(m), grid.heading[:1], grid.points[0], grid.turned])

    def root(self, tau: float) -> FloatArray:
        """A root S of the covariance S S' of all parameters, shape (p, p)."""
        m = len(self.grid.knots)
        root = np.diag(np.concatenate([np.zeros(m), self._sd]))
        root[:m, :m] = np.linalg.inv(np.linalg.qr(np.vstack([self._bend / tau, self._weak]), mode="r"))
        return root


def prior_of(grid: ProfileGrid, ends: Ends = "free", share: FloatArray | None = None) -> Prior:
    """The prior of a grid; ``share`` (m - 2,) is each inner knot's part of tau, alike without it."""
    return Prior(grid, ends, share)


def expected_tau(tau: float) -> float:
    """How likely a tau is beforehand: the logarithm, less that of the likeliest."""
    return float(-0.5 * ((np.log(tau) - USUAL) / VARIES) ** 2)
