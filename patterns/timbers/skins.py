"""The inside of planking or the deck's underside as something to lay a timber on: the nearest point of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from patterns.errors import PatternsError
from patterns.hull.nearest_points import NearestPoints
from patterns.hull.planes import FloatArray
from patterns.hull.surfaces import Surface, moved

__all__ = ["Feet", "Skin"]

ALONG, ACROSS = 121, 7  # places at which the pieces are looked at to begin with
FIRST, MORE = 4, 1  # steps of Newton from there, and from a place that is nearly right already
POINTED = 1.0  # mm across, below which a piece has run out to a point
ASTRAY = 0.5  # mm along the surface from a point's foot; steps that end farther off have overshot
ASIDE = (-3.0, 4.0)  # the range of r that may be gone to
CREEPING = 40  # careful steps where those of Newton overshoot
CREPT = 1e-4  # of p, below which a careful step moves nothing
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
    def _grid(self) -> tuple[NearestPoints, NDArray[np.intp], FloatArray, FloatArray]:
        """Points of every piece, to be looked up, and their piece, p and r, each (q,)."""
        points, which, ps, rs = [], [], [], []
        for i, (piece, (_, last)) in enumerate(zip(self.pieces, self._reach, strict=True)):
            p = np.linspace(piece.start, last if i == 0 else piece.end, ALONG)[:, None]
            r = np.linspace(0.0, 1.0, ACROSS)[None, :]
            at, _ = moved(piece, p, r, self.inset)
            # At a stem a strake runs out to a point, which has no normal to be moved inward along.
            _, _, by_r = piece.shape(p, r)
            whole = np.broadcast_to(np.linalg.norm(by_r, axis=-1) > POINTED, (ALONG, ACROSS)).ravel()
            points.append(np.broadcast_to(at, (ALONG, ACROSS, 3)).reshape(-1, 3)[whole])
            which.append(np.full(int(whole.sum()), i))
            ps.append(np.repeat(p[:, 0], ACROSS)[whole])
            rs.append(np.tile(r[0], ALONG)[whole])
        return NearestPoints(np.vstack(points)), np.concatenate(which), np.concatenate(ps), np.concatenate(rs)

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
            grid, which, ps, rs = self._grid
            found = grid.query(points)[1]
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
        for _ in range(rounds):
            inner, _, _, way = self._seen(surface, points, p, r)
            p, r = np.clip(p + way[0], *reach), np.clip(r + way[1], *ASIDE)
        inner, out, off, way = self._seen(surface, points, p, r)
        along = off - np.einsum("ij,ij->i", off, out)[:, None] * out
        astray = (np.linalg.norm(along, axis=1) > ASTRAY) & (p > reach[0]) & (p < reach[1])
        if astray.any():
            p[astray], r[astray] = self._crept(surface, reach, points[astray], p[astray], r[astray])
            inner, out, _, _ = self._seen(surface, points, p, r)
        return p, r, inner, out

    def _seen(
        self, surface: Surface, points: FloatArray, p: FloatArray, r: FloatArray
    ) -> tuple[FloatArray, FloatArray, FloatArray, tuple[FloatArray, FloatArray]]:
        """The skin at (p, r): its points, its normals, how far off the given points lie, and Newton's step."""
        at, by_p, by_r = (np.broadcast_to(a, points.shape) for a in surface.shape(p, r))
        out = surface.outward(by_p, by_r)
        inner = at - self.inset * out
        off = points - inner
        pp, pr, rr = (np.einsum("ij,ij->i", a, b) for a, b in ((by_p, by_p), (by_p, by_r), (by_r, by_r)))
        ep, er = np.einsum("ij,ij->i", off, by_p), np.einsum("ij,ij->i", off, by_r)
        whole = np.maximum(pp * rr - pr * pr, 1e-9)
        return inner, out, off, ((ep * rr - er * pr) / whole, (er * pp - ep * pr) / whole)

    def _crept(
        self, surface: Surface, reach: tuple[float, float], points: FloatArray, p: FloatArray, r: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """The same by steps that are halved until each comes nearer, for rulings that fan out within a few mm."""
        part = np.ones(len(p))
        _, _, off, way = self._seen(surface, points, p, r)
        for _ in range(CREEPING):
            new_p, new_r = np.clip(p + part * way[0], *reach), np.clip(r + part * way[1], *ASIDE)
            _, _, new_off, new_way = self._seen(surface, points, new_p, new_r)
            nearer = np.linalg.norm(new_off, axis=1) <= np.linalg.norm(off, axis=1)
            p, r, off = (
                np.where(nearer, new_p, p),
                np.where(nearer, new_r, r),
                np.where(nearer[:, None], new_off, off),
            )
            way = np.where(nearer, new_way[0], way[0]), np.where(nearer, new_way[1], way[1])
            part = np.where(nearer, np.minimum(2.0 * part, 1.0), 0.5 * part)
            if (part * np.abs(way[0]) < CREPT).all():
                break
        return p, r
