"""Outlines nested on blocks of joined pages, so that few pages carry ink.

Everything is counted in squares of a raster.  A piece is tried at every place of the raster and in four turns; it
goes where it brings the fewest new pages, and among those places to the one nearest to the block's lower left
corner.  Collisions of all places at once are one convolution.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tiling.drawing import ROOM
from tiling.paper import Page

__all__ = ["SQUARE", "Nested", "Outline", "nest"]

SQUARE = ROOM
EDGE = 4.0  # mm that ink keeps from the outer edge of a block's windows
BLOCK = 3  # pages across and up; a larger sheet of paper is not handy
RIM = 2  # squares
Mask = NDArray[np.bool_]
Spectrum = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outline:
    """A piece in squares, its lower left square first; both masks are of one shape.

    Attributes:
        ink: squares that carry strokes.
        room: squares that belong to it: its area, and the gap that others keep.
        alone: how many pages it needs by itself.
    """

    ink: Mask
    room: Mask
    alone: int

    def turned(self, quarters: int) -> Outline:
        """It turned anticlockwise by so many quarters."""
        return Outline(
            ink=np.rot90(self.ink, -quarters), room=np.rot90(self.room, -quarters), alone=self.alone
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Nested:
    """Where a piece lies in its block.

    Attributes:
        piece: which.
        quarters: turned anticlockwise by so many quarters.
        row, column: of the lower left square of its mask in the block.
    """

    piece: int
    quarters: int
    row: int
    column: int


class _Block:
    """Joined pages on which pieces lie."""

    def __init__(self, page: Page) -> None:
        wide, tall = (BLOCK * step + page.overlap - 2.0 * EDGE for step in page.step)
        self.shape = int(tall / SQUARE), int(wide / SQUARE)
        self._size = tuple(2 ** int(np.ceil(np.log2(2 * side))) for side in self.shape)
        self._taken = np.zeros(self.shape, dtype=bool)
        self._lay()
        # Trim lines in squares: the outermost cells reach as far as the block.
        self._edges = [
            np.concatenate([
                [0.0], (np.arange(1, BLOCK) * step + 0.5 * page.overlap - EDGE) / SQUARE, [float(side)]
            ])
            for step, side in zip(page.step[::-1], self.shape, strict=True)
        ]  # fmt: skip
        self._inked = np.zeros((BLOCK, BLOCK), dtype=bool)

    @property
    def pages(self) -> int:
        """Pages that carry ink so far."""
        return int(self._inked.sum())

    def best(self, outline: Outline) -> tuple[int, int, int, int] | None:
        """New pages, quarters, row and column of the best place; None where it fits nowhere."""
        found: tuple[int, int, int, int, int] | None = None
        for quarters in range(4):
            turned = outline.turned(quarters)
            rows, columns = (
                big - small + 1 for big, small in zip(self.shape, turned.room.shape, strict=True)
            )
            if rows < 1 or columns < 1:
                continue
            spectrum = np.fft.rfft2(turned.room[::-1, ::-1], self._size)
            free = self._met(self._spectrum, spectrum, turned.room.shape, rows, columns) < 0.5
            if not free.any():
                continue
            new = np.where(free, self._new_pages(turned.ink, rows, columns), np.iinfo(np.int64).max)
            least = int(new.min())
            row, column = np.nonzero(new == least)
            touch = self._met(self._rim, spectrum, turned.room.shape, rows, columns)[row, column]
            near = int((touch - 1e-6 * (row + column)).argmax())
            rank = (least, -int(touch[near] + 0.5), quarters, int(row[near]), int(column[near]))
            if found is None or rank < found:
                found = rank
        return None if found is None else (found[0], found[2], found[3], found[4])

    def _met(
        self, spectrum: Spectrum, other: Spectrum, shape: tuple[int, ...], rows: int, columns: int
    ) -> NDArray[np.float64]:
        """How many squares a piece has in common with a mask of the block, at each place."""
        r, c = shape
        met: NDArray[np.float64] = np.fft.irfft2(spectrum * other, self._size)
        return met[r - 1 : r - 1 + rows, c - 1 : c - 1 + columns]

    def _lay(self) -> None:
        """Make the spectra of what is taken, and of the squares beside it, which a snug piece covers."""
        self._spectrum = np.fft.rfft2(self._taken, self._size)
        around = np.ones((self.shape[0] + 2 * RIM, self.shape[1] + 2 * RIM), dtype=bool)
        around[RIM:-RIM, RIM:-RIM] = self._taken
        self._rim = np.fft.rfft2((_grown(around) & ~around)[RIM:-RIM, RIM:-RIM], self._size)

    def _new_pages(self, ink: Mask, rows: int, columns: int) -> NDArray[np.int64]:
        """How many pages get their first ink at each place."""
        r, c = ink.shape
        table = np.zeros((r + 1, c + 1), dtype=np.int64)
        table[1:, 1:] = ink.cumsum(axis=0).cumsum(axis=1)
        lines = [
            (
                np.clip(np.floor(edges[:-1, None]) - np.arange(count), 0, side).astype(np.intp),
                np.clip(np.ceil(edges[1:, None]) - np.arange(count), 0, side).astype(np.intp),
            )
            for edges, count, side in zip(self._edges, (rows, columns), (r, c), strict=True)
        ]  # fmt: skip
        new = np.zeros((rows, columns), dtype=np.int64)
        for i in range(BLOCK):
            low_r, high_r = lines[0][0][i], lines[0][1][i]
            band = table[high_r] - table[low_r]
            for j in range(BLOCK):
                if not self._inked[i, j]:
                    new += band[:, lines[1][1][j]] > band[:, lines[1][0][j]]
        return new

    def put(self, outline: Outline, row: int, column: int) -> None:
        """Lay a piece (turned already) there."""
        r, c = outline.room.shape
        self._taken[row : row + r, column : column + c] |= outline.room
        self._lay()
        for i in range(BLOCK):
            for j in range(BLOCK):
                low, high = self._edges[0][i] - row, self._edges[0][i + 1] - row
                left, right = self._edges[1][j] - column, self._edges[1][j + 1] - column
                part = outline.ink[
                    max(int(np.floor(low)), 0) : max(int(np.ceil(high)), 0),
                    max(int(np.floor(left)), 0) : max(int(np.ceil(right)), 0),
                ]
                self._inked[i, j] |= bool(part.any())


def _grown(mask: Mask) -> Mask:
    """The mask and the squares beside it, `RIM` deep."""
    for _ in range(RIM):
        for axis in (0, 1):
            mask = mask | np.roll(mask, 1, axis=axis) | np.roll(mask, -1, axis=axis)
    return mask


def nest(outlines: Mapping[int, Outline], page: Page) -> tuple[tuple[Nested, ...], ...]:
    """Pieces laid in blocks, the largest first; each joins a block only where that saves a page.

    Returns:
        Blocks of two pieces or more.
    """
    left = sorted(outlines, key=lambda i: (-int(outlines[i].room.sum()), i))
    blocks = []
    while left:
        block = _Block(page)
        laid: list[Nested] = []
        for index in list(left):
            best = block.best(outlines[index])
            if best is None or (laid and best[0] >= outlines[index].alone):
                continue
            _, quarters, row, column = best
            block.put(outlines[index].turned(quarters), row, column)
            laid.append(Nested(piece=index, quarters=quarters, row=row, column=column))
            left.remove(index)
        if not laid:
            break
        if len(laid) > 1:
            blocks.append(tuple(laid))
    return tuple(blocks)
