"""The tables of a TrueType font, as far as pages need them: characters, how wide each is, its box, its outline.

A general font reader costs more at start-up than all the words of a job.  Source of the tables' layout: the
OpenType specification (ISO/IEC 14496-22), chapters cmap (format 4), glyf, head, hhea, hmtx and loca.
"""

from __future__ import annotations

from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

__all__ = ["Glyphs"]

_ON, _SHORT_X, _SHORT_Y, _AGAIN, _SAME_X, _SAME_Y = 1, 2, 4, 8, 16, 32  # flags of a point
_WORDS, _OFFSETS, _SCALE, _MORE, _SCALES, _MATRIX = 1, 2, 8, 32, 64, 128  # flags of a part of a glyph


def tables_of(data: bytes) -> dict[bytes, int]:
    """Where each table begins."""
    count = int.from_bytes(data[4:6], "big")
    records = (data[12 + 16 * i : 28 + 16 * i] for i in range(count))
    return {record[:4]: int.from_bytes(record[8:12], "big") for record in records}


def numbers(data: bytes, at: int, count: int, kind: str = ">u2") -> list[int]:
    return [int(number) for number in np.frombuffer(data, dtype=kind, count=count, offset=at)]


def _characters(data: bytes, cmap: int) -> dict[int, int]:
    """Glyph number of each code point, from the cmap subtable of format 4."""
    for i in range(numbers(data, cmap + 2, 1)[0]):
        at = cmap + numbers(data, cmap + 8 + 8 * i, 1, ">u4")[0]
        if numbers(data, at, 1)[0] == 4:
            break
    else:
        raise ValueError("the font has no cmap subtable of format 4")
    half = numbers(data, at + 6, 1)[0] // 2
    ends = numbers(data, at + 14, half)
    starts = numbers(data, at + 16 + 2 * half, half)
    deltas = numbers(data, at + 16 + 4 * half, half)
    offsets_at = at + 16 + 6 * half
    offsets = numbers(data, offsets_at, half)
    glyphs: dict[int, int] = {}
    for i, (start, end, delta, offset) in enumerate(zip(starts, ends, deltas, offsets, strict=True)):
        if start == 0xFFFF:
            continue
        listed = numbers(data, offsets_at + 2 * i + offset, end - start + 1) if offset else None
        for code in range(start, end + 1):
            glyph = code if listed is None else listed[code - start]
            glyph = (glyph + delta) % 0x10000 if listed is None or glyph else 0
            if glyph:
                glyphs[code] = glyph
    return glyphs


