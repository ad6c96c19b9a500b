"""Where words may stand: which page would hold them whole, and how much ink lies beneath.

Every question is asked for many boxes at once: corners as arrays of shape (n, 2), mm.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tiling.drawing import FloatArray
from tiling.layout.coverage import InkBoxes
from tiling.layout.grid import PageLayout
from tiling.paper import MARK_RADIUS, Box

__all__ = ["CALM", "NOWHERE", "SEEN", "WINDOW", "Ground", "InkMap", "cell_size", "ground_of", "open_ground"]

CELL = 1.0  # mm; ink is mapped in cells of this size, or of
CELLS = 600_000  # this share of a large pattern
MARK_WEIGHT = 100  # cells of ink that one cell of a match mark counts for

# How well a page holds a box.
CALM = 0  # clear of every overlap
SEEN = 1  # whole in what is seen of the page when taped
WINDOW = 2  # whole in the window, but cut by a trim line or under the neighbour's edge
NOWHERE = 3

_EDGE = 1e-6  # mm; rounding of a box that stands at a window's edge


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ground:
    """The windows of one pattern's pages, in level rows.

    Attributes:
        feet: shape (rows,): where the windows of each row begin, from the bottom, mm.
        starts: shape (tiles,): row from the bottom and left edge of each window in one number, rising.
        tiles: shape (tiles,): index of the tile of each.
        span: what a row counts for in ``starts``; more than the pattern is wide, mm.
        size: of a window, mm.
        holds: shape (3, tiles, 4): for each tile the boxes that are CALM, SEEN, WINDOW.
        discs: shape (n, 2): centres of the match marks.
    """

    feet: FloatArray
    starts: FloatArray
    tiles: NDArray[np.intp]
    span: float
    size: tuple[float, float]
    holds: FloatArray
    discs: FloatArray

    @property
    def bounds(self) -> Box:
        """Around all windows, mm."""
        windows = self.holds[WINDOW]
        x0, y0 = windows[:, :2].min(axis=0)
        x1, y1 = windows[:, 2:].max(axis=0)
        return float(x0), float(y0), float(x1), float(y1)

    def held(self, low: FloatArray, high: FloatArray) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """How well the best page holds each box (CALM to NOWHERE), and that page's index (-1 for none)."""
        grade = np.full(len(low), NOWHERE, dtype=np.intp)
        best = np.full(len(low), -1, dtype=np.intp)
        row = np.searchsorted(self.feet, low[:, 1] + _EDGE, side="right") - 1.0
        x = np.clip(low[:, 0] + _EDGE, 0.0, 0.5 * self.span)
        asked = np.arange(len(low))
        # A box lies in the window of its row that begins last before it, or in the one before that.
        for back, down in ((1, 0), (2, 0), (1, 1), (2, 1)):
            wanted = (row[asked] - down) * self.span
            place = np.searchsorted(self.starts, wanted + x[asked], side="right") - back
            there = place >= 0
            there[there] = self.starts[place[there]] >= wanted[there]
            which, tile = asked[there], self.tiles[place[there]]
            here = NOWHERE - self._holding(tile, low[which], high[which])
            better = here < grade[which]
            grade[which[better]] = here[better]
            best[which[better]] = tile[better]
            asked = asked[grade[asked] > CALM]
        return grade, best

    def _holding(self, tile: NDArray[np.intp], low: FloatArray, high: FloatArray) -> NDArray[np.intp]:
        """How many of the three nested boxes of its tile hold each box."""
        count = np.zeros(len(tile), dtype=np.intp)
        for boxes in self.holds:
            x0, y0, x1, y1 = boxes[tile].T
            count += (
                (x0 - _EDGE <= low[:, 0])
                & (y0 - _EDGE <= low[:, 1])
                & (x1 + _EDGE >= high[:, 0])
                & (y1 + _EDGE >= high[:, 1])
            )
        return count


def ground_of(layout: PageLayout) -> Ground:
    """The ground of a layout's pages."""
    overlap = layout.page.overlap
    holds = np.empty((3, len(layout.tiles), 4))
    for i, tile in enumerate(layout.tiles):
        x0, y0, x1, y1 = tile.window
        right, top = layout.trimmed(tile)
        foot = layout.foot_line(tile)
        holds[CALM, i] = (
            x0 + overlap if layout.neighbour(tile, "left") else x0,
            y0 if foot is None else foot + 0.5 * overlap,
            x1 - overlap if right else x1,
            y1 - overlap if top else y1,
        )
        holds[SEEN, i] = layout.visible(tile)
        holds[WINDOW, i] = tile.window
    discs = np.array([mark for seam in layout.seams for mark in seam.marks], dtype=float).reshape(-1, 2)
    return _ground(holds, discs=discs)


