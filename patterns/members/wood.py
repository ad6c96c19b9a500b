"""What the patterns of all members share: reference lines, marks, holes and words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Protocol

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.boat import Boat
from patterns.pattern import Hole, Kind, Line, Mark, Pattern
from patterns.planes import FloatArray, Plane
from patterns.polylines import normals_left
from patterns.rings import Ring, register_places
from patterns.sections import Section
from patterns.shapes import inside_points, outline_of

__all__ = [
    "Piece",
    "centre_line",
    "flip_points",
    "level_lines",
    "line_marks",
    "looking",
    "register_holes",
    "tick_at",
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
    """Stock and laminations in words."""
    each = spec.sided / spec.laminations
    if spec.laminations == 1:
        return (f"{spec.stock}, sided {spec.sided:g} mm",)
    return (f"{spec.stock}, sided {spec.sided:g} mm: {spec.laminations} laminations of {each:g} mm",)


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
    """The waterlines that the design asks for, across the wood and a little past it."""
    room = wood.buffer(PAST)
    x0, _, x1, _ = room.bounds
    found = []
    for height in boat.design.waterlines:
        v = plane.up_at_height(height)
        level = np.array([[min(x0, 0.0), v], [x1, v]])
        for piece in inside_points(room, [level]):
            found.append(Line(kind=Kind.REFERENCE, points=piece, name=f"WL {boat.length_words(height)}"))
    return found


def tick_at(outline: FloatArray, point: Sequence[float], name: str) -> Mark:
    """A mark on the outline at the place nearest to a point, its tick running out from the wood."""
    ring = shapely.LinearRing(outline)
    along = shapely.line_locate_point(ring, shapely.Point(point))
    at = shapely.line_interpolate_point(ring, along)
    step = shapely.line_interpolate_point(ring, along + 0.5)
    direction = normals_left(np.array([[at.x, at.y], [step.x, step.y]]))[0]
    return Mark(name=name, at=(at.x, at.y), towards=(-float(direction[0]), -float(direction[1])))


def line_marks(section: Section, wood: Polygon) -> tuple[Mark, ...]:
    """Marks where the faired lines of the hull pass the edge (sheer and chines)."""
    outline = outline_of(wood)
    names = [corner.name for corner in section.corners]
    return tuple(
        tick_at(outline, tuple(section.marks[name]), name) for name in names if name in section.marks
    )


def register_holes(boat: Boat, ring: Ring) -> tuple[Hole, ...]:
    """Two register holes on the half, through wood that both faces have."""
    both = shapely.intersection(*ring.faces)
    places = register_places(both, diameter=boat.design.register)
    return tuple(
        Hole(at=(float(point[0]), float(point[1])), diameter=boat.design.register) for point in places
    )
