"""Words that the tool does not use, in any text that a person reads: each has a plainer one."""

from __future__ import annotations

import re

__all__ = ["unplain"]

UNPLAIN = (
    "is no", "are no", "stands", "say so", "tell", "tells", "told", "mend", "mends", "wish", "wished", "broad",
    "broader", "broadest", "likewise", "alike", "in the mean", "as often as", "odd ones", "give it less", "nowhere",
    "somebody", "somebody's", "of ours",
)  # fmt: skip


def unplain(text: str) -> list[str]:
    """Those of the words that are in the text, as whole words, on one line or over two."""
    words = re.sub(r"\bthere (is|are) no\b", "", " ".join(text.split()), flags=re.IGNORECASE)
    return [word for word in UNPLAIN if re.search(rf"\b{word}\b", words, re.IGNORECASE)]
