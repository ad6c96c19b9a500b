"""Which pages carry a drawing, how it lies on them, and where they join.

The plane is parted into cells along the trim lines; a page's window is its cell and half the overlap
all round.  A page is kept where ink meets its cell (a cell at the edge of the grid reaches as far as its
window does), so every stroke lies in the window of a kept page.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from tiling.affine import Affine
from tiling.coverage import InkBoxes, InkPieces, ink_pieces
from tiling.drawing import Drawing
from tiling.grid import Layout, Seam, Side, Tile, row_letters
from tiling.kept import Lattice, joined, met, spared
from tiling.paper import Page
from tiling.plain import Rank, plain_lattices
from tiling.seams import Place, built
from tiling.search import Bitmap, Offset, angles, fits_one_page, within_quarter
from tiling.shifted import Rows, least_pages, shifted_rows

__all__ = ["Layout", "Seam", "Side", "Tile", "lay_on", "lay_out", "row_letters"]

# The search's budget: so many candidates, never so many seconds, so that equal input gives equal pages.
OFFSETS = 6  # offsets of an angle that may be looked at closely
LOOKED = 120  # offsets of all angles that are looked at closely
LEVELS = 4  # levels of the rows, for an angle, that may be looked at closely
SHIFTED = 60  # placements on shifted rows that are looked at closely
CLOSER = 3  # angles around which more are tried


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
    pieces = ink_pieces(drawing)
    layout = _plain(pieces, page)
    plain = len(layout.tiles)
    if search and plain > 1 and not (plain == 2 and not fits_one_page(pieces, page)):
        layout = _searched(pieces, page, layout)
    return replace(layout, plain=plain)


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
    return built(page, lattice.turn, foot, pages, ink)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Angle:
    """What the map tells of one angle.

    Attributes:
        offsets: the best for rows and columns.
        levels: pages that shifted rows need, and the level of a trim line, for the best levels.
    """

    radians: float
    offsets: Sequence[Offset]
    levels: Sequence[tuple[int, float]]

    @property
    def least(self) -> int:
        """The fewest pages that seem possible."""
        return min(*(offset.pages for offset in self.offsets), *(pages for pages, _ in self.levels))


def _searched(pieces: InkPieces, page: Page, plain: Layout) -> Layout:
    """The layout with fewest pages at any angle; the plain one where none has fewer."""
    tried = [_mapped(pieces, page, radians) for radians in angles(pieces)]
    ranked = sorted(range(len(tried)), key=lambda i: (tried[i].least, i))
    for i in ranked[:CLOSER]:
        tried += [_mapped(pieces, page, within_quarter(tried[i].radians + by)) for by in CLOSER_BY]
    best = _on_columns(pieces, page, tried, plain)
    return _on_shifted_rows(pieces, page, tried, best)


CLOSER_BY = (-0.044, -0.022, 0.022, 0.044)  # radians; the angles tried first are twice as far apart


def _mapped(pieces: InkPieces, page: Page, radians: float) -> _Angle:
    bitmap = Bitmap(pieces.boxes(Affine.turn(radians)), page)
    least = least_pages(bitmap, page)
    levels = [(int(least[i]), bitmap.level(int(i))) for i in least.argsort(kind="stable")[:LEVELS]]
    return _Angle(radians=radians, offsets=bitmap.offsets(OFFSETS), levels=levels)


def _on_columns(pieces: InkPieces, page: Page, tried: Sequence[_Angle], best: Layout) -> Layout:
    """The layout in rows and columns that has fewest pages."""
    fewest = len(best.tiles)
    ranked = sorted(
        (offset.pages, offset.around, number, angle.radians, offset.origin, offset.shape)
        for number, angle in enumerate(tried)
        for offset in angle.offsets
        if offset.pages < fewest
    )
    found: tuple[Lattice, set[Place], InkBoxes] | None = None
    for pages, _, _, radians, origin, shape in ranked[:LOOKED]:
        if pages >= fewest:
            break
        lattice = Lattice(turn=Affine.turn(radians), origin=origin, shape=shape)
        ink = pieces.boxes(lattice.turn)
        kept = spared(joined(met(ink, page, lattice), shape), ink, page, lattice)
        if len(kept) < fewest:
            fewest, found = len(kept), (lattice, kept, ink)
    return best if found is None else _in_columns(page, *found)


def _on_shifted_rows(pieces: InkPieces, page: Page, tried: Sequence[_Angle], best: Layout) -> Layout:
    """The layout on shifted rows that has fewest pages, and the longest edges then; or the best so far."""
    fewest = len(best.tiles)
    ranked = sorted(
        (pages, number, angle.radians, level)
        for number, angle in enumerate(tried)
        for pages, level in angle.levels
        if pages < fewest
    )
    found: tuple[Rows, Affine, InkBoxes] | None = None
    for pages, _, radians, level in ranked[:SHIFTED]:
        if pages > fewest:
            break
        turn = Affine.turn(radians)
        ink = pieces.boxes(turn)
        rows = shifted_rows(ink, page, level, fewer_than=fewest + (found is not None))
        if rows is None:
            continue
        if found is None or (len(rows.pages), -rows.edge) < (fewest, -found[0].edge):
            fewest, found = len(rows.pages), (rows, turn, ink)
    if found is None:
        return best
    rows, turn, ink = found
    return built(page, turn, rows.foot, rows.pages, ink)
