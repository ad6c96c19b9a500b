"""The set-up line on a frame or a mould: where it lies, and how far from it the hull's corners are."""

from __future__ import annotations

from shapely.geometry import Polygon

from patterns.boat import Boat
from patterns.design.set_up_models import SetUpSpec
from patterns.flat.shapes import inside_points
from patterns.hull.planes import Plane
from patterns.hull.sections import Section
from patterns.pattern import Kind, Line

__all__ = ["set_up_at", "set_up_facts", "set_up_lines"]

PAST = 10.0  # mm by which the line runs past the wood, so that it can be carried round its edge


def set_up_at(boat: Boat, plane: Plane) -> float | None:
    """The v of the set-up line on a plane athwartships; None where the design has no such line."""
    spec = next(iter(boat.design.all(SetUpSpec)), None)
    return None if spec is None else plane.up_at_height(spec.line)


def set_up_lines(boat: Boat, wood: Polygon, plane: Plane) -> list[Line]:
    """The set-up line across the wood; none where it passes clear of it."""
    spec = next(iter(boat.design.all(SetUpSpec)), None)
    if spec is None:
        return []
    room = wood.buffer(PAST)
    x0, _, x1, _ = room.bounds
    return [
        Line(kind=Kind.REFERENCE, points=piece, name="set-up line")
        for piece in inside_points(room, [plane.level_line(spec.line, x0, x1)])
    ]


def set_up_facts(boat: Boat, section: Section) -> list[str]:
    """How far the inside corners of planking lie from the set-up line, measured up the face."""
    spec = next(iter(boat.design.all(SetUpSpec)), None)
    if spec is None:
        return []
    places = [("centreline", section.apex), *((corner.name, corner.at) for corner in section.corners)]
    over = [(name, float(at[1] - section.plane.level(spec.line, at[:1])[0])) for name, at in places]
    words = [
        f"{name} {boat.length_words(abs(away))} {'below' if away < 0.0 else 'above'}" for name, away in over
    ]
    return [f"From the set-up line, inside of planking: {', '.join(words)}"]
