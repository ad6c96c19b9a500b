"""A class's name has one meaning in the project."""

from __future__ import annotations

import ast
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parents[1]

# These still have two, or three: one is to be renamed when its file is next worked on.  None may be added.
STILL_SHARED = {
    "Arm", "Deck", "Distance", "End", "Kind", "Landing", "Measured", "Notch", "Note", "Part", "Piece", "Profile",
    "Scale", "Stretch",
}  # fmt: skip


def _classes() -> Counter[str]:
    """How many modules make a public class of each name."""
    return Counter(
        node.name
        for package in ("patterns", "tiling")
        for path in (ROOT / package).rglob("*.py")
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_")
    )


def test_no_other_class_has_a_name_that_is_taken() -> None:
    classes = _classes()
    assert classes["Pattern"] == 1
    assert {name for name, count in classes.items() if count > 1} <= STILL_SHARED
