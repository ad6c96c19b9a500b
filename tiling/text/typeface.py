"""The one typeface of every page: how wide words are, and what it can print.

What is read of its file is a dozen numbers a table (`font_tables`).
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from pathlib import Path

from tiling.text.font_tables import Glyphs

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


@functools.cache
def _metrics() -> _Metrics:
    glyphs = Glyphs(font_file().read_bytes())
    boxes = {code: glyphs.box(glyph) for code, glyph in glyphs.by_code.items()}
    # The older OS/2 tables do not give the height of a capital: it is the top of the letter H.
    height = boxes[ord("H")][3]
    return _Metrics(
        advances={chr(code): glyphs.advance(glyph) / height for code, glyph in glyphs.by_code.items()},
        tops={chr(code): box[3] / height for code, box in boxes.items()},
        feet={chr(code): -box[1] / height for code, box in boxes.items()},
        em=glyphs.em / height,
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
