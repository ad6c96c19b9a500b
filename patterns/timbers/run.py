"""A timber that runs fore and aft, as a solid: the curves of its section's corners through the boat."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from patterns.errors import PatternsError
from patterns.hull.nearest_points import NearestPoints
from patterns.hull.planes import FloatArray, Plane, cross
from patterns.wood.ends import HullEnd

__all__ = ["CLOSE", "TOUCHING", "End", "Run", "check_follows", "clipped", "mirror_of"]

MOST_STEP = 3.0  # times `CLOSE`; a timber's next place is never farther
CLOSE = 12.0  # mm between the places along; a bend of 1 m radius leaves 0.02 mm between two
TOUCHING = 1e-6  # mm; a face that lies in the plane of a timber's end still cuts it
SHEAR = 120.0  # mm from an end in which places square to the run turn into places of the end's own plane
ROUNDS = 3  # of finding the place abreast of a point; the run is nearly straight between two places


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class End:
    """The plane in which a timber ends.

    Attributes:
        out: 1 where the plane's normal points out of the timber, -1 where into it.
        against: what it ends on, in words; empty where it ends free.
        lands: what closes the hull there, if the timber's end lies on the wood of that.
    """

    plane: Plane
    out: float
    against: str = ""
    lands: HullEnd | None = None

    def over(self, points: FloatArray) -> FloatArray:
        """How far points (..., 3) lie beyond the end, mm; less than 0 within the timber."""
        beyond: FloatArray = self.out * self.plane.height_over(points)
        return beyond


@dataclass(frozen=True, kw_only=True, eq=False)
class Run:
    """One timber where it lies, on the starboard side or on the centreline.

    Attributes:
        name, kind: as the design has them.
        mirrored: the same timber lies on the port side too; a timber on the centreline is given whole.
        rails: shape (m, k, 3), mm: the k corners of the real section at m places along, from aft forward, each
            place square to the run; they run past both ends.  An edge joins each corner to the next, the last to
            the first.
        ends: the planes in which it ends, the after and the fore one.
        lies_on: for each of the k edges (the one from corner j to the next), the strake or "deck" that it lies
            on; "" where the face is free.
        across, deep: the section's breadth along the planking and its depth off it (a keel: sided, moulded), mm.
        laminations: how many, bent in one on another, make up its depth.
        stock: its wood in words; may be empty.
        let_in: notches are cut for it in what it crosses.
        edge_over: shape (m, 2), mm: how far the two corners of a bevelled edge pass the surface that it should lie
            on (see `faying.edge_over`); None where there is no such edge.
    """

    name: str
    kind: str
    mirrored: bool
    rails: FloatArray
    ends: tuple[End, End]
    lies_on: tuple[str, ...]
    across: float
    deep: float
    laminations: int = 1
    stock: str = ""
    let_in: bool = True
    edge_over: FloatArray | None = None

    @cached_property
    def corners(self) -> FloatArray:
        """The corner curves between the two ends, shape (n, k, 3), mm, from aft forward.

        The first and the last places lie in the planes of the ends; within `SHEAR` of them the places turn to be
        square to the run.
        """
        m = len(self.rails)
        first, last = (self._meets(end, first=i == 0) for i, end in enumerate(self.ends))
        low, high = float(first.max()), float(last.min())
        pace = float(np.median(np.linalg.norm(np.diff(self.rails.mean(axis=1), axis=0), axis=1)))
        reach = max(SHEAR / pace, 2.0 * float(np.ptp(first)), 2.0 * float(np.ptp(last)), 1.0)
        at = np.linspace(low, high, max(round(high - low) + 1, 2))[:, None]
        fade_aft = np.clip(1.0 - (at - low) / min(reach, 0.5 * (high - low) + 1e-9), 0.0, 1.0)
        fade_fore = np.clip(1.0 - (high - at) / min(reach, 0.5 * (high - low) + 1e-9), 0.0, 1.0)
        at = np.clip(at + fade_aft * (first - low) + fade_fore * (last - high), 0.0, m - 1.0)
        return self._at(at)

    def _at(self, places: FloatArray) -> FloatArray:
        """The corners at broken indices along the rails, one for each corner: (n, k) gives (n, k, 3)."""
        i = np.minimum(places.astype(int), len(self.rails) - 2)
        part = (places - i)[..., None]
        column = np.arange(self.rails.shape[1])
        found: FloatArray = (1.0 - part) * self.rails[i, column] + part * self.rails[i + 1, column]
        return found

    def _meets(self, end: End, *, first: bool) -> FloatArray:
        """Broken indices, one for each rail, at which the rails pass an end."""
        over = end.over(self.rails)
        inside = over <= 0.0
        places = np.empty(over.shape[1])
        for j in range(over.shape[1]):
            within = np.nonzero(inside[:, j])[0]
            if len(within) == 0:
                places[j] = 0.0 if first else len(over) - 1.0
                continue
            i = int(within[0]) - 1 if first else int(within[-1])
            if not 0 <= i < len(over) - 1:
                places[j] = float(np.clip(i, 0, len(over) - 1))
                continue
            places[j] = i + over[i, j] / (over[i, j] - over[i + 1, j])
        return places

    def cut(self, plane: Plane) -> FloatArray | None:
        """The polygon in which a plane cuts the timber, (q, 2) in the plane's own coordinates; None if clear of it.

        Its first points are the corners in their order, unless an end of the timber lies across the plane.
        """
        whole = self.cut_long(plane)
        if whole is None:
            return None
        for end in self.ends:
            over = end.over(plane.space(whole))
            if over.max() > TOUCHING:
                whole = clipped(whole, over)
                if len(whole) < 3:
                    return None
        return whole

    def cut_long(self, plane: Plane) -> FloatArray | None:
        """The same polygon, (k, 2), as if the timber ran on past its ends; None where that misses too."""
        over = plane.height_over(self.rails)
        crossing = (over[:-1] <= 0.0) != (over[1:] <= 0.0)
        if not crossing.any(axis=0).all():
            return None
        i, column = crossing.argmax(axis=0), np.arange(over.shape[1])
        part = (over[i, column] / (over[i, column] - over[i + 1, column]))[:, None]
        flat: FloatArray = plane.flat((1.0 - part) * self.rails[i, column] + part * self.rails[i + 1, column])
        return flat

    def direction(self, plane: Plane) -> FloatArray:
        """The unit direction of the run, aft, (3,), where it passes a plane (or nearest to it)."""
        over = np.abs(plane.height_over(self.rails).mean(axis=1))
        i = int(np.clip(over.argmin(), 1, len(over) - 2))
        # Without a bevelled edge, the first corner and the fourth, which wanders as its bevel changes.
        along = (self.rails[i - 1] - self.rails[i + 1])[1:3].mean(axis=0)
        unit: FloatArray = along / np.linalg.norm(along)
        return unit

    @cached_property
    def middle(self) -> FloatArray:
        """The line of the section's middle along the rails, (m, 3), mm."""
        line: FloatArray = self.rails.mean(axis=1)
        return line

    @cached_property
    def _nearest(self) -> NearestPoints:
        """Finds the place of the middle that is nearest to a point."""
        return NearestPoints(self.middle)

    def box(self) -> tuple[FloatArray, FloatArray]:
        """Its least and greatest coordinates on the starboard side, two arrays (3,), mm."""
        points = self.corners.reshape(-1, 3)
        return points.min(axis=0), points.max(axis=0)

    def depth(self, points: FloatArray) -> FloatArray:
        """How far points (n, 3) lie inside the wood, mm, (n,); less than 0 outside.

        Measured in the section abreast of each point, and from the two ends; exact to the second order of the
        bend.  Only the starboard timber of two is looked at.
        """
        m = len(self.rails)
        at = self._nearest.query(points)[1].astype(float)
        for _ in range(ROUNDS):
            i = np.minimum(at.astype(int), m - 2)
            step = self.middle[i + 1] - self.middle[i]
            here = self.middle[i] + (at - i)[:, None] * step
            at = at + np.einsum("ij,ij->i", points - here, step) / np.einsum("ij,ij->i", step, step)
            at = np.clip(at, 0.0, m - 1.0)
        i = np.minimum(at.astype(int), m - 2)
        ring = self._at(np.repeat(at[:, None], self.rails.shape[1], axis=1))
        along = self.middle[i + 1] - self.middle[i]
        along = along / np.linalg.norm(along, axis=1, keepdims=True)
        within = _depth_in(ring, along, points)
        for end in self.ends:
            within = np.minimum(within, -end.over(points))
        return within

    def samples(self, step: float) -> tuple[FloatArray, FloatArray]:
        """Points (q, 3) on its long faces at ``step`` mm or less, and the unit normals out of the wood there."""
        corners = self.corners
        count = max(int(np.ceil(float(np.linalg.norm(np.diff(corners, axis=0), axis=-1).max()) / step)), 1)
        at = np.linspace(0.0, len(corners) - 1.0, (len(corners) - 1) * count + 1)
        i = np.minimum(at.astype(int), len(corners) - 2)
        part = (at - i)[:, None, None]
        fine = (1.0 - part) * corners[i] + part * corners[i + 1]
        along = np.gradient(fine.mean(axis=1), axis=0)
        points, normals = [], []
        for j in range(fine.shape[1]):
            a, b = fine[:, j], fine[:, (j + 1) % fine.shape[1]]
            out = cross(b - a, along)
            size = np.linalg.norm(out, axis=1, keepdims=True)
            if float(size.max()) < 1e-9:
                continue
            out = out / np.where(size > 0.0, size, 1.0)
            away = np.einsum("ij,ij->i", out, 0.5 * (a + b) - fine.mean(axis=1))
            out = np.where(away[:, None] < 0.0, -out, out)
            number = max(int(np.ceil(float(np.linalg.norm(b - a, axis=1).max()) / step)), 1)
            for share in (np.arange(number) + 0.5) / number:
                points.append(a + share * (b - a))
                normals.append(out)
        return np.vstack(points), np.vstack(normals)

    @cached_property
    def length(self) -> float:
        """Its true length, mm, from the outermost corner at one end to that at the other.

        Measured along the longer of its square edges, that on its back or that inside of it.
        """
        first, last = (self._meets(end, first=i == 0) for i, end in enumerate(self.ends))
        low, high = float(first.min()), float(last.max())
        edges = self.rails[:, 1:3] if self.mirrored else self.rails
        steps = np.linalg.norm(np.diff(edges, axis=0), axis=-1)
        along = np.vstack([np.zeros((1, edges.shape[1])), np.cumsum(steps, axis=0)])
        places = np.arange(len(along), dtype=float)
        return max(float(np.interp(high, places, edge) - np.interp(low, places, edge)) for edge in along.T)


