"""Where the trim lines between rows of pages lie: at even steps, or closer where rows need fewer pages so.

A row may reach farther under the one below it than the overlap, so that what rows there are need not lie at the
same step: where a drawing is not as high as its rows together, each trim line has play of its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from tiling.drawing import FloatArray
from tiling.layout.coverage import InkBoxes
from tiling.layout.offset_search import Bitmap
from tiling.layout.page_selection import CLEAR
from tiling.paper import Page

__all__ = ["LEAST_RISE", "best_levels", "even_lines", "paper_beside", "row_pages", "uneven_lines"]

LEAST_RISE = (
    0.75  # of the usual step from row to row; so much is left between two others to join a row's pages on
)
NEVER = 1 << 20  # pages
AROUND = 3  # squares; an offset is better where offsets near it are good too
APART = 4  # squares between two sets of lines that are looked at

IntArray = NDArray[np.intp]


def paper_beside(page: Page) -> float:
    """How far windows of two runs must be apart for their papers not to meet, mm."""
    return page.window[0] + page.width - page.window[2]


def row_pages(bitmap: Bitmap, page: Page) -> IntArray:
    """How many pages a row needs that begins at each square from the foot of the map up, as far as the map tells;
    shape (rows, squares of a step)."""
    (wide, tall), (_, rows), rim = bitmap.per.tolist(), bitmap.cells.tolist(), bitmap.rim
    lanes, most = bitmap.bands.shape
    reach = most + 2 * wide + 2 * rim + 1
    inked = np.flatnonzero(bitmap.bands)
    inked = np.append(
        inked // most * reach + inked % most, lanes * reach
    )  # lane by lane, with room after each
    apart = int(np.ceil((2.0 * CLEAR + paper_beside(page)) / float(bitmap.square[0])))
    starts = reach * np.arange(lanes)
    count = np.zeros(lanes, dtype=np.intp)
    end = np.full(lanes, -apart, dtype=np.intp)  # what the pages so far cover
    while True:
        ahead = inked[np.searchsorted(inked, starts + np.maximum(end, 0))] - starts
        live = ahead < most
        if not live.any():
            break
        count += live
        end = np.where(live, np.where(ahead < end + apart, end + wide, ahead + wide + 2 * rim), end)
    return count.reshape(rows, tall)


def best_levels(pages: IntArray, most: int, *, fewer_than: int) -> list[int]:
    """Offsets with the fewest pages, of equals first those with few around them; the last is beside the first."""
    around = np.sum([np.roll(pages, by) for by in range(-AROUND, AROUND + 1)], axis=0)
    ranked = np.lexsort((around, pages))[:most].tolist()
    return [i for i in ranked if pages[i] < fewer_than]


def even_lines(ink: InkBoxes, page: Page, level: float) -> FloatArray:
    """The trim lines between rows at even steps, one of them at that level, from the lowest up, mm."""
    step = page.step[1]
    reach = 0.5 * page.overlap - CLEAR
    bottom = int(np.floor((float(ink.low[:, 1].min()) + reach - level) / step))
    top = int(np.ceil((float(ink.high[:, 1].max()) - reach - level) / step)) - 1
    return np.asarray(level + step * np.arange(bottom + 1, top + 1), dtype=float)


def uneven_lines(
    bitmap: Bitmap, pages: IntArray, most: int, *, fewer_than: int
) -> Iterator[tuple[int, list[int], FloatArray]]:
    """Sets of trim lines at any steps, the fewest pages first: how many pages they need as far as the map tells,
    the lines' squares on the map, and the lines, mm.

    Args:
        pages: as `row_pages` gives them.
        most: so many sets at most.
        fewer_than: as many pages, or more, are of no use.
    """
    tall = int(bitmap.per[1])
    cost = pages.ravel()
    start = (
        tall + bitmap.rim
    )  # the ink begins a step above the foot of the map; a window reaches a little farther
    height = int(np.floor((bitmap.high - bitmap.low[1]) / bitmap.square[1])) + 1 - bitmap.rim
    rows = max(int(np.ceil((height - start) / tall)), 1)
    least = int(np.ceil(LEAST_RISE * tall))
    if rows <= 2 or fewer_than <= rows:  # one line may lie anywhere as it is; each row needs a page
        return
    steps = _Steps(cost, tall, least, height)
    left = steps.from_each(rows)
    first = left[-1][: start + 1].copy()
    for _ in range(most):
        at = len(first) - 1 - int(first[::-1].argmin())
        if first[at] >= fewer_than:
            return
        squares = steps.path(at, left)[1:-1]
        yield int(first[at]), squares, bitmap.low[1] + bitmap.square[1] * np.array(squares)
        first[max(at - APART, 0) : at + APART + 1] = NEVER


class _Steps:
    """From trim line to trim line, in squares of the map.

    What two rows both show may be left to either, so a row needs what the whole row does that begins at its lower
    line, or that ends at its upper one, whichever is less.
    """

    def __init__(self, cost: IntArray, tall: int, least: int, height: int) -> None:
        self._tall, self._height = tall, height
        self._rises = np.arange(tall, least - 1, -1)
        lanes = np.arange(len(cost))
        below = lanes[:, None] + self._rises - tall
        padded = np.concatenate([cost, np.full(tall, NEVER)])
        ends_there = np.where(below < 0, NEVER, padded[np.maximum(below, 0)])
        self._cost = np.minimum(cost[:, None], ends_there)  # shape (lines, rises)
        self._next = np.minimum(lanes[:, None] + self._rises, len(cost) - 1)

    def from_each(self, rows: int) -> list[IntArray]:
        """How many pages 0, 1, 2 ... rows need that go on from each line to the top of the ink."""
        done = np.where(np.arange(len(self._next)) >= self._height, 0, NEVER)
        left = [done.astype(np.intp)]
        for _ in range(rows):
            left.append((self._cost + left[-1][self._next]).min(axis=1))
        return left

    def path(self, at: int, left: Sequence[IntArray]) -> list[int]:
        """The lines of the rows that need the fewest pages from there on; each step as long as it may be."""
        found = [at]
        for after in left[-2::-1]:
            at = int(self._next[at, (self._cost[at] + after[self._next[at]]).argmin()])
            found.append(at)
        return found
