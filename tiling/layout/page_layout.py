"""Which pages carry a drawing, how it lies on them, and where they join.

The plane is parted into cells along the trim lines; a page's window is its cell and half the overlap
all round.  A page is kept where ink meets its cell (a cell at the edge of the grid reaches as far as its
window does), so every stroke lies in the window of a kept page, but for strokes that are aside: for them no page
is kept.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from tiling.drawing import Drawing
from tiling.layout.coverage import InkPieces, ink_pieces
from tiling.layout.grid import PageLayout, Seam, Side, Tile, row_letters
from tiling.layout.grid_placement import Rank, plain_lattices
from tiling.layout.offset_search import Outermost, fits_one_page
from tiling.layout.page_selection import Lattice, in_columns, joined, met, spared
from tiling.layout.placement_search import Placements
from tiling.layout.seams import Place
from tiling.paper import Page

__all__ = ["PageLayout", "Seam", "Side", "Tile", "lay_on", "lay_out", "layouts", "row_letters"]


def lay_out(drawing: Drawing, page: Page, *, search: bool = False) -> PageLayout:
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


def layouts(drawing: Drawing, page: Page, *, search: bool) -> Iterator[PageLayout]:
    """Ways to lay a drawing on pages, the fewest pages first, a few for each number of pages; the last is plain.

    Raises:
        TilingError: as `lay_out`.
    """
    pieces = ink_pieces(drawing.needed())
    plain = _plain(pieces, page)
    count = len(plain.tiles)
    if search and count > 1:
        outermost = Outermost.of(pieces)
        if count > 2 or fits_one_page(outermost, page):
            for layout in Placements(pieces, outermost, page, count).found():
                yield replace(layout, plain=count)
    yield replace(plain, plain=count)


def _plain(pieces: InkPieces, page: Page) -> PageLayout:
    ranked = plain_lattices(pieces.boxes(), page)
    best: tuple[Rank, Lattice, set[Place]] | None = None
    inks = {turn: pieces.boxes(turn) for turn in {lattice.turn for _, lattice in ranked}}
    for key, lattice in ranked:
        if best is not None and key[0] >= best[0][0]:
            break
        kept = joined(met(inks[lattice.turn], page, lattice), lattice.shape)
        score = (float(len(kept)), *key[1:])
        if best is None or score < best[0]:
            best = (score, lattice, kept)
    assert best is not None
    _, lattice, kept = best
    return in_columns(page, lattice, kept, inks[lattice.turn])


def lay_on(drawing: Drawing, page: Page, lattice: Lattice) -> PageLayout:
    """Lay a drawing on those of the pages given that its ink needs.

    Raises:
        TilingError: nothing is drawn, or a coordinate is not a finite number.
    """
    ink = ink_pieces(drawing.needed()).boxes(lattice.turn)
    kept = joined(met(ink, page, lattice), lattice.shape)
    layout = in_columns(page, lattice, spared(kept, ink, page, lattice), ink)
    return replace(layout, plain=len(layout.tiles))