def _depth_in(ring: FloatArray, along: FloatArray, points: FloatArray) -> FloatArray:
    """How far points (n, 3) lie inside polygons (n, k, 3) that stand square to ``along`` (n, 3); mm, (n,)."""
    k = ring.shape[1]
    nearest = np.full(len(points), np.inf)
    around = np.zeros(len(points))
    off = ring - points[:, None]
    off = off - np.einsum("nkj,nj->nk", off, along)[..., None] * along[:, None]
    for j in range(k):
        a, b = off[:, j], off[:, (j + 1) % k]
        edge = b - a
        size = np.maximum(np.einsum("ij,ij->i", edge, edge), 1e-18)
        part = np.clip(-np.einsum("ij,ij->i", a, edge) / size, 0.0, 1.0)
        nearest = np.minimum(nearest, np.linalg.norm(a + part[:, None] * edge, axis=1))
        turn = np.einsum("ij,ij->i", cross(a, b), along)
        around += np.arctan2(turn, np.einsum("ij,ij->i", a, b))
    return np.where(np.abs(around) > np.pi, nearest, -nearest)


def clipped(polygon: FloatArray, over: FloatArray) -> FloatArray:
    """The part of a polygon (q, d) where ``over`` (q,), linear over it, is at most 0."""
    kept = []
    for i in range(len(polygon)):
        j = (i + 1) % len(polygon)
        if over[i] <= 0.0:
            kept.append(polygon[i])
        if (over[i] <= 0.0) != (over[j] <= 0.0):
            kept.append(polygon[i] + over[i] / (over[i] - over[j]) * (polygon[j] - polygon[i]))
    return np.array(kept) if kept else np.zeros((0, polygon.shape[1]))


def mirror_of(points: FloatArray) -> FloatArray:
    """Points (..., 3) on the port side."""
    other: FloatArray = points * np.array([1.0, -1.0, 1.0])
    return other


def check_follows(rails: FloatArray, line: FloatArray, ends: tuple[End, End], against: str) -> None:
    """See that the edge of a timber at its line, the first of its rails, follows that line between its ends.

    Raises:
        PatternsError: its places leap: the strake has no inside there that it could lie on.
    """
    within = (ends[0].over(line) <= 0.0) & (ends[1].over(line) <= 0.0)
    leaps = np.linalg.norm(np.diff(rails[:, 0], axis=0), axis=-1) > MOST_STEP * CLOSE
    found = np.nonzero(leaps & within[:-1] & within[1:])[0]
    if len(found):
        first, last = (float(line[i, 0]) for i in (found[-1] + 1, found[0]))
        raise PatternsError(
            f"it cannot be laid on the {against} from {first:.0f} to {last:.0f} mm aft, where that bends or twists "
            f'too sharply for it; change the lines there, or write sections = "straight" for the {against}'
        )
