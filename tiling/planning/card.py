"""What the card of a piece says beside the map of its pages."""

from __future__ import annotations

from dataclasses import dataclass

from tiling.drawing import FloatArray

__all__ = ["Card", "Site", "Whole"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Site:
    """A small picture of all that is made, with one part of it dark; mm from its lower left corner.

    Attributes:
        around: lines of all of it, each of shape (n, 2); the same value in many cards is kept once in the file.
        part: closed outlines of the part, each of shape (n, 2), the first point not repeated.
        size: breadth and height.
    """

    around: tuple[FloatArray, ...]
    part: tuple[FloatArray, ...]
    size: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Card:
    """What is said of a piece, and where it is.

    Attributes:
        quantity: how many are made, in words.
        rows: facts, each a label and words; rows of one label follow one another.
        table: rows of a ruled table, the first one its head; empty where there is none.
        site: where it is; None: nothing is known of that.
        tick: what the box on it is ticked for.
    """

    quantity: str = ""
    rows: tuple[tuple[str, str], ...] = ()
    table: tuple[tuple[str, ...], ...] = ()
    site: Site | None = None
    tick: str = "cut"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Whole:
    """What several pieces are put together to; its card comes before theirs."""

    name: str
    card: Card
