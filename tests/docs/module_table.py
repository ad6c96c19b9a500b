"""The tables of modules in DEVELOPERS.md, from the first lines of their docstrings."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

from tests.rooms import PATTERNS, TILING, House
from tests.sources import tree_of

__all__ = ["with_module_tables"]

BEGIN, END = "<!-- modules: written by python -m tests.docs -->", "<!-- end of modules -->"


def with_module_tables(text: str) -> str:
    """DEVELOPERS.md with its tables of modules as they must be."""
    before, _, rest = text.partition(BEGIN)
    _, end, after = rest.partition(END)
    assert end, f"DEVELOPERS.md has no {BEGIN} ... {END}"
    tables = "\n".join(line for house in (PATTERNS, TILING) for line in _tables(house))
    return f"{before}{BEGIN}\n\n{tables}\n{END}{after}"


def _tables(house: House) -> Iterator[str]:
    """A table for the package itself and one for each of its rooms, the lowest first."""
    folders: dict[str, list[str]] = {}
    for name in house.files:
        _, _, own = name.partition(".")
        folder, _, module = own.rpartition(".")
        if house.files[name].name != "__init__.py":
            folders.setdefault(folder, []).append(module)
    for folder in sorted(folders, key=lambda folder: _height(house, folder)):
        package = f"{house.package}.{folder}".rstrip(".")
        yield f"**`{package.replace('.', '/')}/`** {_first_line(house.files[package])}\n"
        yield "| module | subject |\n|---|---|"
        for module in sorted(folders[folder]):
            yield f"| `{module}` | {_first_line(house.files[f'{package}.{module}'])} |"
        yield ""


def _height(house: House, folder: str) -> int:
    """The package's own modules first, then its rooms in their order."""
    rooms = {room: i for i, level in enumerate(house.order) for room in level}
    return rooms[folder] if folder else -1


def _first_line(path: Path) -> str:
    words = ast.get_docstring(tree_of(path)) or ""
    return words.splitlines()[0].replace("|", "\\|")
