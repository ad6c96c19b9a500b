"""Which pages carry a drawing, how it lies on them, and where they join.

The plane is parted into cells along the trim lines; a page's window is its cell and half the overlap
all round.  A page is kept where ink meets its cell (a cell at the edge of the grid reaches as far as its
window does), so every stroke lies in the window of a kept page.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from tiling.affine import Affine
from tiling.coverage import InkBoxes, InkPieces, ink_pieces
from tiling.drawing import Drawing, FloatArray
from tiling.grid import Layout, Seam, Side, Tile, row_letters
from tiling.kept import Lattice, joined, met, spared
from tiling.levels import even_lines, row_pages, uneven_lines
from tiling.paper import Page
from tiling.plain import Rank, plain_lattices
from tiling.seams import Place, built
from tiling.search import Bitmap, Offset, angles, fits_one_page, within_quarter
from tiling.shifted import Rows, shifted_rows

__all__ = ["Layout", "Seam", "Side", "Tile", "lay_on", "lay_out", "layouts", "row_letters"]

# The search's budget: so many candidates, never so many seconds, so that equal input gives equal pages.
OFFSETS = 6  # offsets of an angle that may be looked at closely
LOOKED = 120  # offsets of all angles that are looked at closely
LEVELS = 4  # levels of the rows, for an angle, that may be looked at closely
SHIFTED = 60  # placements on shifted rows that are looked at closely
CLOSER = 3  # angles around which more are tried
VARIANTS = 4  # placements with equally many pages, of which words may choose


def lay_out(drawing: Drawing, page: Page, *, search: bool = False) -> Layout:
    """Lay a drawing on the fewest pages found.

    Tried are the drawing as it is and turned by 90 degrees, each with the same number of shifts, so that
    equal input gives equal pages.  Of layouts with equally many pages, one that is not turned is taken
    first, then the one with least ink near the trim lines, then the one nearest to the middle.

    Args:
        search: any angle is tried besides, at any offset, then rows shifted along one another.  The drawing is
            turned, and its rows are shifted, only where that saves a page.
    Raises:
        TilingError: nothing is drawn, or a coordinate is not a finite number.
    """
    return next(layouts(drawing, page, search=search))


def layouts(drawing: Drawing, page: Page, *, search: bool) -> Iterator[Layout]:
    """Ways to lay a drawing on pages, the fewest pages first, a few for each number of pages; the last is plain.

    Raises:
        TilingError: as `lay_out`.
    """
    pieces = ink_pieces(drawing)
    plain = _plain(pieces, page)
    count = len(plain.tiles)
    if search and count > 1 and not (count == 2 and not fits_one_page(pieces, page)):
        for layout in _Search(pieces, page, count).found():
            yield replace(layout, plain=count)
    yield replace(plain, plain=count)


def _plain(pieces: InkPieces, page: Page) -> Layout:
    ranked = plain_lattices(pieces.boxes(), page)
    best: tuple[Rank, Lattice, set[Place]] | None = None
    inks = {lattice.turn: pieces.boxes(lattice.turn) for _, lattice in ranked}
    for key, lattice in ranked:
        if best is not None and key[0] >= best[0][0]:
            break
        kept = joined(met(inks[lattice.turn], page, lattice), lattice.shape)
        score = (float(len(kept)), *key[1:])
        if best is None or score < best[0]:
            best = (score, lattice, kept)
    assert best is not None
    _, lattice, kept = best
    return _in_columns(page, lattice, kept, inks[lattice.turn])


def lay_on(drawing: Drawing, page: Page, lattice: Lattice) -> Layout:
    """Lay a drawing on those of the pages given that its ink needs.

    Raises:
        TilingError: nothing is drawn, or a coordinate is not a finite number.
    """
    ink = ink_pieces(drawing).boxes(lattice.turn)
    kept = joined(met(ink, page, lattice), lattice.shape)
    layout = _in_columns(page, lattice, spared(kept, ink, page, lattice), ink)
    return replace(layout, plain=len(layout.tiles))


def _in_columns(page: Page, lattice: Lattice, kept: set[Place], ink: InkBoxes) -> Layout:
    half = 0.5 * page.overlap
    left, foot = lattice.origin[0] - half, lattice.origin[1] - half
    pages = {(row, column): left + column * page.step[0] for row, column in kept}
    feet = [foot + row * page.step[1] for row in range(lattice.shape[0])]
    return built(page, lattice.turn, feet, pages, ink)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Lines:
    """Trim lines between shifted rows.

    Attributes:
        pages: that the rows need, as far as the map tells.
        uneven: they are not at equal steps.
        levels: from the lowest up, mm.
    """

    pages: int
    uneven: bool
    levels: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Angle:
    """What the map tells of one angle.

    Attributes:
        offsets: the best for rows and columns.
        levels: the best trim lines between shifted rows.
    """

    radians: float
    offsets: Sequence[Offset]
    levels: Sequence[_Lines]

    @property
    def least(self) -> int:
        """The fewest pages that seem possible."""
        return min(*(offset.pages for offset in self.offsets), *(lines.pages for lines in self.levels))


CLOSER_BY = (-0.044, -0.022, 0.022, 0.044)  # radians; the angles tried first are twice as far apart


class _Search:
    """Any angle, any offset, rows and columns or shifted rows, with fewer pages than the plain layout."""

    def __init__(self, pieces: InkPieces, page: Page, plain: int) -> None:
        self._pieces, self._page, self._plain = pieces, page, plain
        tried = [self._mapped(radians) for radians in angles(pieces)]
        ranked = sorted(range(len(tried)), key=lambda i: (tried[i].least, i))
        for i in ranked[:CLOSER]:
            tried += [self._mapped(within_quarter(tried[i].radians + by)) for by in CLOSER_BY]
        self._offsets = sorted(
            (offset.pages, offset.around, number, angle.radians, offset.origin, offset.shape)
            for number, angle in enumerate(tried)
            for offset in angle.offsets
            if offset.pages < plain
        )[:LOOKED]
        self._levels = sorted(
            ((lines, angle.radians) for angle in tried for lines in angle.levels if lines.pages < plain),
            key=lambda pair: (pair[0].pages, pair[0].uneven),
        )[:SHIFTED]
        self._kept: dict[int, set[Place]] = {}
        self._rows: dict[int, Rows | None] = {}

    def found(self) -> Iterator[Layout]:
        """The layout with fewest pages, then others with as many, with more, and so on, a few of each."""
        best = self._best()
        if best is None:
            return
        yield self._layout(*best)
        ways = [(self._count(*way), *way) for way in self._all()]
        given = {len(self._layout(*best).tiles): [best]}
        for count, shifted, number in sorted(way for way in ways if way[0] < self._plain):
            known = given.setdefault(count, [])
            if len(known) < VARIANTS and all(self._apart((shifted, number), other) for other in known):
                known.append((shifted, number))
                yield self._layout(shifted, number)

    def _all(self) -> Iterator[tuple[bool, int]]:
        """Every placement that may be looked at closely: whether its rows are shifted, and its number."""
        yield from ((False, number) for number in range(len(self._offsets)))
        yield from ((True, number) for number in range(len(self._levels)))

    def _angle(self, shifted: bool, number: int) -> float:
        return self._levels[number][1] if shifted else self._offsets[number][3]

    def _apart(self, one: tuple[bool, int], other: tuple[bool, int]) -> bool:
        """They differ by more than an offset, so that words find other places."""
        return one[0] != other[0] or self._angle(*one) != self._angle(*other)

    def _mapped(self, radians: float) -> _Angle:
        ink = self._pieces.boxes(Affine.turn(radians))
        bitmap = Bitmap(ink, self._page)
        of_rows = row_pages(bitmap, self._page)
        pages = of_rows.sum(axis=0)
        levels = [
            _Lines(
                pages=int(pages[i]), uneven=False, levels=even_lines(ink, self._page, bitmap.level(int(i)))
            )
            for i in pages.argsort(kind="stable")[:LEVELS]
        ]
        levels += [
            _Lines(pages=found, uneven=True, levels=lines)
            for found, lines in uneven_lines(bitmap, self._page, of_rows, LEVELS)
            if found < pages.min()
        ]
        return _Angle(radians=radians, offsets=bitmap.offsets(OFFSETS), levels=levels)

    def _best(self) -> tuple[bool, int] | None:
        """The placement with fewest pages: in rows and columns, unless shifted rows have fewer."""
        fewest = self._plain
        number, fewest = self._in_columns(fewest)
        better = self._on_shifted_rows(fewest)
        if better is not None:
            return True, better
        return None if number is None else (False, number)

    def _count(self, shifted: bool, number: int) -> int:
        """How many pages a placement takes; as many as the plain one where it will not do."""
        if not shifted:
            return len(self._pages(number))
        rows = self._shifted(number)
        return self._plain if rows is None else len(rows.pages)

    def _layout(self, shifted: bool, number: int) -> Layout:
        turn = Affine.turn(self._angle(shifted, number))
        ink = self._pieces.boxes(turn)
        rows = self._shifted(number) if shifted else None
        if rows is not None:
            return built(self._page, turn, rows.feet, rows.pages, ink)
        return _in_columns(self._page, self._lattice(number), self._pages(number), ink)

    def _lattice(self, number: int) -> Lattice:
        _, _, _, radians, origin, shape = self._offsets[number]
        return Lattice(turn=Affine.turn(radians), origin=origin, shape=shape)

    def _pages(self, number: int) -> set[Place]:
        """The pages that an offset needs."""
        if number not in self._kept:
            lattice = self._lattice(number)
            ink = self._pieces.boxes(lattice.turn)
            kept = joined(met(ink, self._page, lattice), lattice.shape)
            self._kept[number] = spared(kept, ink, self._page, lattice)
        return self._kept[number]

    def _shifted(self, number: int) -> Rows | None:
        """The shifted rows at a level; None where they do not hang together, or are no fewer pages."""
        if number not in self._rows:
            lines, radians = self._levels[number]
            ink = self._pieces.boxes(Affine.turn(radians))
            self._rows[number] = shifted_rows(ink, self._page, lines.levels, fewer_than=self._plain)
        return self._rows[number]

    def _in_columns(self, fewest: int) -> tuple[int | None, int]:
        """Which offset needs the fewest pages, and how many; None where none needs fewer."""
        found = None
        for number, (pages, *_) in enumerate(self._offsets):
            if pages >= fewest:
                break
            if len(self._pages(number)) < fewest:
                found, fewest = number, len(self._pages(number))
        return found, fewest

    def _on_shifted_rows(self, fewest: int) -> int | None:
        """Which level does with the fewest pages on shifted rows, and has the longest edges then."""
        found, edge = None, 0.0
        for number, (lines, _) in enumerate(self._levels):
            if lines.pages > fewest or (lines.pages == fewest and found is None):
                break
            rows = self._shifted(number)
            count = self._plain if rows is None else len(rows.pages)
            even = found is not None and self._levels[found][0].uneven >= lines.uneven
            if rows is not None and (count < fewest or (count == fewest and even and rows.edge > edge)):
                found, fewest, edge = number, count, rows.edge
        return found
