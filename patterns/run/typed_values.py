"""A design as it was typed: what its files say, without remarks, and without how they are laid out.

Marks are made of it.  A spreadsheet that saves a table again, a line moved in the design file or a remark beside it
changes no pattern, and no mark.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from patterns.design.parts import DESIGN_FILE, read_toml
from patterns.measure import tidy
from patterns.table.spreadsheet import is_empty, read_sheet

__all__ = ["typed_values"]

SILENT = {"confirmed", "without"}  # keys of the boat that only keep `check` quiet


def typed_values(folder: Path, files: Iterable[str]) -> str:
    """Every value that the files hold, as typed but for spaces, kinds of dash and quote, and the order of keys.

    Args:
        files: of a design that was read without errors; their names do not count, their order does.
    """
    found: list[object] = []
    for name in files:
        if name == DESIGN_FILE:
            raw, _ = read_toml(folder)
            found.append(_plain({**raw, "boat": _sounding(raw.get("boat"))}))
        else:
            sheet, _ = read_sheet(folder / name)
            found.append([] if sheet is None else [_cells(row.texts) for row in sheet.rows])
    return json.dumps(found, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def _sounding(boat: object) -> object:
    return (
        {key: value for key, value in boat.items() if key not in SILENT}
        if isinstance(boat, Mapping)
        else boat
    )


def _plain(value: Any) -> Any:
    """Tables and lists as they are, words tidied, every other value with its kind."""
    if isinstance(value, Mapping):
        return {str(key): _plain(each) for key, each in value.items()}
    if isinstance(value, list):
        return [_plain(each) for each in value]
    return tidy(value) if isinstance(value, str) else [type(value).__name__, str(value)]


def _cells(texts: Iterable[str]) -> list[str]:
    """The cells of a row; one left empty on purpose is empty, and none of those at the end counts."""
    cells = ["" if is_empty(text) else tidy(text) for text in texts]
    while cells and not cells[-1]:
        cells.pop()
    return cells
