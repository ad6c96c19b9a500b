"""Chapters of the loft book on wood and paper: the cut list, the sheets, and which pattern is on which pages."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

import numpy as np
import shapely

from patterns.pattern import Pattern
from patterns.shop.order_of_work import in_order_of_work
from patterns.shop.sheets import Sheets
from patterns.shop.stock import StockCuts, notes_on
from patterns.shop.views import common_scale
from tiling.books.book import Book
from tiling.books.table_columns import BookRow, Column
from tiling.drawing import Drawing, Note, Path, Stroke

__all__ = ["add_cut_list", "add_index", "add_sheets"]

SHEET_WIDE, SHEET_TALL = 150.0, 75.0  # mm of paper that a sheet may take
SAWN = Stroke(width=0.35)
EDGE = Stroke(width=0.5)
NOTE = 2.5  # height of a capital, mm


def add_cut_list(book: Book, stocks: Sequence[StockCuts]) -> None:
    """Everything that is sawn, by stock."""
    if not stocks:
        return
    book.chapter(
        "Cut list",
        words="Sizes in mm are those of the wood that one is sawn from, both faces counted; a timber's length is "
        "its true length along its own curve, to be trimmed where it lies. To saw: laminations counted. How many "
        "sheets or boards are needed is an estimate: knots, spare lengths and the saw are yours to allow for.",
    )
    rows: list[BookRow] = []
    for stock in stocks:
        title = stock.name
        if stock.spec is not None:
            spec = stock.spec
            grain = "" if spec.grain == "either" else f", grain {spec.grain}"
            title += f": {spec.kind}s {spec.length:.0f} x {spec.breadth:.0f} x {spec.thickness:g} mm{grain}"
        rows.append(BookRow(title=title))
        rows += [
            BookRow(
                cells=(
                    cut.piece,
                    cut.quantity,
                    f"{cut.count}",
                    f"{cut.thickness:.4g}",
                    f"{cut.length:.0f}",
                    f"{cut.breadth:.0f}",
                    notes_on(cut, stock.spec),
                )
            )
            for cut in stock.cuts
        ]
    book.table(
        [
            Column(head="piece"),
            Column(head="quantity"),
            Column(head="to saw", align="right"),
            Column(head="thick", align="right"),
            Column(head="long", align="right"),
            Column(head="broad", align="right"),
            Column(head="note", wraps=True),
        ],
        rows,
    )


def add_sheets(book: Book, sheets: Sequence[Sheets]) -> None:
    """How the pieces may lie on sheets and boards."""
    if not any(each.pieces for each in sheets):
        return
    book.chapter(
        "Sheets and boards",
        words="An estimate of how the pieces may lie, by their outlines as sawn, with the grain where a piece says "
        "it. Lay your own before you buy. Pieces turned over are for the other side of the boat.",
    )
    for each in sheets:
        spec, nesting = each.spec, each.nesting
        scale = common_scale(min(SHEET_WIDE / spec.length, SHEET_TALL / spec.breadth))
        count = nesting.sheets
        used = sum(laid.area.area for laid in nesting.laid) / max(count * spec.length * spec.breadth, 1.0)
        for number in range(count):
            what = f"{each.stock.name}: {spec.kind} {number + 1} of {count}, 1:{scale}"
            if number == 0:
                what += f" (estimate; {100.0 * used:.0f} % of the area is used)"
            book.heading(what, keep=spec.breadth / scale + 2.0, listed=number == 0)
            book.picture(_sheet(each, number, 1.0 / scale))
            book.paragraph(_legend(each, number))


def _sheet(each: Sheets, number: int, scale: float) -> Drawing:
    spec = each.spec
    corners = scale * np.array([
        [0.0, 0.0], [spec.length, 0.0], [spec.length, spec.breadth], [0.0, spec.breadth]
    ])  # fmt: skip
    paths = [Path(points=corners, stroke=EDGE, closed=True)]
    notes = []
    for laid in each.nesting.laid:
        if laid.sheet != number:
            continue
        for part in getattr(laid.area, "geoms", [laid.area]):
            for ring in (part.exterior, *part.interiors):
                points = scale * np.asarray(ring.simplify(0.2 / scale).coords)[:-1]
                paths.append(Path(points=points, stroke=SAWN, closed=True))
        if each.pieces[laid.shape].cut.bent:  # strips lie close: their numbers stand beside each other
            x0, y0, _, y1 = laid.area.bounds
            x, y = x0 + (2.0 + 4.0 * (each.marks[laid] % 8)) / scale, 0.5 * (y0 + y1)
        else:  # the middle of the widest place
            x, y = shapely.maximum_inscribed_circle(laid.area, tolerance=0.3 / scale).coords[0]
        notes.append(Note(text=f"{each.marks[laid]}", target=(scale * x, scale * y), height=NOTE))
    return Drawing(paths=tuple(paths), notes=tuple(notes))


def _legend(each: Sheets, number: int) -> str:
    """The pieces on a sheet by their numbers."""
    said = []
    for laid, mark in each.marks.items():
        if laid.sheet == number:
            piece = each.pieces[laid.shape]
            said.append(f"{mark} {piece.cut.piece}" + (" (turned over)" if piece.over else ""))
    return "; ".join(said) + "."


def add_index(
    book: Book,
    patterns: Sequence[Pattern],
    places: Mapping[str, tuple[int, int]],
    numbers: Mapping[str, int],
) -> None:
    """The order of work: each pattern with its pages, how many are made, and of what.

    Args:
        numbers: of the members, as the construction drawing has them.
    """
    book.chapter(
        "Order of work",
        words="The patterns in the order in which their pieces are made; numbers are those of the construction "
        "drawing. Page numbers are those of patterns.pdf. Shared: other pieces lie on its pages.",
    )
    found = Counter(places.values())
    rows = []
    for pattern in in_order_of_work(patterns):
        at = places.get(pattern.name, (0, 0))
        pages = "" if not at[0] else f"{at[0]}" if at[0] == at[1] else f"{at[0]} to {at[1]}"
        shared = "shared" if at[0] and found[at] > 1 else ""
        number = str(numbers.get(pattern.part_of or pattern.name, ""))
        rows.append(BookRow(cells=(number, pattern.name, pages, shared, pattern.quantity, pattern.stock)))
    heads = ("quantity", "stock")
    book.table(
        [
            Column(head="no.", align="right"),
            Column(head="pattern"),
            Column(head="pages", align="right"),
            Column(head=""),
            *(Column(head=head, wraps=True) for head in heads),
        ],
        rows,
    )
