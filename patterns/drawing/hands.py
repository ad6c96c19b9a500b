"""How many of a piece are made, in words."""

from __future__ import annotations

from collections.abc import Mapping

from patterns.wood.piece import Hand, Piece, Role

__all__ = ["QUANTITY", "quantity_of"]

QUANTITY: Mapping[Hand, str] = {
    Hand.CENTRE: "1",
    Hand.PAIR: "1 port + 1 starboard",
    Hand.PORT: "1 port",
    Hand.STARBOARD: "1 starboard",
}
MADE: Mapping[Role, str] = {Role.ASSEMBLED: ", made of its parts", Role.TOOL: ", for laminating only"}


def quantity_of(piece: Piece) -> str:
    """How many of a piece are made by hand, and what for where it is no plain piece of the boat."""
    return QUANTITY[piece.hand].replace("1", str(piece.count)) + MADE.get(piece.role, "")
