"""Where a strake's faces end: at the strake beside it, at the deck's underside, at the stem's face."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from patterns.hull.planes import FloatArray
from patterns.hull.surfaces import Curve, Surface, moved

__all__ = ["edge_at_profile", "edge_at_surface"]

ROUNDS = 12
CLOSE = 1e-3  # mm; nearer than this the two faces are taken to meet
FINE = 1e-7  # mm; nearer need not be sought
GUESSES = 401


def _moved(surface: Surface, p: FloatArray, r: FloatArray, inset: float) -> tuple[FloatArray, ...]:
    points, by_p, by_r = surface.shape(p, r)
    return points - inset * surface.outward(by_p, by_r), by_p, by_r


def edge_at_surface(
    own: Surface,
    p: FloatArray,
    *,
    inset: float,
    edge: float,
    others: Sequence[Surface],
    other_inset: float,
    other_edge: float,
) -> tuple[FloatArray, NDArray[np.bool_]]:
    """Where each ruling of a strake's face, near one of its edges, meets a face of what lies beside it.

    Args:
        p: shape (n,), the rulings.
        inset: the face's distance inward from the strake's surface, mm.
        edge: 0 for the strake's lower edge, 1 for its upper one.
        others: the pieces of the other surface; ``other_inset`` to its face, ``other_edge`` where it is near.
    Returns:
        The places across, (n,), and where they were found.
    """
    from_here = own.shape(p, np.full_like(p, edge))[0]
    best, found = np.full_like(p, edge), np.zeros(len(p), dtype=bool)
    nearest = np.full(len(p), np.inf)
    for other in others:
        q = np.linspace(other.start, other.end, GUESSES)
        along = other.shape(q, np.full_like(q, other_edge))[0]
        apart = np.linalg.norm(from_here[:, None, :] - along[None, :, :], axis=-1)
        q, r, s = q[apart.argmin(axis=1)], np.full_like(p, edge), np.full_like(p, other_edge)
        for _ in range(ROUNDS):
            mine, _, mine_by_r = _moved(own, p, r, inset)
            its, its_by_q, its_by_s = _moved(other, q, s, other_inset)
            slopes = np.stack(np.broadcast_arrays(mine_by_r, -its_by_q, -its_by_s), axis=-1)
            flat = np.abs(np.linalg.det(slopes)) < 1e-9
            slopes[flat] = np.eye(3) * 1e9
            step = np.linalg.solve(slopes, (its - mine)[..., None])[..., 0]
            r, q, s = r + np.clip(step[:, 0], -0.3, 0.3), q + step[:, 1], s + np.clip(step[:, 2], -0.3, 0.3)
            if np.abs(its - mine).max() < FINE:
                break
        mine, its = moved(own, p, r, inset)[0], moved(other, q, s, other_inset)[0]
        good = (np.linalg.norm(mine - its, axis=-1) < CLOSE) & (apart.min(axis=1) < nearest)
        nearest = np.where(good, apart.min(axis=1), nearest)
        best, found = np.where(good, r, best), found | good
    return best, found


def edge_at_profile(own: Surface, p: FloatArray, *, inset: float, profile: Curve) -> FloatArray:
    """Where each ruling of a strake's face meets the face athwartships through the profile line: (n,).

    Args:
        p: shape (n,), the rulings, by the profile line's own parameter.
    """
    r, t = np.zeros_like(p), p.copy()
    hair = 1e-6 * float(p[-1] - p[0])
    first, last = float(p[0]) + hair, float(p[-1]) - hair
    for _ in range(ROUNDS):
        mine, _, by_r = _moved(own, p, r, inset)
        # Past the piece's end, where the profile may turn, its own direction is carried on.
        within = np.clip(t, first, last)
        by_t = profile.at(within, 1)
        its = profile.at(within) + (t - within)[:, None] * by_t
        slopes = np.stack([by_r[:, [0, 2]], -by_t[:, [0, 2]]], axis=-1)
        slopes[np.abs(np.linalg.det(slopes)) < 1e-9] = np.eye(2) * 1e9
        step = np.linalg.solve(slopes, (its - mine)[:, [0, 2]][..., None])[..., 0]
        r, t = r + np.clip(step[:, 0], -0.3, 0.3), t + step[:, 1]
    return r
