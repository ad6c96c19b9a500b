"""What every page paints, as the writer means it: the record that a finished file carries of its own ink.

It is kept by units: the operators that a page begins with, those that go on with it, and each form.  A unit is
noted from the operators as they leave the writer, before they are packed, and lists everything painted with its
look and its points; the pages list their units.  Units are attached some at a time, so that memory does not grow.
"""

from __future__ import annotations

import hashlib
import json
from array import array
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tiling.paper import Box
from tiling.pdf.graphics_state import STILL, Matrix
from tiling.pdf.interpreter import Interpreter
from tiling.pdf.page_content import Item, PageContent, Placed

__all__ = [
    "BOUND", "CODE_FORM", "INDEX", "NO_CODE", "InkRecord", "bound", "font_digest", "packed", "part_file",
    "short_code", "unpacked", "with_code",
]  # fmt: skip

INDEX = "ink.json"
PER_MM = 1000.0
AT_ONCE = 256  # units in one attached file
POINTS = 40_000  # of all units of one attached file; no more are begun
BOUND = "record "  # before its digest in the file's own description
CODE_FORM = "Record"  # the form that shows the record's short code
NO_CODE = "000000"  # stands for the code in the record itself, which cannot know it
LAST = 2**31  # more than there are units
ANYWHERE: Box = (-9000.0, -9000.0, 9000.0, 9000.0)  # mm; what a form may reach


def part_file(number: int) -> str:
    """The name of an attached file of units, counted from 0."""
    return f"ink-{number}.bin"


def bound(digests: Mapping[str, str]) -> str:
    """One digest of a record from those of its files by their names."""
    whole = hashlib.sha256("".join(f"{name} {digests[name]}\n" for name in sorted(digests)).encode())
    return whole.hexdigest()[:32]


def short_code(digest: str) -> str:
    """The first figures of a record's digest, as page 1 shows them."""
    return digest[: len(NO_CODE)].upper()


def with_code(unit: PageContent, code: str) -> PageContent:
    """What the form with the code paints, the code put in."""
    items = [Item(item.what.replace(NO_CODE, code), item.look, item.count, item.thing) for item in unit.items]
    return PageContent(items=items, looks=unit.looks, points=unit.points)


def font_digest(
    *,
    kind: str,
    first: int,
    widths: Sequence[float],
    encoding: str,
    flags: int,
    program: bytes,
    words: bytes,
) -> str:
    """A short name of everything that makes a font print and read as it does.

    Args:
        kind: of the font.
        first: the first code that has a width.
        widths: in thousandths of the type's size.
        encoding: as written; empty for none.
        program: the letters' shapes.
        words: the map from codes to characters.
    """
    facts = [kind, first, [round(width, 1) for width in widths], encoding, flags]
    whole = hashlib.sha256(json.dumps(facts).encode())
    for data in (program, words):
        whole.update(hashlib.sha256(data).digest())
    return whole.hexdigest()[:20]


def packed(units: Sequence[PageContent]) -> bytes:
    """Units as one attached file: a line of JSON, then the differences of all points, bytes sorted by rank."""
    heads = [
        [[_rounded(look) for look in unit.looks], [[item.what, item.look, item.count] for item in unit.items]]
        for unit in units
    ]
    points = np.concatenate([np.zeros((0, 2)), *[unit.points for unit in units]])
    whole = np.rint(points * PER_MM).clip(-(2**30), 2**30).astype("<i4")
    steps = np.diff(whole, axis=0, prepend=np.zeros((1, 2), dtype="<i4")).astype("<i4")
    sorted_ = steps.T.reshape(-1).view(np.uint8).reshape(-1, 4).T.tobytes()
    return json.dumps(heads, separators=(",", ":")).encode() + b"\n" + sorted_


def unpacked(data: bytes) -> list[PageContent]:
    """The units of an attached file.

    Raises:
        ValueError, TypeError, IndexError, KeyError: it is none.
    """
    head, _, body = data.partition(b"\n")
    bytes_: NDArray[np.uint8] = np.frombuffer(body, dtype=np.uint8).reshape(4, -1).T
    steps = np.ascontiguousarray(bytes_).view("<i4").reshape(2, -1).T
    points = np.cumsum(steps, axis=0, dtype=np.int64) / PER_MM
    found, at = [], 0
    for looks, items in json.loads(head):
        listed = [Item(str(what), int(look), int(count)) for what, look, count in items]
        count = sum(item.count for item in listed)
        found.append(PageContent(items=listed, looks=looks, points=points[at : at + count]))
        at += count
    if at != len(points):
        raise ValueError("the points do not fit the items")
    return found


