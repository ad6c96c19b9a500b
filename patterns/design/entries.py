"""What was read of the design file: entry by entry, and what is wrong with the others."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TypeVar

from pydantic import BaseModel

from patterns.errors import Problem

__all__ = ["Parts"]

Model = TypeVar("Model", bound=BaseModel)


@dataclass(slots=True, kw_only=True)
class Parts:
    """What could be read of the file, entry by entry, and what could not.

    Attributes:
        entries: by table, each entry with its place; only those that were read.
        names: by table, every name that was written (for an end, what it is at), readable or not, so that
            one slip is told once.
        problems: what is wrong.
        unread: the tables of which an entry could not be read, so that nothing may be said of what is missing.
    """

    entries: dict[str, list[tuple[str, BaseModel]]] = field(default_factory=dict)
    names: dict[str, list[str]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    unread: set[str] = field(default_factory=set)

    def all(self, model: type[Model]) -> list[tuple[str, Model]]:
        """Every entry of one class, with its place, in the order of the file."""
        return [
            (place, entry)
            for entries in self.entries.values()
            for place, entry in entries
            if isinstance(entry, model)
        ]

    def one(self, model: type[Model]) -> Model | None:
        """The first entry of one class; None where none was read."""
        return next((entry for _, entry in self.all(model)), None)

    def known(self, tables: Iterable[str]) -> list[str]:
        """Every name in some tables, whether it was typed or is the default of an entry that was read."""
        found: list[str] = []
        for table in tables:
            found += self.names.get(table, [])
            found += [str(getattr(entry, "name", "")) for _, entry in self.entries.get(table, [])]
        return [name for name in dict.fromkeys(found) if name]
