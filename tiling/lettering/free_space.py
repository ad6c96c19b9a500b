"""Where words may stand: which page would hold them whole, and the ink that may lie beneath.

Every question is asked for many boxes at once: corners as arrays of shape (n, 2), mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tiling.drawing import FloatArray
from tiling.layout.coverage import InkBoxes
from tiling.layout.grid import PageLayout
from tiling.layout.raster import Raster
from tiling.paper import MARK_RADIUS, Box

__all__ = [
    "CALM",
    "NOWHERE",
    "SEEN",
    "WINDOW",
    "Ground",
    "cell_size",
    "ground_of",
    "ground_within",
    "ink_raster",
    "open_ground",
]

CELL = 1.0  # mm; ink is mapped in cells of this size, or of
CELLS = 600_000  # this share of a large pattern
MARK_WEIGHT = 100  # cells of ink that one cell of a match mark counts for

# How well a page holds a box.
CALM = 0  # clear of every overlap
SEEN = 1  # whole in what is seen of the page when taped
WINDOW = 2  # whole in the window, but cut by a trim line or under the neighbour's edge
NOWHERE = 3

_EDGE = 1e-6  # mm; rounding of a box that stands at a window's edge


@dataclass(frozen=True, kw_only=True, eq=False)
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

    @cached_property
    def bounds(self) -> Box:
        """Around all windows, mm."""
        windows = self.holds[WINDOW, self.tiles]
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
            if not len(which):
                continue
            here = NOWHERE - self._holding(tile, low[which], high[which])
            better = here < grade[which]
            grade[which[better]] = here[better]
            best[which[better]] = tile[better]
            asked = asked[grade[asked] > CALM]
            if not len(asked):
                break
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


def ground_within(ground: Ground, box: Box) -> Ground:
    """What of a ground lies in a box."""
    holds = np.array(ground.holds)
    holds[..., :2] = np.maximum(holds[..., :2], box[:2])
    holds[..., 2:] = np.minimum(holds[..., 2:], box[2:])
    kept = np.flatnonzero((holds[WINDOW, :, 2:] > holds[WINDOW, :, :2]).all(axis=1))
    return _ground(holds, discs=ground.discs, tiles=kept)


def _ground(holds: FloatArray, *, discs: FloatArray, tiles: NDArray[np.intp] | None = None) -> Ground:
    """A ground of boxes, or of some of them."""
    tiles = np.arange(holds.shape[1]) if tiles is None else tiles
    windows = holds[WINDOW, tiles]
    span = 2.0 * (float(windows[:, 2].max()) + 1.0)
    feet = np.unique(windows[:, 1])
    starts = np.searchsorted(feet, windows[:, 1]) * span + windows[:, 0]
    order = np.argsort(starts, kind="stable")
    size = (windows[:, 2:] - windows[:, :2]).max(axis=0)
    return Ground(
        feet=feet,
        starts=starts[order],
        tiles=tiles[order],
        span=span,
        size=(float(size[0]), float(size[1])),
        holds=holds,
        discs=discs,
    )


def ink_raster(ink: InkBoxes, ground: Ground, *, cell: float, marks: bool = True) -> Raster:
    """The ink on a ground and, if asked for, its match marks, each square of which counts for many."""
    x0, y0, x1, y1 = ground.bounds
    columns, rows = (int(np.ceil(side / cell)) for side in (x1 - x0, y1 - y0))
    raster = Raster.over(ink, low=(x0, y0), square=(cell, cell), shape=(rows, columns))
    if not marks:
        return raster
    discs = InkBoxes(low=ground.discs - MARK_RADIUS, high=ground.discs + MARK_RADIUS)
    return raster.weighed(discs, MARK_WEIGHT)


def cell_size(ground: Ground) -> float:
    """The size of a cell for that ground, mm."""
    x0, y0, x1, y1 = ground.bounds
    return max(CELL, float(np.sqrt((x1 - x0) * (y1 - y0) / CELLS)))
