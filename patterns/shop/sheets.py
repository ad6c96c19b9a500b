"""Pieces laid on the sheets and boards of the design: how many are needed, and which piece lies where."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon, box

from patterns.design.rack_models import StockSpec
from patterns.flat.overlays import intersection
from patterns.flat.polylines import mirrored
from patterns.pattern import Kind, Pattern
from patterns.shop.cells import csv_text
from patterns.shop.raster_layout import Area, Laid, Nesting, PieceToLay, nested, square_of
from patterns.shop.stock import SLACK, CutRow, StockCuts, grain_turn, lengths_of, one_length, too_thick

__all__ = ["SawnPiece", "Sheets", "saw_area", "sheet_table", "sheets_of"]

RASTER = 2.2  # squares of the raster that may be lost at the two ends of a piece
QUARTERS = tuple(0.5 * np.pi * k for k in range(4))
HEADS = (
    "stock",
    "sheet",
    "mark",
    "piece",
    "which",
    "turned_over",
    "turned_deg",
    "left_mm",
    "low_mm",
    "along_mm",
    "across_mm",
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SawnPiece:
    """One piece to be sawn: of which cut, which of its number (from 1), whether turned over for the other hand."""

    cut: CutRow
    which: int
    over: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sheets:
    """One stock's pieces on its sheets (or boards).

    Attributes:
        stock: the stock; its size is given.
        pieces: what was to be laid, in the nesting's order of shapes.
        nesting: where each lies, mm from a sheet's lower left corner, length across.
        thick: what is thicker than the stock, and so is not laid.
    """

    stock: StockCuts
    spec: StockSpec
    pieces: tuple[SawnPiece, ...]
    nesting: Nesting
    thick: tuple[CutRow, ...]

    @property
    def marks(self) -> dict[Laid, int]:
        """The number of each piece on its sheet, from 1."""
        counts = [0] * self.nesting.sheets
        found = {}
        for laid in self.nesting.laid:
            counts[laid.sheet] += 1
            found[laid] = counts[laid.sheet]
        return found


def saw_area(pattern: Pattern) -> Polygon | MultiPolygon:
    """The wood within a pattern's saw lines, both halves; what one line encloses within another is an opening."""
    runs = [
        np.vstack([line.points, line.points[:1]]) if line.closed else line.points
        for line in pattern.of_kind(Kind.SAW)
    ]
    if pattern.half:
        runs += [mirrored(run) for run in runs]
    lines = shapely.union_all([shapely.linestrings(run) for run in runs if len(run) > 1], grid_size=1e-4)
    rings = shapely.polygonize(list(getattr(lines, "geoms", [lines]))).geoms
    area: Polygon | MultiPolygon = Polygon()
    for ring in sorted(rings, key=lambda face: -Polygon(face.exterior).area):
        whole = Polygon(ring.exterior)
        area = (
            shapely.symmetric_difference(area, whole) if area.contains(whole) else shapely.union(area, whole)
        )
    if area.is_empty:  # saw lines that do not close: the box holds them all
        points = np.vstack(runs)
        area = box(*points.min(axis=0), *points.max(axis=0))
    return area


def _outlines(cut: CutRow, spec: StockSpec) -> tuple[Area, ...]:
    """What is sawn for one of it, its length along x: the whole, or the lengths that it is scarfed of."""
    count = lengths_of(cut, spec)
    if cut.bent or count > 1:
        return (box(0.0, 0.0, one_length(cut, spec), cut.breadth),) * count
    if cut.pattern is None:
        return (box(0.0, 0.0, cut.length, cut.breadth),)
    area = saw_area(cut.pattern)
    given: Mapping[str, Any] | None = next(
        (fact.values for fact in cut.pattern.known if fact.kind == "sheets"), None
    )
    return (area,) if given is None else tuple(_panels(area, given["sheets"], given["scarf"]))


def _panels(area: Area, sheets: Sequence[float], scarf: float) -> Iterator[Area]:
    """The sheets that a strake laid flat is scarfed of, from forward aft, each with its scarfs.

    Args:
        sheets: their lengths, mm.
        scarf: how far two of them lie over each other, mm.
    """
    start, low, end, high = area.bounds
    for sheet in sheets:
        yield intersection(area, box(start, low, min(start + sheet, end), high))
        start += sheet - scarf


