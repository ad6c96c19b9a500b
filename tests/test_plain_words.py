"""What the tool says, wherever it is written down: no word that makes a builder read a sentence twice."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.sources import nodes_of
from tests.words import unplain

ROOT = Path(__file__).parents[1]
SOURCES = sorted(path for room in ("patterns", "tiling") for path in (ROOT / room).rglob("*.py"))


def _said(path: Path) -> Iterator[str]:
    """Every text of a file that is a sentence or a part of one, docstrings excepted."""
    silent = {
        id(node.value)
        for node in nodes_of(path)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    for node in nodes_of(path):
        is_text = isinstance(node, ast.Constant) and isinstance(node.value, str)
        if is_text and id(node) not in silent and " " in node.value.strip():
            yield node.value


@pytest.mark.parametrize("room", ["patterns", "tiling"])
def test_no_text_has_a_word_that_needs_a_second_reading(room: str) -> None:
    found = [
        (str(path.relative_to(ROOT)), text, words)
        for path in SOURCES
        if path.is_relative_to(ROOT / room)
        for text in _said(path)
        if (words := unplain(text))
    ]
    assert found == []
