"""The words of the block on each piece: one template for each of its lines."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["TITLE"]

TITLE: Mapping[str, str] = {
    "name-at-scale": "{name}, {scale}",
    "in-doubt": "IN DOUBT",
    "not-full-size": "{warning}. Lengths in words are the boat's.",
    "quantity": "Quantity: {quantity}",
    "stock": "{stock}",
    "print-side": "Print side up on the {face}",
    "shows": "Shows the {face}",
    "flip": "{half} half: flip about the centreline at both pricks, check {across:.1f} mm across the saw line",
    "flip-level": (
        "{half} half: flip about the centreline at both pricks, level lines straight, check {across:.1f} mm "
        "across the saw line"
    ),
    "other-hand": "Other hand: turn over, prick through",
    "bevels": "Bevels: {rule}; see first pages",
}
