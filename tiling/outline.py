"""The outline of a file: lines that lead to its pages, in levels.

Source: ISO 32000-1:2008, 12.3.3 (document outline; section number from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

__all__ = ["Entry", "write_outline"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A line of the outline: its words, the page that it leads to (from 0), and the lines below it."""

    title: str
    page: int
    below: tuple[Entry, ...] = ()


class Objects(Protocol):
    """A file that takes objects one by one."""

    def new_number(self) -> int:
        """A number for an object that is written at once."""

    def page_number(self, index: int) -> int:
        """The number of a page's object."""

    def string(self, text: str) -> str:
        """A string as it is written."""

    def write_object(self, number: int, data: bytes) -> None:
        """Write an object."""


def write_outline(entries: Sequence[Entry], number: int, file: Objects) -> str:
    """Write the lines of an outline, each level closed up; returns the outline's own object.

    Args:
        entries: one at least.
        number: of the outline's own object.
    """
    first, last = _level(entries, number, file)
    return f"<< /Type /Outlines /First {first} 0 R /Last {last} 0 R /Count {len(entries)} >>"


def _level(entries: Sequence[Entry], parent: int, file: Objects) -> tuple[int, int]:
    numbers = [file.new_number() for _ in entries]
    for place, entry in enumerate(entries):
        links = f"/Parent {parent} 0 R"
        if place:
            links += f" /Prev {numbers[place - 1]} 0 R"
        if place + 1 < len(entries):
            links += f" /Next {numbers[place + 1]} 0 R"
        if entry.below:
            first, last = _level(entry.below, numbers[place], file)
            links += f" /First {first} 0 R /Last {last} 0 R /Count -{len(entry.below)}"
        target = f"/Dest [{file.page_number(entry.page)} 0 R /Fit]"
        data = f"<< /Title {file.string(entry.title)} {links} {target} >>"
        file.write_object(numbers[place], data.encode("latin-1"))
    return numbers[0], numbers[-1]
