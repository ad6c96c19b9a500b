"""The set-up line on a frame or a mould: where it lies, and how far from it the hull's corners are."""

from __future__ import annotations

from shapely.geometry import Polygon

from patterns.boat import Boat
from patterns.design.set_up_models import SetUpSpec
from patterns.flat.shapes import inside_points
from patterns.hull.planes import Plane
from patterns.hull.sections import Section
from patterns.wood.facts import Fact
from patterns.wood.features import Scribed

__all__ = ["set_up_at", "set_up_facts", "set_up_scribed"]

PAST = 10.0  # mm by which the line runs past the wood, so that it can be carried round its edge


def set_up_at(boat: Boat, plane: Plane) -> float | None:
    """The v of the set-up line on a plane athwartships; None where the design has no such line."""
    spec = next(iter(boat.design.all(SetUpSpec)), None)
    return None if spec is None else plane.up_at_height(spec.line)


def set_up_scribed(boat: Boat, wood: Polygon, plane: Plane) -> list[Scribed]:
    """The set-up line across the wood; none where it passes clear of it."""
    spec = next(iter(boat.design.all(SetUpSpec)), None)
    if spec is None:
        return []
    room = wood.buffer(PAST)
    x0, _, x1, _ = room.bounds
    return [
        Scribed(fact=Fact("set-up-line"), points=piece)
        for piece in inside_points(room, [plane.level_line(spec.line, x0, x1)])
    ]


def set_up_facts(boat: Boat, section: Section) -> list[Fact]:
    """How far the inside corners of planking lie from the set-up line, measured up the face."""
    spec = next(iter(boat.design.all(SetUpSpec)), None)
    if spec is None:
        return []
    places = [("centreline", section.apex), *((corner.name, corner.at) for corner in section.corners)]
    away = {name: float(at[1] - section.plane.level(spec.line, at[:1])[0]) for name, at in places}
    return [Fact("from-set-up-line", {"away": away})]
