"""The frame's edge on one side: stretches that a batten lies along, and the corners at which it stops.

An edge runs from the heel to the head in its side's own coordinates, so that the wood lies to its left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from patterns.flat.polylines import lengths, meet, normals_left
from patterns.hull.planes import FloatArray

__all__ = ["Edge", "EdgeStretch", "moved_out"]

REACH = 40.0  # mm by which a stretch is carried on straight, at least, to find its corner with the next
NEAR = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EdgeStretch:
    """One stretch between corners.

    Attributes:
        name: as the points' file calls it.
        points: (n, 2), mm, n >= 2.
        out: (n, 2), unit normals out of the wood.
        slope: (n,), how far the hull's surface goes out for each mm that one goes through the old wood, away from
            the one who measured it; nan where no bevel is known.
        hollow: (n,), the same once more by that depth, a mm: the surface's own bend fore and aft.
    """

    name: str
    points: FloatArray
    out: FloatArray
    slope: FloatArray
    hollow: FloatArray

    @property
    def run(self) -> FloatArray:
        """Lengths along it, (n,), mm."""
        return lengths(self.points)

    def departure(self, depth: float) -> FloatArray:
        """How far out the surface lies at a depth behind the measured face, (n,), mm."""
        return np.asarray(self.slope * depth + self.hollow * depth**2)

    def bevel(self, depth: float, way: float) -> FloatArray:
        """The angle through wood that runs one way from a face at a depth, (n,), radians.

        Args:
            way: 1 where the wood runs away from the one who measured, -1 where towards him.
        """
        return np.asarray(0.5 * np.pi + way * np.arctan(self.slope + 2.0 * self.hollow * depth))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Edge:
    """The stretches of an edge in their order.

    Attributes:
        corners: what stands at the heel, between the stretches, and at the head; one more than there are stretches.
    """

    stretches: tuple[EdgeStretch, ...]
    corners: tuple[str, ...]

    @property
    def points(self) -> FloatArray:
        """The whole edge, (n, 2), each corner once."""
        parts = [stretch.points if i == 0 else stretch.points[1:] for i, stretch in enumerate(self.stretches)]
        return np.vstack(parts)

    @property
    def corner_places(self) -> FloatArray:
        """Heel, corners and head, (k, 2)."""
        return np.vstack([self.stretches[0].points[:1], *(stretch.points[-1:] for stretch in self.stretches)])

    @property
    def corner_runs(self) -> FloatArray:
        """Lengths along the edge to heel, corners and head, (k,), mm."""
        return np.concatenate([[0.0], np.cumsum([stretch.run[-1] for stretch in self.stretches])])

    @property
    def bevelled(self) -> bool:
        """Whether a bevel is known of any of its stretches."""
        return any(np.isfinite(stretch.slope).all() for stretch in self.stretches)

    @property
    def bare(self) -> tuple[str, ...]:
        """The stretches of which no bevel is known."""
        return tuple(stretch.name for stretch in self.stretches if not np.isfinite(stretch.slope).all())

    def mirrored(self) -> Edge:
        """The edge of the other side, run the same way in the line out = 0's mirror: from its head to its heel."""
        flip = np.array([-1.0, 1.0])
        return Edge(
            stretches=tuple(
                EdgeStretch(
                    name=stretch.name,
                    points=stretch.points[::-1] * flip,
                    out=stretch.out[::-1] * flip,
                    slope=stretch.slope[::-1],
                    hollow=stretch.hollow[::-1],
                )
                for stretch in self.stretches[::-1]
            ),
            corners=self.corners[::-1],
        )

    def at_depth(self, depth: float) -> Edge:
        """The edge that the hull's surface has at a depth behind the measured face, mm.

        Its stretches are moved out square to themselves and meet anew at the corners.  Without bevels it is the
        same edge; a stretch without is taken as square.
        """
        if depth == 0.0 or not self.bevelled:
            return self
        return moved_out(self, [np.nan_to_num(stretch.departure(depth)) for stretch in self.stretches])


def moved_out(edge: Edge, distances: Sequence[FloatArray]) -> Edge:
    """The edge with every stretch moved out of the wood by distances (n,) along its normals, mm."""
    moved = [
        stretch.points + distance[:, None] * stretch.out
        for stretch, distance in zip(edge.stretches, distances, strict=True)
    ]
    first = [0.0] * len(moved)
    last = [float(len(points) - 1) for points in moved]
    ends: list[FloatArray] = []
    for i, (before, after) in enumerate(pairwise(moved)):
        corner = edge.stretches[i].points[-1]
        far = REACH + 4.0 * float(max(abs(distances[i][-1]), abs(distances[i + 1][0])))
        place = meet(_run_on(before, far, tail=True), _run_on(after, far, tail=False), near=corner)
        gap = np.hypot(*(before[-1] - after[0]))
        if place is None:  # they run on in one line: no corner to be found but where they end
            ends.append(0.5 * (before[-1] + after[0]))
            continue
        at = _at(_run_on(before, far, tail=True), place[0])
        if np.hypot(*(at - corner)) > far + gap:
            ends.append(0.5 * (before[-1] + after[0]))
            continue
        ends.append(at)
        last[i], first[i + 1] = place[0], place[1] - 1.0
    stretches = []
    for i, stretch in enumerate(edge.stretches):
        head = None if i == 0 else ends[i - 1]
        tail = None if i == len(moved) - 1 else ends[i]
        stretches.append(_between(stretch, moved[i], first[i], last[i], head, tail))
    return replace(edge, stretches=tuple(stretches))


def _run_on(points: FloatArray, far: float, *, tail: bool) -> FloatArray:
    """A polyline carried on straight at its end, or before its beginning."""
    if tail:
        way = points[-1] - points[-2]
        return np.vstack([points, points[-1] + far * way / np.hypot(*way)])
    way = points[0] - points[1]
    return np.vstack([points[0] + far * way / np.hypot(*way), points])


def _at(points: FloatArray, place: float) -> FloatArray:
    i = min(int(place), len(points) - 2)
    return np.asarray(points[i] + (place - i) * (points[i + 1] - points[i]))


def _between(
    stretch: EdgeStretch,
    moved: FloatArray,
    first: float,
    last: float,
    head: FloatArray | None,
    tail: FloatArray | None,
) -> EdgeStretch:
    """A moved stretch cut off, or carried on, to its corners."""
    index = np.arange(len(moved))
    inner = index[(index > first + NEAR) & (index < last - NEAR)]
    if head is None:
        inner = np.union1d([0], inner)
    if tail is None:
        inner = np.union1d(inner, index[-1:])
    points = [moved[inner]]
    places = inner.astype(float)
    if head is not None:
        points, places = [head[None], *points], np.concatenate([[np.clip(first, 0, index[-1])], places])
    if tail is not None:
        points, places = [*points, tail[None]], np.concatenate([places, [np.clip(last, 0, index[-1])]])
    line = np.vstack(points)
    return EdgeStretch(
        name=stretch.name,
        points=line,
        out=-normals_left(line),
        slope=np.interp(places, index, stretch.slope),
        hollow=np.interp(places, index, stretch.hollow),
    )
