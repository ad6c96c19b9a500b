"""What the patterns of all members share: reference lines, marks, holes and words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Protocol

from shapely.geometry import Polygon

from patterns.boat import Boat
from patterns.flat.shapes import inside_points
from patterns.hull.planes import Plane
from patterns.hull.sections import Section
from patterns.pattern import Pattern
from patterns.wood.facts import Fact
from patterns.wood.features import Note, Scribed
from patterns.wood.piece import Stock

__all__ = [
    "PAST",
    "KneeLike",
    "Wanted",
    "centre_ends",
    "corner_notes",
    "levels_scribed",
    "looking",
    "sided_fact",
    "stock_of",
    "waterlines_scribed",
    "wood_fact",
]

Wanted = tuple[str, Callable[[], tuple[Pattern, ...]]]
"""Where the design asks for a piece, and how its patterns are made."""

PAST = 10.0  # mm by which reference lines run past the wood, so that they can be carried round its edge


class Stocked(Protocol):
    """What the design says of the wood of a piece."""

    @property
    def stock(self) -> str: ...
    @property
    def sided(self) -> float: ...
    @property
    def laminations(self) -> int: ...


class KneeLike(Stocked, Protocol):
    """What the design says of every knee."""

    @property
    def name(self) -> str: ...
    @property
    def kind(self) -> str: ...
    @property
    def throat(self) -> float: ...


def looking(sense: float) -> tuple[str, str, tuple[str, str, str]]:
    """The moulded face, which way one looks at it, and the words for right, left and top.

    Args:
        sense: 1 where the siding runs aft from the moulded face (which is then the forward one), -1 forward.
    """
    if sense > 0:
        return "forward", "aft", ("PORT", "STARBOARD", "UP")
    return "after", "forward", ("STARBOARD", "PORT", "UP")


def sided_fact(spec: Stocked) -> Fact:
    """Stock, siding and laminations."""
    return wood_fact(stock_of(spec), way="sided")


def stock_of(spec: Stocked) -> Stock:
    """What a piece is made of, by its spec."""
    return Stock(wood=spec.stock, thickness=spec.sided, laminations=spec.laminations)


def wood_fact(stock: Stock, *, way: str = "thick") -> Fact:
    """A stock, its whole thickness, and the laminations that make it up."""
    values = {"stock": stock.wood, "thickness": stock.thickness, "laminations": stock.laminations, "way": way}
    return Fact("wood", values)


def centre_ends(section: Section) -> tuple[float, float]:
    """The v of the apex and of the deck on the centreline, where a half is flipped."""
    return float(section.apex[1]), float(max(section.deck.uv[0, 1], section.corners[-1].at[1]))


def levels_scribed(boat: Boat, wood: Polygon, plane: Plane) -> list[Scribed]:
    """The waterlines that the design asks for, across the wood and a little past it (planes that stand up)."""
    return waterlines_scribed(boat.design.waterlines, wood, plane)


def waterlines_scribed(heights: Sequence[float], wood: Any, plane: Plane) -> list[Scribed]:
    """Waterlines at heights, mm, across the wood and a little past it."""
    room = wood.buffer(PAST)
    x0, _, x1, _ = room.bounds
    found = []
    for height in heights:
        for piece in inside_points(room, [plane.level_line(height, x0, x1)]):
            found.append(Scribed(fact=Fact("waterline", {"height": height}), points=piece))
    return found


def corner_notes(section: Section) -> tuple[Note, ...]:
    """Crosses at the chines and the sheer, where the insides of planking and deck meet.

    They may lie in the open notch of the timber there: the corner is true, wood or no wood.
    """
    return tuple(
        Note(
            fact=Fact("planking-corner", {"line": corner.name}),
            at=(float(corner.at[0]), float(corner.at[1])),
        )
        for corner in section.corners
    )
