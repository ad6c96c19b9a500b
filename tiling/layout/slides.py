"""Places that may lie anywhere on a line, moved along it to the pages that are printed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from tiling.drawing import XY, Drawing, Slide
from tiling.layout.grid import PageLayout
from tiling.paper import TARGET_RADIUS

__all__ = ["slid"]

CLEAR = TARGET_RADIUS + 3.0  # mm between such a place and the edge of what is seen of its page
LEAST = 1e-6  # mm; a place that moves by less stays


def slid(drawing: Drawing, layout: PageLayout) -> Drawing:
    """The drawing with every place that may be moved on a page: where it was, or as near to that as a page is.

    Discs and words that stand there move with it, and the distances that end there.
    """
    moves = {slide.at: _nearest(slide, layout) for slide in drawing.slides}
    if not moves:
        return drawing

    def to(place: XY) -> XY:
        return moves.get(place, place)

    return replace(
        drawing,
        discs=tuple(replace(disc, centre=to(disc.centre)) for disc in drawing.discs),
        notes=tuple(replace(note, target=to(note.target)) for note in drawing.notes),
        distances=tuple(replace(each, start=to(each.start), end=to(each.end)) for each in drawing.distances),
        slides=tuple(replace(slide, at=to(slide.at)) for slide in drawing.slides),
    )


def _nearest(slide: Slide, layout: PageLayout) -> XY:
    """The place on the line nearest to where it was that is seen on a page; where it was, if none is."""
    start = np.array(layout.to_grid.at(slide.at))
    along = np.array(layout.to_grid.direction(slide.along))
    along = along / np.hypot(*along)
    ways = [min(max(0.0, low), high) for low, high in _stretches(start, along, layout)]
    way = min(ways, key=lambda way: (abs(way), way), default=0.0)
    if abs(way) < LEAST:
        return slide.at
    return layout.to_grid.inverse().at(tuple((start + way * along).tolist()))


def _stretches(start: np.ndarray, along: np.ndarray, layout: PageLayout) -> Iterator[tuple[float, float]]:
    """From and to where the line runs on each page, clear of its edges, mm from the start."""
    steep = np.where(np.abs(along) < 1e-12, 1e-12, along)
    for tile in layout.tiles:
        box = np.array(layout.visible(tile))
        first, second = (box[:2] + CLEAR - start) / steep, (box[2:] - CLEAR - start) / steep
        low, high = float(np.minimum(first, second).max()), float(np.maximum(first, second).min())
        if low <= high:
            yield low, high