class Glyphs:
    """The letters of a font; lengths in its own units.

    Args:
        data: of the file.
    """

    def __init__(self, data: bytes) -> None:
        self._data = data
        self._tables = tables_of(data)
        self.em = self._numbers(b"head", 18, 1)[0]

    def _numbers(self, table: bytes, at: int, count: int, kind: str = ">u2") -> list[int]:
        return numbers(self._data, self._tables[table] + at, count, kind)

    @cached_property
    def by_code(self) -> dict[int, int]:
        """The number of a glyph by its code point."""
        return _characters(self._data, self._tables[b"cmap"])

    @cached_property
    def _advances(self) -> list[int]:
        full = self._numbers(b"hhea", 34, 1)[0]
        return self._numbers(b"hmtx", 0, 2 * full)[::2]

    @cached_property
    def _places(self) -> list[int]:
        """Where each glyph begins in its table."""
        count = self._numbers(b"maxp", 4, 1)[0]
        if self._numbers(b"head", 50, 1)[0]:
            return self._numbers(b"loca", 0, count + 1, ">u4")
        return [2 * place for place in self._numbers(b"loca", 0, count + 1)]

    def advance(self, glyph: int) -> int:
        """How wide a glyph is."""
        return self._advances[min(glyph, len(self._advances) - 1)]

    def _empty(self, glyph: int) -> bool:
        return self._places[glyph + 1] <= self._places[glyph]

    def box(self, glyph: int) -> list[int]:
        """The box of its ink: least x, least y, greatest x, greatest y."""
        return [0] * 4 if self._empty(glyph) else self._numbers(b"glyf", self._places[glyph] + 2, 4, ">i2")

    def outline(self, glyph: int) -> list[NDArray[np.float64]]:
        """Its closed lines, each of shape (n, 2); their curves are broken up."""
        if self._empty(glyph):
            return []
        at = self._tables[b"glyf"] + self._places[glyph]
        count = numbers(self._data, at, 1, ">i2")[0]
        return _simple(self._data, at + 10, count) if count >= 0 else self._of_parts(at + 10)

    def _of_parts(self, at: int) -> list[NDArray[np.float64]]:
        found: list[NDArray[np.float64]] = []
        flags = _MORE
        while flags & _MORE:
            flags, glyph = numbers(self._data, at, 2)
            x, y = numbers(self._data, at + 4, 2, ">i2" if flags & _WORDS else ">i1")
            at += 8 if flags & _WORDS else 6
            count = 4 if flags & _MATRIX else 2 if flags & _SCALES else 1 if flags & _SCALE else 0
            given = [number / 16384.0 for number in numbers(self._data, at, count, ">i2")]
            at += 2 * count
            matrix = np.eye(2)
            if count:
                matrix = np.reshape(given, (2, 2)) if count == 4 else np.diag(np.resize(given, 2))
            shift = (x, y) if flags & _OFFSETS else (0, 0)
            found += [line @ matrix + shift for line in self.outline(glyph)]
        return found


def _simple(data: bytes, at: int, count: int) -> list[NDArray[np.float64]]:
    """The lines of a glyph that has no parts."""
    ends = numbers(data, at, count)
    total = ends[-1] + 1 if ends else 0
    at += 2 * count
    at += 2 + numbers(data, at, 1)[0]  # the instructions
    flags: list[int] = []
    while len(flags) < total:
        flag = data[at]
        at += 1
        times = 1
        if flag & _AGAIN:
            times += data[at]
            at += 1
        flags += [flag] * times
    ways = []
    for short, same in ((_SHORT_X, _SAME_X), (_SHORT_Y, _SAME_Y)):
        steps = []
        for flag in flags:
            if flag & short:
                steps.append(data[at] if flag & same else -data[at])
                at += 1
            elif flag & same:
                steps.append(0)
            else:
                steps.append(numbers(data, at, 1, ">i2")[0])
                at += 2
        ways.append(np.cumsum(steps))
    points, on = np.column_stack(ways).astype(float), np.array(flags) & _ON == _ON
    starts = [0, *[end + 1 for end in ends]]
    return [_broken(points[a:b], on[a:b]) for a, b in pairwise(starts) if b > a]


def _broken(points: NDArray[np.float64], on: NDArray[np.bool_], pieces: int = 5) -> NDArray[np.float64]:
    """A line with its quadratic curves broken up; between two points off the line lies one on it, half way."""
    whole: list[tuple[NDArray[np.float64], bool]] = []
    for i in range(len(points)):
        if not on[i] and not on[i - 1]:
            whole.append((0.5 * (points[i - 1] + points[i]), True))
        whole.append((points[i], bool(on[i])))
    first = next(i for i, (_, is_on) in enumerate(whole) if is_on)
    whole = whole[first:] + whole[: first + 1]
    found, steps = [whole[0][0]], np.linspace(0.0, 1.0, pieces + 1)[1:, None]
    for i in range(1, len(whole)):
        point, is_on = whole[i]
        if is_on and whole[i - 1][1]:
            found.append(point)
        elif is_on:
            a, b = whole[i - 2][0], whole[i - 1][0]
            found += list((1 - steps) ** 2 * a + 2 * steps * (1 - steps) * b + steps**2 * point)
    return np.array(found)
