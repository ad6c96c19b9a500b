"""The search for fewer pages than a plain placement takes: any angle, any offset, rows and columns or shifted rows.

A map tells of each angle about how many pages its placements take; those that may take fewest are then looked at
closely, one after the other.  An angle whose breadth and height alone want as many pages as were found is left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from heapq import heappop, heappush

import numpy as np

from tiling.drawing import FloatArray
from tiling.drawing.affine import Affine
from tiling.layout.coverage import InkPieces
from tiling.layout.grid import PageLayout
from tiling.layout.offset_search import Bitmap, Outermost, angles, within_quarter
from tiling.layout.page_selection import CLEAR, Lattice, in_columns, joined, met, spared
from tiling.layout.row_levels import best_levels, even_lines, row_pages, uneven_lines
from tiling.layout.seams import Place, built, least_edge
from tiling.layout.shifted_rows import Rows, long_edge, shifted_rows
from tiling.paper import Page

__all__ = ["Placements"]

# The search's budget: so many candidates, never so many seconds, so that equal input gives equal pages.
OFFSETS = 6  # offsets of an angle that may be looked at closely
LOOKED = 120  # offsets of all angles that are looked at closely
LEVELS = 8  # sets of lines between rows, for an angle, that may be looked at closely
SHIFTED = 160  # placements on shifted rows that are looked at closely
CLOSER = 6  # angles around which more are tried
CLOSER_BY = (-0.044, -0.022, 0.022, 0.044)  # radians; the angles tried first are twice as far apart
VARIANTS = 4  # placements with equally many pages, of which words may choose
KEPT = 64  # angles whose ink is remembered
FLOAT = 1e-6  # mm; rounding
LONGER = 1e-3  # mm; an edge that is longer by less is as long
PER_RADIAN = 1e6  # angles are told apart by so much; those that are tried are far more apart


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _TurnedGrid:
    """A placement of which the map speaks well.

    Attributes:
        rank: pages as far as the map tells, and what speaks for it among those with as many; the least is the best.
        lattice: its rows and columns; None where rows are shifted.
        lines: the trim lines between shifted rows, from the lowest up, mm.
        uneven: these are not at equal steps.
        squares: where the lines lie on the map: its level, or each of those that are not at equal steps.
    """

    rank: tuple[int, int, int]
    radians: float
    lattice: Lattice | None = None
    lines: FloatArray = field(default_factory=lambda: np.empty(0))
    uneven: bool = False
    squares: tuple[int, ...] = ()

    @property
    def pages(self) -> int:
        return self.rank[0]


class Placements:
    """Placements of a drawing with fewer pages than the plain one.

    Args:
        outermost: of the same ink.
        plain: how many pages that one takes.
    """

    def __init__(self, pieces: InkPieces, outermost: Outermost, page: Page, plain: int) -> None:
        self._page, self._plain, self._outermost = page, plain, outermost
        self._angles = angles(outermost)
        self._ink = lru_cache(KEPT)(lambda radians: pieces.boxes(Affine.turn(radians)))
        self._mapped: dict[int, list[_TurnedGrid]] = {}
        self._found: dict[int, set[Place] | Rows | None] = {}

    def found(self) -> Iterator[PageLayout]:
        """The layout with fewest pages, then others with as many, with more, and so on, a few of each."""
        best = self._best()
        if best is None:
            return
        first = self._layout(best)
        yield first
        given = {len(first.tiles): [best]}
        for count, way in self._in_order():
            known = given.setdefault(count, [])
            if len(known) < VARIANTS and all(_apart(way, other) for other in known):
                known.append(way)
                yield self._layout(way)

    def _best(self) -> _TurnedGrid | None:
        """The placement with fewest pages: in rows and columns, unless shifted rows have fewer."""
        fewest = self._plain
        least = [self._least(radians) for radians in self._angles]
        for number in sorted(range(len(least)), key=lambda i: (least[i], i)):
            if least[number] >= fewest:
                break
            fewest = self._fewest(number, fewest)
        for radians in self._closer():
            if self._least(radians) < fewest:
                self._angles.append(radians)
                fewest = self._fewest(len(self._angles) - 1, fewest)
        lattices, shifted = self._ways()
        best = self._fewest_in_columns(lattices)
        better = self._fewest_shifted(shifted, self._plain if best is None else self._count(best))
        return best if better is None else better

    def _least(self, radians: float) -> int:
        """Pages that a drawing so broad and so high takes at least, whether rows are shifted or not."""
        page, clear = self._page, 2.0 * CLEAR - FLOAT
        wide, tall = (side + clear for side in self._outermost.size(radians))
        rows = max(int(np.ceil((tall - page.overlap) / page.step[1])), 1)
        # the pages hang together: each adds no more to their breadth than a step, or in the next row what it
        # stands out by where the edge is as short as it may be
        covered = page.step[0] + page.overlap + (rows - 1) * (page.step[0] + page.overlap - least_edge(page))
        return rows + max(int(np.ceil((wide - covered) / page.step[0])), 0)

    def _closer(self) -> list[float]:
        """Angles near the best of those that were mapped."""
        fewest = {number: min(way.pages for way in ways) for number, ways in self._mapped.items() if ways}
        ranked = sorted(fewest, key=lambda number: (fewest[number], number))[:CLOSER]
        return [within_quarter(self._angles[number] + by) for number in ranked for by in CLOSER_BY]

    def _fewest(self, number: int, fewest: int) -> int:
        """The fewest pages that were found, with those of an angle."""
        ways = self._map(number)
        for shifted in (False, True):
            some = [way for way in ways if (way.lattice is None) == shifted]
            best = min(some, key=lambda way: way.rank, default=None)
            if best is not None and best.pages < fewest:
                fewest = min(fewest, self._count(best))
        return fewest

    def _map(self, number: int) -> list[_TurnedGrid]:
        """The best placements of an angle with fewer pages than the plain one, as far as the map tells."""
        if number not in self._mapped:
            radians = self._angles[number]
            bitmap = Bitmap(self._ink(radians), self._page)
            self._mapped[number] = [
                *self._lattices(number, radians, bitmap),
                *self._shifted_rows(number, radians, bitmap),
            ]
        return self._mapped[number]

    def _lattices(self, number: int, radians: float, bitmap: Bitmap) -> Iterator[_TurnedGrid]:
        for offset in bitmap.offsets(OFFSETS, fewer_than=self._plain):
            yield _TurnedGrid(
                rank=(offset.pages, offset.around, number),
                radians=radians,
                lattice=Lattice(
                    turn=Affine.turn(radians),
                    origin=offset.origin,
                    shape=offset.shape,
                    choice=_named("columns", radians, offset.square),
                ),
            )

    def _shifted_rows(self, number: int, radians: float, bitmap: Bitmap) -> Iterator[_TurnedGrid]:
        of_rows = row_pages(bitmap, self._page)
        pages = of_rows.sum(axis=0)
        for choice, i in enumerate(best_levels(pages, LEVELS, fewer_than=self._plain)):
            lines = even_lines(self._ink(radians), self._page, bitmap.level(i))
            yield _TurnedGrid(
                rank=(int(pages[i]), choice, number), radians=radians, lines=lines, squares=(i,)
            )
        most = min(int(pages.min()), self._plain)
        uneven = uneven_lines(bitmap, of_rows, LEVELS, fewer_than=most)
        for choice, (count, squares, lines) in enumerate(uneven, start=LEVELS):
            yield _TurnedGrid(
                rank=(count, choice, number),
                radians=radians,
                lines=lines,
                uneven=True,
                squares=tuple(squares),
            )

    def _ways(self) -> tuple[list[_TurnedGrid], list[_TurnedGrid]]:
        """Placements of the angles that were mapped, in rows and columns and on shifted rows, the best first."""
        found = [way for number in sorted(self._mapped) for way in self._mapped[number]]
        found.sort(key=lambda way: way.rank)
        lattices = [way for way in found if way.lattice is not None]
        shifted = [way for way in found if way.lattice is None]
        return lattices[:LOOKED], shifted[:SHIFTED]

    def _in_order(self) -> Iterator[tuple[int, _TurnedGrid]]:
        """Every placement that may be looked at closely, those with fewest pages first, and how many these are."""
        for number, radians in enumerate(self._angles):
            if self._least(radians) < self._plain:
                self._map(number)
        lattices, shifted = self._ways()
        ways = sorted((*lattices, *shifted), key=lambda way: way.pages)
        known: list[tuple[int, int]] = []
        for number, way in enumerate(ways):
            while known and known[0][0] < way.pages:
                count, place = heappop(known)
                yield count, ways[place]
            count = self._count(way)
            if count < self._plain:
                heappush(known, (count, number))
        while known:
            count, place = heappop(known)
            yield count, ways[place]

    def _count(self, way: _TurnedGrid) -> int:
        """How many pages a placement takes; as many as the plain one where it will not do."""
        found = self._pages(way)
        if found is None:
            return self._plain
        return len(found.pages if isinstance(found, Rows) else found)

    def _pages(self, way: _TurnedGrid) -> set[Place] | Rows | None:
        """The pages that a placement needs; None where rows do not hang together, or are no fewer pages."""
        if id(way) not in self._found:  # every way is kept
            ink, page = self._ink(way.radians), self._page
            if way.lattice is None:
                self._found[id(way)] = shifted_rows(ink, page, way.lines, fewer_than=self._plain)
            else:
                kept = joined(met(ink, page, way.lattice), way.lattice.shape)
                self._found[id(way)] = spared(kept, ink, page, way.lattice)
        return self._found[id(way)]

    def _layout(self, way: _TurnedGrid) -> PageLayout:
        ink, found = self._ink(way.radians), self._pages(way)
        if isinstance(found, Rows):
            kind = "uneven rows" if way.uneven else "rows"
            choice = _named(kind, way.radians, way.squares, found.trail)
            return built(self._page, Affine.turn(way.radians), found.feet, found.pages, ink, choice=choice)
        assert way.lattice is not None
        assert found is not None
        return in_columns(self._page, way.lattice, found, ink)

    def _fewest_in_columns(self, ways: list[_TurnedGrid]) -> _TurnedGrid | None:
        """The one that needs the fewest pages; None where none needs fewer than the plain one."""
        found, fewest = None, self._plain
        for way in ways:
            if way.pages >= fewest:
                break
            if self._count(way) < fewest:
                found, fewest = way, self._count(way)
        return found

    def _fewest_shifted(self, ways: list[_TurnedGrid], fewest: int) -> _TurnedGrid | None:
        """The one that does with the fewest pages, fewer than a number, and has the longest edges then."""
        found, edge = None, 0.0
        for way in ways:
            if way.pages > fewest or (
                way.pages == fewest and (found is None or edge >= long_edge(self._page))
            ):
                break
            rows, count = self._pages(way), self._count(way)
            even = found is not None and found.uneven >= way.uneven
            if isinstance(rows, Rows) and (
                count < fewest or (count == fewest and even and rows.edge > edge + LONGER)
            ):
                found, fewest, edge = way, count, rows.edge
        return found


def _apart(one: _TurnedGrid, other: _TurnedGrid) -> bool:
    """They differ by more than an offset, so that words find other places."""
    return (one.lattice is None) != (other.lattice is None) or one.radians != other.radians


def _named(kind: str, radians: float, *numbers: Sequence[int]) -> str:
    """A placement in names and whole numbers."""
    angle = round(radians * PER_RADIAN)
    return ", ".join([f"{kind} {angle}", *(" ".join(map(str, some)) for some in numbers)])
