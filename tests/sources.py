"""The sources of both packages as trees, read once for all tests that look at them."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path

__all__ = ["nodes_of", "tree_of"]


@cache
def tree_of(path: Path) -> ast.Module:
    """The module in a file."""
    return ast.parse(path.read_text(encoding="utf-8"))


@cache
def nodes_of(path: Path) -> tuple[ast.AST, ...]:
    """Everything in it, whatever it lies in."""
    return tuple(ast.walk(tree_of(path)))
