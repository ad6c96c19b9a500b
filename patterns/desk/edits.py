"""An edit that the page asked for, as a function of what the file holds."""

from __future__ import annotations

import codecs
import tomllib
from typing import Any

from patterns.design.keys import KeyShape, key_texts
from patterns.design.parts import DESIGN_FILE
from patterns.design.toml_text import TomlTextError, with_entry, with_value
from patterns.desk.files import EditRefusedError
from patterns.desk.form import allowed_tables, shape_of
from patterns.desk.requests import (
    AddColumn,
    AddRow,
    AddTable,
    CellsTyped,
    DropColumn,
    DropRow,
    FileRequest,
    SetKey,
)
from patterns.table.sheet_text import SheetText, sheet_text

__all__ = ["edited"]


def edited(request: FileRequest, data: bytes) -> bytes:
    """A file's bytes after an edit.

    Raises:
        SheetTextError: it is not a table, or would be another than is meant.
        TomlTextError: the design file cannot be edited so.
        EditRefusedError: the edit is of a row, column or kind that is not there.
    """
    if isinstance(request, (SetKey, AddTable)):
        return _of_design(request, data)
    return _edited(request, sheet_text(data)).data


def _of_design(request: SetKey | AddTable, data: bytes) -> bytes:
    mark = codecs.BOM_UTF8 if data.startswith(codecs.BOM_UTF8) else b""
    try:
        text = data[len(mark) :].decode()
        raw = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise TomlTextError(f"{DESIGN_FILE} cannot be read; correct it in a text editor first") from error
    if request.file != DESIGN_FILE:
        raise EditRefusedError("this file has no keys; nothing was written")
    if isinstance(request, SetKey):
        shape = shape_of(raw, request.table, request.number, request.key)
        value = _value(request.value, shape)
        return mark + with_value(text, request.table, request.number, request.key, value).encode()
    kind = allowed_tables(raw).get(request.table)
    model = kind.models.get(request.kind) if kind is not None else None
    if kind is None or model is None:
        raise EditRefusedError("the design file has no such table; nothing was written")
    values = {key.name: [] if key.shape == "list" else "" for key in key_texts(model) if key.required}
    if request.kind:
        values[kind.told_by] = request.kind
    return mark + with_entry(text, request.table, values, many=kind.many).encode()


def _value(typed: str | list[str] | None, shape: KeyShape) -> Any:
    """What is written: a number where the key is a whole number, words otherwise."""
    if isinstance(typed, list):
        return [each for each in typed if each.strip()]
    if shape == "list" and typed is not None:
        return [line for line in typed.split("\n") if line.strip()]
    if shape == "yes or no" and typed in ("true", "false"):
        return typed == "true"
    if shape == "number" and typed is not None and typed.strip().isascii() and typed.strip().isdigit():
        return int(typed) if len(typed) < 10 else typed
    return typed


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
