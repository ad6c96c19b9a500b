"""Where register holes go: both faces of a piece are printed on the same two, square through its wood."""

from __future__ import annotations

import numpy as np
from shapely.geometry import Polygon

from patterns.flat.shapes import parts_of
from patterns.hull.planes import FloatArray

__all__ = ["register_places"]

RIM = 1.5  # mm; the least wood left round a register hole
NOTHING = 1e-6  # mm2; what shrinking an area leaves of this size is a slip of its figures
EQUAL = 3  # decimals of a millimetre; places for holes that differ by less are as good as each other


def register_places(wood: Polygon, *, diameter: float) -> list[FloatArray]:
    """Two places for register holes in half a ring: clear of every edge and as far apart as they can be.

    Args:
        wood: the area that is wood on both faces.
        diameter: of the holes, mm.
    Returns:
        Two points (2,), or none where the wood is too narrow for two holes.
    """
    radius = 0.5 * diameter
    for clear in (radius + 8.0, radius + 4.0, radius + RIM):
        rooms = parts_of(wood.buffer(-clear), least=NOTHING)
        if not rooms:
            continue
        points = np.vstack([np.asarray(room.exterior.coords) for room in rooms])
        points = points[points[:, 0] > diameter]  # the mirrored half has holes of its own
        if len(points) < 2:
            continue
        # Of places that are equally good the first is taken, whatever the last digits say on this machine.
        low = points[int(np.round(points.sum(axis=1), EQUAL).argmin())]
        high = points[int(np.round(np.hypot(*(points - low).T), EQUAL).argmax())]
        if float(np.hypot(*(high - low))) > 2.0 * diameter:
            return [low, high]
    return []
