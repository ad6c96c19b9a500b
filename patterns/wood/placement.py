"""How a piece's own coordinates lie in the boat: u and v on its face as drawn, and the depth into its wood, mm.

A face may be a plane or an unrolled cylinder (`OnFace`), or rulings: a developed sheet, or a run along a curve
(`OnRulings`).  A drawing that is flipped or turned for the bench is a view of a piece; its placement stays.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from patterns.flat.unroll import Unrolled
from patterns.hull.planes import FloatArray, Plane

__all__ = [
    "Mirrored",
    "OnFace",
    "OnRulings",
    "Placement",
    "along_run",
    "mirrored",
    "mirrored_plane",
    "on_sheet",
    "on_sheets",
]

PORT = np.array([1.0, -1.0, 1.0])
ROUNDS = 30  # of Newton's method; three or four are enough inside of one cell
CLOSE = 1e-7  # mm; as near as is asked for


class Placement(Protocol):
    """Both ways between a piece's own coordinates and the boat's; each undoes the other to 0.001 mm."""

    def boat(self, own: FloatArray) -> FloatArray:
        """Points in the boat, (n, 3), of places (n, 3): u, v and depth."""
        ...

    def own(self, points: FloatArray) -> FloatArray:
        """The u, v and depth, (n, 3), of points in the boat (n, 3)."""
        ...


@dataclass(frozen=True, slots=True, eq=False)
class OnFace:
    """On a plane, or on a cylinder unrolled.

    Attributes:
        face: where the depth is 0.
        sense: 1 where the wood runs along the face's normal, -1 where against it.
    """

    face: Plane
    sense: float

    @property
    def siding(self) -> FloatArray:
        """The direction into the wood on the centreline, (3,)."""
        way: FloatArray = self.sense * self.face.normal
        return way

    def boat(self, own: FloatArray) -> FloatArray:
        """See `Placement.boat`."""
        on = self.face.space(own[..., :2])
        points: FloatArray = on + self.sense * own[..., 2:] * self.face.facing(on)
        return points

    def own(self, points: FloatArray) -> FloatArray:
        """See `Placement.own`."""
        depth = self.sense * self.face.height_over(points)
        return np.concatenate([self.face.flat(points), depth[..., None]], axis=-1)


@dataclass(frozen=True, slots=True, eq=False)
class OnRulings:
    """On a surface of straight rulings, with a place on the flat for each of their ends.

    Attributes:
        low, high: shape (n, 3), the rulings' ends in the boat, mm.
        inward: shape (n, 3), unit vectors, the way into the wood along each ruling.
        flat_low, flat_high: shape (n, 2), the same ends in u and v.
    """

    low: FloatArray
    high: FloatArray
    inward: FloatArray
    flat_low: FloatArray
    flat_high: FloatArray

    def boat(self, own: FloatArray) -> FloatArray:
        """See `Placement.boat`."""
        place = self._on_flat(own[:, :2])
        points: FloatArray = self._point(place, self.low, self.high) + own[:, 2:] * self._way(place)[0]
        return points

    def own(self, points: FloatArray) -> FloatArray:
        """See `Placement.own`.

        Raises:
            ValueError: a point lies so far off that no place abreast of it was found.
        """
        place = self._nearest(points, self.low, self.high)
        depth = np.zeros(len(points))
        for _ in range(ROUNDS):
            inward, by_s = self._way(place)
            off = self._point(place, self.low, self.high) + depth[:, None] * inward - points
            along, up = self._slopes(place, self.low, self.high)
            slopes = np.stack([along + depth[:, None] * by_s, up, inward], axis=-1)
            step = np.linalg.solve(slopes, off[..., None])[..., 0]
            place, depth = place - step[:, :2], depth - step[:, 2]
            if np.abs(off).max(initial=0.0) < CLOSE:
                break
        else:
            raise ValueError("a point of the boat has no place on the rulings")
        return np.column_stack([self._point(place, self.flat_low, self.flat_high), depth])

    def _on_flat(self, uv: FloatArray) -> FloatArray:
        """The broken number of the ruling and the part of its length, (n, 2), of places on the flat."""
        place = self._nearest(uv, self.flat_low, self.flat_high)
        for _ in range(ROUNDS):
            off = self._point(place, self.flat_low, self.flat_high) - uv
            slopes = np.stack(self._slopes(place, self.flat_low, self.flat_high), axis=-1)
            place = place - np.linalg.solve(slopes, off[..., None])[..., 0]
            if np.abs(off).max(initial=0.0) < CLOSE:
                return place
        raise ValueError("a place on the flat lies on no ruling")

    def _cell(self, place: FloatArray) -> tuple[NDArray[np.intp], FloatArray]:
        i = np.clip(np.floor(place[:, 0]).astype(np.intp), 0, len(self.low) - 2)
        return i, (place[:, 0] - i)[:, None]

    def _point(self, place: FloatArray, low: FloatArray, high: FloatArray) -> FloatArray:
        i, s = self._cell(place)
        r = place[:, 1:]
        a, b = low[i] + s * (low[i + 1] - low[i]), high[i] + s * (high[i + 1] - high[i])
        point: FloatArray = a + r * (b - a)
        return point

    def _slopes(self, place: FloatArray, low: FloatArray, high: FloatArray) -> tuple[FloatArray, FloatArray]:
        """The derivatives of `_point` by the ruling's number and by the part of its length."""
        i, s = self._cell(place)
        r = place[:, 1:]
        along = (1.0 - r) * (low[i + 1] - low[i]) + r * (high[i + 1] - high[i])
        up = (1.0 - s) * (high[i] - low[i]) + s * (high[i + 1] - low[i + 1])
        return along, up

    def _way(self, place: FloatArray) -> tuple[FloatArray, FloatArray]:
        """The way into the wood, and its derivative by the ruling's number."""
        i, s = self._cell(place)
        turn = self.inward[i + 1] - self.inward[i]
        return self.inward[i] + s * turn, turn

    def _nearest(self, points: FloatArray, low: FloatArray, high: FloatArray) -> FloatArray:
        """A first guess: the ruling nearest to each point, and the foot on it."""
        way = high - low
        size = np.einsum("nj,nj->n", way, way)
        part = (points @ way.T - np.einsum("nj,nj->n", low, way)) / size
        away = np.linalg.norm(points[:, None] - (low + np.clip(part, 0.0, 1.0)[..., None] * way), axis=-1)
        near = away.argmin(axis=1)
        return np.column_stack([near.astype(float), part[np.arange(len(points)), near]])


