"""All papers of the shop, written beside the patterns: the loft book, the bevel board, and the tables as CSV."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from patterns.boat import Boat
from patterns.files.batch import Batch
from patterns.pattern import Pattern
from patterns.shop.bevel_board import has_bevels, write_bevel_board
from patterns.shop.book_planking import bottom_table, land_table, lining_table, strip_table
from patterns.shop.loft_book import write_loft_book
from patterns.shop.purchase import purchase_of, purchase_table
from patterns.shop.set_up import set_up_table, stands
from patterns.shop.sheets import sheet_table, sheets_of
from patterns.shop.stock import cut_table, cuts_of, stocks_of
from tiling.paper import Page
from tiling.paper.printers import Correction

__all__ = ["write_papers"]


def write_papers(
    work: Batch,
    boat: Boat,
    patterns: Sequence[Pattern],
    *,
    page: Page,
    mark: str,
    places: Mapping[str, tuple[int, int]],
    correction: Correction | None = None,
) -> None:
    """Write the loft book, the bevel board, the set-up table, the cut list, what lies on which sheet, and the
    purchase list.

    Args:
        places: each pattern's first and last page in the file of patterns.
        correction: of the printer that will print the bevel board.
    """
    stocks = stocks_of(boat, cuts_of(boat, patterns))
    sheets = sheets_of(stocks)
    standing = stands(boat, patterns)
    work.write("set-up.csv", set_up_table(boat, standing))
    work.write("cut-list.csv", cut_table(stocks))
    work.write("sheets.csv", sheet_table(sheets))
    work.write("purchase.csv", purchase_table(purchase_of(boat, stocks, sheets)))
    planking = {
        "bottom-planks.csv": bottom_table,
        "lining-off.csv": lining_table,
        "lands.csv": land_table,
        "strips.csv": strip_table,
    }
    for file, table_of in planking.items():
        if table := table_of(boat):
            work.write(file, table)
    with work.path("loft-book.pdf").open("wb") as stream:
        write_loft_book(
            stream,
            boat,
            patterns,
            page=page,
            mark=mark,
            standing=standing,
            stocks=stocks,
            sheets=sheets,
            places=places,
        )
    name = boat.design.boat.name
    if has_bevels(patterns):
        with work.path("bevel-board.pdf").open("wb") as stream:
            write_bevel_board(stream, patterns, boat=name, page=page, mark=mark, correction=correction)
