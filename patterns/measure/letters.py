"""Which letters a name may have: those that the pages can print."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from functools import cache

__all__ = ["LETTERS", "composed", "letters", "shown_letters", "unprintable"]

LETTERS = "use Latin, Greek or Cyrillic letters"
MOST_SHOWN = 4

# Latin, Greek and Cyrillic letters with their accents, figures and signs; a test compares them with the font.
RUNS = (
    ("\u0020", "\u007e"),
    ("\u00a1", "\u00ac"),
    ("\u00ae", "\u024f"),
    ("\u0370", "\u0377"),
    ("\u037a", "\u037f"),
    ("\u0384", "\u038a"),
    ("\u038c", "\u038c"),
    ("\u038e", "\u03a1"),
    ("\u03a3", "\u0481"),
    ("\u048a", "\u0525"),
    ("\u1e00", "\u1efb"),
)
SIGNS = "‐‑‒–—‘’‚“”„†‡•…‰′″‹›⁄€№™⅓⅔⅛⅜⅝⅞−"


@cache
def letters() -> frozenset[str]:
    """All letters and signs that a name may have."""
    return frozenset([*SIGNS, *_of_runs()])


def _of_runs() -> Iterator[str]:
    for first, last in RUNS:
        yield from map(chr, range(ord(first), ord(last) + 1))


def composed(text: str) -> str:
    """The text with each letter and its accents as one character, where there is one."""
    return unicodedata.normalize("NFC", text)


def unprintable(text: str) -> str:
    """The letters of a text that the pages cannot print, each once."""
    return "".join(dict.fromkeys(letter for letter in text if letter not in letters()))


def shown_letters(signs: str) -> str:
    """Some letters in quotes, each with its number, since a screen may lack them as well."""
    shown = [
        f'"{sign}" (U+{ord(sign):04X})' if sign.isprintable() else f"U+{ord(sign):04X}" for sign in signs
    ]
    return ", ".join(shown[:MOST_SHOWN]) + (" …" if len(shown) > MOST_SHOWN else "")
