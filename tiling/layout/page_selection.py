"""Pages in rows and columns: those that ink needs, and the few besides that join them by whole edges."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tiling.drawing import XY
from tiling.drawing.affine import Affine
from tiling.layout.coverage import InkBoxes
from tiling.layout.grid import PageLayout
from tiling.layout.masks import marked_blocks
from tiling.layout.seams import Place, built
from tiling.paper import Page

__all__ = ["CLEAR", "Lattice", "in_columns", "joined", "met", "spared"]

CLEAR = 3.0  # mm; ink keeps this far from the outer edge of a window


@dataclass(frozen=True, slots=True, kw_only=True)
class Lattice:
    """Rows and columns of pages under a drawing.

    Attributes:
        turn: of the drawing about its origin.
        origin: where the first cells begin in the turned drawing; cells join along the trim lines.
        shape: rows and columns.
        choice: which of all ways to lay the drawing it is, in names and whole numbers.
    """

    turn: Affine
    origin: XY
    shape: tuple[int, int]
    choice: str = ""


def in_columns(page: Page, lattice: Lattice, kept: set[Place], ink: InkBoxes) -> PageLayout:
    """The layout of the kept pages.

    Args:
        ink: of the turned drawing.
    """
    half = 0.5 * page.overlap
    left, foot = lattice.origin[0] - half, lattice.origin[1] - half
    pages = {(row, column): left + column * page.step[0] for row, column in kept}
    feet = [foot + row * page.step[1] for row in range(lattice.shape[0])]
    return built(page, lattice.turn, feet, pages, ink, choice=lattice.choice)


def met(ink: InkBoxes, page: Page, lattice: Lattice) -> set[Place]:
    """The cells that ink meets; a cell at the edge of the lattice reaches as far as its window does."""
    rows, columns = lattice.shape
    most = np.array([columns - 1, rows - 1])
    low = np.clip(np.floor((ink.low - lattice.origin) / page.step), 0, most).astype(np.intp)
    high = np.clip(np.floor((ink.high - lattice.origin) / page.step), 0, most).astype(np.intp)
    marked = marked_blocks(low[:, ::-1], high[:, ::-1], (rows, columns))
    return {(int(row), int(column)) for row, column in np.argwhere(marked)}


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


def joined(kept: set[Place], shape: tuple[int, int]) -> set[Place]:
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


def spared(kept: set[Place], ink: InkBoxes, page: Page, lattice: Lattice) -> set[Place]:
    """The kept places less those whose ink lies wholly in windows of their neighbours, where the rest still hang
    together."""
    spare = _Spare(ink, page, lattice)
    dropped: list[Place] = []
    for place in sorted(kept):
        if len(kept) == 1 or not spare.near_border(place):
            continue
        without = kept - {place}
        if len(_group(without, min(without))) == len(without) and all(
            spare.seen(each, without) for each in (*dropped, place)
        ):
            dropped.append(place)
            kept = without
    return kept


class _Spare:
    """Ink in a cell that neighbours' windows show too, beyond the trim line, where no page lies in the cell.

    Everything is counted in cells from the lattice's origin.
    """

    def __init__(self, ink: InkBoxes, page: Page, lattice: Lattice) -> None:
        self._low = (ink.low - lattice.origin) / page.step
        self._high = (ink.high - lattice.origin) / page.step
        self._reach = (0.5 * page.overlap - CLEAR) / np.array(page.step)
        self._most = np.array(lattice.shape[::-1]) - 1
        first = np.clip(np.floor(self._low + self._reach), 0, self._most).astype(np.intp)
        last = np.clip(np.floor(self._high - self._reach), 0, self._most).astype(np.intp)
        deep = (first <= last).all(axis=1)  # it comes farther into a cell than a neighbour's window
        self._deep = marked_blocks(first[deep][:, ::-1], last[deep][:, ::-1], lattice.shape)

    def near_border(self, place: Place) -> bool:
        """All ink of the cell lies near its border."""
        return not self._deep[place]

    def seen(self, place: Place, kept: set[Place]) -> bool:
        """The windows of neighbours show all ink of the cell."""
        row, column = place
        cell = np.array([column, row])
        low = np.where(cell == 0, self._low, np.maximum(self._low, cell)) - cell
        high = np.where(cell == self._most, self._high, np.minimum(self._high, cell + 1)) - cell
        here = (low < high).all(axis=1)
        low, high = low[here], high[here]
        beside = [(row, column - 1) in kept, (row, column + 1) in kept]
        shown = np.zeros(len(low), dtype=bool)
        if beside[0]:
            shown |= high[:, 0] <= self._reach[0]
        if beside[1]:
            shown |= low[:, 0] >= 1.0 - self._reach[0]
        # Above and below a page beside the cell would lie on what is shown, or hide it with its paper.
        if not any(beside):
            if (row - 1, column) in kept:
                shown |= high[:, 1] <= self._reach[1]
            if (row + 1, column) in kept:
                shown |= low[:, 1] >= 1.0 - self._reach[1]
        return bool(shown.all())
