"""Outlines laid on sheets of a given size: an estimate of how many are needed, the same each time.

Everything is counted in squares of a raster.  A piece covers every square that it, with half of the gap around it,
so much as touches; two pieces never share a square, so they keep the gap.  Each goes to the free place nearest to
the sheet's end, then nearest to its lower edge, in the turn that reaches least far along.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeAlias

import numpy as np
from shapely.affinity import rotate, scale, translate
from shapely.geometry import MultiPolygon, Polygon

from tiling.layout.collisions import Run, TakenSquares, runs_of
from tiling.layout.masks import Mask
from tiling.layout.raster import Raster

__all__ = ["Area", "Laid", "Nesting", "PieceToLay", "nested", "square_of"]

SQUARES, LEAST_ACROSS = 220, 40  # along a sheet, and across a board; finer takes longer and saves little
FINEST = 2.0  # mm; no square is smaller, but for whole ones across
ORDERS = ("area", "length")  # the orders tried; the budget is their number, never a time
Area: TypeAlias = Polygon | MultiPolygon


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PieceToLay:
    """A piece to be laid.

    Attributes:
        area: its outline as sawn, mm.
        turns: the angles in which it may lie, radians anticlockwise.
        mirrored: turned over before it is turned.
    """

    area: Area
    turns: tuple[float, ...]
    mirrored: bool = False

    def placed(self, turn: float) -> Area:
        """It in one of its turns, its box's lower left corner at the origin."""
        area = scale(self.area, -1.0, 1.0, origin=(0.0, 0.0)) if self.mirrored else self.area
        turned = rotate(area, turn, origin=(0.0, 0.0), use_radians=True)
        x0, y0, _, _ = turned.bounds
        placed: Area = translate(turned, -x0, -y0)
        return placed


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Laid:
    """A piece in its place.

    Attributes:
        shape: which of the given ones.
        sheet: from 0.
        turn: radians anticlockwise.
        area: where it lies on the sheet, mm from the sheet's lower left corner.
    """

    shape: int
    sheet: int
    turn: float
    area: Area


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Nesting:
    """All pieces in their places, and those that fit no sheet."""

    sheets: int
    laid: tuple[Laid, ...]
    over: tuple[int, ...]


@dataclass(frozen=True, kw_only=True, eq=False)
class _Pose:
    """One turn of a piece: its squares, and where its box's corner lies from the first square's, mm."""

    turn: float
    area: Area
    mask: Mask
    shift: float

    @cached_property
    def runs(self) -> list[Run]:
        """Of its squares."""
        return runs_of(self.mask)


class _Sheet:
    """What of one sheet is taken."""

    def __init__(self, shape: tuple[int, int]) -> None:
        self.taken = np.zeros(shape, dtype=bool)
        self._squares = TakenSquares(self.taken)

    def place(self, pose: _Pose) -> tuple[int, int] | None:
        """Row and column of the best free place; None where there is none."""
        free = self._squares.free(pose.runs, pose.mask.shape)
        if not free.any():
            return None
        column = int(free.any(axis=0).argmax())
        return int(free[:, column].argmax()), column

    def put(self, mask: Mask, row: int, column: int) -> None:
        r, c = mask.shape
        self.taken[row : row + r, column : column + c] |= mask
        self._squares = TakenSquares(self.taken)


def _poses(shape: PieceToLay, square: float, gap: float, grid: tuple[int, int]) -> list[_Pose]:
    """The turns in which the piece fits the sheet; its first square begins half a gap and a rim before its box."""
    found = []
    shift = 0.5 * gap + 0.06 * square
    for turn in shape.turns:
        area = shape.placed(turn)
        _, _, x1, y1 = area.bounds
        columns, rows = (int(np.ceil((side + 2.0 * shift) / square)) for side in (x1, y1))
        if rows <= grid[0] and columns <= grid[1]:
            raster = Raster.covered(
                area, low=(-shift, -shift), square=square, shape=(rows, columns), gap=0.5 * gap
            )
            found.append(_Pose(turn=turn, area=area, mask=raster.ink, shift=shift))
    return found


