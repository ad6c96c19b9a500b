"""A class's name has one meaning in the project."""

from __future__ import annotations

import ast
from collections import Counter
from pathlib import Path

from tests.sources import tree_of

ROOT = Path(__file__).parents[1]

# Of a boat and of a drawing: what patterns calls so becomes in tiling what tiling calls so.  None may be added.
STILL_SHARED = {"Distance", "Note", "Piece"}


def _classes() -> Counter[str]:
    """How many modules make a public class of each name."""
    return Counter(
        node.name
        for package in ("patterns", "tiling")
        for path in (ROOT / package).rglob("*.py")
        for node in tree_of(path).body
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_")
    )


def test_no_other_class_has_a_name_that_is_taken() -> None:
    classes = _classes()
    assert classes["Pattern"] == 1
    assert {name for name, count in classes.items() if count > 1} <= STILL_SHARED
