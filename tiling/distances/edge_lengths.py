"""The lengths of a taped pattern's edges: one along its rows of pages, one up its columns.

A printer is off along one side of the paper more than along the other, and so is a crooked seam; distances that run
aslant over the pattern mix the two up.  Their targets stand near the corners of the pattern, on clear paper.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from tiling.drawing import XY, Distance, Drawing
from tiling.drawing.tolerance import steady
from tiling.layout.coverage import ink_boxes
from tiling.layout.grid import PageLayout, Tile
from tiling.layout.raster import Raster
from tiling.lettering.free_space import cell_size, ground_of, ink_raster
from tiling.paper import TARGET_RADIUS

__all__ = ["edge_distances"]

LEAST = 250.0  # mm; a shorter edge proves little that the rulers do not
ALIKE = math.radians(10.0)  # a known distance that runs so nearly along an edge, and is
ENOUGH = 0.7  # of its length, does instead
INSET = 8.0  # mm from the edge of what is seen of a page to a target
REACH = 70.0  # mm; a target gives way to strokes by so much
CELL = 3.0  # mm; ink is looked for in cells of this size, which costs little
STEP = 4.0  # mm
CLEAR = TARGET_RADIUS + 2.0  # mm kept clear round a target


def edge_distances(drawing: Drawing, layout: PageLayout, known: Sequence[Distance]) -> tuple[Distance, ...]:
    """The longest edge along the rows and the longest up the columns, in the drawing's coordinates.

    None where the pattern has too few pages that way, where a known distance does, or where no place is clear.
    """
    if len(layout.tiles) < 2:
        return ()
    ground = ground_of(layout)
    cell = max(CELL, cell_size(ground))
    ink = ink_raster(ink_boxes(drawing, piece=cell, place=layout.to_grid), ground, cell=cell)
    back = layout.to_grid.inverse()
    found = []
    for name, pairs, way in (
        ("along the rows", _row_ends(layout), (1.0, 0.0)),
        ("up the columns", _column_ends(layout), (0.0, 1.0)),
    ):
        for first, last in pairs:
            start, end = _clear_place(layout, first, way, ink), _clear_place(layout, last, _back(way), ink)
            if start is None or end is None or math.dist(start, end) < LEAST:
                continue
            edge = Distance(name=name, start=back.at(start), end=back.at(end))
            if not any(_does_for(distance, edge) for distance in known):
                found.append(edge)
            break
    return tuple(found)


def _back(way: XY) -> XY:
    return -way[0], -way[1]


def _row_ends(layout: PageLayout) -> list[tuple[Tile, Tile]]:
    """The first and the last page of each row, the longest row first, of equals the lowest."""
    rows: dict[int, list[Tile]] = {}
    for tile in layout.tiles:
        rows.setdefault(tile.row, []).append(tile)
    ends = [(row[0], row[-1]) for row in rows.values() if len(row) > 1]
    return sorted(ends, key=lambda pair: (int(steady(pair[0].window[0] - pair[1].window[0])), -pair[0].row))


def _column_ends(layout: PageLayout) -> list[tuple[Tile, Tile]]:
    """The lowest and the highest page of each column, the highest column first, of equals the leftmost.

    Where rows are shifted a column is what stands within half a page's breadth.
    """
    step = layout.page.step[0]
    columns: dict[int, list[Tile]] = {}
    for tile in layout.tiles:
        columns.setdefault(round(tile.window[0] / step), []).append(tile)
    ends = [(column[-1], column[0]) for column in columns.values() if len(column) > 1]
    return sorted(
        ends,
        key=lambda pair: tuple(
            steady(np.array([pair[0].window[1] - pair[1].window[1], pair[0].window[0]])).tolist()
        ),
    )


def _clear_place(layout: PageLayout, tile: Tile, way: XY, ink: Raster) -> XY | None:
    """A clear place on that page, next to its corner: to the left for a way to the right, below for one up."""
    x0, y0, x1, y1 = layout.visible(tile)
    offs = np.arange(0.0, REACH + 0.1, STEP)
    # along the edge from the corner first, then into the page
    aside, along = (each.ravel() for each in np.meshgrid(offs, offs, indexing="ij"))
    if way[0]:
        x = x0 + INSET + along if way[0] > 0.0 else x1 - INSET - along
        y = y0 + INSET + aside
    else:
        x = x0 + INSET + aside
        y = y0 + INSET + along if way[1] > 0.0 else y1 - INSET - along
    places = np.column_stack([x, y])
    inside = (x > x0 + CLEAR) & (x < x1 - CLEAR) & (y > y0 + CLEAR) & (y < y1 - CLEAR)
    clear = np.flatnonzero(inside & (ink.under(places - CLEAR, places + CLEAR) == 0))
    if not len(clear):
        return None
    best = clear[np.argmin((along + aside)[clear])]
    return float(x[best]), float(y[best])


def _does_for(known: Distance, edge: Distance) -> bool:
    """The known distance runs nearly along the edge and is nearly as long."""
    a, b = np.subtract(known.end, known.start), np.subtract(edge.end, edge.start)
    across = abs(float(a[0] * b[1] - a[1] * b[0])) / max(known.length * edge.length, 1e-9)
    return across < math.sin(ALIKE) and known.length >= ENOUGH * edge.length
