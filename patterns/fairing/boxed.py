"""Least squares in a box, for a handful of unknowns."""

from __future__ import annotations

import numpy as np

from patterns.hull.planes import FloatArray

__all__ = ["boxed_least"]

TRIES = 3  # exchanges of whole blocks that may fail to mend anything before one at a time is exchanged
MOST = 200  # exchanges; a dozen are usual


def boxed_least(square: FloatArray, slope: FloatArray) -> FloatArray:
    """The u with every ``|u| <= 1`` that makes ``u @ square @ u / 2 + slope @ u`` least.

    scipy's `lsq_linear` finds the same, but its import alone takes longer than fairing a whole table.

    Args:
        square: shape (n, n), symmetric and positive definite.
        slope: shape (n,).
    Returns:
        Shape (n,).
    Source: block principal pivoting: J. J. Judice, F. M. Pires, "A block principal pivoting algorithm for
        large-scale strictly monotone linear complementarity problems", Computers & Operations Research 21
        (1994) 587-596; from memory.
    """
    n = len(slope)
    side = np.zeros(n)  # 0 free, else the bound at which the unknown is held
    slack = 1e-11 * max(float(np.abs(slope).max(initial=0.0)), float(np.abs(square).max(initial=0.0)))
    least, tries = n + 1, TRIES
    u = side
    for _ in range(MOST):
        free = side == 0.0
        u = side.copy()
        if free.any():
            u[free] = np.linalg.solve(square[np.ix_(free, free)], -slope[free] - square[free] @ side)
        pull = (square @ u + slope) * side  # at a bound it must not pull inward
        over = free & (np.abs(u) > 1.0 + 1e-12)
        back = ~free & (pull > slack)
        wrong = np.nonzero(over | back)[0]
        if not len(wrong):
            return np.clip(u, -1.0, 1.0)
        if len(wrong) < least:
            least, tries = len(wrong), TRIES
        elif tries > 0:
            tries -= 1
        else:
            wrong = wrong[-1:]  # Murty's rule: always the last, so that it ends
        side[wrong] = np.where(free[wrong], np.sign(u[wrong]), 0.0)
    return _by_scipy(square, slope)


def _by_scipy(square: FloatArray, slope: FloatArray) -> FloatArray:
    """The same by active sets, one at a time; for the rare case in which the exchanges go round."""
    from scipy.optimize import lsq_linear

    root = np.linalg.cholesky(square).T
    target = -np.linalg.solve(root.T, slope)
    return np.asarray(lsq_linear(root, target, bounds=(-1.0, 1.0), method="bvls", max_iter=50 * len(slope)).x)
