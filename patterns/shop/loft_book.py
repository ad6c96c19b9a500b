"""The loft book: the boat's lines, tables and lists on ordinary pages, to be pinned to the shop's wall."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import BinaryIO

import numpy as np

from patterns.boat import Boat
from patterns.pattern import Pattern
from patterns.shop.book_planking import add_planking
from patterns.shop.book_purchase import add_purchase
from patterns.shop.book_stock import add_cut_list, add_index, add_sheets
from patterns.shop.book_tables import add_bevels, add_hydrostatics, add_offsets, add_set_up
from patterns.shop.construction import add_construction, construction_of
from patterns.shop.curvature import bend_words, curvature_plot, curvatures
from patterns.shop.purchase import purchase_of
from patterns.shop.set_up import SetUpPiece
from patterns.shop.sheets import Sheets
from patterns.shop.sighting import add_sighting
from patterns.shop.stock import StockCuts
from patterns.shop.views import body_plan, common_scale, every_line, plan, profile, sampled
from tiling.books.book import Book, Cover
from tiling.paper import Page

__all__ = ["write_loft_book"]

NAMES = 34.0  # mm of the page's breadth kept for the names beside a view
BODY_TALL = 90.0  # mm of paper that the body plan may take
NOTE = 2.5  # height of a capital, mm


def write_loft_book(
    stream: BinaryIO,
    boat: Boat,
    patterns: Sequence[Pattern],
    *,
    page: Page,
    mark: str,
    standing: Sequence[SetUpPiece] = (),
    stocks: Sequence[StockCuts] = (),
    sheets: Sequence[Sheets] = (),
    places: Mapping[str, tuple[int, int]] | None = None,
) -> int:
    """Write the book; returns how many pages it has.

    Args:
        patterns: those that are made; without any the book has the lines and the table alone.
        standing: where frames, moulds and transoms stand.
        stocks, sheets: what is sawn of what, and how it lies there.
        places: each pattern's first and last page in the file of patterns.
    """
    cover = Cover(title=boat.design.boat.name, subject="loft book", mark=mark, creator="scrieve")
    book = Book(stream, cover, page)
    _lines(book, boat)
    add_hydrostatics(book, boat)
    add_sighting(book, boat)
    _curvature(book, boat)
    add_offsets(book, boat)
    add_planking(book, boat)
    if patterns:
        add_construction(book, boat, patterns)
        add_set_up(book, boat, patterns, standing)
        add_bevels(book, patterns)
        add_cut_list(book, stocks)
        add_purchase(book, boat, purchase_of(boat, stocks, sheets))
        add_sheets(book, sheets)
        numbers = {each.name: each.number for each in construction_of(boat, tuple(patterns)).members}
        add_index(book, patterns, places or {}, numbers)
    return book.finish()


def _lines(book: Book, boat: Boat) -> None:
    points = np.vstack([sampled(curve) for _, curve in every_line(boat)])
    length = float(np.ptp(points[:, 0]))
    scale = common_scale((book.room - NAMES) / length)
    book.chapter("Lines")
    book.heading(f"Profile, 1:{scale}")
    book.picture(profile(boat, 1.0 / scale, height=NOTE))
    book.heading(f"Plan, 1:{scale}")
    book.picture(plan(boat, 1.0 / scale, height=NOTE))
    breadth, tall = 2.0 * float(points[:, 1].max()), float(np.ptp(points[:, 2]))
    body = common_scale(min((book.room - NAMES) / breadth, BODY_TALL / tall))
    book.heading(f"Body plan, 1:{body}", keep=tall / body + 25.0)
    book.picture(body_plan(boat, 1.0 / body, height=NOTE))
    book.paragraph(
        "Dots are the offsets as typed, a ring marks one that the batten doubts. Level lines are the base and "
        "the waterlines; dashed in the plan are the same waterlines, dashed in the profile the deck on the "
        f"centreline and any buttocks. The lines are given to the {boat.design.table.lines_to}. Do not measure "
        "from these pictures: measure from the tables."
    )


def _curvature(book: Book, boat: Boat) -> None:
    found = curvatures(boat)
    if not found:
        return
    length = max(float(np.ptp(bend.x)) for bend in found)
    scale = (book.room - NAMES) / length
    book.chapter(
        "Curvature",
        words="Sight along these as along a batten: the curve should swell and fall away without bumps, and "
        "cross the middle line no oftener than the designer meant. Full: as faired. Dashed: as typed, by a "
        "spline through every offset. Below: the station and how far its offset was moved, in mm.",
    )
    for bend in found:
        book.heading(f"{bend.line}, {bend.view}: {bend_words(bend)}", keep=34.0)
        book.picture(curvature_plot(bend, scale, height=NOTE))
