"""The short mark of a design and its settings: of the file as a whole, and of the shop's papers."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from pathlib import Path

from tiling.piece_marks import mark_of

__all__ = ["short_mark"]

DRAWING = (
    4  # raised when the same design and settings give other pages than an earlier version of this program
)


def short_mark(files: Iterable[Path], *settings: str | float | bool) -> str:
    """Five characters computed from everything that shapes the pages.

    Args:
        files: the design's own files; their bytes count, not their names.
        settings: what was asked for besides (paper, overlap and so on).
    """
    digest = hashlib.sha256()
    for path in files:
        data = path.read_bytes()
        digest.update(len(data).to_bytes(8, "big"))
        digest.update(data)
    digest.update(repr((DRAWING, *settings)).encode())
    return mark_of(digest.digest())
