"""Where the timbers pass the frames and the stations."""

from __future__ import annotations

from patterns.boat import Boat
from patterns.hull.planes import station_plane
from patterns.timbers.measured import Passing, TimberSizes

__all__ = ["crossings"]


def crossings(boat: Boat, sizes: TimberSizes) -> list[Passing]:
    """The moulded faces of frames and the stations that a timber passes, from its after end on."""
    found = [
        sizes.passing(f"frame {spec.name}", boat.frame_faces(spec)[0], frame=True)
        for spec in boat.design.frames
    ]
    found += [
        sizes.passing(f"station {name}", station_plane(float(x)))
        for name, x in zip(boat.offsets.stations, boat.offsets.station_x, strict=True)
    ]
    return sorted((mark for mark in found if mark is not None), key=lambda mark: mark.at)
