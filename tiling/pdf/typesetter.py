"""Lines of words as operators: the codes of the font's subsets, where a line begins, and how it lies.

Source: ISO 32000-1:2008, 9.4 (text objects; section number from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

from reportlab.pdfbase.pdfdoc import PDFDocument
from reportlab.pdfbase.pdfmetrics import getFont

from tiling.drawing import XY
from tiling.text import typeface as fonts
from tiling.text.lines import plain

__all__ = ["Typesetter", "number"]


def number(value: float) -> str:
    """A number for the file: nine digits, no exponent."""
    text = f"{value:.9f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


_STARTS = "BT 1 0 0 1 %.3f %.3f Tm \n"


class Typesetter:
    """Sets words in the one typeface of a file."""

    def __init__(self, document: PDFDocument) -> None:
        self._document = document
        self._font = getFont(fonts.register())
        self._codes: dict[int, str] = {}  # of the characters in the first subset that have come up
        self._known: set[str] = set()  # the same characters
        self._first = ""  # what that subset is called

    def words(
        self,
        text: str,
        at: tuple[float, float],
        height: float,
        *,
        turn: float = 0.0,
        align: str = "left",
        outline: float = 0.0,
    ) -> str:
        """Operators for one line of words.

        Args:
            at: where the baseline begins (``left``), has its middle or ends (``right``), mm.
            height: of a capital, mm.
            turn: anticlockwise, radians.
            align: "left", "middle" or "right".
            outline: breadth of the letters' outlines, mm, where only these are drawn; 0: the letters are black.
        """
        x, y = at
        if align != "left":
            back = fonts.text_width(text, height) * (0.5 if align == "middle" else 1.0)
            x, y = x - back * math.cos(turn), y - back * math.sin(turn)
        shows = self.shows(text, height)
        if outline:  # text rendering mode 1, ISO 32000-1, 9.3.6 (from memory)
            return f"q {outline:g} w [] 0 d 0 G BT 1 Tr {_turned(turn)} {x:.3f} {y:.3f} Tm {shows}ET Q\n"
        return f"BT {_turned(turn)} {x:.3f} {y:.3f} Tm {shows}ET\n"

    def level(self, texts: Sequence[str], places: Sequence[XY], height: float) -> list[str]:
        """Operators for lines of words of one height that run level, each from its left end, mm."""
        starts = _STARTS * len(places) % tuple([value for place in places for value in place])
        return [
            f"{start}{self.shows(text, height)}ET\n"
            for start, text in zip(starts.split("\n"), texts, strict=False)
        ]

    def shows(self, text: str, height: float) -> str:
        """The operators that show the text in the codes of the font's subsets."""
        text, size = plain(text), _size(height)
        if text and self._known.issuperset(text):
            return f"{self._first} {size} Tf ({text.translate(self._codes)}) Tj "
        text = fonts.printable(text)
        found = "".join(
            f"{self._font.getSubsetInternalName(subset, self._document)} {size} Tf ({_escaped(data)}) Tj "
            for subset, data in self._font.splitString(text, self._document)
        )
        for character in set(text) - self._known:  # the font keeps a character's code once it has one
            ((subset, data),) = self._font.splitString(character, self._document)
            if subset == 0:
                self._first = self._font.getSubsetInternalName(0, self._document)
                self._codes[ord(character)] = _escaped(data)
                self._known.add(character)
        return found


def _escaped(data: bytes) -> str:
    r"""The inside of a literal string: ``\``, ``(``, ``)`` and line ends escaped, other bytes as they are."""
    text = data.decode("latin-1")
    for bad, good in (("\\", r"\\"), ("(", r"\("), (")", r"\)"), ("\r", r"\r"), ("\n", r"\n")):
        text = text.replace(bad, good)
    return text


@lru_cache(maxsize=64)
def _turned(turn: float) -> str:
    """The first four numbers of a matrix that turns."""
    if not turn:
        return "1 0 0 1"
    c, s = number(math.cos(turn)), number(math.sin(turn))
    return f"{c} {s} {number(-math.sin(turn))} {c}"


@lru_cache(maxsize=64)
def _size(height: float) -> str:
    """The font's size for capitals of that height."""
    return number(fonts.size_for(height))
