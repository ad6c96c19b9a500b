"""Pages at any angle and any offset: how many cells have ink, for all offsets of an angle at once.

Ink is mapped in squares that part a page's step evenly.  Whether any of 1, 2, 4 ... squares in line has ink is told
for all places of the map in one step, and so whether a cell has that begins there.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from tiling.drawing import XY, FloatArray
from tiling.drawing.tolerance import steady
from tiling.layout.coverage import InkBoxes, InkPieces
from tiling.layout.masks import any_of_rows
from tiling.layout.page_selection import CLEAR
from tiling.layout.raster import Raster
from tiling.paper import Page

__all__ = ["Bitmap", "Offset", "Outermost", "angles", "fits_one_page", "within_quarter"]

SQUARE = 3.0  # mm; ink is mapped in squares of about this size, or of
SQUARES = 1_000_000  # this share of a very large drawing
AROUND = 2  # squares; an offset is better where offsets near it are good too
APART = 4  # squares between two offsets that are looked at
STEP = 5  # degrees between angles
FINE = 720  # directions in half a turn in which a drawing's breadth is measured
WAYS = np.pi * np.arange(FINE) / FINE


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outermost:
    """What of a drawing's ink may be outermost in some direction: discs.

    Attributes:
        centres: shape (n, 2), mm.
        radii: shape (n,), mm.
    """

    centres: FloatArray
    radii: FloatArray

    @classmethod
    def of(cls, pieces: InkPieces) -> Outermost:
        """The ends of its pieces, those of each breadth apart."""
        ends, half = np.concatenate([pieces.a, pieces.b]), np.concatenate([pieces.half, pieces.half])
        groups = [(radius, ends[half == radius]) for radius in np.unique(half).tolist()]
        groups += [(0.0, shape) for shape in pieces.filled]
        hulls = [(radius, shapely.get_coordinates(_hull(points))) for radius, points in groups]
        return cls(
            centres=np.concatenate([hull for _, hull in hulls]),
            radii=np.concatenate([np.full(len(hull), radius) for radius, hull in hulls]),
        )

    def breadths(self, ways: FloatArray) -> FloatArray:
        """How broad the ink is along each direction; ``ways`` are angles from x, radians; shape (k,), mm."""
        along = self.centres @ np.array([np.cos(ways), np.sin(ways)])
        low, high = (along - self.radii[:, None]).min(axis=0), (along + self.radii[:, None]).max(axis=0)
        return np.asarray(high - low)

    def size(self, radians: float) -> XY:
        """How wide and how high the ink is after a turn, mm."""
        wide, tall = self.breadths(np.array([-radians, 0.5 * np.pi - radians])).tolist()
        return wide, tall


def _hull(points: FloatArray) -> shapely.Geometry:
    return shapely.convex_hull(shapely.multipoints(points))


def within_quarter(radians: float) -> float:
    """The same turn, or it with half a turn more or less, so that what is up stays up: over -pi / 2 to pi / 2."""
    return float(radians - np.pi * np.ceil(radians / np.pi - 0.5 - 1e-9))


def angles(ink: Outermost) -> list[float]:
    """Turns to be tried, radians: up to a quarter either way, since half a turn more gives the same pages.

    Every `STEP` degrees, the smallest first, then those that lay the drawing upright or level by its breadth.
    """
    degrees = [0, 90]
    for size in range(STEP, 90, STEP):
        degrees += [size, -size]
    narrow = float(np.pi * steady(ink.breadths(WAYS)).argmin() / FINE)
    snug = [within_quarter(-narrow), within_quarter(0.5 * np.pi - narrow)]  # across the page, up the page
    found = [float(np.radians(angle)) for angle in degrees]
    return found + [turn for turn in snug if min(abs(turn - other) for other in found) > 1e-3]


def fits_one_page(ink: Outermost, page: Page) -> bool:
    """At some angle one window may hold all ink; False: none does, to within a hundredth of a mm or so."""
    breadths = ink.breadths(WAYS)
    x0, y0, x1, y1 = page.window
    room = (x1 - x0 - 2.0 * CLEAR, y1 - y0 - 2.0 * CLEAR)
    square = np.roll(breadths, -FINE // 2)
    slack = float(breadths.max()) * np.pi / FINE  # a breadth changes no more from one direction to the next
    return bool(((breadths <= room[0] + slack) & (square <= room[1] + slack)).any())


@dataclass(frozen=True, slots=True, kw_only=True)
class Offset:
    """One offset of an angle.

    Attributes:
        pages: cells that ink meets, as far as the map tells.
        around: the same added up for the offsets near it.
        origin: where the first cells begin in the turned drawing, mm.
        shape: rows and columns of cells.
        square: row and column on the map.
    """

    pages: int
    around: int
    origin: XY
    shape: tuple[int, int]
    square: tuple[int, int]


class Bitmap:
    """The ink of a turned drawing in squares.

    Attributes:
        per: squares of a page's step, across and up; shape (2,).
        square: their sides, mm; shape (2,).
        cells: columns and rows of pages that the ink may meet; shape (2,).
        low: lower left corner of the map, a step from the ink, so that a cell may begin before it; mm, shape (2,).
        high: where the ink ends at the top, mm.
        rim: squares beyond a trim line that a neighbour's window shows too.
        bands: whether a row of pages that begins at each square from the foot up has ink, square by square;
            shape (rows * squares of a step, squares across).
    """

    def __init__(self, ink: InkBoxes, page: Page) -> None:
        low, high = ink.low.min(axis=0), ink.high.max(axis=0)
        step = np.array(page.step)
        size = max(SQUARE, float(np.sqrt(np.prod(high - low) / SQUARES)))
        self.per = np.maximum(np.rint(step / size), 4).astype(np.intp)
        self.square = step / self.per
        self.cells = 1 + np.ceil((high - low) / step).astype(np.intp)
        self.low = low - step
        self.high = float(high[1])
        shape = (self.cells + 1) * self.per
        raster = Raster.over(ink, low=self.low, square=self.square, shape=(int(shape[1]), int(shape[0])))
        # Squares are a little larger than the ink.
        self.rim = int(np.rint((0.5 * page.overlap - CLEAR) / float(self.square.min())))
        tall, rows = int(self.per[1]), int(self.cells[1])
        self.bands = any_of_rows(raster.ink[self.rim :], tall - 2 * self.rim)[: rows * tall]

    def level(self, up: int) -> float:
        """Where the first trim line between rows lies at that offset, mm."""
        return float(self.low[1] + up * self.square[1])

    def counts(self) -> NDArray[np.int64]:
        """How many cells have ink; shape (offsets up, offsets across)."""
        (wide, tall), (columns, rows) = self.per.tolist(), self.cells.tolist()
        cells = any_of_rows(self.bands.T[self.rim :], wide - 2 * self.rim)[: columns * wide]
        pages = np.zeros((wide, tall), dtype=np.int16)
        for column in range(columns):
            for row in range(rows):
                pages += cells[column * wide : (column + 1) * wide, row * tall : (row + 1) * tall]
        return pages.T.astype(np.int64)

    def offsets(self, most: int, *, fewer_than: int) -> list[Offset]:
        """The best offsets with fewer pages than a number, no two of them near one another."""
        pages = self.counts()
        if pages.min() >= fewer_than:
            return []
        around = pages
        for axis in (0, 1):
            size = around.shape[axis]
            wide = around.take(np.arange(-AROUND, size + AROUND) % size, axis=axis)
            parts = [
                wide[by : by + size] if axis == 0 else wide[:, by : by + size] for by in range(2 * AROUND + 1)
            ]
            around = np.sum(parts, axis=0)
        never = np.iinfo(around.dtype).max
        rank = np.where(pages < fewer_than, pages * (1 << 20) + around, never)
        found = []
        for _ in range(most):
            row, column = (int(at) for at in np.unravel_index(int(rank.argmin()), rank.shape))
            if rank[row, column] == never:
                break
            corner = self.low + np.array([column, row]) * self.square
            found.append(
                Offset(
                    pages=int(pages[row, column]),
                    around=int(around[row, column]),
                    origin=(float(corner[0]), float(corner[1])),
                    shape=(int(self.cells[1]), int(self.cells[0])),
                    square=(row, column),
                )
            )
            near = (
                np.arange(row - APART, row + APART + 1) % rank.shape[0],
                np.arange(column - APART, column + APART + 1) % rank.shape[1],
            )
            rank[np.ix_(*near)] = never
        return found
