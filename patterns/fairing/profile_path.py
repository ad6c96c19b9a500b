"""The modelled profile line as the piecewise cubic over its length that all the rest of a boat is made from."""

from __future__ import annotations

import numpy as np

from patterns.fairing.batten import Batten, Ends, batten
from patterns.fairing.curves import FairCurve, hermite
from patterns.fairing.paths import FairedPath
from patterns.fairing.profile_curve import locate
from patterns.fairing.profile_model import Modelled
from patterns.hull.planes import FloatArray

__all__ = ["path_of"]

LEAST_APART = 0.5  # mm along the line between neighbouring points
MOST_SWING = 1.5  # times what is left at the points, beyond which the batten through it swings
LONGEST, SHARPEST = 150.0, 0.15  # mm, radians: of one piece; a cubic is then within 0.002 mm of an arc


def path_of(made: Modelled, *, allow: FloatArray, ends: Ends = "free") -> FairedPath:
    """The line in cubics, each point exactly where it was moved to, and no move beyond what is allowed.

    What is left between the modelled line and the points (hundredths of a millimetre from exact figures) is
    taken up by a batten through the differences.

    Args:
        allow: shape (n,), how far each figure may be moved, mm.
    """
    grid, s = made.grid, made.s.copy()
    n, own = len(s), np.arange(len(s))
    s[list(grid.knuckles)] = grid.cell[list(grid.turns)]
    for i in own[1:]:  # points that lie together must not change places
        s[i] = max(s[i], s[i - 1] + LEAST_APART)
    x, z, _ = locate(grid, made.shot, s)
    at = grid.points.copy()
    at[own, grid.measured] += np.clip(made.moves, -allow, allow)
    laid = batten(s, ends=ends, knuckles=grid.knuckles)
    knots = _knots(made, s)
    curves = []
    after = locate(grid, made.shot, knots[:-1])
    before = locate(grid, made.shot, np.nextafter(knots[1:], -np.inf))
    for axis, line in ((0, x), (1, z)):
        slopes = [np.cos(angle) if axis == 0 else np.sin(angle) for angle in (after[2], before[2])]
        curve = hermite(knots, np.append(after[axis], before[axis][-1]), *slopes)
        left = _through(laid, at[:, axis] - line)
        curves.append(FairCurve(knots=knots, coefficients=curve.coefficients + left.refined(knots)))
    moves = np.zeros((n, 2))
    moves[own, grid.measured] = at[own, grid.measured] - grid.points[own, grid.measured]
    return FairedPath(
        x=curves[0],
        z=curves[1],
        t=s,
        moves=moves,
        loads=np.stack([laid.loads(at[:, 0]), laid.loads(at[:, 1])], axis=1),
    )


def _through(laid: Batten, left: FloatArray) -> FairCurve:
    """A curve through what is left at the points: the batten, or one level at each point where it would swing."""
    curve = laid.curve(left)
    between = curve(np.linspace(laid.x[0], laid.x[-1], 8 * len(laid.x)))
    if np.abs(between).max() <= MOST_SWING * np.abs(left).max():
        return curve
    return hermite(laid.x, left, np.zeros(len(left) - 1), np.zeros(len(left) - 1))


def _knots(made: Modelled, s: FloatArray) -> FloatArray:
    """Ends of the pieces: each point's length, and as many between as the line's turning asks for."""
    turn = np.cumsum(np.abs(np.diff(made.grid.cell) * made.shot.kappa))
    turned = np.interp(s, made.grid.cell, np.concatenate([[0.0], turn]))
    knots = [
        np.linspace(a, b, max(int(np.ceil(max((b - a) / LONGEST, bend / SHARPEST))), 1) + 1)[:-1]
        for a, b, bend in zip(s[:-1], s[1:], np.diff(turned), strict=True)
    ]
    return np.concatenate([*knots, s[-1:]])
