"""A block of joined pages on which pieces lie: where a piece fits, and how many new pages it would bring.

Everything is counted in squares of a raster.  All places of a piece are asked at once: the raster is one long
number, a run of squares in a row of the piece is a few shifts of it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tiling.affine import Affine
from tiling.kept import CLEAR, Lattice
from tiling.paper import Page
from tiling.squares import SQUARE, Mask, bits_of, grown, mask_of

__all__ = ["GAP", "Lie", "PageBlock", "PageRaster", "Shape", "block_lattice"]

BLOCK = 4  # pages across and up: two forearms; a larger sheet is not handy
MOST = 12  # pages of one block that carry ink
GAP = 2  # squares between two pieces, at least
RIM = 2  # squares beside what is taken, which a snug piece covers
CLOSELY = 24  # places of each turn that are looked at closely
SEAM = 3.0  # squares of the rim that one page less under a piece is worth


@dataclass(frozen=True, eq=False)
class Shape:
    """A piece in one of its turns; both masks are of one size.

    Attributes:
        ink: squares that carry strokes.
        body: squares that it covers: its strokes and what they enclose.
    """

    ink: Mask
    body: Mask

    @cached_property
    def runs(self) -> list[tuple[int, int, int]]:
        """Row, first column and length of every run of squares of the body, two rows taken for one."""
        even = np.pad(self.body, ((0, len(self.body) % 2), (1, 1)))
        edges = np.diff((even[::2] | even[1::2]).astype(np.int8), axis=1)
        rows, starts = np.nonzero(edges == 1)
        _, ends = np.nonzero(edges == -1)
        return list(zip((2 * rows).tolist(), starts.tolist(), (ends - starts).tolist(), strict=True))

    @cached_property
    def area(self) -> int:
        """Squares of the body."""
        return int(self.body.sum())


@dataclass(frozen=True, slots=True, kw_only=True)
class Lie:
    """Where a piece lies in its block.

    Attributes:
        piece: which.
        turn: which of its shapes.
        row, column: of the lower left square of its mask in the block.
    """

    piece: int
    turn: int
    row: int
    column: int


class PageRaster:
    """The squares of a block, and the pages that they lie on."""

    def __init__(self, page: Page) -> None:
        wide, tall = (BLOCK * step + page.overlap - 2.0 * CLEAR for step in page.step)
        self.shape = int(tall / SQUARE), int(wide / SQUARE)
        start = block_lattice(page).origin
        # Trim lines in squares: the outermost cells reach as far as the block.
        self._edges = [
            np.concatenate([[0.0], (np.arange(1, BLOCK) * step + begin) / SQUARE, [float(side)]])
            for step, begin, side in zip(page.step[::-1], start, self.shape, strict=True)
        ]
        self.count = np.array([number.bit_count() for number in range(1 << BLOCK * BLOCK)], dtype=np.int8)
        self._pages: dict[int, tuple[Shape, NDArray[np.uint16], int] | None] = {}

    def pages(self, shape: Shape) -> tuple[NDArray[np.uint16], int] | None:
        """For every place, row by row, the pages that the shape's ink meets there, as bits; and the places where
        it lies within the block, as bits of a number.  None where it is larger than the block."""
        key = id(shape)  # the shape is kept beside the answer, so that no other gets its number
        if key not in self._pages:
            rows, columns = (big - small + 1 for big, small in zip(self.shape, shape.body.shape, strict=True))
            fits = rows > 0 and columns > 0
            self._pages[key] = (shape, *self._asked(shape, rows, columns)) if fits else None
        found = self._pages[key]
        return None if found is None else found[1:]

    def _asked(self, shape: Shape, rows: int, columns: int) -> tuple[NDArray[np.uint16], int]:
        table = np.zeros([side + 1 for side in shape.ink.shape], dtype=np.int32)
        shape.ink.cumsum(axis=0, dtype=np.int32).cumsum(axis=1, dtype=np.int32, out=table[1:, 1:])
        low, high = zip(
            *(
                (
                    np.clip(np.floor(edges[:-1, None]) - np.arange(count), 0, side).astype(np.intp),
                    np.clip(np.ceil(edges[1:, None]) - np.arange(count), 0, side).astype(np.intp),
                )
                for edges, count, side in zip(self._edges, (rows, columns), shape.ink.shape, strict=True)
            ),
            strict=True,
        )
        met = np.zeros((rows, self.shape[1]), dtype=np.uint16)
        for i in range(BLOCK):
            band = table[high[0][i]] - table[low[0][i]]
            for j in range(BLOCK):
                here = band[:, high[1][j]] > band[:, low[1][j]]
                met[:, :columns] |= here.astype(np.uint16) << np.uint16(i * BLOCK + j)
        within = np.zeros(self.shape, dtype=bool)
        within[:rows, :columns] = True
        return met.ravel(), bits_of(within)


def block_lattice(page: Page) -> Lattice:
    """The pages of a block whose first square begins at the origin."""
    start = 0.5 * page.overlap - CLEAR
    return Lattice(turn=Affine(), origin=(start, start), shape=(BLOCK, BLOCK))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    """A place for a piece, and what speaks for it: the least rank is the best."""

    rank: tuple[int, float, int, int, int]

    @property
    def new(self) -> int:
        """Pages that get their first ink."""
        return self.rank[0]


class PageBlock:
    """Pieces laid on joined pages."""

    def __init__(self, raster: PageRaster) -> None:
        self._raster = raster
        self._taken = np.zeros(raster.shape, dtype=bool)
        self._free = self._taken.size
        self.lies: tuple[Lie, ...] = ()
        self.inked = 0
        self._spread()

    def _spread(self) -> None:
        """Make what places are asked by: squares from which a run of 1, 2, 4 ... in that row or the next meets what
        is taken; and the rim."""
        bits = bits_of(self._taken)
        self._met = [bits | bits >> self._raster.shape[1]]
        for k in range(self._raster.shape[1].bit_length() - 1):
            self._met.append(self._met[-1] | self._met[-1] >> (1 << k))
        around = np.pad(self._taken, RIM, constant_values=True)
        self._rim = (grown(around, RIM) & ~around)[RIM:-RIM, RIM:-RIM]
        self._free = int(self._taken.size - self._taken.sum())

    @property
    def pages(self) -> int:
        """How many carry ink."""
        return self.inked.bit_count()

    def with_lies(self, lies: Iterable[Lie], shapes: dict[int, tuple[Shape, ...]]) -> PageBlock:
        """Another block in which just those pieces lie."""
        block = PageBlock(self._raster)
        for lie in lies:
            block._lay(lie, shapes[lie.piece][lie.turn])
        block._spread()
        return block

    def put(self, lie: Lie, shape: Shape) -> None:
        """Lay a piece there."""
        self._lay(lie, shape)
        self._spread()

    def pages_of(self, lie: Lie, shape: Shape) -> int:
        """The pages that a piece's ink meets, as bits."""
        asked = self._raster.pages(shape)
        assert asked is not None
        return int(asked[0][lie.row * self._raster.shape[1] + lie.column])

    def _lay(self, lie: Lie, shape: Shape) -> None:
        rows, columns = shape.body.shape
        wide = grown(np.pad(shape.body, GAP), GAP)
        low, left = lie.row - GAP, lie.column - GAP
        cut = wide[max(-low, 0) :, max(-left, 0) :]
        part = self._taken[max(low, 0) : lie.row + rows + GAP, max(left, 0) : lie.column + columns + GAP]
        part |= cut[: part.shape[0], : part.shape[1]]
        self.inked |= self.pages_of(lie, shape)
        self.lies = (*self.lies, lie)

    def best(self, shapes: Iterable[Shape], *, most: int, single: bool) -> _Place | None:
        """The best place of a piece in any of its turns; None where there is none.

        Args:
            most: new pages that it may bring.
            single: it must lie on one page.
        """
        most = min(most, MOST - self.pages)
        found: _Place | None = None
        for turn, shape in enumerate(shapes):
            if shape.area > self._free:
                continue
            place = self._best_of(turn, shape, most if found is None else found.new, single)
            if place is not None and (found is None or place.rank < found.rank):
                found = place
        return found

    def _best_of(self, turn: int, shape: Shape, most: int, single: bool) -> _Place | None:
        asked = self._raster.pages(shape)
        if asked is None:
            return None
        met, within = asked
        columns = self._raster.shape[1]
        free = within & ~self._collisions(shape)
        places = np.flatnonzero(mask_of(free, self._raster.shape).ravel()[: len(met)])
        pages = met[places]
        if single:
            alone = self._raster.count[pages] == 1
            places, pages = places[alone], pages[alone]
        if not len(places):
            return None
        new = self._raster.count[pages & ~np.uint16(self.inked)]
        least = int(new.min())
        if least > most:
            return None
        blocked = ~free
        corner = free & (blocked << 1 | blocked >> 1) & (blocked << columns | blocked >> columns)
        snug = places[(new == least) & mask_of(corner, self._raster.shape).ravel()[places]]
        if not len(snug):
            snug = places[new == least][:1]
        rows, lefts = np.divmod(snug, columns)
        nearest = np.argsort(rows + lefts, kind="stable")[:CLOSELY]
        ranks = []
        for row, left, number in zip(
            rows[nearest].tolist(), lefts[nearest].tolist(), snug[nearest].tolist(), strict=True
        ):
            rim = self._rim[row : row + shape.body.shape[0], left : left + shape.body.shape[1]]
            touch = int(np.count_nonzero(rim & shape.body))
            ranks.append((least, SEAM * int(self._raster.count[met[number]]) - touch, turn, row, left))
        return _Place(rank=min(ranks))

    def _collisions(self, shape: Shape) -> int:
        """The places where the piece would meet what is taken, as bits."""
        columns = self._raster.shape[1]
        found = 0
        for row, left, length in shape.runs:
            k = length.bit_length() - 1
            met, at = self._met[k], row * columns + left
            found |= met >> at
            if length != 1 << k:
                found |= met >> (at + length - (1 << k))
        return found
