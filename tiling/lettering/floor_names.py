"""Names of pages to be read from above, when the pages lie on the floor to be taped.

Outlined letters, without grey, so that a copier keeps them and nobody takes them for a line of the pattern; as
large as finds a clear place in what is seen of the page when all are taped.  The pattern's name stands below.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from tiling.drawing import XY, Drawing, FloatArray
from tiling.layout.coverage import InkBoxes, ink_boxes
from tiling.layout.page_layout import PageLayout
from tiling.layout.raster import Raster
from tiling.lettering.free_space import CALM, SEEN, cell_size, ground_of, ink_raster
from tiling.lettering.label_placement import Words
from tiling.paper import Box
from tiling.text.lines import elided
from tiling.text.typeface import LINE_PITCH, text_width

__all__ = ["BELOW", "OUTLINE", "FloorName", "floor_names"]

# Heights of a capital, mm.  A two-hundredth of the distance is read with ease (common practice, no source): 7 mm
# from 1.4 m.
HEIGHTS = (20.0, 14.0, 10.0, 7.0)  # members of the ISO 3098 series
LEAST = 5.0  # where the name must be there: a page that is trimmed all round has no other
BELOW = 3.5  # height of a capital of the pattern's name, mm
ROOMS = (90.0, 36.0)  # mm for the pattern's name: whole where it can be, else shortened
OUTLINE = 0.35  # mm; breadth of the outline
AROUND = 2.0  # mm kept clear of everything else
CELL = 3.0  # mm; ink is looked for in cells of this size, which costs little
STEP = 3.0  # mm from one place that is tried to the next
PIECE = 4.0  # mm; leaders are cut into pieces of this length


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorName:
    """The name of one page.

    Attributes:
        tile: its index.
        text, at, height: the page's name, the left end of its base line in the grid, the height of a capital, mm.
        below, below_at: the pattern's name and the left end of its base line.
        box: everything, mm.
    """

    tile: int
    text: str
    at: XY
    height: float
    below: str
    below_at: XY
    box: Box


def floor_names(
    drawing: Drawing, layout: PageLayout, words: Sequence[Words], *, label: str
) -> tuple[FloorName, ...]:
    """A name for every page that finds a clear place for it; for all pages where they are trimmed all round.

    A pattern of one page needs none.
    """
    if len(layout.tiles) < 2:
        return ()
    ground = ground_of(layout)
    cell = max(CELL, cell_size(ground))
    drawn = ink_boxes(drawing, piece=cell, place=layout.to_grid)
    ink = ink_raster(_with_words(drawn, words), ground, cell=cell)
    below = tuple(dict.fromkeys(elided(label, room, BELOW) for room in ROOMS))
    found = []
    for index, tile in enumerate(layout.tiles):
        boxes = (ground.holds[CALM, index], ground.holds[SEEN, index])
        place = _clear_place(tile.name, below, boxes[0], ink)
        if place is None and layout.page.butt:
            place = _least_crossed(tile.name, below[-1], boxes[1], ink)
        if place is not None:
            found.append(_named(index, tile.name, *place))
    return tuple(found)


def _with_words(drawn: InkBoxes, words: Sequence[Words]) -> InkBoxes:
    """The ink of the drawing, its words and their leaders."""
    low = [drawn.low, *(np.array([each.box[:2]]) for each in words)]
    high = [drawn.high, *(np.array([each.box[2:]]) for each in words)]
    for each in words:
        if each.leader is not None:
            start, end = np.array(each.leader)
            count = int(np.hypot(*(end - start)) / PIECE) + 2
            stops = start + np.linspace(0.0, 1.0, count)[:, None] * (end - start)
            low.append(np.minimum(stops[:-1], stops[1:]))
            high.append(np.maximum(stops[:-1], stops[1:]))
    return InkBoxes(low=np.concatenate(low), high=np.concatenate(high))


def _size(name: str, below: str, height: float) -> tuple[float, float]:
    """Breadth and height of both names, mm."""
    return max(text_width(name, height), text_width(below, BELOW)), height + LINE_PITCH * BELOW + 1.0


def _places(box: FloatArray, size: tuple[float, float]) -> tuple[FloatArray, FloatArray]:
    """Lower left corners in the box, (n, 2), and how far each stands from its middle, (n,)."""
    low, high = box[:2] + AROUND, box[2:] - AROUND - size
    if (high < low).any():
        return np.zeros((0, 2)), np.zeros(0)
    x, y = (np.linspace(a, b, int((b - a) / STEP) + 1) for a, b in zip(low, high, strict=True))
    places = np.column_stack([np.tile(x, len(y)), np.repeat(y, len(x))])
    return places, np.hypot(*(places - 0.5 * (low + high)).T)


def _clear_place(
    name: str, belows: Sequence[str], box: FloatArray, ink: Raster
) -> tuple[str, XY, float] | None:
    """The largest height that finds a clear place, with as much of the pattern's name as has room there.

    Of the clear places it is the one nearest to the middle.

    Returns:
        That much of the pattern's name, the place's lower left corner, the height.
    """
    for height, below in product(HEIGHTS, belows):
        size = _size(name, below, height)
        places, off = _places(box, size)
        if not len(places):
            continue
        clear = np.flatnonzero(ink.under(places - AROUND, places + size + AROUND) == 0)
        if len(clear):
            x, y = places[clear[off[clear].argmin()]].tolist()
            return below, (x, y), height
    return None


def _least_crossed(name: str, below: str, box: FloatArray, ink: Raster) -> tuple[str, XY, float]:
    size = _size(name, below, LEAST)
    places, off = _places(box, size)
    x, y = places[np.lexsort((off, ink.under(places, places + size)))[0]].tolist()
    return below, (x, y), LEAST


def _named(index: int, name: str, below: str, corner: XY, height: float) -> FloorName:
    x, y = corner
    wide, tall = _size(name, below, height)
    return FloorName(
        tile=index,
        text=name,
        at=(x, y + tall - height),
        height=height,
        below=below,
        below_at=(x, y + 1.0),
        box=(x, y, x + wide, y + tall),
    )
