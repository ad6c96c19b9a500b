"""Small helps for messages: choices in words, and the known word that is nearest to a slip."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

__all__ = ["nearest", "written"]

LONGEST = 60  # letters; nothing longer is a slip for a known word, and comparing it takes long


def nearest(word: str, words: Iterable[str]) -> str:
    """The known word that is most like ``word``, as a question; empty where none is."""
    if len(word) > LONGEST:
        return ""
    known = {known.lower(): known for known in words}
    found = difflib.get_close_matches(word.lower(), known, n=1, cutoff=0.6)
    return f'is "{known[found[0]]}" meant?' if found else ""


def written(words: Iterable[str]) -> str:
    """``"a", "b" or "c"``."""
    quoted = [f'"{word}"' for word in words]
    return " or ".join(filter(None, [", ".join(quoted[:-1]), quoted[-1]])) if quoted else ""
