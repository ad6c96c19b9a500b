"""Gaps in a taped pattern, and a long distance across each: arm to arm of a U, side to side of a ring.

The arms of a pattern are held to one another by all the pages between, one seam after the other.  A little turn at
each adds up to much at their ends; only a distance straight across the gap tells.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from tiling.distances.checks import seams_on_way, tile_at
from tiling.drawing import XY, Distance, Drawing, FloatArray
from tiling.drawing.affine import Affine
from tiling.drawing.tolerance import NOISE, steady
from tiling.drawing.vertices import joined
from tiling.layout.page_layout import PageLayout
from tiling.paper import TARGET_RADIUS, Box

__all__ = ["across_gaps"]

EVERY = 15.0  # mm; along strokes a target may stand at vertices and at places so far apart
NEAR = 2  # seams in all between the ends of a distance and the pages that face one another
ALONG = 40  # places on a distance that are looked at
FACING = 0.25  # of a page's breadth, in which a lower and an upper page see one another
LEAST = 150.0  # mm; a shorter distance proves nothing that the rulers do not
CLEAR = TARGET_RADIUS + 1.0  # mm between a target's middle and the edge of what is seen of its page


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pair:
    """Two pages that face one another over a gap: indices of the tiles, the left or lower one first."""

    first: int
    second: int
    upright: bool  # the gap lies between a lower and an upper page


def across_gaps(drawing: Drawing, layout: PageLayout, known: Sequence[Distance]) -> tuple[Distance, ...]:
    """A distance across every gap that none of the known ones crosses, in the drawing's coordinates."""
    boxes = [layout.visible(tile) for tile in layout.tiles]
    gaps = _gaps(layout, [*_beside(layout), *_above(layout, boxes)])
    if not gaps:
        return ()
    places = _places(drawing, layout.to_grid)
    back = layout.to_grid.inverse()
    found: list[Distance] = []
    for gap in gaps:
        if any(_crosses(distance, gap, boxes, layout) for distance in (*known, *found)):
            continue
        for pair in sorted(gap, key=lambda pair: -seams_on_way(layout, pair.first, pair.second)):
            ends = _farthest(_within(places, boxes[pair.first]), _within(places, boxes[pair.second]))
            if ends is not None:
                found.append(Distance(name="", start=back.at(ends[0]), end=back.at(ends[1])))
                break
    return tuple(found)


def _beside(layout: PageLayout) -> Iterable[_Pair]:
    """Pages of a row that follow one another but are not joined."""
    for i, (left, right) in enumerate(zip(layout.tiles, layout.tiles[1:], strict=False)):
        if left.row == right.row and right.column > left.column + 1:
            yield _Pair(first=i, second=i + 1, upright=False)


def _above(layout: PageLayout, boxes: Sequence[Box]) -> Iterable[_Pair]:
    """Pages that see one another up and down over one or more rows without pages, for some of their breadth."""
    least = FACING * layout.page.step[0]
    for i, lower in enumerate(layout.tiles):
        left, right = boxes[i][0], boxes[i][2]
        for j in range(i - 1, -1, -1):
            if layout.tiles[j].row == lower.row:
                continue
            low, high = max(left, boxes[j][0]), min(right, boxes[j][2])
            if high - low <= 0.0:
                continue
            if high - low >= least and layout.tiles[j].row < lower.row - 1:
                yield _Pair(first=i, second=j, upright=True)
            if high - low >= least or layout.tiles[j].row == lower.row - 1:
                break  # what lies behind is hidden


def _gaps(layout: PageLayout, pairs: Sequence[_Pair]) -> list[list[_Pair]]:
    """Pairs that belong to one gap: on either side their pages are one, or joined, or both joined to a third."""
    beside: dict[int, set[int]] = {i: {i} for i in range(len(layout.tiles))}
    for seam in layout.seams:
        beside[seam.over].add(seam.under)
        beside[seam.under].add(seam.over)

    def near(a: int, b: int) -> bool:
        return not beside[a].isdisjoint(beside[b])

    gaps: list[list[_Pair]] = []
    for pair in pairs:
        mine = [
            gap
            for gap in gaps
            if any(
                pair.upright == other.upright
                and near(pair.first, other.first)
                and near(pair.second, other.second)
                for other in gap
            )
        ]
        gaps = [gap for gap in gaps if gap not in mine]
        gaps.append([pair, *(other for gap in mine for other in gap)])
    return gaps


def _crosses(distance: Distance, gap: Sequence[_Pair], boxes: Sequence[Box], layout: PageLayout) -> bool:
    """The distance runs off the pages from one side of the gap to the other, or nearly from side to side."""
    start, end = layout.to_grid.at(distance.start), layout.to_grid.at(distance.end)
    on_way = np.array(start) + np.linspace(0.0, 1.0, ALONG)[:, None] * np.subtract(end, start)
    low, high = np.array(boxes)[:, :2], np.array(boxes)[:, 2:]
    seen = np.all((on_way[:, None] >= low) & (on_way[:, None] <= high), axis=2)
    if np.all(np.any(seen, axis=1)):
        return False
    tiles = tile_at(layout, start), tile_at(layout, end)
    return any(
        seams_on_way(layout, a, pair.first) + seams_on_way(layout, b, pair.second) <= NEAR
        for pair in gap
        for a, b in (tiles, tiles[::-1])
    )


def _places(drawing: Drawing, to_grid: Affine) -> FloatArray:
    """Places on full strokes, grid coordinates, (n, 2)."""
    paths = [path for path in drawing.paths if not path.filled and not path.stroke.dash]
    points, starts = joined(paths or [path for path in drawing.paths if not path.filled])
    points = to_grid.apply(points)
    if len(points) < 2:
        return points
    step = np.diff(points, axis=0)
    length = np.hypot(*step.T)
    length[starts[1:] - 1] = 0.0  # from the end of one path to the beginning of the next
    count = np.maximum(np.ceil(length / EVERY - NOISE), 1.0).astype(np.intp)
    which = np.repeat(np.arange(len(step)), count)
    nth = np.arange(len(which)) - np.repeat(np.cumsum(count) - count, count)
    more = points[which] + (nth / count[which])[:, None] * step[which]
    return np.asarray(np.concatenate([more, points[-1:]]))


def _within(places: FloatArray, box: Box) -> FloatArray:
    low, high = np.add(box[:2], CLEAR), np.subtract(box[2:], CLEAR)
    return np.asarray(places[((places >= low) & (places <= high)).all(axis=1)])


def _farthest(first: FloatArray, second: FloatArray) -> tuple[XY, XY] | None:
    """The two places that are farthest apart; None where there are none as far apart as is worth measuring."""
    if not len(first) or not len(second):
        return None
    apart = np.hypot(*(first[:, None] - second[None]).transpose(2, 0, 1))
    i, j = np.unravel_index(int(steady(apart).argmax()), apart.shape)
    if apart[i, j] < LEAST:
        return None
    return (float(first[i, 0]), float(first[i, 1])), (float(second[j, 0]), float(second[j, 1]))
