"""The rooms of tiling: each imports only those before it, and no file leads back to itself."""

from __future__ import annotations

import ast
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]

# A module may import from its own room and from those before it; "" are the modules that tie the rooms together.
ROOMS = (
    "errors",
    "drawing",
    "text",
    "paper",
    "layout",
    "lettering",
    "distances",
    "pdf",
    "planning",
    "pages",
    "books",
    "proof",
    "",
)
TIES = {"tiling", "tiling.job", "tiling.sets", "tiling.svg"}

FILES = {
    ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): path
    for path in (ROOT / "tiling").rglob("*.py")
}


def _needs(name: str) -> set[str]:
    """The files of tiling that a file imports, at its top or inside a function."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(FILES[name].read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, (name, node.lineno)
            found |= {
                within if within in FILES else str(node.module)
                for within in (f"{node.module}.{alias.name}" for alias in node.names)
            }
    return {need for need in found if need.split(".")[0] == "tiling"}


def _room(name: str) -> str:
    return "" if name in TIES else name.split(".")[1]


def test_every_file_has_a_room() -> None:
    assert {_room(name) for name in FILES} == set(ROOMS)
    assert set(FILES) >= TIES


@pytest.mark.parametrize("room", ROOMS)
def test_a_room_imports_only_rooms_before_it(room: str) -> None:
    allowed = set(ROOMS[: ROOMS.index(room) + 1])
    for name in FILES:
        if _room(name) == room:
            assert {_room(need) for need in _needs(name)} <= allowed, name


def test_no_file_leads_back_to_itself() -> None:
    order = list(TopologicalSorter({name: _needs(name) for name in FILES}).static_order())
    assert set(order) == set(FILES)


def test_within_a_room_nothing_goes_through_its_door() -> None:
    """The room's `__init__` is half made while its files are imported."""
    for name in FILES:
        assert name.rpartition(".")[0] not in _needs(name), name
