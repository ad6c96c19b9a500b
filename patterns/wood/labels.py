"""What the edge of a piece of wood lies on: a label for every stretch of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from patterns.wood.ends import HullEnd

__all__ = [
    "Against",
    "Centre",
    "Deck",
    "Free",
    "Label",
    "Land",
    "Landing",
    "Level",
    "Nose",
    "OnProfile",
    "Opening",
    "Planking",
    "Rounded",
    "Trim",
]


@dataclass(frozen=True, slots=True)
class Planking:
    """It lies on the inside of a strake."""

    strake: str


@dataclass(frozen=True, slots=True)
class Deck:
    """It lies on the deck's underside."""


@dataclass(frozen=True, slots=True)
class Against:
    """It was cut by a meeting and lies against another piece of wood.

    Attributes:
        piece: the other piece's name.
    """

    piece: str


@dataclass(frozen=True, slots=True)
class Landing:
    """A long edge fitted to a face of something else; its bevel is read at places along it.

    Attributes:
        on: the other piece's name, or what closes the hull at an end.
    """

    on: str | HullEnd


@dataclass(frozen=True, slots=True)
class Nose:
    """A short end across the centreline, fitted to what closes the hull; its bevel is read on the centreline."""

    on: HullEnd


@dataclass(frozen=True, slots=True)
class OnProfile:
    """It lies along the boat's profile line, where the planking's outside ends on stem and keel."""


@dataclass(frozen=True, slots=True)
class Land:
    """It is an edge of a land, which is planed for the planking's inside to lie on."""


@dataclass(frozen=True, slots=True)
class Free:
    """It lies on nothing: the designer's own line."""


@dataclass(frozen=True, slots=True)
class Opening:
    """It was cut open and stays so.

    Attributes:
        what: the kind of opening, e.g. ``limber hole``.
    """

    what: str


@dataclass(frozen=True, slots=True)
class Trim:
    """It is an end that is cut to length.

    Attributes:
        end: which one, e.g. ``fore``; may be empty.
        on: the piece to whose face it is cut, where it is called by that; may be empty.
    """

    end: str = ""
    on: str = ""


@dataclass(frozen=True, slots=True)
class Level:
    """It is cut to a level, and lies on nothing."""


@dataclass(frozen=True, slots=True)
class Rounded:
    """An arc that rounds a corner or that growing an area leaves round one."""


@dataclass(frozen=True, slots=True)
class Centre:
    """It is no edge of the wood: the line in which a half meets its other half."""


Label: TypeAlias = (
    Planking
    | Deck
    | Against
    | Landing
    | Nose
    | OnProfile
    | Land
    | Free
    | Opening
    | Level
    | Trim
    | Rounded
    | Centre
)
