"""What closes the boat in, planking and deck, as something that wood must not run into."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from patterns.assembly.solids import Samples
from patterns.hull.hull import Hull, Strake
from patterns.hull.planes import FloatArray
from patterns.hull.surfaces import Surface
from patterns.wood.labels import Deck, Planking

__all__ = ["Shell", "deck_shell", "planking_shells"]

ALONG, ACROSS = 241, 13  # places at which a surface is looked at to begin with
ROUNDS = 8
PAST = 80.0  # mm by which a surface is carried on past its edges
NOWHERE = -1e6


@dataclass(frozen=True, kw_only=True, eq=False)
class Shell:
    """A skin of unlimited thickness, of which only the inner face counts; port and starboard alike.

    Attributes:
        name: the strake's name, or "deck".
        piece: which strake's inside it is, or the deck's underside.
        surfaces: its pieces, on the starboard side.
        inset: from those surfaces to the inner face, mm.
        past: mm by which it is carried on past its edges across.
        only_itself: what is carried on is left out, but for the little by which an inside corner may lie past
            an edge.
    """

    name: str
    piece: Planking | Deck
    surfaces: tuple[Surface, ...]
    inset: float
    past: float = PAST
    only_itself: bool = False

    @cached_property
    def _grids(self) -> list[tuple[FloatArray, FloatArray, FloatArray]]:
        """For each piece, the places (p, r) looked at, flat, and their points (n, 3) on the inner face."""
        found = []
        for surface in self.surfaces:
            p, r = np.meshgrid(
                np.linspace(surface.start, surface.end, ALONG), np.linspace(0.0, 1.0, ACROSS), indexing="ij"
            )
            points, by_p, by_r = (np.broadcast_to(a, (*p.shape, 3)) for a in surface.shape(p, r))
            inner = points - self.inset * surface.outward(by_p, by_r)
            found.append((p.ravel(), r.ravel(), inner.reshape(-1, 3)))
        return found

    def box(self) -> tuple[FloatArray, FloatArray]:
        """See `Solid.box`: the inner face's, and its mirror's."""
        points = np.vstack([inner for _, _, inner in self._grids])
        low, high = points.min(axis=0) - self.past, points.max(axis=0) + self.past
        low[1] = -high[1]
        return low, high

    def surface(self, step: float) -> Samples:
        """See `Solid.surface`; empty: the other piece's samples tell all."""
        return Samples(points=np.zeros((0, 3)), normals=np.zeros((0, 3)))

    def depth(self, points: FloatArray) -> FloatArray:
        """See `Solid.depth`: how far points (n, 3) lie beyond the inner face; far less than 0 off its edges."""
        points = np.stack([points[:, 0], np.abs(points[:, 1]), points[:, 2]], axis=-1)
        deepest = np.full(len(points), NOWHERE)
        for surface, (p, r, inner) in zip(self.surfaces, self._grids, strict=True):
            deepest = np.maximum(deepest, self._beyond(surface, points, p, r, inner))
        return deepest

    def _beyond(
        self, surface: Surface, points: FloatArray, p: FloatArray, r: FloatArray, inner: FloatArray
    ) -> FloatArray:
        from scipy.spatial import cKDTree

        far, nearest = cKDTree(inner).query(points)
        p, r = p[nearest], r[nearest]
        reach = 1e-4 * (surface.end - surface.start)
        for _ in range(ROUNDS):
            at, by_p, by_r = (np.broadcast_to(a, points.shape) for a in surface.shape(p, r))
            out = surface.outward(by_p, by_r)
            off = points - at + self.inset * out
            pp, pr, rr = (np.einsum("ij,ij->i", a, b) for a, b in ((by_p, by_p), (by_p, by_r), (by_r, by_r)))
            ep, er = np.einsum("ij,ij->i", off, by_p), np.einsum("ij,ij->i", off, by_r)
            whole = np.maximum(pp * rr - pr * pr, 1e-9)
            p = np.clip(p + (ep * rr - er * pr) / whole, surface.start - reach, surface.end + reach)
            r = np.clip(r + (er * pp - ep * pr) / whole, -3.0, 4.0)
        at, by_p, by_r = (np.broadcast_to(a, points.shape) for a in surface.shape(p, r))
        out = surface.outward(by_p, by_r)
        off = points - at + self.inset * out
        beyond: FloatArray = np.einsum("ij,ij->i", off, out)
        astray = np.linalg.norm(off - beyond[:, None] * out, axis=-1)
        width = np.linalg.norm(by_r, axis=-1)
        past = np.maximum(-r, r - 1.0) * width
        most = min(2.0 * self.inset, self.past) if self.only_itself else self.past
        # No foot is farther off than a point of the surface itself: one that is lies on a fold past its edges.
        beyond[np.abs(beyond) > far + 0.01] = NOWHERE
        beyond[(astray > 0.01 + 1e-3 * np.abs(beyond)) | (past > most + 1e-6)] = NOWHERE
        return beyond

    def known_at(self, points: FloatArray) -> bool:
        """Whether any of some points (n, 3) lies abreast of it: past its last ruling its depth is not known."""
        return bool((self.depth(points) > NOWHERE).any())

    @cached_property
    def face(self) -> Shell:
        """The shell without what is carried on: what other pieces can lie on."""
        return replace(self, only_itself=True)


def planking_shells(hull: Hull) -> tuple[Shell, ...]:
    """The inside of every strake."""

    def shell(strake: Strake) -> Shell:
        return Shell(
            name=f"{strake.name} planking",
            piece=Planking(strake.name),
            surfaces=tuple(strake.patches),
            inset=strake.inset,
        )

    return tuple(shell(strake) for strake in hull.strakes)


def deck_shell(hull: Hull) -> Shell:
    """The deck's underside."""
    return Shell(name="deck", piece=Deck(), surfaces=(hull.deck,), inset=hull.deck_inset, past=0.0)
