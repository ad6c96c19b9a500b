"""What is drawn on a page already, so that the words of its joints can keep off it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import partial

import numpy as np
from numpy.typing import NDArray

from tiling.drawing import FloatArray
from tiling.drawing.affine import Affine
from tiling.paper import Box
from tiling.pdf.clipping import BROADEST, ClippedStrokes

__all__ = ["Clear", "Obstacles", "Strip"]

SHORT = 4.0  # mm; the box of a shorter segment is taken for the segment

Strip = tuple[Box, bool]  # page coordinates, mm; it runs up the page
Clear = Callable[[float, float], bool]
"""Whether nothing is drawn in a stretch of a strip, from where to where along it (or a short stroke near it)."""
_Blocked = tuple[
    float, float, int
]  # a stretch, and the long segment that may run through it; -1: it is taken


class Obstacles:
    """The places taken on one page.

    Args:
        boxes: shape (4, n), of words, spots and figures, grid coordinates.
        strokes: with the page's own segments of them.
        place: from the grid to the page.
    """

    def __init__(
        self, boxes: FloatArray, strokes: ClippedStrokes, segments: NDArray[np.intp], place: Affine
    ) -> None:
        self._strokes, self._segments, self._by = strokes, segments, (place.tx, place.ty)
        self._loose = boxes.shape[1]
        self._boxes = np.concatenate([boxes, strokes.boxes[:, segments]], axis=1)

    def along(self, strips: Sequence[Strip]) -> list[Clear]:
        """What is drawn in each of the strips, all looked at together."""
        if not strips:
            return []
        dx, dy = self._by
        on_grid = np.array([box for box, _ in strips]) - (dx, dy, dx, dy)
        x0, y0, x1, y1 = on_grid.T[:, :, None]
        low_x, low_y, high_x, high_y = self._boxes
        of, met = np.nonzero((low_x <= x1) & (high_x >= x0) & (low_y <= y1) & (high_y >= y0))
        blocked: list[list[_Blocked]] = [[] for _ in strips]
        for which, place, box in zip(of.tolist(), met.tolist(), self._boxes[:, met].T.tolist(), strict=True):
            low, high = (box[1], box[3]) if strips[which][1] else (box[0], box[2])
            blocked[which].append((low, high, self._long(place, box)))
        return [
            partial(self._clear, blocks, box, up) if blocks else _free
            for blocks, box, (_, up) in zip(blocked, on_grid.tolist(), strips, strict=True)
        ]

    def _long(self, place: int, box: Sequence[float]) -> int:
        """The segment in that place among the boxes, where it is a long one; -1 for anything else."""
        if place < self._loose or (box[2] - box[0] < SHORT and box[3] - box[1] < SHORT):
            return -1
        return int(self._segments[place - self._loose])

    def _clear(
        self, blocked: Sequence[_Blocked], strip: Sequence[float], up: bool, start: float, end: float
    ) -> bool:
        by = self._by[up]
        start, end = start - by, end - by
        long = []
        for low, high, segment in blocked:
            if low <= end and high >= start:
                if segment < 0:
                    return False
                long.append(segment)
        x0, y0, x1, y1 = strip
        box = (x0, start, x1, end) if up else (start, y0, end, y1)
        return not any(self._runs_through(segment, box) for segment in long)

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


def _free(start: float, end: float) -> bool:
    return True
