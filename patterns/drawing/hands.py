"""How many of a piece are made, in words."""

from __future__ import annotations

from collections.abc import Mapping

from patterns.wood.piece import Hand, Piece, Role

__all__ = ["QUANTITY", "quantity_of"]

QUANTITY: Mapping[Hand, str] = {
    Hand.CENTRE: "1",
    Hand.PAIR: "1 port + 1 starboard",
    Hand.PORT: "1 (port)",
    Hand.STARBOARD: "1 (starboard)",
    Hand.ACROSS: "1",
}
TRIED: Mapping[Hand, str] = {
    Hand.PAIR: "1, to try on both sides, turned over",
    Hand.PORT: "1, to try on the port side",
    Hand.STARBOARD: "1, to try on the starboard side",
}
MADE: Mapping[Role, str] = {
    Role.ASSEMBLED: ", made of its parts",
    Role.TOOL: ", for laminating only",
    Role.LAYOUT: ", to lay the pieces on; no wood of its own",
}


def quantity_of(piece: Piece) -> str:
    """How many of a piece are made by hand, and what for where it is no plain piece of the boat."""
    if piece.role is Role.TRIAL:
        return TRIED[piece.hand]
    return QUANTITY[piece.hand].replace("1", str(piece.count)) + MADE.get(piece.role, "")
