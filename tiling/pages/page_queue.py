"""Pages that are made before it is their turn: they wait in a file, as thousands of cards would fill the memory."""

from __future__ import annotations

import weakref
from array import array
from collections.abc import Sequence
from dataclasses import dataclass, field
from tempfile import SpooledTemporaryFile

from tiling.paper import Box

__all__ = ["FrontPage", "Waiting"]

IN_MEMORY = 2**22  # bytes of pages' operators; more go to the disk


@dataclass(frozen=True, slots=True, kw_only=True)
class FrontPage:
    """A page that is no part of a pattern.

    Attributes:
        name: as it is printed.
    """

    name: str
    _kept: Waiting = field(repr=False)
    _at: int
    _size: int
    _links: array[float] = field(repr=False)  # four numbers of the box and one of the page for each

    @property
    def content(self) -> str:
        """Its operators without the strips."""
        return self._kept.read(self._at, self._size)

    @property
    def links(self) -> list[tuple[Box, int]]:
        """Boxes of it, mm, each with the number of the page that it leads to, from 1."""
        values = self._links.tolist()
        return [
            ((x0, y0, x1, y1), int(page)) for x0, y0, x1, y1, page in zip(*[iter(values)] * 5, strict=True)
        ]


class Waiting:
    """The file in which pages wait; it is gone with the last of them."""

    def __init__(self) -> None:
        # closed with this object: a page may be read as long as anybody has it
        self._file = SpooledTemporaryFile(max_size=IN_MEMORY)  # noqa: SIM115
        self._end = 0
        weakref.finalize(self, self._file.close)

    def add(self, name: str, content: str, links: Sequence[tuple[Box, int]]) -> FrontPage:
        """Let a page wait."""
        data = content.encode("latin-1")
        self._file.seek(self._end)
        self._file.write(data)
        at, self._end = self._end, self._end + len(data)
        values = array("d", [value for box, page in links for value in (*box, page)])
        return FrontPage(name=name, _kept=self, _at=at, _size=len(data), _links=values)

    def read(self, at: int, size: int) -> str:
        """What was written there."""
        self._file.seek(at)
        return self._file.read(size).decode("latin-1")
