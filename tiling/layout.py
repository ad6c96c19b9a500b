"""Which pages carry a drawing, how it lies on them, and where they join.

The plane is parted into cells along the trim lines; a page's window is its cell and half the overlap
all round.  A page is kept where ink meets its cell (a cell at the edge of the grid reaches as far as its
window does), so every stroke lies in the window of a kept page.
"""

from __future__ import annotations

from tiling.coverage import InkBoxes, ink_pieces
from tiling.drawing import Drawing
from tiling.grid import Layout, Seam, Side, Tile, row_letters
from tiling.kept import Lattice, joined, met
from tiling.paper import Page
from tiling.plain import Rank, plain_lattices
from tiling.seams import Place, built

__all__ = ["Layout", "Seam", "Side", "Tile", "lay_out", "row_letters"]


def lay_out(drawing: Drawing, page: Page) -> Layout:
    """Lay a drawing on the fewest pages found.

    Tried are the drawing as it is and turned by 90 degrees, each with the same number of shifts, so that
    equal input gives equal pages.  Of layouts with equally many pages, one that is not turned is taken
    first, then the one with least ink near the trim lines, then the one nearest to the middle.

    Raises:
        TilingError: nothing is drawn, or a coordinate is not a finite number.
    """
    pieces = ink_pieces(drawing)
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


def _in_columns(page: Page, lattice: Lattice, kept: set[Place], ink: InkBoxes) -> Layout:
    half = 0.5 * page.overlap
    left, foot = lattice.origin[0] - half, lattice.origin[1] - half
    pages = {(row, column): left + column * page.step[0] for row, column in kept}
    return built(page, lattice.turn, foot, pages, ink)
