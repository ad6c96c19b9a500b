"""What the patterns of all members share: reference lines, marks, holes and words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Protocol

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.boat import Boat
from patterns.flat.shapes import inside_points
from patterns.hull.planes import Plane
from patterns.hull.sections import Section
from patterns.joinery.rings import Ring, register_places
from patterns.pattern import Hole, Kind, Line, Mark, Pattern

__all__ = [
    "PAST",
    "Piece",
    "centre_line",
    "flip_points",
    "hole_facts",
    "lamination_words",
    "level_lines",
    "line_marks",
    "looking",
    "rake_words",
    "register_holes",
    "wood_words",
]

Piece = tuple[str, Callable[[], tuple[Pattern, ...]]]
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


def looking(sense: float) -> tuple[str, str, tuple[str, str, str]]:
    """The moulded face, which way one looks at it, and the words for right, left and top.

    Args:
        sense: 1 where the siding runs aft from the moulded face (which is then the forward one), -1 forward.
    """
    if sense > 0:
        return "forward", "aft", ("PORT", "STARBOARD", "UP")
    return "after", "forward", ("STARBOARD", "PORT", "UP")


def wood_words(spec: Stocked) -> tuple[str, ...]:
    """Stock, siding and laminations in words."""
    return (lamination_words(spec.stock, spec.sided, spec.laminations, way="sided"),)


def lamination_words(stock: str, thickness: float, laminations: int, *, way: str = "thick") -> str:
    """A stock, its whole thickness in mm, and the laminations that make it up, in words."""
    whole = f"{way} {thickness:g} mm" if way == "sided" else f"{thickness:g} mm {way}"
    if laminations == 1:
        return f"{stock}, {whole}"
    return f"{stock}, {whole}: {laminations} laminations of {thickness / laminations:g} mm"


def rake_words(rake: float) -> str:
    """A rake, radians, in words."""
    degrees = np.degrees(rake)
    if abs(degrees) < 0.05:
        return "Stands upright"
    return f"Raked {abs(degrees):.1f}°, top {'aft' if degrees > 0 else 'forward'}"


def hole_facts(holes: Sequence[Hole]) -> tuple[str, ...]:
    """A word where a piece is too narrow for register holes."""
    if any(hole.purpose == "register hole" for hole in holes):
        return ()
    return ("No room for two register holes: its other face cannot be printed on the same holes",)


def centre_line(section: Section) -> Line:
    """The centreline of a half, from below the apex to above the deck."""
    low, high = _centre_ends(section)
    return Line(kind=Kind.CENTRE, points=np.array([[0.0, low - PAST], [0.0, high + PAST]]), name="centreline")


def _centre_ends(section: Section) -> tuple[float, float]:
    return float(section.apex[1]), float(max(section.deck.uv[0, 1], section.corners[-1].at[1]))


def flip_points(section: Section) -> tuple[Hole, Hole]:
    """The two points on the centreline that are pricked through, to flip a half about them."""
    low, high = _centre_ends(section)
    return tuple(  # type: ignore[return-value]
        Hole(at=(0.0, v), diameter=1.0, purpose="flip point") for v in (low, high)
    )


def level_lines(boat: Boat, wood: Polygon, plane: Plane) -> list[Line]:
    """The waterlines that the design asks for, across the wood and a little past it (planes that stand up)."""
    room = wood.buffer(PAST)
    x0, _, x1, _ = room.bounds
    found = []
    for height in boat.design.waterlines:
        for piece in inside_points(room, [plane.level_line(height, x0, x1)]):
            found.append(Line(kind=Kind.REFERENCE, points=piece, name=f"WL {boat.length_words(height)}"))
    return found


def line_marks(section: Section) -> tuple[Mark, ...]:
    """Crosses at the chines and the sheer, where the insides of planking and deck meet.

    They may stand in the open notch of the timber that lies there: the corner is true, wood or no wood.
    """
    return tuple(
        Mark(name=f"{corner.name}, inside of planking", at=(float(corner.at[0]), float(corner.at[1])))
        for corner in section.corners
    )


def register_holes(boat: Boat, ring: Ring) -> tuple[Hole, ...]:
    """Two register holes on the half, through wood that both faces have."""
    both = shapely.intersection(*ring.faces)
    places = register_places(both, diameter=boat.design.register)
    return tuple(
        Hole(at=(float(point[0]), float(point[1])), diameter=boat.design.register) for point in places
    )
