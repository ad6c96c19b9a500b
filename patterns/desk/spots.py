"""Which cell of which table a finding speaks of."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from patterns.table.sheet_text import SheetText
from patterns.table.values import Place

__all__ = ["CellSpot", "spots_by_place"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CellSpot:
    """A cell, or a row.

    Attributes:
        file: the table's name.
        row: as a spreadsheet counts it, from 1.
        column: from 0; None for the whole row.
    """

    file: str
    row: int
    column: int | None = None


def spots_by_place(tables: Mapping[str, SheetText]) -> dict[str, CellSpot]:
    """Every row and cell of some tables, by the words that findings call it.

    A cell has several names: by its letter alone, with its heading, and as a station's.
    """
    found: dict[str, CellSpot] = {}
    for file, table in tables.items():
        typed = table.typed()
        headings = next(iter(typed.values()), ())
        names = [tuple(_names(text)) for text in headings]
        for row, cells in typed.items():
            found[f"{file}, row {row}"] = CellSpot(file=file, row=row)
            for column in range(max(len(cells), len(headings))):
                spot = CellSpot(file=file, row=row, column=column)
                for heading in names[column] if column < len(names) else ("",):
                    found[str(Place(file=file, row=row, column=column, heading=heading))] = spot
    return found


def _names(heading: str) -> Iterator[str]:
    """What a column may be called by its heading."""
    yield from ("", heading, heading.lower())
    word, _, name = heading.partition(" ")
    yield f"station {name if name and word.lower() == 'station' else heading}"
