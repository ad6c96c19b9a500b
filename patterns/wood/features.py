"""What is on a piece besides its edges: holes, notes, scribed lines, what is let in, distances that prove paper."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from patterns.hull.planes import FloatArray
from patterns.wood.facts import Fact

__all__ = ["XY", "Distance", "Hole", "LandBevel", "Note", "Scribed"]

XY: TypeAlias = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """A hole drilled square through the wood."""

    at: XY
    diameter: float
    purpose: str = "register hole"


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """A fact at a place of a face.

    Attributes:
        towards: direction of a tick from ``at``; ``(0, 0)`` makes a small cross there instead.
        bare: neither tick nor cross, the words alone.
    """

    fact: Fact
    at: XY
    towards: XY = (0.0, 0.0)
    length: float = 14.0
    bare: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scribed:
    """A line drawn on a face: points (n, 2), mm; ``closed`` joins the last to the first.

    Attributes:
        middle: it is the middle line of something, e.g. of a bolt, and is drawn as such.
        named: False on a part of a line whose name another part has.
    """

    fact: Fact
    points: FloatArray
    closed: bool = False
    middle: bool = False
    named: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class LandBevel:
    """The angle of a land at a place of its edge on a face: between that face and the land, through the wood.

    Attributes:
        bevel: radians, read square to the land.
        towards: the direction in which the words may be written.
    """

    fact: Fact
    at: XY
    bevel: float
    towards: XY


@dataclass(frozen=True, slots=True, kw_only=True)
class Distance:
    """A long distance between two places, by which the taped paper is proved."""

    fact: Fact
    start: XY
    end: XY
