"""Where the offsets of a round bilge stand on its surface, before there is any surface."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from patterns.fairing.curves import Profile, SpaceLine
from patterns.hull.planes import FloatArray
from patterns.table.levels import LevelRow, LevelView
from patterns.table.values import BOW, STERN, Place

__all__ = ["PlacedOffsets", "Start", "first_places", "measured"]

HEEL = 0.15  # part of the turn from stem to keel that is left where the keel's own line begins
LIFT = 0.05  # part of a section's height by which the eye stands over the sheer that sorts its points
STEM_POINTS, KEEL_POINTS = 40, 60  # places at which the surface is held to the rabbet
NEAR_HEAD = 0.9  # part of the height above which the stem says nothing of its lean


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlacedOffsets:
    """The offsets between keel and sheer.

    Attributes:
        points: shape (n, 3), mm.
        start, along: shape (n, 2), the line of the body plan on which each was measured.
        labels: the column of each.
        names, views, places: the row, the block and the cell of each.
        values: shape (n,), as typed, mm.
    """

    points: FloatArray
    start: FloatArray
    along: FloatArray
    labels: tuple[str, ...]
    names: tuple[str, ...]
    views: tuple[LevelView, ...]
    places: tuple[Place | None, ...]
    values: FloatArray

    def without(self, lifted: Collection[int]) -> PlacedOffsets:
        """The same but for some of them."""
        kept = [i for i in range(len(self.values)) if i not in lifted]
        return PlacedOffsets(
            points=self.points[kept],
            start=self.start[kept],
            along=self.along[kept],
            labels=tuple(self.labels[i] for i in kept),
            names=tuple(self.names[i] for i in kept),
            views=tuple(self.views[i] for i in kept),
            places=tuple(self.places[i] for i in kept),
            values=self.values[kept],
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Start:
    """First places.

    Attributes:
        fore: the distances aft at which the lines across begin, at the keel's line and at the sheer, mm.
        r: shape (n,), of each offset.
        rabbet: shape (m, 3), points of the profile line.
        rabbet_r: shape (m,), where across they lie.
        corner: shape (k, 3), points beyond the rabbet, where sections would meet the keel's line carried on.
    """

    fore: tuple[float, float]
    r: FloatArray
    rabbet: FloatArray
    rabbet_r: FloatArray
    corner: FloatArray


def measured(levels: Sequence[LevelRow], on_stem: Collection[str] = ()) -> PlacedOffsets:
    """Every offset of the rows.

    Args:
        on_stem: the rows whose fore ends are left out: they are on the rabbet, which is held already.
    """
    found = []
    for level in levels:
        points = level.points()
        for i in np.nonzero(np.isfinite(points).all(axis=1))[0]:
            if level.row.labels[i] == BOW and level.name in on_stem:
                continue
            found.append((level, int(i), points[i]))
    return PlacedOffsets(
        points=np.array([point for _, _, point in found]).reshape(-1, 3),
        start=np.array([level.start for level, _, _ in found]).reshape(-1, 2),
        along=np.array([level.along for level, _, _ in found]).reshape(-1, 2),
        labels=tuple(level.row.labels[i] for level, i, _ in found),
        names=tuple(level.name for level, _, _ in found),
        views=tuple(level.view for level, _, _ in found),
        places=tuple(level.places[i] for level, i, _ in found),
        values=np.array([level.values[i] for level, i, _ in found]),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Edges:
    """Keel and sheer, the keel's line carried on forward of its heel."""

    profile: Profile
    sheer: SpaceLine
    heel: float  # the profile's parameter

    def keel_height(self, x: FloatArray) -> FloatArray:
        """The height of the keel's line, carried on straight, mm."""
        at, by_t = self.profile.at(self.heel), self.profile.at(self.heel, 1)
        aft = self.profile.at(self.profile.t_at_x(np.maximum(x, at[0])))[..., 2]
        return np.where(x < at[0], at[2] + by_t[2] / by_t[0] * (x - at[0]), aft)

    def part(self, points: FloatArray) -> FloatArray:
        """How high points (..., 3) of the rabbet lie between the keel's line and the sheer, 0 to 1.

        Where a slip brings the keel's line up to the sheer or over it there is nothing between them: what lies on
        the keel's line or under it counts as low, the rest as high.
        """
        x = points[..., 0]
        low = self.keel_height(x)
        high = self.sheer.at(self.sheer.t_at_x(np.maximum(x, self.sheer.x_fore)))[..., 2]
        over, depth = points[..., 2] - low, high - low
        deep = np.isfinite(depth) & (depth > 0.0)
        return np.where(
            deep, np.clip(over / np.where(deep, depth, 1.0), 0.0, 1.0), np.where(over > 0.0, 1.0, 0.0)
        )


def _heel(profile: Profile) -> float:
    """The profile's parameter where the forefoot's bend has nearly run out into the keel."""
    t = np.linspace(profile.start, profile.end, 2001)
    along = profile.at(t, 1)
    turn = np.unwrap(np.arctan2(along[:, 2], along[:, 0]))
    level = turn[len(turn) // 2]
    return float(t[int(np.argmax(turn >= HEEL * turn[0] + (1.0 - HEEL) * level))])


def first_places(found: PlacedOffsets, profile: Profile, sheer: SpaceLine) -> Start:
    """Places by the share of each section's girth, measured over its points.

    Forward of the heel a section's own girth begins on the stem; what lies below it counts by its height.
    """
    edges = _Edges(profile=profile, sheer=sheer, heel=_heel(profile))
    heel = profile.at(edges.heel)
    stem = np.linspace(profile.start, edges.heel, STEM_POINTS)
    keel = np.linspace(edges.heel, profile.end, KEEL_POINTS)[1:]
    t = np.concatenate([stem, keel])
    rabbet = profile.at(t[profile.at(t)[:, 0] >= sheer.x_fore - 1e-6])
    on_stem = profile.at(stem)
    part = edges.part(on_stem)
    low = part < NEAR_HEAD
    lean = ((on_stem[low, 0] - sheer.x_fore) / (1.0 - part[low])).min(initial=heel[0] - sheer.x_fore)
    r = np.zeros(len(found.points))
    corner = []
    for label in dict.fromkeys(found.labels):
        mine = np.array([i for i, other in enumerate(found.labels) if other == label])
        points = found.points[mine]
        x = float(points[:, 0].mean())
        if label == STERN:
            foot, head = profile.at(profile.end), sheer.at(sheer.end)
        else:
            foot, head = profile.at(profile.t_at_x(x)), sheer.at(sheer.t_at_x(x))
        lowest = 0.0 if label == STERN else float(edges.part(foot))
        eye = head[2] + LIFT * (head[2] - foot[2])
        order = np.argsort(np.arctan2(points[:, 1], eye - points[:, 2]))
        girth = np.vstack([foot[1:], points[order, 1:], head[1:]])
        run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(girth, axis=0).T))])
        r[mine[order]] = lowest + (1.0 - lowest) * run[1:-1] / run[-1]
        if label != STERN and lowest > 0.02:
            step = girth[1] - girth[0]
            below = girth[0, 1] - float(edges.keel_height(np.array(x)))
            corner.append([x, *(girth[0] - step / max(step[1], 1.0) * below)])
    return Start(
        fore=(float(sheer.x_fore + lean), sheer.x_fore),
        r=r,
        rabbet=rabbet,
        rabbet_r=edges.part(rabbet),
        corner=np.array(corner).reshape(-1, 3),
    )
