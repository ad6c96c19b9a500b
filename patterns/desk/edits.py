"""An edit that the page asked for, as a function of what the file holds."""

from __future__ import annotations

from patterns.desk.files import EditRefusedError
from patterns.desk.requests import AddColumn, AddRow, CellsTyped, DropColumn, DropRow, FileRequest
from patterns.table.sheet_text import SheetText, sheet_text

__all__ = ["edited"]


def edited(request: FileRequest, data: bytes) -> bytes:
    """A table's bytes after an edit.

    Raises:
        SheetTextError: it is no table, or would be another than is meant.
        EditRefusedError: the edit is of a row or column that is not there.
    """
    return _edited(request, sheet_text(data)).data


def _edited(request: FileRequest, table: SheetText) -> SheetText:
    typed = table.typed()
    columns = max((len(cells) for cells in typed.values()), default=0)
    match request:
        case CellsTyped():
            return table.with_cells({(row, column): text for row, column, text in request.cells})
        case AddColumn() if request.at <= columns:
            return table.with_column(request.at, request.heading, first=next(iter(typed)))
        case DropColumn() if request.at < columns:
            return table.without_column(request.at)
        case AddRow():
            return table.with_row(max(request.at, 1), request.cells)
        case DropRow() if request.at in typed:
            return table.without_row(request.at)
        case _:
            raise EditRefusedError("there is no such row or column; nothing was written")
