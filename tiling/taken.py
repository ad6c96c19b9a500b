"""What is drawn on a page already, so that the words of its joints can keep off it."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from tiling.affine import Affine
from tiling.drawing import FloatArray
from tiling.paper import Box
from tiling.runs import BROADEST, Cut

__all__ = ["Taken"]

SHORT = 4.0  # mm; the box of a shorter segment is taken for the segment

Stretch = tuple[float, float]
Blocked = tuple[
    float, float, int
]  # a stretch of a strip and the long segment that may run through; -1: it is taken


class Taken:
    """The places taken on one page.

    Args:
        boxes: shape (4, n), of words, spots and figures, grid coordinates.
        strokes: with the page's own segments of them.
        place: from the grid to the page.
    """

    def __init__(self, boxes: FloatArray, strokes: Cut, segments: NDArray[np.intp], place: Affine) -> None:
        self._strokes, self._segments, self._place = strokes, segments, place
        self._loose = boxes.shape[1]
        self._boxes = np.concatenate([boxes, strokes.boxes[:, segments]], axis=1)

    def along(self, strip: Box, *, upright: bool) -> Callable[[Stretch], bool]:
        """Whether nothing is drawn in a stretch of a strip (or a short stroke near it); page coordinates.

        Args:
            upright: the strip, and so the stretches, run up the page.
        """
        dx, dy = self._place.tx, self._place.ty
        x0, y0, x1, y1 = strip[0] - dx, strip[1] - dy, strip[2] - dx, strip[3] - dy
        low_x, low_y, high_x, high_y = self._boxes
        met = np.flatnonzero((low_x <= x1) & (high_x >= x0) & (low_y <= y1) & (high_y >= y0))
        if not len(met):
            return _free
        blocked = self._blocked(met, upright=upright)
        by = dy if upright else dx

        def clear(stretch: Stretch) -> bool:
            start, end = stretch[0] - by, stretch[1] - by
            long = []
            for low, high, segment in blocked:
                if low <= end and high >= start:
                    if segment < 0:
                        return False
                    long.append(segment)
            box = (x0, start, x1, end) if upright else (start, y0, end, y1)
            return not any(self._runs_through(segment, box) for segment in long)

        return clear

    def _blocked(self, met: NDArray[np.intp], *, upright: bool) -> list[Blocked]:
        boxes = self._boxes[:, met]
        segments = np.full(len(met), -1)
        strokes = met >= self._loose
        long = strokes & ((boxes[2] - boxes[0] >= SHORT) | (boxes[3] - boxes[1] >= SHORT))
        segments[long] = self._segments[met[long] - self._loose]
        lows, highs = (boxes[1], boxes[3]) if upright else (boxes[0], boxes[2])
        return list(zip(lows.tolist(), highs.tolist(), segments.tolist(), strict=True))

    def _runs_through(self, segment: int, box: Box) -> bool:
        """False for a segment that passes a box by, though its own box meets it."""
        (x, y), (end_x, end_y) = self._strokes.points[segment : segment + 2].tolist()
        along_x, along_y = end_x - x, end_y - y
        room = BROADEST * math.hypot(along_x, along_y)
        x0, y0, x1, y1 = box
        sides = [
            along_x * (corner_y - y) - along_y * (corner_x - x)
            for corner_x, corner_y in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        ]
        return not (min(sides) > room or max(sides) < -room)


def _free(_: Stretch) -> bool:
    return True
