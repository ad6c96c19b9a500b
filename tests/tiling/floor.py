"""Pages on the floor as real sheets of paper; shapely is the reference."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from tiling.drawing import Drawing
from tiling.layout.grid import PageLayout
from tiling.paper import STRIP_LEFT

__all__ = ["groups_by_seams", "hidden", "ink", "outside", "sheets"]

NEAR = 1e-6  # mm
GRID = 1e-6  # mm


def ink(drawing: Drawing, layout: PageLayout) -> shapely.Geometry:
    """Everything drawn as one shapely geometry in grid coordinates, with the strokes' width."""
    shapes = []
    for path in drawing.paths:
        points = layout.to_grid.apply(path.points)
        run = np.concatenate((points, points[:1])) if path.closed else points
        # The vertices too: a line without length has no buffer.
        for shape in (shapely.LineString(run), shapely.MultiPoint(run)):
            shapes.append(shape.buffer(path.stroke.width / 2, quad_segs=4))
    for disc in drawing.discs:
        shapes.append(shapely.Point(layout.to_grid.at(disc.centre)).buffer(disc.radius))
    # On a grid: without one the overlay of two needles' edges has filled all that lies between them.
    return shapely.union_all(shapes, grid_size=GRID)


def sheets(layout: PageLayout) -> Iterator[shapely.Polygon]:
    """What each page covers of the floor once trimmed, in grid coordinates."""
    page = layout.page
    for tile in layout.tiles:
        x0, y0, x1, y1 = tile.window
        right, top = layout.trim_lines(tile)
        yield shapely.box(
            x0 - STRIP_LEFT - page.margin,
            y0 - page.strip_bottom - page.margin,
            x1 + page.margin if right is None else right,
            y1 + page.margin if top is None else top,
        )


def hidden(drawing: Drawing, layout: PageLayout) -> float:
    """Ink not seen on the uppermost sheet, mm2; the left lies over the right, the lower row over the upper."""
    everything = ink(drawing, layout)
    order = sorted(range(len(layout.tiles)), key=lambda i: (-layout.tiles[i].row, layout.tiles[i].column))
    papers = list(sheets(layout))
    above: shapely.Geometry = shapely.Polygon()
    seen = []
    for i in order:  # from the topmost sheet down
        bare = papers[i].difference(above)
        seen.append(bare.intersection(shapely.box(*layout.tiles[i].window)))
        above = above.union(papers[i])
    return float(shapely.difference(everything, shapely.union_all(seen).buffer(NEAR), grid_size=GRID).area)


def outside(drawing: Drawing, layout: PageLayout) -> float:
    """How much ink lies in no page's visible part, mm2."""
    seen = shapely.union_all([shapely.box(*layout.visible(tile)) for tile in layout.tiles])
    return float(ink(drawing, layout).difference(seen.buffer(NEAR)).area)


def groups_by_seams(layout: PageLayout) -> int:
    """Into how many groups the pages fall that only seams with two marks hold together."""
    groups = [{i} for i in range(len(layout.tiles))]
    for seam in layout.seams:
        over, under = (next(group for group in groups if i in group) for i in (seam.over, seam.under))
        if over is not under:
            groups.remove(under)
            over |= under
    return len(groups)
