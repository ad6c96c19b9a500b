"""Places for words around what they speak of, and what each would cost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from tiling.drawing import XY, FloatArray
from tiling.layout.raster import Raster
from tiling.lettering.free_space import Ground
from tiling.lettering.taken import GAP, Sides, Taken
from tiling.text.text_block import TextBlock

__all__ = ["LONGEST", "Field", "LabelPositions", "reach_of"]

LONGEST = 30.0  # mm; no leader is longer while there is any other way
NEAREST = 1.5  # mm from the target to the words, at least

# Places around a target.
RINGS, WAYS = 8, 24
WIDER = 3.0  # times the reach, where there is no free place within it
FINE_STEP = 2.5  # mm; between the places near by that are tried where none of those around is free
CORNERS = ((0.0, 0.0), (1.0, 1.0), (1.0, 0.0), (0.0, 1.0))  # of a box, in its sides
STEP = 4.0  # mm; between the places that are tried there, and all over the pages in the last resort

# What a place costs, in mm of distance that one would go for a better one.
WRONG_WAY = 20.0  # square to the wanted direction; twice as much on the far side
IN_OVERLAP = 25.0  # in the overlap, where neighbours print their own words
CUT = 300.0  # under a trim line
ON_INK = 400.0  # across a stroke, and
INK_CELL = 4.0  # for each cell of ink


def _ring_places(reach: FloatArray, sizes: FloatArray, rings: int, ways: int) -> FloatArray:
    """Lower left corners of places around the origin; shape (notes, rings * ways, 2).

    Args:
        reach: shape (notes,), mm.
        sizes: shape (notes, 2), mm.
    """
    angle = 2.0 * np.pi * np.arange(ways) / ways
    way = np.column_stack((np.cos(angle), np.sin(angle)))
    # Straight beside the target the words stand by the middle of a side, aslant by a corner.
    hold = np.clip(way * np.sqrt(2.0), -1.0, 1.0)
    share = (np.arange(rings) / (rings - 1)) ** 1.7  # closer together near the target
    gap = NEAREST + np.maximum(reach - NEAREST, 0.0)[:, None] * share
    centre = gap[:, :, None, None] * way[None, None] + 0.5 * sizes[:, None, None, :] * hold[None, None]
    return np.asarray((centre - 0.5 * sizes[:, None, None, :]).reshape(len(reach), rings * ways, 2))


def _apart(target: FloatArray, across: Sides, up: Sides) -> FloatArray:
    """How far each box in rows and columns is from a place; shape (rows, columns), mm."""
    off_x, off_y = (np.clip(at, *sides) - at for at, sides in zip(target, (across, up), strict=True))
    return np.asarray(np.hypot(off_x[None, :], off_y[:, None]))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LabelPositions:
    """Places for words.

    Attributes:
        number: shape (n,): which of the places that were weighed.
        low: shape (n, 2): lower left corners.
        cost: shape (n,), mm.
        grade, tile: shape (n,): how well a page holds the words, and which.
        ink: shape (n,): cells of ink beneath.
    """

    number: NDArray[np.intp]
    low: FloatArray
    cost: FloatArray
    grade: NDArray[np.intp]
    tile: NDArray[np.intp]
    ink: NDArray[np.int32]

    def chosen(self, which: NDArray[np.intp] | slice) -> LabelPositions:
        """Some of the places, or all in another order."""
        return LabelPositions(
            number=self.number[which],
            low=self.low[which],
            cost=self.cost[which],
            grade=self.grade[which],
            tile=self.tile[which],
            ink=self.ink[which],
        )


NO_POSITIONS = LabelPositions(
    number=np.empty(0, dtype=np.intp), low=np.empty((0, 2)), cost=np.empty(0), grade=np.empty(0, dtype=np.intp),
    tile=np.empty(0, dtype=np.intp), ink=np.empty(0, dtype=np.int32),
)  # fmt: skip


def reach_of(block: TextBlock) -> float:
    """How far from its target a note may stand, mm."""
    return min(block.note.reach, LONGEST) if block.note.leader else block.note.reach


class Field:
    """The ground, the ink on it, what of it is heavy, and the rooms of the pieces side by side (a raster each)."""

    def __init__(self, ground: Ground, ink: Raster, heavy: Raster, rooms: Sequence[Raster] = ()) -> None:
        self.ground = ground
        self.ink = ink
        self.heavy = heavy
        self.rooms = rooms
        self._all = Raster.total(rooms) if rooms else ink

    def _foreign(self, low: FloatArray, high: FloatArray, room: NDArray[np.intp]) -> NDArray[np.bool_]:
        """Which boxes reach into the room of another piece than their own; ``room``: shape (n,), -1 for none."""
        met = np.zeros(len(low), dtype=bool)
        inside = np.flatnonzero(room >= 0)
        met[inside] = self._all.under(low[inside], high[inside]) > 0
        for number in np.unique(room[met]).tolist():
            own = np.flatnonzero(met & (room == number))
            low_, high_ = low[own], high[own]
            met[own] = self._all.under(low_, high_) > self.rooms[number].under(low_, high_)
        return met

    def weigh(
        self,
        low: FloatArray,
        size: FloatArray,
        target: FloatArray,
        towards: FloatArray,
        room: NDArray[np.intp],
        *,
        most: float,
        over_fine: bool = False,
    ) -> LabelPositions:
        """The places that cost less than ``most``, in the order given.

        Args:
            low: shape (n, 2).
            size, target, towards: shape (n, 2), or (1, 2) where they are the same for all.
            room: shape (n,), the room that each belongs to, -1 for none.
            over_fine: they may lie over strokes that are not heavy; of these less is better.
        Returns:
            Places whose ``number`` tells which of the given ones they are.
        """
        high = low + size
        near_x = np.clip(target[:, 0], low[:, 0], high[:, 0]) - target[:, 0]
        near_y = np.clip(target[:, 1], low[:, 1], high[:, 1]) - target[:, 1]
        middle_x, middle_y = (low + 0.5 * size - target).T
        along = (middle_x * towards[:, 0] + middle_y * towards[:, 1]) / (np.hypot(middle_x, middle_y) + 1e-9)
        asked = (towards[:, 0] != 0.0) | (towards[:, 1] != 0.0)
        cost = np.hypot(near_x, near_y) + np.where(asked, WRONG_WAY * (1.0 - along), 0.0)
        if self.rooms:
            cost += np.where(self._foreign(low, high, room), np.inf, 0.0)  # never
        ink = self.ink.under(low - GAP, high + GAP)
        if over_fine:
            cost += ink
            ink = self.heavy.under(low - GAP, high + GAP)
        cost += np.where(ink > 0, ON_INK + INK_CELL * ink, 0.0)
        which = np.flatnonzero(cost < most)
        grade, tile = self.ground.held(low[which], high[which])
        cost = cost[which] + np.array([0.0, IN_OVERLAP, CUT, np.inf])[grade]
        held = cost < most
        which = which[held]
        return LabelPositions(
            number=which, low=low[which], cost=cost[held], grade=grade[held], tile=tile[held], ink=ink[which]
        )

    def near(self, blocks: list[TextBlock]) -> list[LabelPositions]:
        """Places within reach of each block's target, off strokes and trim lines, the best first."""
        if not blocks:
            return []
        count = RINGS * WAYS
        sizes = np.array([block.size for block in blocks])
        targets = np.array([block.target for block in blocks])
        towards = np.array([block.towards for block in blocks])
        reach = np.array([reach_of(block) for block in blocks])
        low = _ring_places(reach, sizes, RINGS, WAYS) + targets[:, None, :]
        places = self.weigh(
            low.reshape(-1, 2),
            np.repeat(sizes, count, axis=0),
            np.repeat(targets, count, axis=0),
            np.repeat(towards, count, axis=0),
            np.repeat(np.array([block.note.room for block in blocks], dtype=np.intp), count),
            most=CUT,
        )
        owner = places.number // count
        places = places.chosen(np.lexsort((places.number, places.cost, owner)))
        ends = np.searchsorted(places.number // count, np.arange(len(blocks) + 1))
        return [places.chosen(slice(ends[i], ends[i + 1])) for i in range(len(blocks))]

    def around(
        self, block: TextBlock, reach: float, taken: Taken, *, over_fine: bool = False
    ) -> LabelPositions:
        """Places at even steps within a reach of the target, off strokes, trim lines and words, the best first.

        Args:
            over_fine: off heavy strokes alone.
        """
        across, up = (
            self._steps(axis, (at - reach - wide, at + reach), FINE_STEP, wide)
            for axis, (at, wide) in enumerate(zip(block.target, block.size, strict=True))
        )
        apart = _apart(block.target, across, up)
        near = (apart <= reach) & (apart >= NEAREST)
        low = self._clear_corners(across, up, near, taken, over_fine=over_fine)
        return self._weighed(block, low, most=CUT, over_fine=over_fine)

    def at_home(
        self, block: TextBlock, home: shapely.Geometry, taken: Taken, *, within: float
    ) -> LabelPositions:
        """Places off strokes, trim lines and words within what the words speak of, the best first.

        Args:
            home: its area on the grid, prepared.
            within: those alone that cost no more, mm.
        """
        size = np.array(block.size)
        x0, y0, x1, y1 = home.bounds
        across, up = (
            self._steps(axis, (first, last - wide), STEP, wide)
            for axis, (first, last, wide) in enumerate(zip((x0, y0), (x1, y1), block.size, strict=True))
        )
        near = _apart(block.target, across, up) <= within  # none costs less than it is far
        low = self._clear_corners(across, up, near, taken)
        for corner in CORNERS:  # points are looked up far faster than boxes are made
            low = low[shapely.intersects_xy(home, *(low + size * corner).T)]
        boxes = shapely.box(*low.T, *(low + size).T)
        places = self._weighed(block, low[shapely.contains(home, boxes)], most=CUT)
        return places.chosen(slice(int(np.searchsorted(places.cost, within, side="right"))))

    def _steps(self, axis: int, ends: XY, step: float, size: float) -> Sides:
        """Both sides of what is so large, at even steps along an axis, where the ground can hold it."""
        low = np.arange(*ends, step)
        first, last = self.ground.bounds[axis], self.ground.bounds[axis + 2]
        low = low[(low >= first - 1.0) & (low + size <= last + 1.0)]
        return low, low + size

    def _clear_corners(
        self,
        across: Sides,
        up: Sides,
        wanted: NDArray[np.bool_],
        taken: Taken,
        *,
        over_fine: bool = False,
    ) -> FloatArray:
        """Lower left corners of the boxes in rows and columns that keep clear of words and of ink; shape (n, 2).

        Ink costs more than these places may.  Rows and columns are looked up far faster than boxes.

        Args:
            wanted: which are asked for, shape (rows, columns).
            over_fine: clear of heavy strokes alone.
        """
        ink = self.heavy if over_fine else self.ink
        (left, right), (foot, top) = across, up
        inked = ink.under_grid((left - GAP, right + GAP), (foot - GAP, top + GAP)) > 0
        row, column = np.nonzero(taken.free_grid(across, up) & ~inked & wanted)
        return np.column_stack((left[column], foot[row]))

    def farther(self, block: TextBlock) -> LabelPositions:
        """Places within three times the reach, crossing strokes where need be, the best first."""
        low = self._spots(block)
        reach = WIDER * block.note.reach
        off = np.clip(block.target, low, low + block.size) - block.target
        return self._weighed(block, low[np.hypot(off[:, 0], off[:, 1]) <= reach])

    def anywhere(self, block: TextBlock) -> LabelPositions:
        """Places all over the pages, the best first."""
        return self._weighed(block, self._spots(block))

    def _spots(self, block: TextBlock) -> FloatArray:
        """Lower left corners of places all over the pages, shape (n, 2)."""
        spots = []
        for x0, y0, x1, y1 in self.ground.holds[-1]:
            x = np.arange(x0 + GAP, x1 - GAP - block.size[0] + 1e-9, STEP)
            y = np.arange(y0 + GAP, y1 - GAP - block.size[1] + 1e-9, STEP)
            spots.append(np.column_stack((np.tile(x, len(y)), np.repeat(y, len(x)))))
        return np.concatenate(spots)

    def _weighed(
        self, block: TextBlock, low: FloatArray, *, most: float = np.inf, over_fine: bool = False
    ) -> LabelPositions:
        if not len(low):
            return NO_POSITIONS
        places = self.weigh(
            low,
            np.array([block.size]),
            block.target[None],
            block.towards[None],
            np.full(len(low), block.note.room, dtype=np.intp),
            most=most,
            over_fine=over_fine,
        )
        return places.chosen(np.argsort(places.cost, kind="stable"))
