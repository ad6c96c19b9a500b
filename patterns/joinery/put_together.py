"""What a built frame is put together by on a bare board: its heels, and both cross diagonals."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from patterns.boat import Boat
from patterns.hull.planes import FloatArray
from patterns.hull.sections import Section
from patterns.joinery.set_up import set_up_at
from patterns.wood.facts import Fact
from patterns.wood.region import Region

__all__ = ["heel_of", "put_together_facts"]

ON = 1e-3  # mm; wood that is nearer to the inside of planking lies on it
CENTRED = 0.5  # mm; a heel that is nearer to the centreline lies on it


def heel_of(section: Section, wood: Sequence[Region]) -> FloatArray | None:
    """Where the frame's wood leaves the inside of planking next to the centreline, on that face; (2,).

    None where no wood lies on the planking.
    """
    points = np.concatenate([shapely.get_coordinates(each.area) for each in wood])
    on = points[shapely.distance(shapely.LineString(section.edge), shapely.points(points)) < ON]
    return on[int(on[:, 0].argmin())] if len(on) else None


def put_together_facts(boat: Boat, section: Section, wood: Sequence[Region]) -> Iterator[Fact]:
    """Heel and diagonals of a frame of several pieces, on the moulded face.

    Args:
        wood: of its pieces on that face, the starboard ones and the starboard halves.
    """
    heel = heel_of(section, wood)
    if heel is None:
        return
    sheer = section.corners[-1].at * [-1.0, 1.0]
    places = {"heel": heel, **{corner.name: corner.at for corner in section.corners[:-1]}}
    line = set_up_at(boat, section.plane)
    yield Fact(
        "put-together-by",
        {
            "heels": 2.0 * float(heel[0]) if heel[0] > CENTRED else 0.0,
            "from_line": None if line is None else float(heel[1] - line),
            "sheer": section.corners[-1].name,
            "diagonals": {name: float(np.hypot(*(at - sheer))) for name, at in places.items()},
        },
    )
