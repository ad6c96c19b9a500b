"""The rabbet's points in one row, from the stem's head to the stern, and a plain curve through them.

The curve serves for checking only: each point's tangent is that of the circle through it and its neighbours.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.table.values import STERN, FloatArray, LineOffsets, Place, StemPoints

__all__ = ["RabbetPoints", "RabbetReach", "rabbet_points"]

BETWEEN = 24  # places on the curve from each point to the next


@dataclass(frozen=True, slots=True, kw_only=True)
class RabbetReach:
    """How far a point is from the rabbet.

    Attributes:
        distance: mm.
        near: the nearest place on the rabbet, (x, z).
        bulge: how far the curve stands off its chord there, mm: a measure of what the points leave open.
    """

    distance: float
    near: tuple[float, float]
    bulge: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RabbetPoints:
    """Points of the rabbet from the stem's head down and aft.

    Attributes:
        at: shape (n, 2), x aft and z up, mm.
        knuckle: where the rabbet turns on purpose.
        places: the cells.
    """

    at: FloatArray
    knuckle: tuple[bool, ...]
    places: tuple[Place, ...]

    def curve(self) -> FloatArray:
        """Places on the curve, shape (n - 1, BETWEEN + 1, 2); nan where points lie together or turn right back."""
        with np.errstate(divide="ignore", invalid="ignore"):
            curve = self._curve()
        return np.where(np.isfinite(curve), curve, np.nan)

    def _curve(self) -> FloatArray:
        step = np.diff(self.at, axis=0)
        length = np.hypot(step[:, 0], step[:, 1])
        chord = step / length[:, None]
        leaving, reaching = chord.copy(), chord.copy()
        weight = length / (length + np.roll(length, -1))
        for i in range(len(step) - 1):
            if not self.knuckle[i + 1]:
                tangent = chord[i] * (1.0 - weight[i]) + chord[i + 1] * weight[i]
                reaching[i] = leaving[i + 1] = tangent / np.hypot(*tangent)
        for i in range(len(step)):  # a loose end bends as the piece's other end does
            first, last = i == 0 or self.knuckle[i], i == len(step) - 1 or self.knuckle[i + 1]
            if first and not last:
                leaving[i] = 2.0 * (reaching[i] @ chord[i]) * chord[i] - reaching[i]
            elif last and not first:
                reaching[i] = 2.0 * (leaving[i] @ chord[i]) * chord[i] - leaving[i]
        t = np.linspace(0.0, 1.0, BETWEEN + 1)[None, :, None]
        # With these speeds a cubic whose two tangents stand alike to the chord is an arc, to 1e-6 of its radius.
        speeds = [2.0 * length / (1.0 + np.sum(tangent * chord, axis=1)) for tangent in (leaving, reaching)]
        start, end = self.at[:-1, None], self.at[1:, None]
        off, on = (speeds[0][:, None] * leaving)[:, None], (speeds[1][:, None] * reaching)[:, None]
        return np.asarray(
            start * (1 + 2 * t) * (1 - t) ** 2
            + end * t**2 * (3 - 2 * t)
            + off * t * (1 - t) ** 2
            - on * t**2 * (1 - t)
        )

    def reach(self, x: float, z: float) -> RabbetReach:
        """How far a point is from the curve."""
        curve = self.curve()
        point = np.array([x, z])
        start, step = curve[:, :-1], np.diff(curve, axis=1)
        along = np.clip(np.sum((point - start) * step, axis=2) / np.sum(step**2, axis=2), 0.0, 1.0)
        foot = start + along[..., None] * step
        apart = np.hypot(foot[..., 0] - x, foot[..., 1] - z)
        piece, place = (int(i) for i in np.unravel_index(int(apart.argmin()), apart.shape))
        chord = self.at[piece + 1] - self.at[piece]
        off = curve[piece] - self.at[piece]
        bulge = np.abs(off[:, 0] * chord[1] - off[:, 1] * chord[0]).max() / np.hypot(*chord)
        near = foot[piece, place]
        return RabbetReach(
            distance=float(apart[piece, place]), near=(float(near[0]), float(near[1])), bulge=float(bulge)
        )


def rabbet_points(stem: StemPoints, keel: LineOffsets, knuckles: tuple[str, ...] = ()) -> RabbetPoints | None:
    """The stem's points and the keel's heights in one row; None where there are too few.

    A height of the keel that lies along the stem takes its place among the stem's points.

    Args:
        knuckles: the keel's columns where it turns on purpose.
    """
    at = [np.array([x, z]) for x, z in zip(stem.x, stem.z, strict=True)]
    knuckle, places = list(stem.knuckle), list(stem.places)
    for i, label in enumerate(keel.labels):
        place = keel.z_places[i]
        if place is None or np.isnan(keel.x[i]) or np.isnan(keel.z[i]):
            continue
        point = np.array([keel.x[i], keel.z[i]])
        index = len(at) if label == STERN else _index(at, point)
        near = [j for j in (index - 1, index) if 0 <= j < len(at) and np.hypot(*(at[j] - point)) < 1.0]
        if near:  # the same point, given in both files
            knuckle[near[0]] = knuckle[near[0]] or label in knuckles
            continue
        at.insert(index, point)
        knuckle.insert(index, label in knuckles)
        places.insert(index, place)
    if len(at) < 3:
        return None
    return RabbetPoints(at=np.array(at), knuckle=tuple(knuckle), places=tuple(places))


def _index(at: list[FloatArray], point: FloatArray) -> int:
    """Where a point belongs in a row of points: in the piece that it is nearest to."""
    if len(at) < 2:
        return len(at)
    row = np.array(at)
    step = np.diff(row, axis=0)
    along = np.sum((point - row[:-1]) * step, axis=1) / np.sum(step**2, axis=1)
    feet = row[:-1] + np.clip(along, 0.0, 1.0)[:, None] * step
    nearest = int(np.hypot(*(feet - point).T).argmin())
    if nearest == len(step) - 1 and along[-1] > 1.0:
        return len(at)
    return 0 if nearest == 0 and along[0] < 0.0 else nearest + 1
