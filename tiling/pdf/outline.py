"""The outline of a file: lines that lead to its pages, in levels.

Source: ISO 32000-1:2008, 12.3.3 (document outline; section number from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tiling.pdf.objects import Objects

__all__ = ["Entry", "write_outline"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A line of the outline.

    Attributes:
        title: its words.
        page: that it leads to, from 0.
        below: gives the lines below it, when it is written: all of a long file's would fill the memory.
    """

    title: str
    page: int
    below: Callable[[], Sequence[Entry]] = tuple


def write_outline(entries: Sequence[Entry], number: int, objects: Objects, pages: Sequence[int]) -> str:
    """Write the lines of an outline, each level closed up; returns the outline's own object.

    Args:
        entries: one at least.
        number: of the outline's own object.
        pages: the number of each page's object.
    """
    first, last = _level(entries, number, objects, pages)
    return f"<< /Type /Outlines /First {first} 0 R /Last {last} 0 R /Count {len(entries)} >>"


def _level(entries: Sequence[Entry], parent: int, objects: Objects, pages: Sequence[int]) -> tuple[int, int]:
    numbers = [objects.new_number() for _ in entries]
    for place, entry in enumerate(entries):
        links = f"/Parent {parent} 0 R"
        if place:
            links += f" /Prev {numbers[place - 1]} 0 R"
        if place + 1 < len(entries):
            links += f" /Next {numbers[place + 1]} 0 R"
        below = entry.below()
        if below:
            first, last = _level(below, numbers[place], objects, pages)
            links += f" /First {first} 0 R /Last {last} 0 R /Count -{len(below)}"
        target = f"/Dest [{pages[entry.page]} 0 R /Fit]"
        data = f"<< /Title {objects.string(entry.title)} {links} {target} >>"
        objects.write(numbers[place], data.encode("latin-1"))
    return numbers[0], numbers[-1]