def square_of(length: float, breadth: float) -> float:
    """The side of a square of the raster on a sheet, mm; whole ones lie across, as boards are narrow."""
    square = max(min(length / SQUARES, breadth / LEAST_ACROSS), FINEST)
    return float(breadth / np.ceil(breadth / square))


def nested(shapes: Sequence[PieceToLay], *, length: float, breadth: float, gap: float) -> Nesting:
    """Lay every shape on sheets, the fewest of a few orders.

    Args:
        length, breadth: of a sheet, mm.
        gap: between two pieces, mm; half of it along the sheet's edges.
    """
    square = square_of(length, breadth)
    grid = round(breadth / square), int(length / square)
    poses: list[list[_Pose]] = []
    known: dict[tuple[int, bool, tuple[float, ...]], list[_Pose]] = {}
    for shape in shapes:
        key = id(shape.area), shape.mirrored, shape.turns
        if key not in known:
            known[key] = _poses(shape, square, gap, grid)
        poses.append(known[key])
    best: Nesting | None = None
    best_rank: tuple[float, ...] = ()
    for order in dict.fromkeys(tuple(_order(shapes, key)) for key in ORDERS):
        found, rank = _laid(poses, order, grid, square)
        if best is None or rank < best_rank:
            best, best_rank = found, rank
    assert best is not None
    return best


def _size(shape: PieceToLay, key: str) -> float:
    x0, y0, x1, y1 = shape.area.bounds
    if key == "area":
        return float(shape.area.area)
    return float(max(x1 - x0, y1 - y0) if key == "length" else min(x1 - x0, y1 - y0))


def _order(shapes: Sequence[PieceToLay], key: str) -> list[int]:
    """The shapes from the largest down."""
    sizes = [round(_size(shape, key), 3) for shape in shapes]
    return sorted(range(len(shapes)), key=lambda i: (-sizes[i], i))


def _laid(
    poses: Sequence[Sequence[_Pose]], order: Sequence[int], grid: tuple[int, int], square: float
) -> tuple[Nesting, tuple[float, ...]]:
    """All shapes laid in one order, and how good that is: sheets, then how far along the last one is used."""
    sheets: list[_Sheet] = []
    laid: list[Laid] = []
    over: list[int] = []
    for index in order:
        fits = poses[index]
        if not fits:
            over.append(index)
            continue
        number, pose, row, column = _best(sheets, fits, grid)
        if number == len(sheets):
            sheets.append(_Sheet(grid))
        sheets[number].put(pose.mask, row, column)
        at = column * square + pose.shift, row * square + pose.shift
        laid.append(Laid(shape=index, sheet=number, turn=pose.turn, area=translate(pose.area, *at)))
    used = [int(np.flatnonzero(sheet.taken.any(axis=0))[-1]) for sheet in sheets]
    rank = (float(len(over)), float(len(sheets)), float(used[-1]) if used else 0.0)
    laid.sort(key=lambda one: (one.sheet, one.shape))
    return Nesting(sheets=len(sheets), laid=tuple(laid), over=tuple(sorted(over))), rank


def _best(
    sheets: Sequence[_Sheet], poses: Sequence[_Pose], grid: tuple[int, int]
) -> tuple[int, _Pose, int, int]:
    """The first sheet on which it fits, and there the turn that reaches least far along it."""
    for number, sheet in enumerate([*sheets, _Sheet(grid)]):
        found = [
            (place[1] + pose.mask.shape[1], place[0], turn, pose, place)
            for turn, pose in enumerate(poses)
            if (place := sheet.place(pose)) is not None
        ]
        if found:
            _, _, _, pose, (row, column) = min(found, key=lambda entry: entry[:3])
            return number, pose, row, column
    raise AssertionError("a piece that fits an empty sheet fits one of these")
