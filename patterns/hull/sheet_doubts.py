"""What is said of a strake of sheet: how it lies, and where no sheet lies true."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from patterns.design.file import DESIGN_FILE
from patterns.errors import Problem
from patterns.hull.bending import least_radius, most_bulge, most_twist, sheets_of
from patterns.hull.hull import Hull

__all__ = ["MOST_TWIST", "UNBENT", "lie_of_sheets", "sheet_warnings"]

UNBENT = 1e5  # mm; a sheet of a greater radius is flat to any eye
MOST_TWIST = np.radians(2.0)  # past it a strake is not what one sheet does


def _bulge_words(much: float, x: float) -> str:
    side = "outside" if much >= 0.0 else "inside"
    return f"it lies {abs(much):.1f} mm {side} of straight sections {x:.0f} mm aft"


def sheet_warnings(hull: Hull) -> tuple[Problem, ...]:
    """A word for each developable strake that no sheet lies true on."""
    found = []
    for strake in hull.strakes:
        if not sheets_of(strake):
            continue
        twist = most_twist(strake)
        if twist.much <= MOST_TWIST:
            continue
        bulge = most_bulge(strake, hull)
        found.append(
            Problem(
                f'{DESIGN_FILE}, strake "{strake.name}", key sections',
                f"no sheet lies true between {strake.lower} and {strake.upper}: {twist.at[0]:.0f} mm aft, at "
                f"height {twist.at[2]:.0f}, the least twist still is {np.degrees(twist.much):.1f}° from edge to "
                f"edge, over {np.degrees(MOST_TWIST):.0f}°; {_bulge_words(bulge.much, float(bulge.at[0]))}",
                'change the lines there, or write sections = "straight" if it is not planked in one sheet',
                code="sheet-twisted",
            )
        )
    return tuple(found)


def lie_of_sheets(hull: Hull) -> Iterator[str]:
    """A line for each developable strake: its twist, its bulge and its least bend radius, each with its place."""
    for strake in hull.strakes:
        if not sheets_of(strake):
            continue
        twist, bulge, bend = most_twist(strake), most_bulge(strake, hull), least_radius(strake)
        bent = "; it is not bent"
        if bend.much < UNBENT:
            bent = (
                f"; least bend radius {bend.much:.0f} mm ({bend.at[0]:.0f} mm aft, at height {bend.at[2]:.0f}); "
                "try a piece of the ply itself round it"
            )
        yield (
            f"{strake.name}, as a sheet bends: twist at most {np.degrees(twist.much):.2f}° "
            f"({twist.at[0]:.0f} mm aft); {_bulge_words(bulge.much, float(bulge.at[0]))}{bent}"
        )
