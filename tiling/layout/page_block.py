"""A block of joined pages on which pieces lie: where a piece fits, and how many new pages it would bring.

Everything is counted in squares of a raster.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tiling.drawing import ROOM
from tiling.drawing.affine import Affine
from tiling.layout.collisions import Run, TakenSquares, runs_of
from tiling.layout.masks import Mask, bits_of, grown, mask_of
from tiling.layout.page_selection import CLEAR, Lattice
from tiling.layout.summed_table import SummedTable
from tiling.paper import Page

__all__ = ["GAP", "SQUARE", "Lie", "PageBlock", "PageRaster", "RasterShape", "block_lattice"]

SQUARE = ROOM  # mm; the sides of a square

ROWS = 2  # of squares that are taken for one where pieces must not meet
BLOCK = 4  # pages across and up: two forearms; a larger sheet is not handy
MOST = 12  # pages of one block that carry ink
GAP = 2  # squares between two pieces, at least
RIM = 2  # squares beside what is taken, which a snug piece covers
CLOSELY = 24  # places of each turn that are looked at closely
SEAM = 3.0  # squares of the rim that one page less under a piece is worth


@dataclass(frozen=True, eq=False)
class RasterShape:
    """A piece in one of its turns; both masks are of one size.

    Attributes:
        ink: squares that carry strokes.
        body: squares that it covers: its strokes and what they enclose.
    """

    ink: Mask
    body: Mask

    @cached_property
    def runs(self) -> list[Run]:
        """Of the body."""
        return runs_of(self.body, rows=ROWS)

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
        self._pages: dict[int, tuple[RasterShape, tuple[NDArray[np.uint16], int] | None]] = {}
        self._kinds: dict[int, tuple[RasterShape, NDArray[np.uint16]]] = {}

    def pages(self, shape: RasterShape) -> tuple[NDArray[np.uint16], int] | None:
        """For every place, row by row, the pages that the shape's ink meets there, as bits; and the places where
        it lies within the block, as bits of a number.  None where it is larger than the block."""
        key = id(shape)  # the shape is kept beside the answer, so that no other gets its number
        if key not in self._pages:
            rows, columns = (big - small + 1 for big, small in zip(self.shape, shape.body.shape, strict=True))
            fits = rows > 0 and columns > 0
            self._pages[key] = shape, self._asked(shape, rows, columns) if fits else None
        return self._pages[key][1]

    def least_new(self, shape: RasterShape, inked: int, *, single: bool) -> int:
        """The fewest pages that get their first ink by the shape anywhere in the block, whatever lies there."""
        key = id(shape)
        if key not in self._kinds:
            asked = self.pages(shape)
            found = np.flatnonzero(np.bincount(asked[0])) if asked is not None else np.zeros(0, dtype=np.intp)
            self._kinds[key] = shape, found.astype(np.uint16)
        kinds = self._kinds[key][1]
        kinds = kinds[self.count[kinds] == 1] if single else kinds[kinds > 0]
        return int(self.count[kinds & ~np.uint16(inked)].min(initial=MOST + 1))

    def _asked(self, shape: RasterShape, rows: int, columns: int) -> tuple[NDArray[np.uint16], int]:
        table = SummedTable(shape.ink)
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
            inked = table.any_in((low[0][i], high[0][i]), (low[1].ravel(), high[1].ravel()))
            for j, here in enumerate(np.split(inked, BLOCK, axis=1)):
                met[:, :columns] |= here.astype(np.uint16) << np.uint16(i * BLOCK + j)
        within = np.zeros(self.shape, dtype=bool)
        within[:rows, :columns] = True
        return met.ravel(), bits_of(within)


def block_lattice(page: Page) -> Lattice:
    """The pages of a block whose first square begins at the origin."""
    start = 0.5 * page.overlap - CLEAR
    return Lattice(turn=Affine(), origin=(start, start), shape=(BLOCK, BLOCK), choice="block")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Position:
    """A place for a piece, and what speaks for it: the least rank is the best."""

    rank: tuple[int, float, int, int, int]

    @property
    def new(self) -> int:
        """Pages that get their first ink."""
        return self.rank[0]


@dataclass(slots=True, kw_only=True)
class _Free:
    """Where a shape may lie in a block.

    Attributes:
        shape: it is kept beside the answer, so that no other gets its number.
        places: as bits.
        new: the fewest pages that get their first ink by it; None where it may lie nowhere.
        rank: of the best place, without its turn; None until it is asked for.
    """

    shape: RasterShape
    places: int = 0
    new: int | None = None
    rank: tuple[int, float, int, int] | None = None


class PageBlock:
    """Pieces laid on joined pages.  It never changes; what was asked of it is remembered."""

    def __init__(self, raster: PageRaster, lies: tuple[Lie, ...], taken: Mask, inked: int) -> None:
        self._raster, self._taken = raster, taken
        self.lies, self.inked = lies, inked
        self._open = int(taken.size - taken.sum())
        self._asked: dict[int, _Free] = {}

    @classmethod
    def empty(cls, raster: PageRaster) -> PageBlock:
        """A block in which nothing lies."""
        return cls(raster, (), np.zeros(raster.shape, dtype=bool), 0)

    @cached_property
    def _squares(self) -> TakenSquares:
        return TakenSquares(self._taken, rows=ROWS)

    @cached_property
    def _rim(self) -> Mask:
        around = np.pad(self._taken, RIM, constant_values=True)
        return (grown(around, RIM) & ~around)[RIM:-RIM, RIM:-RIM]

    @property
    def pages(self) -> int:
        """How many carry ink."""
        return self.inked.bit_count()

    def only(self, lies: Iterable[Lie], shapes: Mapping[int, tuple[RasterShape, ...]]) -> PageBlock:
        """The block in which just those pieces lie."""
        block = PageBlock.empty(self._raster)
        for lie in lies:
            block = block.with_one(lie, shapes[lie.piece][lie.turn])
        return block

    def with_one(self, lie: Lie, shape: RasterShape) -> PageBlock:
        """The block with one piece more."""
        rows, columns = shape.body.shape
        wide = grown(np.pad(shape.body, GAP), GAP)
        low, left = lie.row - GAP, lie.column - GAP
        cut = wide[max(-low, 0) :, max(-left, 0) :]
        taken = self._taken.copy()
        part = taken[max(low, 0) : lie.row + rows + GAP, max(left, 0) : lie.column + columns + GAP]
        part |= cut[: part.shape[0], : part.shape[1]]
        return PageBlock(self._raster, (*self.lies, lie), taken, self.inked | self.pages_of(lie, shape))

    def pages_of(self, lie: Lie, shape: RasterShape) -> int:
        """The pages that a piece's ink meets, as bits."""
        asked = self._raster.pages(shape)
        assert asked is not None
        return int(asked[0][lie.row * self._raster.shape[1] + lie.column])

    def best(self, shapes: Iterable[RasterShape], *, most: int, single: bool) -> _Position | None:
        """The best place of a piece in any of its turns; None where there is none.

        Args:
            most: new pages that it may bring.
            single: it must lie on one page.
        """
        most = min(most, MOST - self.pages)
        found: _Position | None = None
        for turn, shape in enumerate(shapes):
            limit = most if found is None else found.new
            if shape.area > self._open or self._raster.least_new(shape, self.inked, single=single) > limit:
                continue
            free = self._free(shape, single)
            if free.new is None or free.new > limit:
                continue
            new, rim, row, column = self._rank(free, single)
            place = _Position(rank=(new, rim, turn, row, column))
            if found is None or place.rank < found.rank:
                found = place
        return found

    def _free(self, shape: RasterShape, single: bool) -> _Free:
        """Where a shape may lie."""
        if id(shape) not in self._asked:
            found = self._asked[id(shape)] = _Free(shape=shape)
            asked = self._raster.pages(shape)
            if asked is not None:
                found.places = asked[1] & ~self._squares.collisions(shape.runs)
                _, new = self._new(found, single)
                found.new = int(new.min()) if len(new) else None
        return self._asked[id(shape)]

    def _new(self, free: _Free, single: bool) -> tuple[NDArray[np.intp], NDArray[np.int8]]:
        """The places of a shape, square by square, and how many pages get their first ink there."""
        asked = self._raster.pages(free.shape)
        assert asked is not None
        places = np.flatnonzero(mask_of(free.places, self._raster.shape).ravel()[: len(asked[0])])
        pages = asked[0][places]
        if single:
            alone = self._raster.count[pages] == 1
            places, pages = places[alone], pages[alone]
        return places, self._raster.count[pages & ~np.uint16(self.inked)]

    def _rank(self, free: _Free, single: bool) -> tuple[int, float, int, int]:
        """The best place of a shape: new pages, how snugly it lies, row and column."""
        if free.rank is None:
            shape, columns = free.shape, self._raster.shape[1]
            asked = self._raster.pages(shape)
            assert asked is not None
            places, new = self._new(free, single)
            least = int(new.min())
            blocked = ~free.places
            corner = free.places & (blocked << 1 | blocked >> 1) & (blocked << columns | blocked >> columns)
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
                ranks.append((least, SEAM * int(self._raster.count[asked[0][number]]) - touch, row, left))
            free.rank = min(ranks)
        return free.rank