def _rounded(value: Any) -> Any:
    """A look with its numbers to the ten thousandth."""
    if isinstance(value, float):
        return round(value, 4)
    if isinstance(value, dict):
        return {key: _rounded(each) for key, each in value.items()}
    return [_rounded(each) for each in value] if isinstance(value, (list, tuple)) else value


class InkRecord:
    """The record in the making.

    Args:
        to_mm: from the page's points to mm.
        sheet: the page, mm.
        layer: from what operators call a layer to its name.
    """

    def __init__(
        self,
        *,
        to_mm: Matrix,
        sheet: Box,
        layer: Callable[[str], str],
    ) -> None:
        self._to_mm, self._sheet, self._layer = to_mm, sheet, layer
        self._ready: list[tuple[str, bytes]] = []
        self._open: list[PageContent] = []
        self._firsts = [0]  # the first unit of each attached file
        self._count = 0
        self._forms: dict[str, int] = {}
        self._pages = array("I")  # the units of all pages; the last of each page with `LAST`

    # What operators name

    def font(self, name: str) -> str:
        """A font, as its page calls it."""
        return name

    def placed(self, name: str) -> Placed:
        """A form, by its name."""
        if name not in self._forms:
            raise KeyError(name)
        return Placed(kind=f"form {name}")

    def layer(self, properties: Any) -> str:
        """A layer's name."""
        return self._layer(str(properties))

    def settings(self, name: str) -> dict[str, Any]:
        """The writer has no dictionaries of settings."""
        raise KeyError(name)

    def space(self, name: str) -> str:
        """Colour spaces are named as such."""
        return name

    # Units

    def begun(self, operators: bytes) -> int:
        """Note the operators that a page begins with; gives the number of their unit."""
        return self._note(Interpreter(self, self._to_mm, self._sheet).run(operators))

    def gone_on(self, operators: bytes) -> int:
        """Note operators that go on in the page's millimetres."""
        return self._note(Interpreter(self, STILL, self._sheet).run(operators))

    def form(self, name: str, operators: bytes) -> None:
        """Note what a form draws."""
        self._forms[name] = self._note(Interpreter(self, STILL, ANYWHERE).run(operators))

    def page(self, units: Sequence[int]) -> None:
        """Note the next page."""
        self._pages.extend(units)
        self._pages[-1] |= LAST

    def _note(self, unit: PageContent) -> int:
        self._open.append(unit)
        self._count += 1
        if len(self._open) == AT_ONCE or sum(len(each.points) for each in self._open) > POINTS:
            self._close()
        return self._count - 1

    def _close(self) -> None:
        if self._open:
            self._ready.append((part_file(len(self._firsts) - 1), packed(self._open)))
            self._open = []
            self._firsts.append(self._count)

    def ready(self) -> Iterator[tuple[str, bytes]]:
        """Names and bytes of the files that are ready to be attached, each once."""
        while self._ready:
            yield self._ready.pop(0)

    def finish(self, fonts: Mapping[str, str]) -> None:
        """Make ready what is left, and the list of all.

        Args:
            fonts: the digest of each.
        """
        self._close()
        index = {
            "fonts": dict(fonts),
            "forms": self._forms,
            "parts": self._firsts,
        }
        data = bytearray(json.dumps(index, separators=(",", ":")).encode().removesuffix(b"}"))
        data += b',"pages":['
        for row in self._rows():  # of a long file all rows as values would fill the memory
            data += b"[%b]," % ",".join(map(str, row)).encode()
        self._ready.append((INDEX, bytes(data).removesuffix(b",") + b"]}"))

    def _rows(self) -> Iterator[list[int]]:
        row: list[int] = []
        for unit in self._pages:
            row.append(unit & ~LAST)
            if unit & LAST:
                yield row
                row = []
