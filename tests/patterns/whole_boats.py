"""How far frames made from a typed table are from the boat that the table was taken from."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import shapely

from patterns.boat import load_boat
from patterns.hull.hull import Hull
from patterns.hull.planes import FloatArray, Plane, station_plane
from patterns.hull.sections import cut_hull
from tests.patterns.analytic_boats import AnalyticBoat, Rounding, analytic_boat, write_table

__all__ = ["departure", "faces_of", "planes_of", "simulate"]


def planes_of(boat: AnalyticBoat) -> list[Plane]:
    """Frames through the boat: upright at and between stations, and two raked."""
    first, last = boat.fore_x["chine"] + 350.0, boat.aft_x["keel"] - 40.0
    places = np.linspace(first, last, 7)
    raked = [
        station_plane(float(x), rake=np.radians(rake)) for x, rake in ((places[2], 10.0), (places[5], 12.0))
    ]
    return [station_plane(float(x)) for x in places] + raked


def departure(true: Hull, made: Hull, plane: Plane) -> tuple[float, float]:
    """Largest distance between the two outlines, mm, and between the two bevels, degrees, on one face."""
    a, b = cut_hull(true, plane), cut_hull(made, plane)
    apart = float(shapely.hausdorff_distance(shapely.LineString(a.edge), shapely.LineString(b.edge)))
    turn = 0.0
    for name, trace in a.traces.items():
        other = b.traces[name]
        # Where two strakes lie nearly in one plane their edge may be far along either: only what both have counts.
        r = np.linspace(max(trace.r.min(), other.r.min()), min(trace.r.max(), other.r.max()), 41)
        one, two = (
            np.interp(r, np.sort(t.r), t.bevel(plane.normal)[np.argsort(t.r)]) for t in (trace, other)
        )
        turn = max(turn, float(np.degrees(np.abs(one - two)).max()))
    return apart, turn


def faces_of(boat: AnalyticBoat, *, sided: float = 20.0) -> list[Plane]:
    """Both faces of frames from the forefoot aft: upright, raked and canted."""
    first, last = boat.fore_x["chine"] + 200.0, boat.aft_x["keel"] - 40.0 - sided
    places = np.linspace(first, last, 8)
    planes = [station_plane(float(x)) for x in places]
    planes += [station_plane(float(x), rake=np.radians(8.0)) for x in places[1:4]]
    planes += [station_plane(float(x), cant=np.radians(10.0)) for x in places[1:3]]
    return [face for plane in planes for face in (plane, plane.moved(sided))]


def simulate(
    seed: int, rounding: Rounding, folder: Path, *, stations: int = 9, ordinary: bool = False
) -> FloatArray:
    """One boat typed in, read, faired and cut: how far each frame's outline, mm, and bevel, degrees, are out.

    Args:
        ordinary: see `write_table`; then both faces are looked at, canted ones too.
    Returns:
        Shape (faces, 2).
    """
    boat = analytic_boat(seed)
    write_table(
        boat, folder, rounding, np.random.default_rng(10_000 + seed), stations=stations, ordinary=ordinary
    )
    made, true = load_boat(folder).hull, boat.hull()
    planes = faces_of(boat) if ordinary else planes_of(boat)
    return np.array([departure(true, made, plane) for plane in planes])
