"""The loft book's small table of what the hull displaces at the designed waterline."""

from __future__ import annotations

from patterns.boat import Boat
from patterns.hydrostatics_words import CAUTION, rows
from tiling.book import Book
from tiling.columns import Column, Row

__all__ = ["add_hydrostatics"]


def add_hydrostatics(book: Book, boat: Boat) -> None:
    """The table, under the chapter before it; nothing where the design has no designed waterline."""
    if boat.hydrostatics is None:
        return
    made = [Row(cells=row) for row in rows(boat.hydrostatics, boat.offsets.notation)]
    book.heading("Hydrostatics of the faired hull to the outside of planking", keep=60.0)
    book.table([Column(head="figure"), Column(head="at the designed waterline")], made)
    book.paragraph(CAUTION)
