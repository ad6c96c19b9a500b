"""Whose sets are made again: names of the list found as they were typed, or the nearest ones named."""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Sequence

from patterns.errors import RequestError
from patterns.lesson.class_list import Owner

__all__ = ["picked_sets"]

LIKE = (
    0.6  # of 1: how like a name must be to be offered; a name in three letters of which one is wrong has 0.67
)
OFFERED = 3
LONGEST = 60  # letters that are compared


def picked_sets(owners: Sequence[Owner], names: Sequence[str]) -> list[int]:
    """The numbers of the sets of these names or numbers, from 1.

    Capitals, spaces and accents do not matter where only one name of the list fits.

    Raises:
        RequestError: names that are not in the list, each with the nearest names.
    """
    found, unknown = [], []
    for name in names:
        number = _number(owners, name)
        if number is None:
            unknown.append(f'--for "{name}": {_advice(owners, name)}')
        elif number not in found:
            found.append(number)
    if unknown:
        raise RequestError("\n".join(unknown))
    return found


def _number(owners: Sequence[Owner], name: str) -> int | None:
    for key in (_plain, _bare):
        fits = [i for i, owner in enumerate(owners, start=1) if key(owner.name) == key(name)]
        if len(fits) == 1:
            return fits[0]
    text = name.strip()
    return int(text) if text.isdecimal() and 1 <= int(text) <= len(owners) else None


def _plain(name: str) -> str:
    return " ".join(unicodedata.normalize("NFKC", name).split()).casefold()


def _bare(name: str) -> str:
    """Without capitals and accents; letters with a stroke are those without."""
    apart = unicodedata.normalize("NFKD", _plain(name)).translate(str.maketrans("đłøħŧı", "dlohti"))
    return "".join(sign for sign in apart if not unicodedata.combining(sign))


def _advice(owners: Sequence[Owner], name: str) -> str:
    said = _bare(name)[:LONGEST]
    likeness = [max(_like(said, part) for part in _parts(_bare(owner.name))) for owner in owners]
    order = sorted(range(len(owners)), key=lambda i: (-likeness[i], i))
    near = [f'"{owners[i].name}" (set {i + 1})' for i in order[:OFFERED] if likeness[i] >= LIKE]
    if near:
        return (
            f"not in the list; the nearest: {', '.join(near)}; write it as in the list, or the set's number"
        )
    return f"not in the list; write it as in the list, or a set's number from 1 to {len(owners)}"


def _parts(name: str) -> list[str]:
    """The name and its words: people are called by their first names."""
    return [name[:LONGEST], *(word[:LONGEST] for word in name.split() if len(word) > 1)]


def _like(one: str, two: str) -> float:
    return difflib.SequenceMatcher(None, one, two, autojunk=False).ratio()
