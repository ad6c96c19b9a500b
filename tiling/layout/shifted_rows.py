"""Rows of pages that are shifted along one another, each to where its own ink wants the fewest pages.

In a row pages follow one another in runs; where a stretch without ink is wide enough for the margins of two
papers a run may end and another begin.  A run that covers more than its ink needs has play; the play is used so
that every run shares an edge with the next row on which two match marks hold.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from tiling.drawing import FloatArray
from tiling.drawing.tolerance import steady
from tiling.layout.coverage import InkBoxes
from tiling.layout.page_selection import CLEAR
from tiling.layout.row_levels import paper_beside
from tiling.layout.seams import Place, least_edge
from tiling.paper import Page

__all__ = ["Rows", "long_edge", "shifted_rows"]

NEVER = 1e6  # mm; longer than any edge
PLACES = 9  # places of a run that are tried within its play
PASSES = 3  # over all rows, down and up in turn
LONG = 0.75  # of a window's breadth
FLOAT = 1e-6  # mm; rounding
LONGER = 1e-3  # mm; an edge that is longer by less is as long


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """Pages in shifted rows under a turned drawing.

    Attributes:
        feet: lower edge of the windows of each row, from the lowest up, mm.
        pages: left edge of each page's window, mm.
        edge: the shortest edge that was counted on to join two rows, mm.
        trail: which place each run took every time that it was moved, until all lay as they do.
    """

    feet: tuple[float, ...]
    pages: dict[Place, float]
    edge: float
    trail: tuple[int, ...]


@dataclass(slots=True, kw_only=True)
class _Run:
    """Pages that follow one another in a row.

    Attributes:
        count: of pages.
        low, high: between which the left edge of the first window may stand, mm.
        at: where it stands, mm.
    """

    row: int
    count: int
    low: float
    high: float
    at: float

    def lefts(self, step: float) -> FloatArray:
        return self.at + step * np.arange(self.count, dtype=float)


def long_edge(page: Page) -> float:
    """The shortest stretch that two windows share beyond which a longer one is not looked for, mm."""
    return LONG * (page.step[0] + page.overlap)


def shifted_rows(ink: InkBoxes, page: Page, lines: FloatArray, *, fewer_than: int) -> Rows | None:
    """Pages in shifted rows that hang together, fewer than a number; None where none are found.

    Args:
        ink: of the turned drawing.
        lines: the trim lines between rows, from the lowest up, mm.
    """
    feet = _feet(ink, page, lines)
    if feet is None:
        return None
    first = np.searchsorted(lines, ink.low[:, 1], side="right")
    last = np.searchsorted(lines, ink.high[:, 1], side="right")
    rows: list[list[_Run]] = []
    total = 0
    for row in range(len(feet) - 1, -1, -1):
        here = (first <= row) & (last >= row)
        runs = _runs(row, ink.low[here, 0], ink.high[here, 0], page)
        total += sum(run.count for run in runs)
        if not runs or total >= fewer_than:
            return None
        rows.append(runs)
    settled = _settle(rows, page)
    if settled is None:
        return None
    edge, trail = settled
    return Rows(feet=feet, pages=dict(_numbered(rows, page.step[0])), edge=edge, trail=trail)


def _feet(ink: InkBoxes, page: Page, lines: FloatArray) -> tuple[float, ...] | None:
    """The lower edges of the windows of all rows, mm; None where the outermost do not hold all ink."""
    half, tall = 0.5 * page.overlap, page.step[1] + page.overlap
    low, high = float(ink.low[:, 1].min()) - CLEAR, float(ink.high[:, 1].max()) + CLEAR
    if not len(lines):
        return (0.5 * (low + high - tall),) if high - low <= tall else None
    feet = (*(lines + half - tall).tolist(), float(lines[-1]) - half)
    return feet if feet[0] <= low + FLOAT and feet[-1] + tall >= high - FLOAT else None


def _runs(row: int, low: FloatArray, high: FloatArray, page: Page) -> list[_Run]:
    """The fewest pages for stretches of ink in a row, from the left."""
    order = np.argsort(low, kind="stable")
    low, high = low[order], np.maximum.accumulate(high[order])
    breaks = np.flatnonzero(low[1:] > high[:-1]) + 1
    starts = low[np.append(0, breaks)].tolist() if len(low) else []
    ends = high[np.append(breaks, len(low)) - 1].tolist() if len(low) else []
    step = page.step[0]
    apart = 2.0 * CLEAR + paper_beside(page)
    runs: list[_Run] = []
    i = 0
    while i < len(starts):
        count, j = 1, i
        end = starts[i] + step + page.overlap - 2.0 * CLEAR
        while True:
            while j < len(ends) and ends[j] <= end:
                j += 1
            if j == len(ends) or starts[j] >= end + apart:
                break
            count, end = count + 1, end + step
        low_at, high_at = ends[j - 1] + CLEAR - (count * step + page.overlap), starts[i] - CLEAR
        runs.append(_Run(row=row, count=count, low=low_at, high=high_at, at=0.5 * (low_at + high_at)))
        i = j
    return runs


def _settle(rows: Sequence[Sequence[_Run]], page: Page) -> tuple[float, tuple[int, ...]] | None:
    """Move the runs within their play until all hang together, by edges as long as they can be.

    Returns:
        The shortest edge that joins two rows, mm, and which places were taken; None where they fall apart.
    """
    best: tuple[float, tuple[int, ...], list[list[float]]] | None = None
    trail: list[int] = []
    for number in range(PASSES):
        order = range(len(rows)) if number % 2 == 0 else range(len(rows) - 1, -1, -1)
        for index in order:
            beside = [rows[near] for near in (index - 1, index + 1) if 0 <= near < len(rows)]
            if number == 0:
                beside = beside[:1] if index else []
            for place, run in enumerate(rows[index]):
                left = rows[index][place - 1] if place else None
                right = rows[index][place + 1] if place + 1 < len(rows[index]) else None
                taken = _move(run, left, right, [other for near in beside for other in near], page)
                if taken is None:
                    return None
                trail.append(taken)
        edge = _joined(rows, page)
        if edge is not None and (best is None or edge > best[0] + LONGER):
            best = edge, tuple(trail), [[run.at for run in row] for row in rows]
            if edge >= long_edge(page):
                break
    if best is None:
        return None
    for row, places in zip(rows, best[2], strict=True):
        for run, at in zip(row, places, strict=True):
            run.at = at
    return best[:2]


def _move(run: _Run, left: _Run | None, right: _Run | None, beside: Sequence[_Run], page: Page) -> int | None:
    """Put a run where it shares good edges with most of the runs beside it; which of the places tried that is.

    None: it has no room.
    """
    step, paper = page.step[0], paper_beside(page)
    low, high = run.low, run.high
    if left is not None:
        low = max(low, left.at + left.count * step + page.overlap + paper)
    if right is not None:
        high = min(high, right.high - run.count * step - page.overlap - paper)
    if low > high:
        return None
    places = list(np.linspace(low, high, PLACES))
    for other in beside:  # in one column with it
        at = other.at + step * np.ceil((low - other.at) / step - FLOAT)
        if at <= high:
            places.append(at)
    tried = np.array(places)
    edges = np.array([_edges(tried, run.count, other, page) for other in beside]).reshape(-1, len(tried))
    joins = edges >= least_edge(page)
    shortest = np.where(joins, edges, np.inf).min(axis=0, initial=np.inf)
    order = np.lexsort(
        (
            steady(np.abs(tried - 0.5 * (low + high))),
            -steady(edges.sum(axis=0)),
            -steady(np.where(np.isfinite(shortest), shortest, NEVER)),
            -joins.sum(axis=0),
        )
    )
    run.at = float(tried[order[0]])
    return int(order[0])


def _edges(places: FloatArray, count: int, other: _Run, page: Page) -> FloatArray:
    """The longest stretch that a page of a run at each of the places shares with a page of the other run, mm."""
    step = page.step[0]
    lefts = places[:, None] + step * np.arange(count)
    apart = np.abs(lefts[:, :, None] - other.lefts(step))
    return np.asarray(np.maximum(step + page.overlap - apart.min(axis=(1, 2)), 0.0), dtype=float)


def _joined(rows: Sequence[Sequence[_Run]], page: Page) -> float | None:
    """The shortest of the edges that are needed to hold all runs together, mm; None where they fall apart."""
    edges = []
    for upper, lower in pairwise(rows):
        for a in upper:
            for b in lower:
                length = float(_edges(np.array([a.at]), a.count, b, page)[0])
                if length >= least_edge(page):
                    edges.append((length, id(a), id(b)))
    group = {id(run): id(run) for row in rows for run in row}

    def root(one: int) -> int:
        while group[one] != one:
            one = group[one]
        return one

    least = page.step[0] + page.overlap
    left = len(group) - 1
    for length, one, other in sorted(edges, key=lambda edge: -edge[0]):
        if root(one) != root(other):
            group[root(one)] = root(other)
            least, left = min(least, length), left - 1
    return least if left == 0 else None


def _numbered(rows: Sequence[Sequence[_Run]], step: float) -> Sequence[tuple[Place, float]]:
    """Every page with its column: about its place, and one left out between two runs."""
    first = min(run.at for row in rows for run in row)
    found = []
    for row in rows:
        column = -2
        for run in row:
            column = max(round((run.at - first) / step), column + 2)
            for number, left in enumerate(run.lefts(step).tolist()):
                found.append(((run.row, column + number), left))
            column += run.count - 1
    return found
