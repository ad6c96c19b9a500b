"""Which letters a name may have: those that the pages can print."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence
from functools import cache

__all__ = ["LETTERS", "composed", "letters", "shown_letters", "unprintable"]

LETTERS = "use Latin, Greek or Cyrillic letters"
MOST_SHOWN = 4

# Latin, Greek and Cyrillic letters with their accents, figures and signs; a test compares them with the font.
RUNS = (
    ("\u0020", "\u007e"),
    ("\u00a1", "\u00ac"),
    ("\u00ae", "\u02e9"),
    ("\u0370", "\u0377"),
    ("\u037a", "\u037f"),
    ("\u0384", "\u038a"),
    ("\u038c", "\u038c"),
    ("\u038e", "\u03a1"),
    ("\u03a3", "\u0481"),
    ("\u048a", "\u0525"),
    ("\u1e00", "\u1efb"),
    ("\u1f00", "\u1f15"),
    ("\u1f18", "\u1f1d"),
    ("\u1f20", "\u1f45"),
    ("\u1f48", "\u1f4d"),
    ("\u1f50", "\u1f57"),
    ("\u1f59", "\u1f59"),
    ("\u1f5b", "\u1f5b"),
    ("\u1f5d", "\u1f5d"),
    ("\u1f5f", "\u1f7d"),
    ("\u1f80", "\u1fb4"),
    ("\u1fb6", "\u1fc4"),
    ("\u1fc6", "\u1fd3"),
    ("\u1fd6", "\u1fdb"),
    ("\u1fdd", "\u1fef"),
    ("\u1ff2", "\u1ff4"),
    ("\u1ff6", "\u1ffe"),
    ("\u2c60", "\u2c77"),
    ("\u2c79", "\u2c7f"),
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


def unprintable(text: str) -> tuple[str, ...]:
    """The letters of a text that the pages cannot print, each once; an accent comes with the letter before it."""
    found = []
    for place, letter in enumerate(text):
        if letter not in letters():
            before = text[place - 1 : place] if unicodedata.combining(letter) else ""
            found.append(before + letter)
    return tuple(dict.fromkeys(found))


def shown_letters(signs: Sequence[str]) -> str:
    """Some letters in quotes, each with its number, since a screen may lack them as well."""
    shown = [
        f'"{sign}" (U+{ord(sign[-1]):04X})' if sign.isprintable() else f"U+{ord(sign[-1]):04X}"
        for sign in signs
    ]
    return ", ".join(shown[:MOST_SHOWN]) + (" …" if len(shown) > MOST_SHOWN else "")
