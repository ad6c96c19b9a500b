"""Which column of a list is which, by the headings in its first row."""

from __future__ import annotations

from collections.abc import Sequence

from patterns.measure.nearest import nearest, written
from patterns.table.cell_lengths import CellReader
from patterns.table.spreadsheet import Row

__all__ = ["columns_of"]


def columns_of(
    reader: CellReader, row: Row, *, needed: Sequence[str], more: Sequence[str], of: str
) -> dict[str, int] | None:
    """The number of each column by its heading; None where a needed one is missing.

    Unknown headings, those that stand twice and missing ones are problems of the reader.

    Args:
        row: the first row.
        needed, more: headings that must and that may be there, in small letters.
        of: what is listed, in words.
    """
    known = (*needed, *more)
    headings = [text.lower() for text in row.texts]
    for column, heading in enumerate(headings):
        place = reader.place(row, column, "")
        if heading and heading not in known:
            guess = nearest(heading, known) or f"the headings are {written(known)}"
            reader.trouble(
                place, f'"{row.texts[column]}" is not a heading of {of}', guess, code="unknown-heading"
            )
        elif heading and headings.index(heading) != column:
            reader.trouble(
                place, f'the heading "{heading}" is there twice', "keep one of them", code="heading-twice"
            )
    missing = [heading for heading in needed if heading not in headings]
    for heading in missing:
        reader.trouble(
            f"{reader.sheet.file}, row {row.number}",
            f'the column "{heading}" is missing',
            f"the first row holds {', '.join(known)}",
            code="column-missing",
        )
    return None if missing else {heading: headings.index(heading) for heading in known if heading in headings}
