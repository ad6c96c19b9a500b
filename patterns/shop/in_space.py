"""The faired lines and the sections as points in the boat: for the view in space, and for other tools."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.boat import Boat
from patterns.hull.planes import FloatArray, station_plane
from patterns.shop.cells import csv_text
from patterns.shop.views import every_line, sampled, section_runs

__all__ = ["HullLine", "points_table", "space_lines"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HullLine:
    """A line of the hull's starboard side in the boat.

    Attributes:
        what: "line", or "section" for what a plane at a station or the transom cuts.
        name: the line's, the station's, or "transom".
        points: shape (n, 3), mm: aft, outboard, up; lines from forward aft, sections from the keel up.
    """

    what: str
    name: str
    points: FloatArray


def space_lines(boat: Boat) -> tuple[HullLine, ...]:
    """Every faired line, then the sections at the stations and the transom, outside of the lines' surface."""
    lines = [HullLine(what="line", name=name, points=sampled(curve)) for name, curve in every_line(boat)]
    planes = [
        (name, station_plane(float(x)))
        for name, x in zip(boat.offsets.stations, boat.offsets.station_x, strict=True)
    ]
    planes.append(("transom", boat.hull.transom))
    for name, plane in planes:
        runs = section_runs(boat, plane)
        if runs:
            lines.append(HullLine(what="section", name=name, points=plane.space(np.vstack(runs))))
    return tuple(lines)


def points_table(boat: Boat) -> str:
    """The points as CSV: what, name, number along it from 1, and mm aft, outboard and up, to 0.001 mm."""
    rows: list[tuple[object, ...]] = [("what", "name", "point", "aft_mm", "outboard_mm", "up_mm")]
    for line in space_lines(boat):
        rows += [
            (line.what, line.name, number, f"{x:.3f}", f"{y:.3f}", f"{z:.3f}")
            for number, (x, y, z) in enumerate((line.points + 0.0).tolist(), start=1)
        ]
    return csv_text(rows)
