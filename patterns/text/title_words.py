"""The words of the block on each piece: one template for each of its lines."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["HOLES", "TITLE"]

TITLE: Mapping[str, str] = {
    "name-at-scale": "{name}, {scale}",
    "in-doubt": "IN DOUBT",
    "not-full-size": "{warning}. Lengths in words are the boat's.",
    "quantity": "Quantity: {quantity}",
    "stock": "{stock}",
    "print-side": "Print side up on the {face}",
    "shows": "Shows the {face}",
    "flip": "{half} half: flip about the centreline, check {across:.1f} mm across",
    "flip-level": "{half} half: flip about the centreline, level lines straight, check {across:.1f} mm across",
    "other-hand": "Other hand: turn over, prick through",
    "holes": "Holes: {holes}",
    "hole": "{sign} {diameter:g} mm",
    "prick": "prick here to flip",
    "bevels": "Bevels: {rule}",
}

HOLES: Mapping[str, str] = {"register hole": "register", "dowel hole": "dowel"}
"""What a hole is called in the block, by its sign."""
