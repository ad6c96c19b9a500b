"""Pages side by side: their places, the seams between them, and what is seen of each when taped.

Grid coordinates: the drawing after ``Layout.to_grid`` (a turn and a shift), mm, y up; the origin is the
lower left corner around the windows of all pages.  Pages stand in level rows.  In a row neighbours stand at
equal steps; the pages of different rows stand in columns, or each row is shifted along the next.  A row may reach
farther under the one below it than the overlap; they are joined along the same line of the lower row all the same.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass, field
from typing import Literal

from tiling.drawing import XY
from tiling.drawing.affine import Affine
from tiling.paper import Box, Page

__all__ = ["PageLayout", "Seam", "Side", "Tile", "row_letters"]

Side = Literal["left", "right", "above", "below"]
_STEP: dict[Side, tuple[int, int]] = {"left": (0, -1), "right": (0, 1), "above": (-1, 0), "below": (1, 0)}

LEVEL = 1e-6  # mm; pages of two rows that stand apart by less stand in a column


def row_letters(row: int) -> str:
    """A, B ... Z, AA, AB ... for row 0, 1 ... 25, 26, 27 ..."""
    text = ""
    row += 1
    while row:
        row, digit = divmod(row - 1, 26)
        text = chr(ord("A") + digit) + text
    return text


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile:
    """One page of a pattern.

    Attributes:
        row: 0 at the top.
        column: 0 at the left.  Pages of a row whose columns follow one another are joined; where rows are
            shifted a page's column is about its place.
        window: the part of the grid that this page shows, grid coordinates.
    """

    row: int
    column: int
    window: Box

    @property
    def name(self) -> str:
        """Row letter and column number, as ``B3``."""
        return f"{row_letters(self.row)}{self.column + 1}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Seam:
    """Where two pages join: the line along which ``over`` is trimmed before it is laid on ``under``.

    Attributes:
        over: index of the tile that is trimmed and lies on top (the left one, or the lower one).
        under: index of its neighbour (the right one, or the upper one).
        side: the side of ``over`` that is trimmed.
        line: ends of the stretch of the trim line that both windows show, grid coordinates; the
            lower or left end first.
        marks: centres of the two match marks on that line, grid coordinates, in the same order.
        gives: by how many steps each of them gives way to strokes.
    """

    over: int
    under: int
    side: Literal["right", "above"]
    line: tuple[XY, XY]
    marks: tuple[XY, XY]
    gives: tuple[int, int] = (0, 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class PageLayout:
    """A drawing laid on pages.

    Attributes:
        page: the page that all tiles are printed on.
        to_grid: drawing to grid coordinates.
        rows, columns: of the grid; both edge rows and edge columns hold a tile.
        tiles: the kept pages, row by row from the top, from the left in each.
        seams: every pair of neighbours among them that two match marks join.
        plain: how many pages the drawing needs without the search for fewer.
        choice: which of all ways to lay the drawing it is, in names and whole numbers, no computed length among
            them: the same under other versions of the libraries that compute coordinates.
    """

    page: Page
    to_grid: Affine
    rows: int
    columns: int
    tiles: tuple[Tile, ...]
    seams: tuple[Seam, ...]
    plain: int = 0
    choice: str = ""
    _at: dict[tuple[int, int], int] = field(init=False, repr=False, compare=False, default_factory=dict)
    _rows: dict[int, tuple[list[float], list[int]]] = field(
        init=False, repr=False, compare=False, default_factory=dict
    )

    def __post_init__(self) -> None:
        self._at.update({(tile.row, tile.column): i for i, tile in enumerate(self.tiles)})
        for i, tile in enumerate(self.tiles):
            lefts, indices = self._rows.setdefault(tile.row, ([], []))
            lefts.append(tile.window[0])
            indices.append(i)

    @property
    def turn(self) -> float:
        """By how much the drawing is turned, radians anticlockwise, over -pi to pi."""
        return math.atan2(self.to_grid.c, self.to_grid.a)

    @property
    def turned(self) -> bool:
        """The drawing does not lie as it was drawn."""
        return abs(self.turn) > 1e-9

    @property
    def shifted(self) -> bool:
        """Rows are shifted along one another: their pages do not stand in columns."""
        first = self.tiles[0]
        step = self.page.step[0]
        return any(
            abs(tile.window[0] - first.window[0] - (tile.column - first.column) * step) > LEVEL
            for tile in self.tiles
        )

    @property
    def uneven(self) -> bool:
        """Some rows reach farther under the row below than the overlap."""
        step = self.page.step[1]
        return any(abs(tile.window[1] - (self.rows - 1 - tile.row) * step) > LEVEL for tile in self.tiles)

    def index_at(self, row: int, column: int) -> int | None:
        """Index of the tile in that place of the grid; None where no page is kept."""
        return self._at.get((row, column))

    def neighbour(self, tile: Tile, side: Side) -> Tile | None:
        """The kept page that shares the whole of that side of ``tile``."""
        down, right = _STEP[side]
        index = self.index_at(tile.row + down, tile.column + right)
        if index is None or (down and abs(self.tiles[index].window[0] - tile.window[0]) > LEVEL):
            return None
        return self.tiles[index]

    def touching(self, tile: Tile, side: Literal["above", "below"]) -> tuple[Tile, ...]:
        """The kept pages of the next row where the paper of the lower page meets the window of the upper one."""
        page = self.page
        x0, _, x1, _ = tile.window
        left, right = page.window[0], page.width - page.window[2]  # what the paper has on either side
        row = tile.row - 1 if side == "above" else tile.row + 1
        low, high = (x0 - left, x1 + right) if side == "above" else (x0 - right, x1 + left)
        lefts, indices = self._rows.get(row, ([], []))
        first = bisect_left(lefts, low - (x1 - x0))
        last = bisect_left(lefts, high)
        return tuple(other for other in (self.tiles[i] for i in indices[first:last]) if other.window[2] > low)

    def to_page(self, tile: Tile) -> Affine:
        """Grid coordinates to page coordinates of that tile."""
        x0, y0, _, _ = self.page.window
        return Affine.shift(x0 - tile.window[0], y0 - tile.window[1])

    def trimmed(self, tile: Tile) -> tuple[bool, bool]:
        """Whether the right side and the top of that page are cut off along the trim line.

        Pages are laid so that the left one lies over the right one and a lower row over the upper row.
        The top is trimmed where a page that meets it in a corner lies beyond too: an untrimmed flap
        would hide part of that page.
        """
        return (tile.row, tile.column + 1) in self._at, bool(self.touching(tile, "above"))

    def trim_lines(self, tile: Tile) -> tuple[float | None, float | None]:
        """x of the trim line on the right and y of that at the top, grid coordinates; None: untrimmed."""
        right, top = self.trimmed(tile)
        half = 0.5 * self.page.overlap
        return (tile.window[2] - half if right else None, tile.window[3] - half if top else None)

    def foot_line(self, tile: Tile) -> float | None:
        """y of the line up to which the row below lies over that page, grid coordinates; None: no page does."""
        below = self.touching(tile, "below")
        return below[0].window[3] - 0.5 * self.page.overlap if below else None

    def visible(self, tile: Tile) -> Box:
        """The part of the window that is still seen when all pages are taped, grid coordinates.

        Neighbours' visible parts meet along the trim line; together they hold all of the drawing.
        """
        half = 0.5 * self.page.overlap
        x0, y0, x1, y1 = tile.window
        right, top = self.trim_lines(tile)
        foot = self.foot_line(tile)
        return (
            x0 + half if self.neighbour(tile, "left") else x0,
            y0 if foot is None else foot,
            x1 if right is None else right,
            y1 if top is None else top,
        )
