"""What words keep clear of: words that stand already, their leaders, and outlines under a leader."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tiling.drawing import XY, Drawing, FloatArray
from tiling.drawing.affine import Affine
from tiling.paper import Box

__all__ = ["GAP", "OUTLINE", "Sides", "Taken", "crosses", "outlines_of", "runs_through", "tangled"]

Sides = tuple[FloatArray, FloatArray]
"""The lower and the upper side of each row, or of each column, mm."""

GAP = 1.0  # mm; words keep this far from strokes and from other words
BESIDE = 2.0  # mm from words to words beside them, so that their lines do not read on from one to the other
OUTLINE = 0.5  # mm; strokes that are as broad are outlines
OWN = 1.0  # mm from its place; a leader may begin on an outline
MANY = 200_000  # leaders times parts of outlines that are looked at together


def outlines_of(drawing: Drawing, to_grid: Affine) -> FloatArray:
    """Both ends of every straight part of the outlines on the grid, shape (n, 4), mm."""
    parts = [np.empty((0, 4))]
    for path in drawing.paths:
        if path.stroke.width >= OUTLINE and not path.filled and not path.aside:
            points = to_grid.apply(path.points)
            points = np.vstack([points, points[:1]]) if path.closed else points
            parts.append(np.hstack([points[:-1], points[1:]]))
    return np.vstack(parts)


def crosses(leaders: FloatArray, parts: FloatArray) -> NDArray[np.bool_]:
    """Which leaders run through a part of an outline beyond their beginning; shape (n,).

    Args:
        leaders: shape (n, 4), from the place to the words.
        parts: shape (m, 4).
    """
    met = np.zeros(len(leaders), dtype=bool)
    if not len(parts) or not len(leaders):
        return met
    low, high = leaders.reshape(-1, 2).min(axis=0), leaders.reshape(-1, 2).max(axis=0)
    ends = parts.reshape(-1, 2, 2)
    parts = parts[((ends.max(axis=1) >= low) & (ends.min(axis=1) <= high)).all(axis=1)]
    start, end = leaders[:, :2], leaders[:, 2:]
    long = np.maximum(np.hypot(*(end - start).T), 1e-9)[:, None]
    start = start + (end - start) * np.minimum(OWN / long, 1.0)
    first, last = parts[:, :2], parts[:, 2:]
    step = max(MANY // max(len(parts), 1), 1)
    for k in range(0, len(leaders), step):
        here = slice(k, k + step)
        a, b = start[here, None], end[here, None]
        apart = _side(a, b, first[None]) * _side(a, b, last[None]) <= 0.0
        astride = _side(first[None], last[None], a) * _side(first[None], last[None], b) <= 0.0
        met[here] = (apart & astride).any(axis=1)
    return met


def _side(a: FloatArray, b: FloatArray, c: FloatArray) -> FloatArray:
    """Twice the area of triangles with their sense; shapes (..., 2) that broadcast together."""
    return np.asarray(
        (b[..., 0] - a[..., 0]) * (c[..., 1] - a[..., 1]) - (b[..., 1] - a[..., 1]) * (c[..., 0] - a[..., 0])
    )


class Taken:
    """The boxes of the words that stand already, their leaders, and the outlines that no leader runs through.

    Args:
        most: words that will stand at most.
        outlines: shape (n, 4): both ends of every straight part of an outline.
    """

    def __init__(self, most: int, outlines: FloatArray) -> None:
        self._outlines = outlines
        self._boxes = np.empty((most, 4))
        self._leaders = np.empty((most, 4))
        self._count = self._leader_count = 0

    def add(self, box: Box, leader: tuple[XY, XY] | None) -> None:
        self._boxes[self._count] = box
        self._count += 1
        if leader is not None:
            self._leaders[self._leader_count] = (*leader[0], *leader[1])
            self._leader_count += 1

    def free(self, low: FloatArray, high: FloatArray) -> NDArray[np.bool_]:
        """Which boxes keep clear of all words; shape (n,)."""
        boxes = self._boxes[: self._count]
        met = (
            (low[:, None, 0] < boxes[:, 2] + BESIDE)
            & (high[:, None, 0] > boxes[:, 0] - BESIDE)
            & (low[:, None, 1] < boxes[:, 3] + GAP)
            & (high[:, None, 1] > boxes[:, 1] - GAP)
        )
        return np.asarray(~met.any(axis=1))

    def free_grid(self, across: Sides, up: Sides) -> NDArray[np.bool_]:
        """Which boxes in rows and columns keep clear of all words; shape (rows, columns)."""
        boxes = self._boxes[: self._count]
        in_column, in_row = (
            (low[:, None] < boxes[:, axis + 2] + gap) & (high[:, None] > boxes[:, axis] - gap)
            for axis, (low, high), gap in ((0, across, BESIDE), (1, up, GAP))
        )
        met = in_row.astype(np.float32) @ in_column.T.astype(np.float32)
        return np.asarray(met == 0.0)

    def clear(self, low: FloatArray, high: FloatArray, leaders: FloatArray) -> NDArray[np.bool_]:
        """Where no leader would run through words or through an outline; shape (n,).

        Args:
            low, high: shape (n, 2): corners of the words.
            leaders: shape (n, 4): their own leaders; one without length for words that have none.
        """
        boxes, others = self._boxes[: self._count], self._leaders[: self._leader_count]
        here = np.column_stack((low, high))
        met = np.zeros(len(low), dtype=bool)
        if len(others):
            met |= runs_through(others[None, :], here[:, None]).any(axis=1)
        own = (leaders[:, :2] != leaders[:, 2:]).any(axis=1)
        if len(boxes) and own.any():
            met[own] |= runs_through(leaders[own][:, None], boxes[None, :]).any(axis=1)
        if own.any():
            met[own] |= crosses(leaders[own], self._outlines)
        return ~met


def runs_through(segments: FloatArray, boxes: FloatArray) -> NDArray[np.bool_]:
    """Whether segments meet boxes; shapes (..., 4) that broadcast together."""
    enters: FloatArray = np.zeros(1)
    leaves: FloatArray = np.ones(1)
    for axis in (0, 1):
        start = segments[..., axis]
        along = segments[..., axis + 2] - start
        along = np.where(np.abs(along) < 1e-12, 1e-12, along)
        first = (boxes[..., axis] - start) / along
        second = (boxes[..., axis + 2] - start) / along
        enters = np.maximum(enters, np.minimum(first, second))
        leaves = np.minimum(leaves, np.maximum(first, second))
    return enters <= leaves


def tangled(boxes: Sequence[Box], leaders: Sequence[tuple[XY, XY] | None]) -> list[int]:
    """Which words have a leader that runs through others, or another's that runs through them.

    Args:
        boxes, leaders: of each of the words.
    """
    owner = [index for index, leader in enumerate(leaders) if leader is not None]
    if not owner:
        return []
    ends = np.array([(*leader[0], *leader[1]) for leader in leaders if leader is not None])
    met = runs_through(ends[:, None], np.array(boxes)[None, :])
    met[np.arange(len(owner)), owner] = False
    through, under = np.nonzero(met)
    return sorted({*np.array(owner)[through].tolist(), *under.tolist()})