@dataclass(frozen=True, slots=True, eq=False)
class Mirrored:
    """The mirror of a placement on the other side of the boat; see `mirrored`."""

    of: Placement

    def boat(self, own: FloatArray) -> FloatArray:
        """See `Placement.boat`."""
        points: FloatArray = self.of.boat(own) * PORT
        return points

    def own(self, points: FloatArray) -> FloatArray:
        """See `Placement.own`."""
        return self.of.own(points * PORT)


def mirrored(placement: Placement) -> Placement:
    """Where the same u, v and depth lie on the other side of the boat; twice gives the placement itself."""
    return placement.of if isinstance(placement, Mirrored) else Mirrored(placement)


def mirrored_plane(plane: Plane) -> Plane:
    """The same plane on the other side of the boat; its v and normal are the mirrors, its u runs the other way."""
    return Plane(origin=plane.origin * PORT, u=-plane.u * PORT, v=plane.v * PORT)


def on_sheet(sheet: Unrolled) -> OnRulings:
    """A developed sheet; the depth runs inward from the surface that was unrolled."""
    return OnRulings(sheet.low, sheet.high, -sheet.outward, sheet.flat_low, sheet.flat_high)


def on_sheets(sheets: Sequence[Unrolled]) -> OnRulings:
    """Developed sheets laid end to end, each upon the ruling that it shares with the one before."""
    parts = [on_sheet(sheet) for sheet in sheets]

    def all_of(name: str) -> FloatArray:
        return np.concatenate([getattr(part, name)[min(i, 1) :] for i, part in enumerate(parts)])

    return OnRulings(*(all_of(name) for name in ("low", "high", "inward", "flat_low", "flat_high")))


def along_run(spine: FloatArray, across: FloatArray, off: FloatArray, *, start: float = 0.0) -> OnRulings:
    """A run along a curve: u along it, v across it, depth off it.

    Args:
        spine: shape (n, 3), places along it, mm.
        across, off: shape (n, 3), unit vectors at each of them.
        start: the u of the first place, mm.
    """
    u = start + np.append(0.0, np.cumsum(np.linalg.norm(np.diff(spine, axis=0), axis=1)))
    return OnRulings(
        spine,
        spine + across,
        off,
        np.column_stack([u, np.zeros_like(u)]),
        np.column_stack([u, np.ones_like(u)]),
    )
