"""Which point of a face's edge lies opposite which of the other face's: matched label by label."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np
import shapely

from patterns.flat.polylines import lengths, mirrored
from patterns.hull.planes import FloatArray
from patterns.wood.labels import Centre, Label
from patterns.wood.region import Region, Stretch

__all__ = ["opposite_rings"]

EVEN = 161  # points along an edge that lies on a surface


def opposite_rings(
    one: Region, two: Region, curved: Collection[Label]
) -> tuple[tuple[FloatArray, FloatArray], ...]:
    """The whole outlines of a piece across the centreline, from its halves on both faces; see `Body.edge`.

    Args:
        curved: labels of edges on a surface; their points are spread evenly by length on both faces.
    Returns:
        One pair of outlines, or none where the two halves have not the same edges in the same order.
    """
    stretches = _from_the_centreline(one), _from_the_centreline(two)
    if [s.label for s in stretches[0]] != [s.label for s in stretches[1]]:
        return ()
    sides: tuple[list[FloatArray], list[FloatArray]] = ([], [])
    for pair in zip(*stretches, strict=True):
        counts = {len(s.points) for s in pair}
        even = len(counts) > 1 or (pair[0].label in curved and counts != {2})
        for side, stretch in zip(sides, pair, strict=True):
            points = _spread(stretch.points) if even else stretch.points
            side.append(points[1:] if side else points)
    rings = [_whole(np.vstack(side)) for side in sides]
    return ((rings[0], rings[1]),)


def _from_the_centreline(half: Region) -> list[Stretch]:
    """Its edges from the centreline round to it again."""
    stretches = half.stretches()
    centre = next((i for i, s in enumerate(stretches) if isinstance(s.label, Centre)), -1)
    return [*stretches[centre + 1 :], *stretches[:centre]] if centre >= 0 else stretches


def _spread(points: FloatArray) -> FloatArray:
    run = lengths(points)
    places = np.linspace(0.0, run[-1], EVEN)
    return np.stack([np.interp(places, run, points[:, k]) for k in (0, 1)], axis=-1)


def _whole(half: FloatArray) -> FloatArray:
    """A half and its mirror, closed and anticlockwise."""
    whole = np.vstack([half, mirrored(half)[::-1][1:-1], half[:1]])
    ring: FloatArray = whole if shapely.is_ccw(shapely.linearrings(whole)) else whole[::-1]
    return ring
