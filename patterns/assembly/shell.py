"""What closes the boat in, planking and deck, as something that wood must not run into."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from patterns.assembly.solids import Samples
from patterns.hull.hull import Hull, Strake
from patterns.hull.nearest_points import NearestPoints
from patterns.hull.planes import FloatArray
from patterns.hull.surfaces import Surface
from patterns.wood.labels import Deck, Planking

__all__ = ["Shell", "deck_shell", "planking_shells"]

ALONG, ACROSS = 241, 13  # places at which a surface is looked at to begin with
ROUNDS = 8
FOUND = 1e-6  # mm
PAST = 80.0  # mm by which a surface is carried on past its edges
EDGE = 0.2  # mm within its edges at which a clinker plank ends: the wood under the next one lies against them
NOWHERE = -1e6
CLEAR = 10.0  # mm; how far off a place is that lies farther inside the boat tells nothing of a joint


@dataclass(frozen=True, kw_only=True, eq=False)
class _Grid:
    """Places on the inner face of a surface.

    Attributes:
        p, r: (n,).
        inner, out: their points, and the unit ways out of the boat there, (n, 3).
        apart: the most from one to the next, mm.
    """

    p: FloatArray
    r: FloatArray
    inner: FloatArray
    out: FloatArray
    apart: float

    @cached_property
    def nearest(self) -> NearestPoints:
        """Finds the nearest of them."""
        return NearestPoints(self.inner)


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
    def _grids(self) -> list[_Grid]:
        """The places of each piece that are looked at to begin with."""
        found = []
        for surface in self.surfaces:
            p, r = np.meshgrid(
                np.linspace(surface.start, surface.end, ALONG), np.linspace(0.0, 1.0, ACROSS), indexing="ij"
            )
            points, by_p, by_r = (np.broadcast_to(a, (*p.shape, 3)) for a in surface.shape(p, r))
            out = surface.outward(by_p, by_r)
            inner = points - self.inset * out
            apart = max(float(np.linalg.norm(np.diff(inner, axis=axis), axis=-1).max()) for axis in (0, 1))
            found.append(
                _Grid(
                    p=p.ravel(), r=r.ravel(), inner=inner.reshape(-1, 3), out=out.reshape(-1, 3), apart=apart
                )
            )
        return found

    def box(self) -> tuple[FloatArray, FloatArray]:
        """See `Solid.box`: the inner face's, and its mirror's."""
        points = np.vstack([grid.inner for grid in self._grids])
        low, high = points.min(axis=0) - self.past, points.max(axis=0) + self.past
        low[1] = -high[1]
        return low, high

    def surface(self, step: float) -> Samples:
        """See `Solid.surface`; empty: the other piece's samples tell all."""
        return Samples(points=np.zeros((0, 3)), normals=np.zeros((0, 3)))

    def depth(self, points: FloatArray) -> FloatArray:
        """See `Solid.depth`: how far points (n, 3) lie beyond the inner face.

        It is far less than 0 off its edges, and well inside the boat.
        """
        points = np.stack([points[:, 0], np.abs(points[:, 1]), points[:, 2]], axis=-1)
        deepest = np.full(len(points), NOWHERE)
        for surface, grid in zip(self.surfaces, self._grids, strict=True):
            far, nearest = grid.nearest.query(points)
            beyond = np.einsum("ij,ij->i", points - grid.inner[nearest], grid.out[nearest])
            near = (far < CLEAR + 1.5 * grid.apart) | (beyond > -0.5 * far)
            at = nearest[near]
            beyond = self._beyond(surface, points[near], far[near], grid.p[at], grid.r[at])
            deepest[near] = np.maximum(deepest[near], beyond)
        return deepest

    def _beyond(
        self, surface: Surface, points: FloatArray, far: FloatArray, p: FloatArray, r: FloatArray
    ) -> FloatArray:
        """How far points (n, 3) lie beyond the inner face of one surface, mm, (n,).

        Args:
            far: how far they are from a place of it, mm.
            p, r: that place.
        """
        reach = 1e-4 * (surface.end - surface.start)
        left = np.arange(len(points))
        for _ in range(ROUNDS):
            here_p, here_r = p[left], r[left]
            at, by_p, by_r = (np.broadcast_to(a, (len(left), 3)) for a in surface.shape(here_p, here_r))
            out = surface.outward(by_p, by_r)
            off = points[left] - at + self.inset * out
            pp, pr, rr = (np.einsum("ij,ij->i", a, b) for a, b in ((by_p, by_p), (by_p, by_r), (by_r, by_r)))
            ep, er = np.einsum("ij,ij->i", off, by_p), np.einsum("ij,ij->i", off, by_r)
            whole = np.maximum(pp * rr - pr * pr, 1e-9)
            p[left] = np.clip(
                here_p + (ep * rr - er * pr) / whole, surface.start - reach, surface.end + reach
            )
            r[left] = np.clip(here_r + (er * pp - ep * pr) / whole, -3.0, 4.0)
            # A foot that no longer moves is found; most take few rounds.
            step = np.sqrt(pp) * np.abs(p[left] - here_p) + np.sqrt(rr) * np.abs(r[left] - here_r)
            left = left[step > FOUND]
            if not len(left):
                break
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
            past=PAST if strake.edges is None else -EDGE,
        )

    return tuple(shell(strake) for strake in hull.strakes)


def deck_shell(hull: Hull) -> Shell:
    """The deck's underside."""
    return Shell(name="deck", piece=Deck(), surfaces=(hull.deck,), inset=hull.deck_inset, past=0.0)
