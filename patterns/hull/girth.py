"""The surface of a round bilge: one smooth patch from the bow to the stern and from the keel to the sheer.

Across, ``r`` runs from 0 on the keel's line to 1 on the sheer; along, ``p`` from 0 at the bow to 1 at the stern.
Its lines of equal ``r`` run as diagonals do.  None bends up to follow a forefoot: keel's line and stem are carried
on to the corner where they would meet, and the surface passes through the true rabbet on its way there.  What lies
beyond the rabbet is nearer to the centreline than the half siding and belongs to no plank.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.hull.planes import FloatArray, cross
from patterns.hull.splines import Splines

__all__ = ["Girth", "place_on"]

STEPS = 6  # Newton's, to the foot of a point


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Girth:
    """The surface; it fulfils `Surface`.

    Attributes:
        fore, aft: the distances aft at which the lines across begin and end: at the keel's line and at the sheer,
            straight between them, mm.
        along, across: the splines over ``p`` and over ``r``.
        net: shape (along.count, across.count, 2), the half-breadths and heights that they blend, mm.
    """

    fore: tuple[float, float]
    aft: tuple[float, float]
    along: Splines
    across: Splines
    net: FloatArray

    @property
    def start(self) -> float:
        """The bow."""
        return 0.0

    @property
    def end(self) -> float:
        """The stern."""
        return 1.0

    def ends(self, r: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Where lines of equal ``r`` begin and end, mm aft; each as ``r``."""
        return (
            self.fore[0] + (self.fore[1] - self.fore[0]) * r,
            self.aft[0] + (self.aft[1] - self.aft[0]) * r,
        )

    def place(self, x: FloatArray, r: FloatArray) -> FloatArray:
        """The ``p`` at a distance aft on the line at ``r``."""
        fore, aft = self.ends(r)
        return (x - fore) / (aft - fore)

    def shape(self, p: FloatArray, r: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """See `Surface.shape`."""
        p, r = np.asarray(p, dtype=float), np.asarray(r, dtype=float)
        if p.ndim == r.ndim == 2 and p.shape[1] == r.shape[0] == 1:
            yz, by_p, by_r = self._on_grid(p[:, 0], r[0])
        else:
            p, r = np.broadcast_arrays(p, r)
            yz, by_p, by_r = (
                self.blended(p.ravel(), r.ravel(), *nu).reshape(*p.shape, 2)
                for nu in ((0, 0), (1, 0), (0, 1))
            )
        fore, aft = self.ends(r)
        x = fore + p * (aft - fore)
        x_by_p = np.broadcast_to(aft - fore, x.shape)
        x_by_r = (self.fore[1] - self.fore[0]) * (1.0 - p) + (self.aft[1] - self.aft[0]) * p
        x_by_r = np.broadcast_to(x_by_r, x.shape)
        return (
            np.concatenate([x[..., None], yz], axis=-1),
            np.concatenate([x_by_p[..., None], by_p], axis=-1),
            np.concatenate([x_by_r[..., None], by_r], axis=-1),
        )

    def lower(self, p: FloatArray) -> tuple[FloatArray, FloatArray]:
        """The keel's line, and its derivatives by p, (..., 3)."""
        return self.shape(p, np.zeros_like(p))[:2]

    def upper(self, p: FloatArray) -> tuple[FloatArray, FloatArray]:
        """The sheer, and its derivatives by p, (..., 3)."""
        return self.shape(p, np.ones_like(p))[:2]

    def _on_grid(self, p: FloatArray, r: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Half-breadths and heights (n, m, 2) of every ``p`` (n,) with every ``r`` (m,), and both derivatives."""
        flat = self.net.reshape(len(self.net), -1)
        along = [(self.along.matrix(p, nu) @ flat).reshape(len(p), self.across.count, 2) for nu in (0, 1)]
        across = [self.across.matrix(r, nu) for nu in (0, 1)]
        return (
            np.einsum("ikc,jk->ijc", along[0], across[0], optimize=True),
            np.einsum("ikc,jk->ijc", along[1], across[0], optimize=True),
            np.einsum("ikc,jk->ijc", along[0], across[1], optimize=True),
        )

    def blended(self, p: FloatArray, r: FloatArray, along: int = 0, across: int = 0) -> FloatArray:
        """Half-breadths and heights at places (n,), or their derivatives: shape (n, 2)."""
        flat = (self.along.matrix(p, along) @ self.net.reshape(len(self.net), -1)).reshape(
            len(p), self.across.count, 2
        )
        return np.asarray((flat * self.across.matrix(r, across)[:, :, None]).sum(axis=1))

    def outward(self, by_p: FloatArray, by_r: FloatArray) -> FloatArray:
        """See `Surface.outward`; across runs up and out, along runs aft."""
        normal = cross(by_r, by_p)
        length = np.linalg.norm(normal, axis=-1, keepdims=True)
        return normal / np.where(length > 0.0, length, 1.0)

    def foot(
        self, points: FloatArray, p: FloatArray, r: FloatArray, *, steps: int = STEPS
    ) -> tuple[FloatArray, FloatArray]:
        """The places nearest to points (n, 3), from places near them; each (n,)."""
        for _ in range(steps):
            at, by_p, by_r = self.shape(p, r)
            off = points - at
            pp, pr, rr = ((a * b).sum(axis=1) for a, b in ((by_p, by_p), (by_p, by_r), (by_r, by_r)))
            ep, er = (off * by_p).sum(axis=1), (off * by_r).sum(axis=1)
            whole = np.maximum(pp * rr - pr * pr, 1e-9)
            p = np.clip(p + (ep * rr - er * pr) / whole, -0.2, 1.2)
            r = np.clip(r + (er * pp - ep * pr) / whole, -0.1, 1.1)
        return p, r

    def nearest(self, points: FloatArray) -> tuple[FloatArray, FloatArray]:
        """The places nearest to points (n, 3), looked for over the whole surface; each (n,)."""
        p, r = np.linspace(0.0, 1.0, 121), np.linspace(0.0, 1.0, 41)
        grid = self.shape(p[:, None], r[None, :])[0].reshape(-1, 3)
        best = ((points[:, None, :] - grid) ** 2).sum(axis=-1).argmin(axis=1)
        return self.foot(points, p[best // len(r)], r[best % len(r)])


def place_on(girth: Girth, x: FloatArray, r: FloatArray, start: FloatArray, along: FloatArray) -> FloatArray:
    """Where straight lines of the body plan meet the surface's sections.

    Args:
        x: shape (n,), the sections' distances aft, mm.
        r: shape (n,), places near the meetings.
        start, along: shape (n, 2), a point (half-breadth, height) and the unit direction of each line.
    Returns:
        The distances along the lines from their starts, shape (n,), mm.
    """
    out = np.stack([-along[:, 1], along[:, 0]], axis=-1)
    for _ in range(STEPS):
        at, by_p, by_r = girth.shape(girth.place(x, r), r)
        slope = by_r - by_p * (by_r[:, :1] / by_p[:, :1])  # along the section, where x stands still
        pace = (slope[:, 1:] * out).sum(axis=1)
        over = ((at[:, 1:] - start) * out).sum(axis=1)
        step = over / np.where(np.abs(pace) > 1e-6, pace, 1e-6)
        r = np.clip(r - np.clip(step, -0.1, 0.1), -0.1, 1.1)
    at = girth.shape(girth.place(x, r), r)[0]
    return np.asarray(((at[:, 1:] - start) * along).sum(axis=1))
