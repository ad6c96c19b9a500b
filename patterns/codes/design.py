"""Codes of findings in the design file alone."""

from __future__ import annotations

from patterns.codes.severity import Severity

__all__ = ["MEANINGS"]

MEANINGS = {
    Severity.ERROR: {
        "deep-nesting": "The design file nests its tables deeper than any design.",
        "flat-bottom-without-chine": "A flat bottom is declared without a chine beside it.",
        "too-many-entries": "The design has more entries of a kind than any boat.",
    },
    Severity.DOUBT: {
        "cut-through": "A piece is cut through by what is let into it.",
        "high-crown": "The deck's crown is higher than decks have it.",
        "large-move": "The design allows larger moves than fairing should make.",
        "low-crown": "The deck's crown is lower than decks have it.",
        "stock-thickness": "A piece's siding is not the thickness that its stock names.",
        "thick-planking": "The planking is thicker than boats of this kind have it.",
        "thick-wood": "A size is larger than pieces of its kind have it.",
        "thin-planking": "The planking is thinner than boats of this kind have it.",
        "thin-wood": "A size is smaller than pieces of its kind have it.",
    },
}
