"""Kept pages with their names, the seams between them, and the two match marks of each seam."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from tiling.drawing import FloatArray
from tiling.drawing.affine import Affine
from tiling.layout.coverage import InkBoxes
from tiling.layout.grid import PageLayout, Seam, Tile
from tiling.paper import LEAST_SEAM, MARK_RADIUS, Page

__all__ = ["Place", "built", "least_edge"]

Place = tuple[int, int]
"""Row from the bottom, column from the left."""

FINEST = 9  # decimals of a mm; beyond is noise, which would part what stands on one level
MARK_SEARCH = 2.0  # mm; the step by which a mark gives way to a stroke
MARK_GAP = 1.0  # mm between the room of a mark and a stroke


def least_edge(page: Page) -> float:
    """The shortest stretch that two windows share on which two marks hold a page straight, mm."""
    return 2.0 * page.mark_inset + LEAST_SEAM


def built(
    page: Page,
    turn: Affine,
    feet: Sequence[float],
    pages: Mapping[Place, float],
    ink: InkBoxes,
    *,
    choice: str,
) -> PageLayout:
    """The layout of the pages given.

    Args:
        turn: of the drawing about its origin.
        feet: lower edge of the windows of each row, from row 0 up, in the turned drawing.
        pages: each page's left edge of its window, in the turned drawing.
        ink: of the turned drawing.
        choice: as `Layout.choice`.
    """
    x0, y0, x1, y1 = page.window
    wide, tall = x1 - x0, y1 - y0
    bottom, top = min(row for row, _ in pages), max(row for row, _ in pages)
    first = min(column for _, column in pages)
    origin_x, origin_y = min(pages.values()), feet[bottom]
    tiles = []
    for row, column in sorted(pages, key=lambda place: (-place[0], place[1])):
        x, y = pages[row, column] - origin_x, round(feet[row] - origin_y, FINEST)
        tiles.append(Tile(row=top - row, column=column - first, window=(x, y, x + wide, y + tall)))
    bare = PageLayout(
        page=page,
        to_grid=turn.then(Affine.shift(-origin_x, -origin_y)),
        rows=top - bottom + 1,
        columns=max(column for _, column in pages) - first + 1,
        tiles=tuple(tiles),
        seams=(),
        choice=choice,
    )
    return replace(bare, seams=tuple(_seams(bare, ink.moved(-origin_x, -origin_y))))


def _seams(layout: PageLayout, ink: InkBoxes) -> Iterable[Seam]:
    page = layout.page
    marks = _Marks(page, ink)
    half = 0.5 * page.overlap
    index = {tile: i for i, tile in enumerate(layout.tiles)}
    for i, tile in enumerate(layout.tiles):
        x0, y0, x1, y1 = tile.window
        right = layout.neighbour(tile, "right")
        if right is not None:
            x = x1 - half
            low, high, gives = marks.places(0, x, *_alone(layout, tile))
            yield Seam(
                over=i, under=index[right], side="right", line=((x, y0), (x, y1)),
                marks=((x, low), (x, high)), gives=gives,
            )  # fmt: skip
        y = y1 - half
        for above in layout.touching(tile, "above"):
            start, end = max(x0, above.window[0]), min(x1, above.window[2])
            if end - start >= least_edge(page) - 1e-9:
                low, high, gives = marks.places(1, y, start, end)
                yield Seam(
                    over=i, under=index[above], side="above", line=((start, y), (end, y)),
                    marks=((low, y), (high, y)), gives=gives,
                )  # fmt: skip


def _alone(layout: PageLayout, tile: Tile) -> tuple[float, float]:
    """From where up to where marks may stand between a page and the one on its right, where no other row lies over
    both by more than the overlap."""
    _, y0, _, y1 = tile.window
    overlap = layout.page.overlap
    right = layout.neighbour(tile, "right")
    both = (tile, right) if right is not None else (tile,)
    tops = [below.window[3] for each in both for below in layout.touching(each, "below")]
    feet = [above.window[1] for each in both for above in layout.touching(each, "above")]
    return max([y0, *(top - overlap for top in tops)]), min([y1, *(foot + overlap for foot in feet)])


class _Marks:
    """Places for match marks: near the ends of a seam, off its corners, and off the strokes if they can be."""

    def __init__(self, page: Page, ink: InkBoxes) -> None:
        self._inset = page.mark_inset
        self._ink = ink
        self._bands: dict[tuple[int, float], tuple[FloatArray, FloatArray]] = {}

    def _blocked(self, axis: int, line: float) -> tuple[FloatArray, FloatArray]:
        """Stretches of a trim line where a mark's room would meet a stroke; ``axis`` 0: the line is upright."""
        key = (axis, line)
        if key not in self._bands:
            room = MARK_RADIUS + MARK_GAP
            low, high = self._ink.low, self._ink.high
            met = (low[:, axis] < line + room) & (high[:, axis] > line - room)
            self._bands[key] = low[met, 1 - axis] - room, high[met, 1 - axis] + room
        return self._bands[key]

    def places(
        self, axis: int, line: float, start: float, end: float
    ) -> tuple[float, float, tuple[int, int]]:
        """The lower and the upper mark along one seam, and by how many steps each gives way to strokes.

        A mark gives way to strokes by no more than a third of the seam, nor so far that both stand nearer than
        `LEAST_SEAM`: two marks that are near each other do not hold the page straight.
        """
        blocked = self._blocked(axis, line)
        low, high = start + self._inset, end - self._inset
        reach = max(min((high - low) / 3.0, 0.5 * (high - low - LEAST_SEAM)), 0.0)
        gives = self._gives(low, reach, 1.0, blocked), self._gives(high, reach, -1.0, blocked)
        return low + MARK_SEARCH * gives[0], high - MARK_SEARCH * gives[1], gives

    @staticmethod
    def _gives(start: float, reach: float, way: float, blocked: tuple[FloatArray, FloatArray]) -> int:
        """Steps to the nearest place from ``start`` that is not blocked; none where there is none in reach."""
        low, high = blocked
        if not ((low < start) & (high > start)).any():
            return 0
        places = start + way * np.arange(0.0, max(reach, MARK_SEARCH), MARK_SEARCH)
        met = ((places[:, None] > low) & (places[:, None] < high)).any(axis=1)
        return int(np.argmin(met))  # the first that is not met, or the very first
