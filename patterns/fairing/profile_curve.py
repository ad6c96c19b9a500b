"""A line in a plane made from its curvature over its length, and how far it passes from given points.

With angle a0 at its start the line has angle(s) = a0 + the integral of curvature, x = x0 + the integral of
cos(angle), z = z0 + the integral of sin(angle).  Curvature is ``FLAT / length * sinh(GAIN * g)`` with g linear
between knots: so nearly straight and sharply bent parts, and bends both ways, are one smooth g.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.fairing.profile_grid import ProfileGrid
from patterns.hull.planes import FloatArray

__all__ = ["GAIN", "Parameters", "Shot", "locate", "meet", "motion", "rate_of", "shoot"]

FLAT, BENT = 0.05, 5.0  # over the line's length: curvature that counts as none; that of a usual bend
GAIN = float(np.arcsinh(BENT / FLAT))
SHARPEST = 60.0  # e-folds of curvature, so that nothing overflows
ALONG = 0.05  # least rate at which the line is taken to cross a measured coordinate's direction
FARTHEST = 100.0  # mm by which a point is looked for farther on in one step
ROUNDS = 3  # of looking for the lengths at the points

Parameters = (
    FloatArray  # shape (m + 3 + k,): g at the knots, angle and x and z at the start, turns at knuckles
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shot:
    """The line at the cells' ends.

    Attributes:
        kappa: shape (c,), curvature in each cell, 1/mm.
        slope: shape (c,), its derivative by g.
        x, z: shape (c+1,), mm.
        angle: shape (c+1,), radians; at a knuckle that of the part that begins there.
    """

    kappa: FloatArray
    slope: FloatArray
    x: FloatArray
    z: FloatArray
    angle: FloatArray


def shoot(grid: ProfileGrid, p: Parameters, kappa: FloatArray | None = None) -> Shot:
    """The line of given parameters; ``kappa`` (c,) instead of the curvature that g gives, if given."""
    m, h = len(grid.knots), np.diff(grid.cell)
    bent = np.clip(GAIN * (grid.weight @ p[:m]), -SHARPEST, SHARPEST)
    flat = FLAT / grid.length
    kappa = flat * np.sinh(bent) if kappa is None else kappa
    turn = kappa * h
    angle = p[m] + np.concatenate([[0.0], np.cumsum(turn)])
    for at, jump in zip(grid.turns, p[m + 3 :], strict=True):
        angle[at:] += jump
    middle, pace = angle[:-1] + turn / 2, (1 - turn**2 / 24) * h  # an arc's chord
    x, z = np.cumsum(np.cos(middle) * pace), np.cumsum(np.sin(middle) * pace)
    return Shot(
        kappa=kappa,
        slope=GAIN * flat * np.cosh(bent),
        x=p[m + 1] + np.concatenate([[0.0], x]),
        z=p[m + 2] + np.concatenate([[0.0], z]),
        angle=angle,
    )


def locate(grid: ProfileGrid, shot: Shot, s: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """x, z, mm, and angle, radians, at lengths of any shape; past the ends the end cells run on."""
    j = np.clip(np.searchsorted(grid.cell, s, side="right") - 1, 0, len(shot.kappa) - 1)
    u = s - grid.cell[j]
    turn = shot.kappa[j] * u
    middle, pace = shot.angle[j] + turn / 2, (1 - turn**2 / 24) * u
    return shot.x[j] + np.cos(middle) * pace, shot.z[j] + np.sin(middle) * pace, shot.angle[j] + turn


def rate_of(grid: ProfileGrid, angle: FloatArray) -> FloatArray:
    """How far the line moves along its normal when it moves by 1 in each point's measured direction, (n,)."""
    rate = np.where(grid.measured == 0, -np.sin(angle), np.cos(angle))
    return np.where(np.abs(rate) < ALONG, np.copysign(ALONG, rate), rate)


def meet(
    grid: ProfileGrid, shot: Shot, s: FloatArray, rounds: int = ROUNDS
) -> tuple[FloatArray, FloatArray, tuple[FloatArray, FloatArray, FloatArray]]:
    """Where the line meets each point's exact coordinate.

    Args:
        s: shape (n,), lengths to begin from, mm.
    Returns:
        Line less point in the measured coordinate (n,), mm; the lengths (n,); the line there (see `locate`).
    """
    stem = grid.measured == 0
    for _ in range(rounds):
        x, z, angle = locate(grid, shot, s)
        rate = np.where(stem, np.sin(angle), np.cos(angle))
        rate = np.where(np.abs(rate) < ALONG, np.copysign(ALONG, rate), rate)
        off = np.where(stem, grid.points[:, 1] - z, grid.points[:, 0] - x) / rate
        s = np.clip(s + np.clip(off, -FARTHEST, FARTHEST), grid.low, grid.high)
    x, z, angle = locate(grid, shot, s)
    away = (z - grid.points[:, 1]) * np.cos(angle) - (x - grid.points[:, 0]) * np.sin(angle)
    return away / rate_of(grid, angle), s, (x, z, angle)


def motion(
    grid: ProfileGrid, shot: Shot, s: FloatArray, at: tuple[FloatArray, FloatArray, FloatArray]
) -> FloatArray:
    """How the line's places at lengths (q,) move along their normals by each parameter, shape (q, m + 3 + k).

    A turn by d at one place moves each place beyond it along its normal by d times the distance between the
    two along its tangent.
    """
    x, z, angle = at
    h, c, d, m = np.diff(grid.cell), np.cos(angle), np.sin(angle), len(grid.knots)
    mid_x, mid_z = (shot.x[1:] + shot.x[:-1]) / 2, (shot.z[1:] + shot.z[:-1]) / 2
    along = c * x + d * z
    arm = along[:, None] - c[:, None] * mid_x - d[:, None] * mid_z
    done = np.clip((s[:, None] - grid.cell[:-1]) / h, 0.0, 1.0)
    jacobian = np.zeros((len(s), m + 3 + len(grid.turns)))
    jacobian[:, :m] = (arm * done) @ (grid.weight * (shot.slope * h)[:, None])
    jacobian[:, m] = along - c * shot.x[0] - d * shot.z[0]
    jacobian[:, m + 1], jacobian[:, m + 2] = -d, c
    for i, q in enumerate(grid.turns):
        jacobian[:, m + 3 + i] = np.where(s > grid.cell[q], along - c * shot.x[q] - d * shot.z[q], 0.0)
    return jacobian
