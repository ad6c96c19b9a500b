"""Places that may lie anywhere on a line, moved along it to the pages that are printed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from tiling.drawing import XY, Drawing, FloatArray, Slide
from tiling.drawing.affine import Affine
from tiling.layout.grid import PageLayout
from tiling.paper import TARGET_RADIUS, Box

__all__ = ["slid", "slid_into"]

CLEAR = TARGET_RADIUS + 3.0  # mm between such a place and the edge of what is seen of its page
APART = 200.0  # mm; two places on one line had better be so far apart, if they were
LEAST = 1e-6  # mm; a place that moves by less stays


def slid(drawing: Drawing, layout: PageLayout) -> Drawing:
    """The drawing with every place that may be moved on a page: where it was, or as near to that as a page is.

    Discs and words that stand there move with it, and the distances that end there.
    """
    return slid_into(drawing, [layout.visible(tile) for tile in layout.tiles], layout.to_grid)


def slid_into(drawing: Drawing, boxes: Sequence[Box], to_grid: Affine = Affine()) -> Drawing:  # noqa: B008
    """The same with boxes for pages.

    Args:
        boxes: in coordinates to which ``to_grid`` leads from the drawing's.
    """
    if not drawing.slides:
        return drawing
    moves = {slide.at: _nearest(slide, boxes, to_grid) for slide in drawing.slides}
    if len(moves) == 2:
        moves = _parted(moves, boxes, to_grid)

    def to(place: XY) -> XY:
        return moves.get(place, place)

    return replace(
        drawing,
        discs=tuple(replace(disc, centre=to(disc.centre)) for disc in drawing.discs),
        notes=tuple(replace(note, target=to(note.target)) for note in drawing.notes),
        distances=tuple(replace(each, start=to(each.start), end=to(each.end)) for each in drawing.distances),
        slides=tuple(replace(slide, at=to(slide.at)) for slide in drawing.slides),
    )


def _nearest(slide: Slide, boxes: Sequence[Box], to_grid: Affine) -> XY:
    """The place on the line nearest to where it was that lies in a box; where it was, if none does."""
    start = np.array(to_grid.at(slide.at))
    along = np.array(to_grid.direction(slide.along))
    along = along / np.hypot(*along)
    ways = [min(max(0.0, low), high) for low, high in _stretches(start, along, boxes)]
    way = min(ways, key=lambda way: (abs(way), way), default=0.0)
    if abs(way) < LEAST:
        return slide.at
    x, y = (start + way * along).tolist()
    return to_grid.inverse().at((x, y))


def _parted(moves: dict[XY, XY], boxes: Sequence[Box], to_grid: Affine) -> dict[XY, XY]:
    """Two places that came near to each other moved apart, as far as their boxes let them: the second first."""
    places = list(moves)
    ends = [np.array(to_grid.at(moves[place])) for place in places]
    way = ends[1] - ends[0]
    gap = float(np.hypot(*way))
    least = min(APART, float(np.hypot(*np.subtract(places[1], places[0]))))
    if gap < LEAST or gap >= least:
        return moves
    found = dict(moves)
    for place, end, along in ((places[1], ends[1], way / gap), (places[0], ends[0], -way / gap)):
        more = max((high for low, high in _stretches(end, along, boxes) if low <= LEAST <= high), default=0.0)
        more = min(more, least - gap)
        if more > LEAST:
            x, y = (end + more * along).tolist()
            found[place] = to_grid.inverse().at((x, y))
            gap += more
    return found


def _stretches(start: FloatArray, along: FloatArray, boxes: Sequence[Box]) -> Iterator[tuple[float, float]]:
    """From and to where the line runs in each box, clear of its edges, mm from the start."""
    steep = np.where(np.abs(along) < 1e-12, 1e-12, along)
    for sides in boxes:
        box = np.array(sides)
        first, second = (box[:2] + CLEAR - start) / steep, (box[2:] - CLEAR - start) / steep
        low, high = float(np.minimum(first, second).max()), float(np.maximum(first, second).min())
        if low <= high:
            yield low, high