def _to_the_edges(area: Area, spec: StockSpec) -> Area:
    """A piece that leaves no room for the saw along the stock's edges takes those edges for its own.

    It is laid so much smaller that the raster takes it; pieces larger than the stock stay as they are.
    """
    x0, y0, x1, y1 = area.bounds
    less = spec.gap + RASTER * square_of(spec.length, spec.breadth)
    sides = []
    for low, high, room in ((x0, x1, spec.length), (y0, y1, spec.breadth)):
        over = max(high - low - (room - less), 0.0)
        sides.append(0.5 * over if high - low <= room + SLACK else 0.0)
    if not any(sides):
        return area
    return intersection(area, box(x0 + sides[0], y0 + sides[1], x1 - sides[0], y1 - sides[1]))


def _shapes(stock: StockCuts, spec: StockSpec) -> tuple[list[SawnPiece], list[PieceToLay]]:
    pieces: list[SawnPiece] = []
    shapes: list[PieceToLay] = []
    for cut in stock.cuts:
        if too_thick(cut, spec):
            continue
        outlines = _outlines(cut, spec)
        whole = cut.pattern is not None and not cut.bent and lengths_of(cut, spec) == 1
        turn = grain_turn(cut.grain, spec) if whole else 0.0
        if turn == 0.0:
            outlines = tuple(_to_the_edges(area, spec) for area in outlines)
        port = cut.pattern.turned_over * cut.laminations if cut.pattern is not None else 0
        for which in range(1, cut.count + 1):
            over = which <= port
            for area in outlines:
                pieces.append(SawnPiece(cut=cut, which=which, over=over))
                shapes.append(PieceToLay(area=area, turns=_turns(area, turn, spec, over=over), mirrored=over))
    return pieces, shapes


def _turns(area: Area, turn: float | None, spec: StockSpec, *, over: bool) -> tuple[float, ...]:
    """The angles in which a piece may lie.

    Args:
        turn: the one that brings its grain along the stock's; None: any.
    """
    if turn is None and spec.kind == "sheet":
        return QUARTERS
    if turn is None:  # along the board, as the piece is longest
        x0, y0, x1, y1 = area.bounds
        return QUARTERS[::2] if x1 - x0 >= y1 - y0 else QUARTERS[1::2]
    # Turned over, its grain has turned the other way.
    own = float((np.pi - turn if spec.grain == "along breadth" else -turn) if over else turn)
    return own, own + np.pi


def sheets_of(stocks: Sequence[StockCuts]) -> tuple[Sheets, ...]:
    """Every stock of a given size with its pieces laid; pieces longer than it are named as such, not laid."""
    found = []
    for stock in stocks:
        if stock.spec is None:
            continue
        pieces, shapes = _shapes(stock, stock.spec)
        nesting = nested(shapes, length=stock.spec.length, breadth=stock.spec.breadth, gap=stock.spec.gap)
        thick = tuple(cut for cut in stock.cuts if too_thick(cut, stock.spec))
        found.append(Sheets(stock=stock, spec=stock.spec, pieces=tuple(pieces), nesting=nesting, thick=thick))
    return tuple(found)


def sheet_table(sheets: Sequence[Sheets]) -> str:
    """Which piece lies on which sheet, as CSV: its box's corner and size, how it is turned; 0 is on no sheet."""
    rows: list[Sequence[object]] = [HEADS]
    for each in sheets:
        for laid, mark in each.marks.items():
            piece = each.pieces[laid.shape]
            x0, y0, x1, y1 = laid.area.bounds
            rows.append((
                each.stock.name,
                laid.sheet + 1,
                mark,
                piece.cut.piece,
                f"{piece.which} of {piece.cut.count}",
                "yes" if piece.over else "",
                f"{np.degrees(laid.turn) % 360.0:.0f}",
                f"{x0:.0f}",
                f"{y0:.0f}",
                f"{x1 - x0:.0f}",
                f"{y1 - y0:.0f}",
            ))  # fmt: skip
        over = [each.pieces[index] for index in each.nesting.over]
        over += [
            SawnPiece(cut=cut, which=which, over=False)
            for cut in each.thick
            for which in range(1, cut.count + 1)
        ]
        for piece in over:
            which = f"{piece.which} of {piece.cut.count}"
            size = f"{piece.cut.length:.0f}", f"{piece.cut.breadth:.0f}"
            turned = "yes" if piece.over else ""
            rows.append((each.stock.name, 0, "", piece.cut.piece, which, turned, "", "", "", *size))
    return csv_text(rows)
