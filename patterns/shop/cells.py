"""Tables as CSV that a spreadsheet reads as what it is: words stay words, whatever they begin with."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

__all__ = ["csv_text"]

# A figure may begin with a sign: -2.5, -0-6-0, 1-0-4-.
_FIGURE = re.compile(r"[-+]?[\d.,/ -]*[-+]?")


def csv_text(rows: Iterable[Sequence[object]]) -> str:
    """The rows as CSV.  A cell of words that a spreadsheet would take for a formula gets an apostrophe in front."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\r\n").writerows([_safe(cell) for cell in row] for row in rows)
    return out.getvalue()


def _safe(cell: object) -> object:
    if isinstance(cell, str) and cell[:1] in ("=", "+", "-", "@") and not _FIGURE.fullmatch(cell):
        return f"'{cell}"
    return cell
