"""What is on a piece besides its edges: holes, notes, scribed lines, what is let in, distances that prove paper."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

from patterns.hull.planes import FloatArray
from patterns.wood.facts import Fact
from patterns.wood.labels import Label
from patterns.wood.region import Area

__all__ = ["XY", "Distance", "Halving", "Hole", "LandBevel", "LetIn", "Note", "Scribed"]

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
class LetIn:
    """Another piece for which this one is cut; the edges of the cut are labelled `Against` it.

    Attributes:
        piece: the other piece's name.
        left_to: the kinds of edge that the wood left over it is measured to; none where only `at_most` counts.
        lap: each is let into the other.
        at_most: the least wood left over the same cut in what the piece is a part of, mm: a futtock is no stronger
            there than its frame put together.
    """

    piece: str
    left_to: tuple[type[Label], ...]
    lap: bool = False
    at_most: float = math.inf


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Halving:
    """Where a piece is cut away from one face for another piece that laps it, after it is sawn out and bevelled.

    Attributes:
        piece: the other piece's name.
        area: what is cut away; it may run past the wood.
        face: from which it is cut, 0 the moulded one, 1 the other.
    """

    piece: str
    area: Area
    face: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Distance:
    """A long distance between two places, by which the taped paper is proved."""

    fact: Fact
    start: XY
    end: XY