def open_ground(box: Box) -> Ground:
    """One window without neighbours; its lower left corner is the origin."""
    x0, y0, x1, y1 = box
    holds = np.broadcast_to(np.array([0.0, 0.0, x1 - x0, y1 - y0]), (3, 1, 4)).copy()
    return _ground(holds, discs=np.empty((0, 2)))


def _ground(holds: FloatArray, *, discs: FloatArray) -> Ground:
    windows = holds[WINDOW]
    span = 2.0 * (float(windows[:, 2].max()) + 1.0)
    feet = np.unique(windows[:, 1])
    starts = np.searchsorted(feet, windows[:, 1]) * span + windows[:, 0]
    order = np.argsort(starts, kind="stable")
    size = windows[0, 2:] - windows[0, :2]
    return Ground(
        feet=feet,
        starts=starts[order],
        tiles=order,
        span=span,
        size=(float(size[0]), float(size[1])),
        holds=holds,
        discs=discs,
    )


class InkMap:
    """Ink and match marks in cells, summed so that any box is asked in four look-ups."""

    def __init__(self, ink: InkBoxes, ground: Ground, *, cell: float, marks: bool = True) -> None:
        x0, y0, x1, y1 = ground.bounds
        self._origin = np.array([x0, y0])
        self._cell = cell
        self._most = np.ceil((np.array([x1, y1]) - self._origin) / cell).astype(np.intp)
        columns, rows = (int(n) for n in self._most)
        cells = np.zeros((rows, columns), dtype=np.int32)
        self._fill(cells, ink.low, ink.high, 1)
        if marks:
            self._fill(cells, ground.discs - MARK_RADIUS, ground.discs + MARK_RADIUS, MARK_WEIGHT)
        self._table = np.zeros((rows + 1, columns + 1), dtype=np.int32)
        np.cumsum(cells, axis=1, dtype=np.int32, out=self._table[1:, 1:])
        # numpy's own sum from row to row goes down column by column.
        for below, row in pairwise(self._table):
            row += below

    def _cells(self, corners: FloatArray) -> NDArray[np.intp]:
        """Columns and rows, (2, n), of the cells that hold the corners (n, 2); the nearest where none does."""
        cells = ((corners - self._origin) / self._cell).astype(np.intp)
        return np.asarray(np.minimum(np.maximum(cells, 0), self._most - 1).T)

    def _fill(self, cells: NDArray[np.int32], low: FloatArray, high: FloatArray, weight: int) -> None:
        (c0, r0), (c1, r1) = self._cells(low), self._cells(high)
        small = (c1 - c0 <= 2) & (r1 - r0 <= 2)
        flat, wide = cells.reshape(-1), cells.shape[1]
        low_columns, high_columns = c0[small], c1[small]
        low_rows, high_rows = wide * r0[small], wide * r1[small]
        for up in range(3):
            rows = np.minimum(low_rows + wide * up, high_rows)
            for across in range(3):
                flat[rows + np.minimum(low_columns + across, high_columns)] = weight
        large = (edge[~small].tolist() for edge in (c0, r0, c1, r1))
        for left, foot, right, top in zip(*large, strict=True):
            cells[foot : top + 1, left : right + 1] = weight

    @classmethod
    def sum_of(cls, maps: Sequence[InkMap]) -> InkMap:
        """One map of all the ink in maps of one ground; a cell counts once for each map that has ink there."""
        found = cls.__new__(cls)
        found._origin, found._cell, found._most = maps[0]._origin, maps[0]._cell, maps[0]._most
        found._table = np.sum([each._table for each in maps], axis=0, dtype=np.int32)
        return found

    def under(self, low: FloatArray, high: FloatArray) -> NDArray[np.int32]:
        """Cells with ink that each box touches; a cell of a match mark counts for many."""
        (c0, r0), (c1, r1) = self._grid_lines(np.floor, low), self._grid_lines(np.ceil, high)
        table, wide = self._table.reshape(-1), self._table.shape[1]
        r0, r1 = r0 * wide, r1 * wide
        return np.asarray(table[r1 + c1] - table[r0 + c1] - table[r1 + c0] + table[r0 + c0])

    def _grid_lines(
        self, rounded: Callable[[FloatArray], FloatArray], corners: FloatArray
    ) -> NDArray[np.intp]:
        """The lines between cells, (2, n), next to the corners (n, 2)."""
        lines = rounded((corners - self._origin) / self._cell).astype(np.intp)
        return np.asarray(np.minimum(np.maximum(lines, 0), self._most).T)


def cell_size(ground: Ground) -> float:
    """The size of a cell for that ground, mm."""
    x0, y0, x1, y1 = ground.bounds
    return max(CELL, float(np.sqrt((x1 - x0) * (y1 - y0) / CELLS)))
