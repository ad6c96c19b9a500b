"""What the patterns of a repair's pieces are drawn of: outlines, bevels, marks, register holes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.flat.shapes import outline_of
from patterns.hull.planes import FloatArray
from patterns.pattern import XY, Hole, Kind, Line, Mark, Reading
from patterns.repair.fairing import HEEL
from patterns.repair.notches import Notch, free_stretches
from patterns.repair.outline import Edge
from patterns.repair.repair import Repair
from patterns.text.bevels import reading_places
from patterns.wood.register import register_places

__all__ = ["marks", "outlines", "readings", "register", "xy"]

ASIDE = 1e4  # mm; to the side of every centreline
STEP = 30.0  # mm; a shorter stretch is a step between planks


def outlines(kind: Kind, area: Polygon) -> list[Line]:
    rings = [outline_of(area), *(np.asarray(hole.coords)[:-1] for hole in area.interiors)]
    return [Line(kind=kind, points=points, closed=True) for points in rings]


def xy(point: FloatArray) -> XY:
    return float(point[0]), float(point[1])


def register(repair: Repair, wood: Any, *, half: bool) -> tuple[Hole, ...]:
    """Two register holes through wood that both faces have, as far apart as they can be."""
    diameter = repair.marks.register_holes
    shift = 0.0 if half else ASIDE  # of a half they lie on its own side of the centreline
    places = register_places(
        shapely.transform(wood, lambda points: points + np.array([shift, 0.0])), diameter=diameter
    )
    return tuple(Hole(at=(float(at[0]) - shift, float(at[1])), diameter=diameter) for at in places)


def readings(edge: Edge, notches: Sequence[Notch], depth: float, way: float) -> tuple[Reading, ...]:
    found = []
    for stretch in free_stretches(edge, notches):
        if stretch.name == HEEL and len(stretch.points) == 2 and not stretch.slope.any():
            continue
        if stretch.run[-1] < STEP:  # it is cut with the bevel of the plank beside it
            continue
        bevel = stretch.bevel(depth, way)
        found += [
            Reading(
                at=xy(stretch.points[i]),
                bevel=float(bevel[i]),
                towards=xy(stretch.out[i]),
                edge=stretch.name,
            )
            for i in reading_places(stretch.points, bevel)
        ]
    return tuple(found)


def marks(edge: Edge) -> tuple[Mark, ...]:
    """Crosses at the corners, one at a step; heel, head and the places of joints are seen by themselves."""
    found: list[Mark] = []
    for name, at in zip(edge.corners[1:-1], edge.corner_places[1:-1], strict=True):
        said = f"{name}, inside of planking"
        again = bool(found) and found[-1].name == said and np.hypot(*(at - found[-1].at)) < STEP
        if name and name != HEEL and not again:
            found.append(Mark(name=said, at=xy(at)))
    return tuple(found)
