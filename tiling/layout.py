"""Which pages carry a drawing, how it lies on them, and where they join.

The plane is parted into cells along the trim lines; a page's window is its cell and half the overlap
all round.  A page is kept where ink meets its cell (a cell at the edge of the grid reaches as far as its
window does), so every stroke lies in the window of a kept page.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tiling.affine import Affine
from tiling.coverage import InkBoxes, counts_in_cells, ink_boxes
from tiling.drawing import XY, Drawing, FloatArray
from tiling.grid import Layout, Seam, Side, Tile, row_letters
from tiling.paper import MARK_RADIUS, Page

__all__ = ["Layout", "Seam", "Side", "Tile", "lay_out", "row_letters"]

Place = tuple[int, int]
"""Row from the bottom, column from the left."""
Rank = tuple[float, float, float, float, float]

CLEAR = 3.0  # mm; ink keeps this far from the outer edge of a window
RASTER = 4.0  # mm; the search counts ink in squares of this size, or of
SQUARES = 1_000_000  # this share of a very large drawing
SHIFTS = 8  # shifts tried along each axis while the grid is smallest, and as many with one page more
LINKED = 20  # shifts of each turn that are looked at closely
MARK_SEARCH = 2.0  # mm; the step by which a mark gives way to a stroke
MARK_GAP = 1.0  # mm between the room of a mark and a stroke


@dataclass(frozen=True, slots=True, kw_only=True)
class _Candidate:
    """One way to lay the drawing: its turn, and where the first cells begin in the turned drawing."""

    turned: bool
    origin: XY
    shape: tuple[int, int]


def lay_out(drawing: Drawing, page: Page) -> Layout:
    """Lay a drawing on the fewest pages found.

    Tried are the drawing as it is and turned by 90 degrees, each with the same number of shifts, so that
    equal input gives equal pages.  Of layouts with equally many pages, one that is not turned is taken
    first, then the one with least ink near the trim lines, then the one nearest to the middle.

    Raises:
        TilingError: nothing is drawn, or a coordinate is not a finite number.
    """
    upright = ink_boxes(drawing)
    boxes = {False: upright, True: upright.quarter_turned()}
    raster = _Raster(upright)
    ranked = _candidates(raster, page, turned=False) + _candidates(raster, page, turned=True)
    ranked.sort(key=lambda pair: pair[0])
    best: tuple[Rank, _Candidate, set[Place]] | None = None
    for key, candidate in ranked:
        if best is not None and key[0] >= best[0][0]:
            break
        kept = _joined(_kept(boxes[candidate.turned], page, candidate), candidate.shape)
        score = (float(len(kept)), *key[1:])
        if best is None or score < best[0]:
            best = (score, candidate, kept)
    assert best is not None
    _, candidate, kept = best
    return _built(page, candidate, kept, boxes[candidate.turned])


# ---------------------------------------------------------------------------------------- the search


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Axis:
    """The shifts that are tried along one axis.

    Attributes:
        origins: shape (k,): where the first cell begins.
        edges: shape (k, n + 1): the trim lines, with the ends of the ink for the outermost.
        counts: shape (k,): how many cells the ink needs.
        off_middle: shape (k,): how far the ink stands from the middle of its windows, mm.
    """

    origins: FloatArray
    edges: FloatArray
    counts: NDArray[np.intp]
    off_middle: FloatArray


def _axis(low: float, high: float, step: float, overlap: float) -> _Axis:
    span = high - low + 2.0 * CLEAR - overlap  # the outermost cells reach half the overlap farther
    least = max(1, int(np.ceil(span / step - 1e-9)))
    slack = least * step - span
    share = np.linspace(0.0, 1.0, SHIFTS + 1)
    snug, wide = share * slack, slack + share[1:] * (step - slack)
    wide = wide[wide > slack + 1e-9]
    shift = np.concatenate((snug, wide))
    counts = np.repeat([least, least + 1], [len(snug), len(wide)])
    origins = low - CLEAR + 0.5 * overlap - shift
    edges = origins[:, None] + step * np.arange(least + 2)
    edges[:, 0] = low
    edges[np.arange(least + 2)[None, :] >= counts[:, None]] = high
    off_middle = np.abs(shift - 0.5 * (counts * step - span))
    return _Axis(origins=origins, edges=np.clip(edges, low, high), counts=counts, off_middle=off_middle)


class _Raster:
    """Ink counted in squares; ``table[i, j]`` sums the squares below row ``i`` and left of column ``j``."""

    def __init__(self, ink: InkBoxes) -> None:
        self.low, self.high = ink.low.min(axis=0), ink.high.max(axis=0)
        self.size = max(RASTER, float(np.sqrt(np.prod(self.high - self.low) / SQUARES)))
        first = ((ink.low - self.low) / self.size).astype(np.intp)[:, ::-1]
        last = ((ink.high - self.low) / self.size).astype(np.intp)[:, ::-1]
        rows, columns = (int(n) + 1 for n in last.max(axis=0))
        inked = counts_in_cells(first, last, (rows, columns)) > 0
        self.table = np.zeros((rows + 1, columns + 1), dtype=np.int32)
        inked.cumsum(axis=0, dtype=np.int32).cumsum(axis=1, dtype=np.int32, out=self.table[1:, 1:])

    def pages(self, up: FloatArray, across: FloatArray) -> NDArray[np.int32]:
        """How many cells have ink for each pair of shifts; shape (shifts up, shifts across)."""
        y0, y1 = _squares((up - self.low[1]) / self.size, self.table.shape[0] - 1)
        x0, x1 = _squares((across - self.low[0]) / self.size, self.table.shape[1] - 1)
        rows = self.table[y1.ravel()] - self.table[y0.ravel()]
        cells = rows[:, x1.ravel()] > rows[:, x0.ravel()]
        return np.asarray(cells.reshape(*y0.shape, *x0.shape).sum(axis=(1, 3), dtype=np.int32))

    def near(self, up: FloatArray, across: FloatArray, overlap: float) -> NDArray[np.int32]:
        """Ink within the overlap at the trim lines for each pair of shifts; shape as of ``pages``."""
        rows = _near(self.table[:, -1], (up - self.low[1]) / self.size, 0.5 * overlap / self.size)
        columns = _near(self.table[-1, :], (across - self.low[0]) / self.size, 0.5 * overlap / self.size)
        return np.asarray(rows[:, None] + columns[None, :])


def _candidates(raster: _Raster, page: Page, *, turned: bool) -> list[tuple[Rank, _Candidate]]:
    """The best shifts, each with its rank: pages met, turned, ink near trim lines, off the middle, number."""
    (low_x, low_y), (high_x, high_y) = raster.low, raster.high
    if turned:  # a point (x, y) goes to (-y, x)
        low_x, low_y, high_x, high_y = -high_y, low_x, -low_y, high_x
    across = _axis(low_x, high_x, page.step[0], page.overlap)
    up = _axis(low_y, high_y, page.step[1], page.overlap)
    if turned:  # count in the drawing as it is, cells of the page's columns from the top down
        edges = -across.edges[:, ::-1], up.edges
        pages, near = raster.pages(*edges).T, raster.near(*edges, page.overlap).T
    else:
        pages, near = raster.pages(up.edges, across.edges), raster.near(up.edges, across.edges, page.overlap)
    off = np.hypot(up.off_middle[:, None], across.off_middle[None, :])
    best = np.lexsort((off.ravel(), near.ravel(), pages.ravel()))[:LINKED]
    found = []
    for number in best:
        i, j = divmod(int(number), len(across.origins))
        candidate = _Candidate(
            turned=turned,
            origin=(float(across.origins[j]), float(up.origins[i])),
            shape=(int(up.counts[i]), int(across.counts[j])),
        )
        rank = (float(pages[i, j]), float(turned), float(near[i, j]), float(off[i, j]), float(number))
        found.append((rank, candidate))
    return found


def _squares(edges: FloatArray, most: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """First and past-the-last square of each cell; a square that a trim line cuts belongs to both.

    ``edges`` are in squares.
    """
    low = np.floor(edges[:, :-1]).astype(np.intp)
    high = np.ceil(edges[:, 1:]).astype(np.intp)
    high = np.where(edges[:, 1:] >= edges[:, -1:], most, high)
    empty = edges[:, 1:] <= edges[:, :-1]
    return low, np.where(empty, low, np.clip(high, 0, most))


def _near(along: NDArray[np.int32], edges: FloatArray, half: float) -> NDArray[np.int32]:
    """Ink within ``half`` of the inner trim lines of each shift; ``along`` is a running sum; in squares."""
    inner = edges[:, 1:-1]
    live = (inner > 0.0) & (inner < edges[:, -1:])
    most = len(along) - 1
    low = np.clip(np.floor(inner - half).astype(np.intp), 0, most)
    high = np.clip(np.ceil(inner + half).astype(np.intp), 0, most)
    return np.asarray(np.where(live, along[high] - along[low], 0).sum(axis=1), dtype=np.int32)


# ---------------------------------------------------------------------------- pages that are kept


def _kept(ink: InkBoxes, page: Page, candidate: _Candidate) -> set[Place]:
    """The cells that ink meets."""
    rows, columns = candidate.shape
    most = np.array([columns - 1, rows - 1])
    low = np.clip(np.floor((ink.low - candidate.origin) / page.step), 0, most).astype(np.intp)
    high = np.clip(np.floor((ink.high - candidate.origin) / page.step), 0, most).astype(np.intp)
    met = counts_in_cells(low[:, ::-1], high[:, ::-1], (rows, columns))
    return {(int(row), int(column)) for row, column in np.argwhere(met > 0)}


def _beside(place: Place) -> tuple[Place, ...]:
    row, column = place
    return (row - 1, column), (row, column - 1), (row, column + 1), (row + 1, column)


def _group(kept: set[Place], start: Place) -> set[Place]:
    """The kept places that hang together with ``start`` by whole edges."""
    group, edge = {start}, [start]
    while edge:
        edge = [near for place in edge for near in _beside(place) if near in kept and near not in group]
        edge = list(dict.fromkeys(edge))
        group.update(edge)
    return group


def _joined(kept: set[Place], shape: tuple[int, int]) -> set[Place]:
    """The kept places and the fewest found between them, so that all hang together by whole edges.

    One group after the other is reached from the first by a shortest path; a later path may make a page of
    an earlier one needless.
    """
    inked = frozenset(kept)
    kept = set(kept)
    group = _group(kept, min(kept))
    while len(group) < len(kept):
        came: dict[Place, Place | None] = dict.fromkeys(sorted(group))
        edge: list[Place] = list(came)
        found: Place | None = None
        while found is None:
            edge_after: list[Place] = []
            for place in edge:
                for near in _beside(place):
                    if near in came or not (0 <= near[0] < shape[0] and 0 <= near[1] < shape[1]):
                        continue
                    came[near] = place
                    edge_after.append(near)
            edge = edge_after
            found = next((place for place in edge if place in kept), None)
        step: Place | None = found
        while step is not None:
            kept.add(step)
            step = came[step]
        group = _group(kept, found)
    for place in sorted(kept - inked):
        without = kept - {place}
        if len(_group(without, min(without))) == len(without):
            kept = without
    return kept


# ------------------------------------------------------------------------------ tiles and seams


def _built(page: Page, candidate: _Candidate, kept: set[Place], ink: InkBoxes) -> Layout:
    step_x, step_y = page.step
    half = 0.5 * page.overlap
    bottom, left = min(row for row, _ in kept), min(column for _, column in kept)
    rows = max(row for row, _ in kept) - bottom + 1
    columns = max(column for _, column in kept) - left + 1
    origin_x = candidate.origin[0] + left * step_x - half
    origin_y = candidate.origin[1] + bottom * step_y - half
    turn = Affine.quarter_turn() if candidate.turned else Affine()
    tiles = []
    for row, column in sorted((bottom + rows - 1 - row, column - left) for row, column in kept):
        x0, y0 = column * step_x, (rows - 1 - row) * step_y
        window = (x0, y0, x0 + step_x + page.overlap, y0 + step_y + page.overlap)
        tiles.append(Tile(row=row, column=column, window=window))
    shifted = InkBoxes(low=ink.low - (origin_x, origin_y), high=ink.high - (origin_x, origin_y))
    return Layout(
        page=page,
        to_grid=turn.then(Affine.shift(-origin_x, -origin_y)),
        rows=rows,
        columns=columns,
        tiles=tuple(tiles),
        seams=tuple(_seams(page, tiles, shifted)),
    )


def _seams(page: Page, tiles: list[Tile], ink: InkBoxes) -> Iterable[Seam]:
    at = {(tile.row, tile.column): i for i, tile in enumerate(tiles)}
    marks = _Marks(page, ink)
    half = 0.5 * page.overlap
    for i, tile in enumerate(tiles):
        x0, y0, x1, y1 = tile.window
        right = at.get((tile.row, tile.column + 1))
        if right is not None:
            x = x1 - half
            low, high = marks.places(0, x, y0, y1)
            yield Seam(
                over=i, under=right, side="right", line=((x, y0), (x, y1)), marks=((x, low), (x, high))
            )
        above = at.get((tile.row - 1, tile.column))
        if above is not None:
            y = y1 - half
            low, high = marks.places(1, y, x0, x1)
            yield Seam(
                over=i, under=above, side="above", line=((x0, y), (x1, y)), marks=((low, y), (high, y))
            )


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

    def places(self, axis: int, line: float, start: float, end: float) -> XY:
        """The lower and the upper mark along one seam.

        A mark gives way to strokes by no more than a third of the seam: two marks that are near each
        other do not hold the page straight.
        """
        blocked = self._blocked(axis, line)
        low, high = start + self._inset, end - self._inset
        reach = (high - low) / 3.0
        return self._free(low, reach, 1.0, blocked), self._free(high, reach, -1.0, blocked)

    @staticmethod
    def _free(start: float, reach: float, way: float, blocked: tuple[FloatArray, FloatArray]) -> float:
        """The place nearest to ``start`` that is not blocked; ``start`` where there is none in reach."""
        low, high = blocked
        if not ((low < start) & (high > start)).any():
            return start
        places = start + way * np.arange(0.0, reach, MARK_SEARCH)
        met = ((places[:, None] > low) & (places[:, None] < high)).any(axis=1)
        return float(places[np.argmin(met)])  # the first that is not met, or the very first
