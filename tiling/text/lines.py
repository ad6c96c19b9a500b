"""Words in lines: made harmless, broken to a width, elided where they are too long."""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass

from tiling.text.typeface import text_width

__all__ = ["BODY", "MeasuredText", "elided", "plain", "wrapped"]

BODY = 3.5  # height of a capital, mm


def plain(text: str) -> str:
    """The words with everything that could break a line or a string made harmless: control characters and line
    feeds become spaces, halves of surrogate pairs the replacement character."""
    if not text.isprintable():  # most words are
        text = "".join("\ufffd" if "\ud800" <= c <= "\udfff" else c if c.isprintable() else " " for c in text)
    return " ".join(text.split())


def elided(text: str, room: float, height: float) -> str:
    """The text, or its beginning and end with an ellipsis between, no wider than ``room`` mm."""
    if text_width(text, height) <= room:
        return text
    low, high = 0, len(text)
    while low < high:  # the most characters that can stay
        kept = (low + high + 1) // 2
        if text_width(_with_gap(text, kept), height) <= room:
            low = kept
        else:
            high = kept - 1
    return _with_gap(text, low) if low else ""


def _with_gap(text: str, kept: int) -> str:
    ahead = (kept + 1) // 2
    behind = kept - ahead
    return text[:ahead].rstrip() + "…" + (text[-behind:].lstrip() if behind else "")


@functools.lru_cache(maxsize=4096)
def _word_width(word: str, height: float) -> float:
    """Widths add up, as the font is set without kerning; the same words come again and again."""
    return text_width(word, height)


# a figure and its unit stay on one line
UNIT = re.compile(r"(\d) (%|mm\b|m\b|in\b|ft\b)")


@dataclass(frozen=True, slots=True)
class MeasuredText:
    """A text in words, each with its width, mm: measured once, it can be set in columns of many widths.

    Attributes:
        words: a word that holds a figure and its unit is one.
        height: of a capital, mm.
    """

    words: tuple[tuple[str, float], ...]
    height: float

    @classmethod
    def of(cls, text: str, height: float = BODY) -> MeasuredText:
        """The words of a text."""
        words = [word.replace("\u00a0", " ") for word in UNIT.sub("\\1\u00a0\\2", plain(text)).split(" ")]
        return cls(tuple((word, _word_width(word, height)) for word in words), height)

    def lines(self, room: float) -> list[str]:
        """The text in lines no wider than ``room`` mm; a word that is too long is elided in its middle."""
        lines: list[str] = []
        line, wide = "", 0.0
        gap = _word_width(" ", self.height)
        for word, more in self.words:
            if line and wide + gap + more <= room:
                line, wide = f"{line} {word}", wide + gap + more
                continue
            if line:
                lines.append(line)
            line = word if more <= room else elided(word, room, self.height)
            wide = min(more, room)
        return [*lines, line] if line else lines


def wrapped(text: str, room: float, height: float = BODY) -> list[str]:
    """The text in lines no wider than ``room`` mm; a word that is too long is elided in its middle."""
    return MeasuredText.of(text, height).lines(room)
