"""The inside of planking or the deck's underside as something to lay a timber on: the nearest point of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from patterns.errors import PatternsError
from patterns.hull.planes import FloatArray
from patterns.hull.surfaces import Surface, moved

if TYPE_CHECKING:
    from scipy.spatial import cKDTree

__all__ = ["Feet", "Skin"]

ALONG, ACROSS = 121, 7  # places at which the pieces are looked at to begin with
FIRST, MORE = 4, 1  # steps of Newton from there, and from a place that is nearly right already
PAST = 300.0  # mm by which a piece may be run past its ends


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Feet:
    """The feet of points on a skin.

    Attributes:
        points: shape (n, 3), mm.
        normals: shape (n, 3), out of the boat.
        piece, p, r: which piece of the surface each lies on, and where in it.
    """

    points: FloatArray
    normals: FloatArray
    piece: NDArray[np.intp]
    p: FloatArray
    r: FloatArray


@dataclass(frozen=True, kw_only=True, eq=False)
class Skin:
    """A surface of one or more pieces, moved inward along its own normal by ``inset`` mm."""

    pieces: tuple[Surface, ...]
    inset: float

    def deeper(self, by: float) -> Skin:
        """The same moved inward by more, mm."""
        return replace(self, inset=self.inset + by)

    @cached_property
    def _reach(self) -> tuple[tuple[float, float], ...]:
        """For each piece the range of p that may be gone to."""
        found = []
        for i, piece in enumerate(self.pieces):
            _, by_p, _ = piece.shape(np.array([piece.end]), np.array([0.5]))
            pace = max(float(np.linalg.norm(by_p)), 1e-6)
            # Only the aftermost piece runs on past its after end, and each a little past its fore end, so that
            # no gap opens where two pieces meet.
            aft = PAST / pace if i == 0 else 0.05 * (piece.end - piece.start)
            found.append((piece.start - 0.05 * (piece.end - piece.start), piece.end + aft))
        return tuple(found)

    @cached_property
    def _grid(self) -> tuple[cKDTree, NDArray[np.intp], FloatArray, FloatArray]:
        """Points of every piece, to be looked up, and their piece, p and r, each (q,)."""
        from scipy.spatial import cKDTree

        points, which, ps, rs = [], [], [], []
        for i, (piece, (_, last)) in enumerate(zip(self.pieces, self._reach, strict=True)):
            p = np.linspace(piece.start, last if i == 0 else piece.end, ALONG)[:, None]
            r = np.linspace(0.0, 1.0, ACROSS)[None, :]
            at, _ = moved(piece, p, r, self.inset)
            points.append(np.broadcast_to(at, (ALONG, ACROSS, 3)).reshape(-1, 3))
            which.append(np.full(ALONG * ACROSS, i))
            ps.append(np.repeat(p[:, 0], ACROSS))
            rs.append(np.tile(r[0], ALONG))
        return cKDTree(np.vstack(points)), np.concatenate(which), np.concatenate(ps), np.concatenate(rs)

    def feet(self, points: FloatArray, near: Feet | None = None) -> Feet:
        """The nearest points of the skin to points (n, 3) beside it.

        Args:
            near: the feet of points hard by, in the same order, to begin from.
        Raises:
            PatternsError: a point is not finite: a line of the hull folds back on itself.
        """
        if near is None:
            if not np.isfinite(points).all():
                raise PatternsError(
                    "the planking folds back on itself here; check the stem's points and the offsets"
                )
            tree, which, ps, rs = self._grid
            found = tree.query(points)[1]
            piece, p, r, rounds = which[found], ps[found], rs[found], FIRST
        else:
            piece, p, r, rounds = near.piece, near.p.copy(), near.r.copy(), MORE
        at, normals = np.empty_like(points), np.empty_like(points)
        todo = np.ones(len(points), dtype=bool)
        for _ in range(2):
            for i, surface in enumerate(self.pieces):
                here = todo & (piece == i)
                if here.any():
                    p[here], r[here], at[here], normals[here] = self._foot(
                        surface, self._reach[i], points[here], p[here], r[here], rounds
                    )
            piece, p, todo = self._handed_on(piece, p)
            if not todo.any():
                break
            rounds = FIRST
        return Feet(points=at, normals=normals, piece=piece, p=p, r=r)

    def _handed_on(
        self, piece: NDArray[np.intp], p: FloatArray
    ) -> tuple[NDArray[np.intp], FloatArray, NDArray[np.bool_]]:
        """Feet that ran off a piece's end, where the next one begins, handed on to that; and which they are."""
        piece, p, moved_on = piece.copy(), p.copy(), np.zeros(len(p), dtype=bool)
        for i in range(len(self.pieces) - 1):
            aft, fore = self.pieces[i], self.pieces[i + 1]
            forward = (piece == i) & (p < aft.start)
            back = (piece == i + 1) & (p > fore.end)
            p[forward], p[back] = fore.end, aft.start
            piece[forward], piece[back] = i + 1, i
            moved_on |= forward | back
        return piece, p, moved_on

    def _foot(
        self,
        surface: Surface,
        reach: tuple[float, float],
        points: FloatArray,
        p: FloatArray,
        r: FloatArray,
        rounds: int,
    ) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        for left in range(rounds, -1, -1):
            at, by_p, by_r = (np.broadcast_to(a, points.shape) for a in surface.shape(p, r))
            out = surface.outward(by_p, by_r)
            inner = at - self.inset * out
            if left == 0:
                break
            off = points - inner
            pp, pr, rr = (np.einsum("ij,ij->i", a, b) for a, b in ((by_p, by_p), (by_p, by_r), (by_r, by_r)))
            ep, er = np.einsum("ij,ij->i", off, by_p), np.einsum("ij,ij->i", off, by_r)
            whole = np.maximum(pp * rr - pr * pr, 1e-9)
            p = np.clip(p + (ep * rr - er * pr) / whole, *reach)
            r = np.clip(r + (er * pp - ep * pr) / whole, -3.0, 4.0)
        return p, r, inner, out
