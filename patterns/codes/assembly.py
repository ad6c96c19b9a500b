"""Codes of what the made pieces show of each other, and of the wood that is left in each."""

from __future__ import annotations

from patterns.codes.severity import Severity

__all__ = ["MEANINGS", "OF_PIECES"]

MEANINGS = {
    Severity.DOUBT: {
        "bend-sharper-than-wood": "A timber bends to a radius that is less than its own size that way.",
        "bevel-jump": "A bevel turns sharply between two neighbouring places of one edge.",
        "frame-not-joined": "Nothing joins some pieces of a frame to the rest of it.",
        "little-wood-left": "A piece is much narrower at one place than it is elsewhere.",
        "piece-not-held": "A piece meets no other piece, no timber, and no planking.",
        "pieces-apart": "Two pieces that are meant to meet do not touch there.",
        "pieces-overlap": "Two pieces want the same place.",
        "planed-away": "Most of a timber would be planed away for it to lie on the planking.",
    },
}

OF_PIECES = frozenset(MEANINGS[Severity.DOUBT])
"""The doubts that are known only when the pieces are made."""
