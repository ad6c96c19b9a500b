"""The one typeface of every page: how wide words are, and what it can print.

The file is read here, a dozen numbers a table, because a general font reader costs more at start-up
than all the words of a job.  Source of the tables' layout: the OpenType specification (ISO/IEC
14496-22), chapters cmap (format 4), glyf, head, hhea, hmtx and loca.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from pathlib import Path

import numpy as np

__all__ = [
    "ASCENT",
    "DESCENT",
    "FONT_NAME",
    "LINE_PITCH",
    "REPLACEMENT",
    "font_file",
    "printable",
    "register",
    "size_for",
    "text_extent",
    "text_width",
]

FONT_NAME = "DejaVuSans"  # as registered with reportlab

# In heights of a capital.  Vietnamese capitals with two accents reach 1.47, a cedilla reaches -0.35.
ASCENT = 1.47  # top of the tallest letter above the base line
DESCENT = 0.35  # foot of the lowest letter below the base line
LINE_PITCH = 1.75  # from base line to base line

REPLACEMENT = "□"  # stands for a character that the font lacks


def font_file() -> Path:
    """The TrueType file."""
    return Path(__file__).with_name("fonts") / "DejaVuSans-subset.ttf"


@dataclass(frozen=True, slots=True)
class _Metrics:
    """By character its advance, top and foot, and the size of the em; all in heights of a capital."""

    advances: dict[str, float]
    tops: dict[str, float]
    feet: dict[str, float]
    em: float


def _tables(data: bytes) -> dict[bytes, int]:
    """Where each table begins."""
    count = int.from_bytes(data[4:6], "big")
    records = (data[12 + 16 * i : 28 + 16 * i] for i in range(count))
    return {record[:4]: int.from_bytes(record[8:12], "big") for record in records}


def _numbers(data: bytes, at: int, count: int, kind: str = ">u2") -> list[int]:
    return [int(number) for number in np.frombuffer(data, dtype=kind, count=count, offset=at)]


def _characters(data: bytes, cmap: int) -> dict[int, int]:
    """Glyph number of each code point, from the cmap subtable of format 4."""
    for i in range(_numbers(data, cmap + 2, 1)[0]):
        at = cmap + _numbers(data, cmap + 8 + 8 * i, 1, ">u4")[0]
        if _numbers(data, at, 1)[0] == 4:
            break
    else:
        raise ValueError("the font has no cmap subtable of format 4")
    half = _numbers(data, at + 6, 1)[0] // 2
    ends = _numbers(data, at + 14, half)
    starts = _numbers(data, at + 16 + 2 * half, half)
    deltas = _numbers(data, at + 16 + 4 * half, half)
    offsets_at = at + 16 + 6 * half
    offsets = _numbers(data, offsets_at, half)
    glyphs: dict[int, int] = {}
    for i, (start, end, delta, offset) in enumerate(zip(starts, ends, deltas, offsets, strict=True)):
        if start == 0xFFFF:
            continue
        listed = _numbers(data, offsets_at + 2 * i + offset, end - start + 1) if offset else None
        for code in range(start, end + 1):
            glyph = code if listed is None else listed[code - start]
            glyph = (glyph + delta) % 0x10000 if listed is None or glyph else 0
            if glyph:
                glyphs[code] = glyph
    return glyphs


@functools.cache
def _metrics() -> _Metrics:
    data = font_file().read_bytes()
    tables = _tables(data)
    em = _numbers(data, tables[b"head"] + 18, 1)[0]
    long_offsets = _numbers(data, tables[b"head"] + 50, 1)[0]
    full = _numbers(data, tables[b"hhea"] + 34, 1)[0]
    advances = _numbers(data, tables[b"hmtx"], 2 * full)[::2]
    glyphs = _characters(data, tables[b"cmap"])
    count = _numbers(data, tables[b"maxp"] + 4, 1)[0]
    loca = _numbers(data, tables[b"loca"], count + 1, ">u4" if long_offsets else ">u2")
    if not long_offsets:
        loca = [2 * offset for offset in loca]
    boxes = {
        code: _numbers(data, tables[b"glyf"] + loca[glyph], 5, ">i2")
        if loca[glyph + 1] > loca[glyph]
        else [0] * 5
        for code, glyph in glyphs.items()
    }
    # The older OS/2 tables do not give the height of a capital: it is the top of the letter H.
    height = boxes[ord("H")][4]
    return _Metrics(
        advances={chr(code): advances[min(glyph, full - 1)] / height for code, glyph in glyphs.items()},
        tops={chr(code): box[4] / height for code, box in boxes.items()},
        feet={chr(code): -box[2] / height for code, box in boxes.items()},
        em=em / height,
    )


def size_for(height: float) -> float:
    """The font size (em) that makes capitals ``height`` high; in the same unit (mm or points)."""
    return height * _metrics().em


def printable(text: str) -> str:
    """The text with every character that the font lacks replaced by a box; line feeds too."""
    known = _metrics().advances
    if all(char in known for char in text):
        return text
    return "".join(char if char in known else REPLACEMENT for char in text)


def text_width(text: str, height: float) -> float:
    """Width of one line of words whose capitals are ``height`` high; in the same unit.

    A character that the font lacks is as wide as the box that stands for it.
    """
    return height * _advance(text)


@functools.lru_cache(maxsize=4096)  # the words beside seams and in strips come again on every page
def _advance(text: str) -> float:
    """Width of one line of words whose capitals are 1 high."""
    known = _metrics().advances
    lacking = known[REPLACEMENT]
    return sum([known.get(char, lacking) for char in text])


def text_extent(text: str, height: float) -> tuple[float, float]:
    """How far one line of words reaches above and below its base line; in the unit of ``height``.

    Never less than a capital above and a comma below, so that lines of one kind stand alike.
    """
    metrics = _metrics()
    top = max([metrics.tops.get(char, 1.0) for char in text], default=1.0)
    foot = max([metrics.feet.get(char, 0.0) for char in text], default=0.0)
    return height * max(top, 1.0), height * max(foot, 0.2)


@functools.cache
def register() -> str:
    """Make the font known to reportlab (once) and return its name there."""
    from reportlab.pdfbase import pdfmetrics, ttfonts

    pdfmetrics.registerFont(ttfonts.TTFont(FONT_NAME, str(font_file())))
    return FONT_NAME
