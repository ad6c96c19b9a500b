"""How many of a piece are made, in words."""

from __future__ import annotations

from collections.abc import Mapping

from patterns.wood.piece import Hand

__all__ = ["ON_PAPER", "QUANTITY"]

ON_PAPER = "1, to lay the pieces on; no wood of its own"

QUANTITY: Mapping[Hand, str] = {
    Hand.CENTRE: "1",
    Hand.PAIR: "1 port + 1 starboard",
    Hand.PORT: "1 port",
    Hand.STARBOARD: "1 starboard",
}
