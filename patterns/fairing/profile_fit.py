"""The likeliest profile line for one size of the prior, by Levenberg and Marquardt's steps.

Each step is bent by the second derivative of the residuals along it (geodesic acceleration: Transtrum and
Sethna, Improvements to the Levenberg-Marquardt algorithm for nonlinear least-squares minimization, 2012).
Without it the steps creep along a curved valley and hundreds are not enough.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.fairing.profile_curve import GAIN, Parameters, Shot, meet, motion, rate_of, shoot
from patterns.fairing.profile_grid import ProfileGrid
from patterns.fairing.profile_prior import Prior, expected_tau
from patterns.hull.planes import FloatArray

__all__ = ["Fit", "fit"]

FINE = 0.1  # of a step, by which its second derivative is measured
BENT_MOST = 1.5  # of a step: most by which it is bent
MOST_FOLDS, MOST_TURN = 3.0, 0.3  # e-folds of curvature, radians: the longest step
DONE = 1e-2  # nats, twice: a step that gains less is the last
FIRST_DAMP, MOST_DAMP, LEAST_DAMP = 1e-3, 1e8, 1e-6
ROUNDED = 1e-10  # of the greatest variance: what numbers of sixteen figures can hold apart


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fit:
    """The likeliest line for one tau.

    Attributes:
        prior, tau: the prior, and its size.
        p: its parameters; see `Parameters`.
        s: shape (n,), the lengths at which it meets the points, mm.
        r: shape (n,), line less point in the measured coordinate, mm.
        shot: the line.
        root: root of the prior's covariance.
        pull: shape (n, p), the residuals' derivatives times the root.
        cover: shape (n, n), covariance of the figures beforehand: pull pull' + noise.
        evidence: logarithm of the probability of the figures (Laplace's approximation), and of tau.
    """

    prior: Prior
    tau: float
    p: Parameters
    s: FloatArray
    r: FloatArray
    shot: Shot
    root: FloatArray
    pull: FloatArray
    cover: FloatArray
    evidence: float


def fit(
    grid: ProfileGrid,
    prior: Prior,
    tau: float,
    p: Parameters,
    s: FloatArray,
    *,
    coarser: float = 1.0,
    steps: int = 40,
) -> Fit:
    """Fit the line.

    Args:
        p, s: parameters and lengths at the points to begin from.
        coarser: how many times less sure the figures are taken to be.
        steps: most that are tried.
    """
    m = len(grid.knots)
    root = prior.root(tau)
    variance = (grid.sigma * coarser) ** 2
    noise = np.diag(variance)
    u = np.linalg.solve(root, p - prior.aim)  # the parameters in units of the prior
    shot = shoot(grid, p)
    r, s, at = meet(grid, shot, s)
    pull = _slopes(grid, shot, s, at) @ root
    cover = pull @ pull.T
    cost, damp = float((r**2 / variance).sum() + u @ u), FIRST_DAMP
    for _ in range(steps):
        inverse = np.linalg.inv(_steadied(cover + (1 + damp) * noise))
        step = -u / (1 + damp)
        step = step - pull.T @ (inverse @ (r + pull @ step))
        probe = meet(grid, shoot(grid, p + FINE * (root @ step)), s)[0]
        curving = 2.0 / FINE * ((probe - r) / FINE - pull @ step)
        bend = -pull.T @ (inverse @ curving)
        bend *= min(1.0, BENT_MOST * float(np.linalg.norm(step)) / (float(np.linalg.norm(bend)) + 1e-30))
        step = step + bend / 2
        change = root @ step
        short = 1 / max(1.0, float(np.abs(change[:m]).max()) * GAIN / MOST_FOLDS, abs(change[m]) / MOST_TURN)
        tried = shoot(grid, p + short * change)
        new_r, new_s, new_at = meet(grid, tried, s)
        new_u = u + short * step
        new_cost = float((new_r**2 / variance).sum() + new_u @ new_u)
        if not new_cost <= cost:
            damp *= 8
            if damp > MOST_DAMP:
                break
            continue
        won, cost, damp = cost - new_cost, new_cost, max(damp / 10, LEAST_DAMP)
        p, u, shot, r, s, at = p + short * change, new_u, tried, new_r, new_s, new_at
        pull = _slopes(grid, shot, s, at) @ root
        cover = pull @ pull.T
        if won < DONE:
            break
    cover = _steadied(cover + noise)
    size = np.linalg.slogdet(cover)[1]
    return Fit(
        prior=prior, tau=tau, p=p, s=s, r=r, shot=shot, root=root, pull=pull, cover=cover,
        evidence=-cost / 2 - 0.5 * float(size) + expected_tau(tau),
    )  # fmt: skip


def _steadied(cover: FloatArray) -> FloatArray:
    """The covariance, fit to be inverted: a line may bend so much that the figures' noise is rounded away."""
    if np.linalg.slogdet(cover)[0] > 0:
        return cover
    return np.asarray(cover + ROUNDED * float(np.diag(cover).max()) * np.eye(len(cover)))


def _slopes(
    grid: ProfileGrid, shot: Shot, s: FloatArray, at: tuple[FloatArray, FloatArray, FloatArray]
) -> FloatArray:
    """The residuals' derivatives by the parameters."""
    return motion(grid, shot, s, at) / rate_of(grid, at[2])[:, None]
