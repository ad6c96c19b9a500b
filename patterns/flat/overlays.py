"""Areas laid over one another: what they cover together, what they share, what is left of one.

All are made on a fine grid.  Without one, where two edges run along each other at a hair's angle, the library was
seen to fill what lies between two strips, and to lose a strip of wood 55 mm long and 1.2 mm deep from a saw line.
Which of them goes wrong depends on the last digits, so on the versions of libraries.
"""

from __future__ import annotations

from typing import Any

import shapely
from shapely.geometry import GeometryCollection

__all__ = ["difference", "intersection", "union"]

GRID = 1e-9  # mm; points are moved to this at most, which no test of nearness sees


def union(*areas: Any) -> Any:
    """All that any of the areas covers."""
    return _whole(shapely.union_all([_whole(area) for area in areas], grid_size=GRID))


def difference(area: Any, *cuts: Any) -> Any:
    """What is left of an area when cuts are taken away, one after another; or of a line."""
    left = _whole(area)
    for cut in cuts:
        left = _whole(shapely.difference(left, _whole(cut), grid_size=GRID))
    return left


def intersection(area: Any, *others: Any) -> Any:
    """What an area shares with all of the others; or a line, or an array of lines.

    Points and edges in which areas only touch are left out.
    """
    shared = _whole(area)
    for other in others:
        shared = _whole(shapely.intersection(shared, _whole(other), grid_size=GRID))
    return shared


def _whole(shape: Any) -> Any:
    """The parts of a collection that are of its highest dimension.

    A repaired outline may have hairs beside its area, and a part that is narrower than the grid is left as a line.
    """
    if not isinstance(shape, GeometryCollection) or shape.is_empty:
        return shape
    parts = shapely.get_parts(shape)
    kept = parts[shapely.get_dimensions(parts) == shapely.get_dimensions(parts).max()]
    return shapely.union_all(kept, grid_size=GRID)
