"""Every kind of member, by which the design file is read.

The kinds are the members' own files, above this room: they are looked for when the first design is read, not when
this module is imported, so that nothing here depends on how a member is made.
"""

from __future__ import annotations

import importlib
from collections.abc import Iterator
from functools import cache

from patterns.design.kind import EntryKind, Table
from patterns.design.part import Part

__all__ = ["kinds", "member_tables", "table_of"]

HOME = "patterns.members"  # the package that has a file for each kind


@cache
def kinds() -> tuple[EntryKind, ...]:
    """Every kind of member, in order."""
    found: tuple[EntryKind, ...] = importlib.import_module(HOME).KINDS
    return found


def member_tables() -> Iterator[Table]:
    """Every table of every kind, in order."""
    for kind in kinds():
        yield from kind.tables


@cache
def table_of(model: type[Part]) -> Table | None:
    """The table in which a piece of a class is asked for; None for what is not a member."""
    return next((table for table in member_tables() if issubclass(model, table.model)), None)
