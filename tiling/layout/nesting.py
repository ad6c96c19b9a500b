"""Outlines nested on blocks of joined pages, so that few pages carry ink.

A piece goes where it brings the fewest new pages, and among those places to the one where it lies most snugly.
Then again and again some pages are emptied and their pieces laid anew, in another order; what needs fewer pages
is kept.  The number of such trials is fixed, and chance is drawn from a fixed seed: equal input gives equal pages.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from tiling.layout.page_block import Lie, PageBlock, PageRaster, RasterShape

__all__ = ["Outline", "nest"]

TRIALS = 500  # pieces that are laid anew in all trials together, about
FEWEST, GREATEST = 8, 40  # trials
EMPTIED = 3  # pages emptied in one trial, at most


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outline:
    """A piece to be nested.

    Attributes:
        shapes: the piece in each turn that it may lie in.
        alone: how many pages it needs by itself.
    """

    shapes: tuple[RasterShape, ...]
    alone: int


def nest(
    outlines: Mapping[int, Outline], raster: PageRaster, *, seed: int = 1
) -> tuple[tuple[Lie, ...], ...]:
    """Pieces laid in blocks, where that saves pages.

    A piece that needs only one page alone lies on one.

    Args:
        raster: of the pages; it remembers what was asked of it, and may be given again.
        seed: of chance; another seed finds another nesting.
    Returns:
        Groups of two pieces or more that hang together by the pages under them; with fewer pages than their
        pieces need alone.
    """
    if not outlines:
        return ()
    return _Search(outlines, raster, seed).best(min(max(TRIALS // len(outlines), FEWEST), GREATEST))


class _Search:
    def __init__(self, outlines: Mapping[int, Outline], raster: PageRaster, seed: int) -> None:
        self._outlines = outlines
        self._shapes = {piece: outline.shapes for piece, outline in outlines.items()}
        self._empty = PageBlock.empty(raster)
        self._chance = random.Random(seed)

    def best(self, trials: int) -> tuple[tuple[Lie, ...], ...]:
        """The groups of the best blocks found."""
        order = sorted(self._outlines, key=lambda piece: (-self._area(piece), piece))
        blocks = self._filled(order, [])
        cost = self._cost(blocks)
        for _ in range(trials if blocks else 0):
            tried = self._tried(blocks)
            found = self._cost(tried)
            if found <= cost:
                blocks, cost = tried, found
        return tuple(group for block in blocks for group in self._groups(block) if self._saves(block, group))

    def _area(self, piece: int) -> int:
        return self._shapes[piece][0].area

    def _tried(self, blocks: Sequence[PageBlock]) -> list[PageBlock]:
        """The blocks with some pages of one emptied and their pieces laid anew, with those that lie alone."""
        which = self._chance.randrange(len(blocks))
        block = blocks[which]
        pages = [1 << k for k in range(block.inked.bit_length()) if block.inked >> k & 1]
        emptied = sum(self._chance.sample(pages, min(len(pages), self._chance.randint(1, EMPTIED))))
        kept = [lie for lie in block.lies if not self._pages(block, lie) & emptied]
        rest = list(blocks)
        rest[which] = block.only(kept, self._shapes)
        laid = {lie.piece for other in rest for lie in other.lies}
        left = [piece for piece in self._outlines if piece not in laid]
        left.sort(key=lambda piece: -self._area(piece) * self._chance.uniform(0.5, 2.0))
        return self._filled(left, [other for other in rest if other.lies])

    def _filled(self, order: Iterable[int], blocks: list[PageBlock]) -> list[PageBlock]:
        """The blocks with those pieces laid in them or in new ones; a piece alone in a block is left out."""
        left = []
        for piece in order:
            outline = self._outlines[piece]
            places = []
            for number, block in enumerate(blocks):
                place = block.best(outline.shapes, most=outline.alone - 1, single=outline.alone == 1)
                if place is not None:
                    places.append((place.rank[:2], number, place))
                    if place.new == 0:
                        break
            if places:
                _, number, best = min(places, key=lambda found: found[:2])
                blocks[number] = self._with(blocks[number], piece, best.rank)
            else:
                left.append(piece)
        while left:
            block = self._empty
            for piece in left:
                outline = self._outlines[piece]
                most = outline.alone - 1 if block.lies else outline.alone
                place = block.best(outline.shapes, most=most, single=outline.alone == 1)
                if place is not None:
                    block = self._with(block, piece, place.rank)
            if not block.lies:
                break
            laid = {lie.piece for lie in block.lies}
            left = [piece for piece in left if piece not in laid]
            if len(laid) > 1:
                blocks.append(block)
        return [block for block in blocks if len(block.lies) > 1]

    def _with(self, block: PageBlock, piece: int, rank: tuple[int, float, int, int, int]) -> PageBlock:
        _, _, turn, row, column = rank
        return block.with_one(Lie(piece=piece, turn=turn, row=row, column=column), self._shapes[piece][turn])

    def _pages(self, block: PageBlock, lie: Lie) -> int:
        return block.pages_of(lie, self._shapes[lie.piece][lie.turn])

    def _groups(self, block: PageBlock) -> list[tuple[Lie, ...]]:
        """The pieces of a block parted where no piece lies across the pages of both parts."""
        groups: list[tuple[int, tuple[Lie, ...]]] = []
        for lie in block.lies:
            pages = self._pages(block, lie)
            lies: tuple[Lie, ...] = (lie,)
            apart = []
            for other, members in groups:
                if other & pages:
                    pages, lies = pages | other, (*members, *lies)
                else:
                    apart.append((other, members))
            groups = [*apart, (pages, lies)]
        return [lies for _, lies in groups]

    def _saves(self, block: PageBlock, group: Sequence[Lie]) -> bool:
        return len(group) > 1 and self._count(block, group) < self._alone(group)

    def _count(self, block: PageBlock, group: Sequence[Lie]) -> int:
        pages = 0
        for lie in group:
            pages |= self._pages(block, lie)
        return pages.bit_count()

    def _alone(self, group: Sequence[Lie]) -> int:
        return sum(self._outlines[lie.piece].alone for lie in group)

    def _cost(self, blocks: Sequence[PageBlock]) -> tuple[int, int]:
        """Pages of all pieces; and of blocks with equally many those first whose pages lie in few blocks."""
        laid = {lie.piece for block in blocks for lie in block.lies}
        pages = sum(outline.alone for piece, outline in self._outlines.items() if piece not in laid)
        for block in blocks:
            pages += sum(min(self._count(block, group), self._alone(group)) for group in self._groups(block))
        return pages, -sum(block.pages**2 for block in blocks)
