"""Pages at any angle and any offset: how many cells have ink, for all offsets of an angle at once.

Ink is mapped in squares that part a page's step evenly.  With the running sums of the map over both ways, whether a
cell has ink is four look-ups, and a cell is asked at every place of the map in one step.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tiling.coverage import InkBoxes, InkPieces
from tiling.drawing import XY, FloatArray
from tiling.kept import CLEAR
from tiling.paper import Page

__all__ = ["Bitmap", "Offset", "angles", "fits_one_page", "within_quarter"]

SQUARE = 3.0  # mm; ink is mapped in squares of about this size, or of
SQUARES = 1_000_000  # this share of a very large drawing
AROUND = 2  # squares; an offset is better where offsets near it are good too
SMALL = 4  # squares across a small box
APART = 4  # squares between two offsets that are looked at
STEP = 5  # degrees between angles
FINE = 720  # directions in half a turn in which a drawing's breadth is measured


def _breadths(pieces: InkPieces) -> FloatArray:
    """The breadth of all ink in `FINE` directions from along x to near along -x, anticlockwise, mm."""
    ends = np.concatenate([pieces.a, pieces.b, *pieces.filled])
    half = np.concatenate([pieces.half, pieces.half, np.zeros(len(ends) - 2 * len(pieces.half))])
    ways = np.pi * np.arange(FINE) / FINE
    coarse = np.column_stack([np.cos(ways[::8]), np.sin(ways[::8])])
    along = ends @ coarse.T
    # only an end that is outermost in some direction, or nearly so, counts
    rim = np.unique([(along + half[:, None]).argmax(axis=0), (along - half[:, None]).argmin(axis=0)])
    along = ends[rim] @ np.array([np.cos(ways), np.sin(ways)])
    low, high = (along - half[rim, None]).min(axis=0), (along + half[rim, None]).max(axis=0)
    return np.asarray(high - low)


def within_quarter(radians: float) -> float:
    """The same turn, or it with half a turn more or less, so that what is up stays up: over -pi / 2 to pi / 2."""
    return float(radians - np.pi * np.ceil(radians / np.pi - 0.5 - 1e-9))


def angles(pieces: InkPieces) -> list[float]:
    """Turns to be tried, radians: up to a quarter either way, since half a turn more gives the same pages.

    Every `STEP` degrees, the smallest first, then those that lay the drawing upright or level by its breadth.
    """
    degrees = [0, 90]
    for size in range(STEP, 90, STEP):
        degrees += [size, -size]
    narrow = float(np.pi * _breadths(pieces).argmin() / FINE)
    snug = [within_quarter(-narrow), within_quarter(0.5 * np.pi - narrow)]  # across the page, up the page
    found = [float(np.radians(angle)) for angle in degrees]
    return found + [turn for turn in snug if min(abs(turn - other) for other in found) > 1e-3]


def fits_one_page(pieces: InkPieces, page: Page) -> bool:
    """At some angle one window may hold all ink; False: none does, to within a hundredth of a mm or so."""
    breadths = _breadths(pieces)
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
    """

    pages: int
    around: int
    origin: XY
    shape: tuple[int, int]


def _marked(first: NDArray[np.intp], last: NDArray[np.intp], shape: tuple[int, int]) -> NDArray[np.bool_]:
    """The squares from the first to the last of each box, all of which are small but a few."""
    inked = np.zeros(shape, dtype=bool)
    span = last - first
    small = (span < SMALL).all(axis=1)
    flat = inked.ravel()
    place, (across, up) = first[small, 1] * shape[1] + first[small, 0], span[small].T
    for i in range(SMALL):
        for j in range(SMALL):
            flat[(place + i * shape[1] + j)[(up >= i) & (across >= j)]] = True
    for (x0, y0), (x1, y1) in zip(first[~small].tolist(), last[~small].tolist(), strict=True):
        inked[y0 : y1 + 1, x0 : x1 + 1] = True
    return inked


class Bitmap:
    """The ink of a turned drawing in squares."""

    def __init__(self, ink: InkBoxes, page: Page) -> None:
        low, high = ink.low.min(axis=0), ink.high.max(axis=0)
        step = np.array(page.step)
        size = max(SQUARE, float(np.sqrt(np.prod(high - low) / SQUARES)))
        self.per = np.maximum(np.rint(step / size), 4).astype(np.intp)  # squares of a step, across and up
        self.square = step / self.per
        self.cells = 1 + np.ceil((high - low) / step).astype(np.intp)
        self.high = float(high[1])  # where the ink ends at the top, mm
        self.low = low - step  # room for a cell that begins before the ink
        shape = (self.cells + 1) * self.per
        first = ((ink.low - self.low) / self.square).astype(np.intp)
        last = ((ink.high - self.low) / self.square).astype(np.intp)
        inked = _marked(first, last, (int(shape[1]), int(shape[0])))
        self.table = np.zeros((shape[1] + 1, shape[0] + 1), dtype=np.int32)
        inked.cumsum(axis=0, dtype=np.int32).cumsum(axis=1, dtype=np.int32, out=self.table[1:, 1:])
        # A neighbour's window shows ink a little beyond the trim line; squares are a little larger than the ink.
        self.rim = int(np.rint((0.5 * page.overlap - CLEAR) / float(self.square.min())))

    def level(self, up: int) -> float:
        """Where the first trim line between rows lies at that offset, mm."""
        return float(self.low[1] + up * self.square[1])

    def counts(self) -> NDArray[np.intp]:
        """How many cells have ink; shape (offsets up, offsets across)."""
        (wide, tall), (columns, rows) = self.per, self.cells
        low, rim = self.table, self.rim
        up = low[tall - rim : tall - rim + rows * tall] - low[rim : rim + rows * tall]
        cells = up[:, wide - rim : wide - rim + columns * wide] - up[:, rim : rim + columns * wide]
        return np.asarray((cells > 0).reshape(rows, tall, columns, wide).sum(axis=(0, 2)))

    def offsets(self, most: int) -> list[Offset]:
        """The best offsets, no two of them near one another."""
        pages = self.counts()
        around = pages
        for axis in (0, 1):
            rolled = [np.roll(around, by, axis=axis) for by in range(-AROUND, AROUND + 1)]
            around = np.sum(rolled, axis=0)
        rank = pages * (1 << 20) + around
        found = []
        for _ in range(most):
            row, column = (int(at) for at in np.unravel_index(int(rank.argmin()), rank.shape))
            if rank[row, column] == np.iinfo(rank.dtype).max:
                break
            corner = self.low + np.array([column, row]) * self.square
            found.append(
                Offset(
                    pages=int(pages[row, column]),
                    around=int(around[row, column]),
                    origin=(float(corner[0]), float(corner[1])),
                    shape=(int(self.cells[1]), int(self.cells[0])),
                )
            )
            near = (
                np.arange(row - APART, row + APART + 1) % rank.shape[0],
                np.arange(column - APART, column + APART + 1) % rank.shape[1],
            )
            rank[np.ix_(*near)] = np.iinfo(rank.dtype).max
        return found
