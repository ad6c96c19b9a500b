"""How many of a piece are made, in words: from its hand, its count and its role."""

from __future__ import annotations

from collections.abc import Mapping

from patterns.wood.piece import Hand, Role

__all__ = ["quantity_words"]

QUANTITY: Mapping[Hand, str] = {
    Hand.CENTRE: "{0}",
    Hand.PAIR: "{0} port + {0} starboard",
    Hand.PORT: "{0} (port)",
    Hand.STARBOARD: "{0} (starboard)",
    Hand.ACROSS: "{0}",
}
TRIED: Mapping[Hand, str] = {
    Hand.PAIR: "1, to try on both sides, turned over",
    Hand.PORT: "1, to try on the port side",
    Hand.STARBOARD: "1, to try on the starboard side",
}
MADE: Mapping[Role, str] = {
    Role.ASSEMBLED: ", made of its parts",
    Role.TOOL: ", to bend wood on",
    Role.LAYOUT: ", to lay the pieces on; no wood of its own",
}


def quantity_words(hand: Hand, count: int = 1, role: Role = Role.PIECE) -> str:
    """How many of a piece are made by hand, and what for where it is no plain piece of the boat.

    Args:
        count: of a pair, for each side.
    """
    if role is Role.TRIAL:
        return TRIED[hand]
    return QUANTITY[hand].format(count) + MADE.get(role, "")
