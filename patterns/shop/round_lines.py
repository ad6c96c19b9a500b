"""A round bilge's own lines to sight along: sections, waterlines, buttocks and diagonals of the faired surface."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from patterns.boat import Boat
from patterns.hull.girth import place_on
from patterns.hull.planes import FloatArray, Plane
from patterns.table.levels import LevelRow, levels_of

__all__ = ["level_runs", "round_section"]

FINE = 15.0  # mm between two places of a line


def round_section(boat: Boat, plane: Plane) -> FloatArray | None:
    """The section in a plane athwartships from the rabbet up to the sheer, (n, 2); None where it is not round."""
    if boat.lines.girth is None:
        return None
    trace = boat.hull.strakes[0].across(plane, inset=0.0)
    rabbet = boat.hull.pierced(boat.hull.profile, plane)
    if trace is None:
        return None
    kept = trace.r <= 1.0
    if rabbet is not None:
        foot = plane.flat(rabbet[0])
        nearest = int(np.hypot(*(trace.uv - foot).T).argmin())
        kept &= np.arange(len(trace)) >= nearest
    return trace.uv[kept]


@lru_cache(maxsize=1)  # the lines to sight along, the loft book and the picture draw the same boat
def level_runs(boat: Boat) -> tuple[tuple[LevelRow, FloatArray], ...]:
    """Every waterline, buttock and diagonal as the surface has it, (n, 3), from its first offset to its last."""
    girth = boat.lines.girth
    if girth is None:
        return ()
    found = []
    for level in levels_of(boat.offsets, boat.design):
        faired = {row.label: row for row in boat.lines.rows if row.line == level.name}
        rows = [faired[label] for label in level.row.labels if label in faired]
        if len(rows) < 2:
            continue
        at = np.array([row.x for row in rows])
        x = np.linspace(at[0], at[-1], max(int((at[-1] - at[0]) / FINE), 2))
        near = np.interp(x, at, [row.faired for row in rows])
        points = np.column_stack([x, level.start + near[:, None] * level.along])
        start, along = (np.broadcast_to(v, (len(x), 2)) for v in (level.start, level.along))
        true = place_on(girth, x, girth.nearest(points)[1], start, along)
        found.append((level, np.column_stack([x, level.start + true[:, None] * level.along])))
    return tuple(found)
