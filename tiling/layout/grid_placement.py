"""Plain placements: the drawing as it is and turned by 90 degrees, on rows and columns of pages."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tiling.drawing import FloatArray
from tiling.drawing.affine import Affine
from tiling.drawing.tolerance import NOISE, steady
from tiling.layout.coverage import InkBoxes
from tiling.layout.page_selection import CLEAR, Lattice
from tiling.layout.raster import Raster
from tiling.paper import Page

__all__ = ["Rank", "plain_lattices"]

Rank = tuple[float, float, float, float, float]

SQUARE = 4.0  # mm; ink is counted in squares of this size, or of
SQUARES = 1_000_000  # this share of a very large drawing
SHIFTS = 8  # shifts tried along each axis while the grid is smallest, and as many with one page more
LINKED = 20  # shifts of each turn that are looked at closely


def plain_lattices(ink: InkBoxes, page: Page) -> list[tuple[Rank, Lattice]]:
    """The best shifts of both turns, each with its rank, the best first.

    The rank: pages met, turned, ink near trim lines, off the middle, number.
    Both turns have the same number of shifts, so that equal input gives equal pages.
    """
    raster = _ink_raster(ink)
    high = ink.high.max(axis=0)
    ranked = [one for turned in (False, True) for one in _candidates(raster, high, page, turned=turned)]
    return sorted(ranked, key=lambda pair: pair[0])


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


def _ink_raster(ink: InkBoxes) -> Raster:
    span = ink.high.max(axis=0) - ink.low.min(axis=0)
    return Raster.around(ink, max(SQUARE, float(np.sqrt(np.prod(span) / SQUARES))))


def _pages(raster: Raster, up: FloatArray, across: FloatArray) -> NDArray[np.int32]:
    """How many cells have ink for each pair of shifts; shape (shifts up, shifts across)."""
    rows = _squares((up - raster.low[1]) / raster.square[1], raster.shape[0])
    columns = _squares((across - raster.low[0]) / raster.square[0], raster.shape[1])
    cells = raster.table.any_in((rows[0].ravel(), rows[1].ravel()), (columns[0].ravel(), columns[1].ravel()))
    return np.asarray(cells.reshape(*rows[0].shape, *columns[0].shape).sum(axis=(1, 3), dtype=np.int32))


def _near_lines(raster: Raster, up: FloatArray, across: FloatArray, overlap: float) -> NDArray[np.int32]:
    """Ink within the overlap at the trim lines for each pair of shifts; shape (shifts up, shifts across)."""
    half = 0.5 * overlap / raster.square
    rows = _near(raster.table.below_rows, (up - raster.low[1]) / raster.square[1], float(half[1]))
    columns = _near(raster.table.before_columns, (across - raster.low[0]) / raster.square[0], float(half[0]))
    return np.asarray(rows[:, None] + columns[None, :])


def _candidates(raster: Raster, high: FloatArray, page: Page, *, turned: bool) -> list[tuple[Rank, Lattice]]:
    (low_x, low_y), (high_x, high_y) = raster.low, high
    if turned:  # a point (x, y) goes to (-y, x)
        low_x, low_y, high_x, high_y = -high_y, low_x, -low_y, high_x
    across = _axis(low_x, high_x, page.step[0], page.overlap)
    up = _axis(low_y, high_y, page.step[1], page.overlap)
    if turned:  # count in the drawing as it is, cells of the page's columns from the top down
        edges = -across.edges[:, ::-1], up.edges
        pages, near = _pages(raster, *edges).T, _near_lines(raster, *edges, page.overlap).T
    else:
        pages = _pages(raster, up.edges, across.edges)
        near = _near_lines(raster, up.edges, across.edges, page.overlap)
    off = steady(np.hypot(up.off_middle[:, None], across.off_middle[None, :]))
    best = np.lexsort((off.ravel(), near.ravel(), pages.ravel()))[:LINKED]
    found = []
    for number in best:
        i, j = divmod(int(number), len(across.origins))
        lattice = Lattice(
            turn=Affine.quarter_turn() if turned else Affine(),
            origin=(float(across.origins[j]), float(up.origins[i])),
            shape=(int(up.counts[i]), int(across.counts[j])),
            choice=f"plain {int(turned)} {i} {j}",
        )
        rank = (float(pages[i, j]), float(turned), float(near[i, j]), float(off[i, j]), float(number))
        found.append((rank, lattice))
    return found


def _squares(edges: FloatArray, most: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """First and past-the-last square of each cell; a square that a trim line cuts belongs to both.

    ``edges`` are in squares.
    """
    low = np.floor(edges[:, :-1] + NOISE).astype(np.intp)
    high = np.ceil(edges[:, 1:] - NOISE).astype(np.intp)
    high = np.where(edges[:, 1:] >= edges[:, -1:], most, high)
    empty = edges[:, 1:] <= edges[:, :-1]
    return low, np.where(empty, low, np.clip(high, 0, most))


def _near(along: NDArray[np.int32], edges: FloatArray, half: float) -> NDArray[np.int32]:
    """Ink within ``half`` of the inner trim lines of each shift; ``along`` is a running sum; in squares."""
    inner = edges[:, 1:-1]
    live = (inner > 0.0) & (inner < edges[:, -1:])
    most = len(along) - 1
    low = np.clip(np.floor(inner - half + NOISE).astype(np.intp), 0, most)
    high = np.clip(np.ceil(inner + half - NOISE).astype(np.intp), 0, most)
    return np.asarray(np.where(live, along[high] - along[low], 0).sum(axis=1), dtype=np.int32)
