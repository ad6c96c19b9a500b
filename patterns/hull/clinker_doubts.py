"""What is said of clinker planks whose laps do not come out well."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from patterns.design.parts import DESIGN_FILE
from patterns.errors import Problem
from patterns.hull.clinker import lands_at
from patterns.hull.hull import Hull

__all__ = ["clinker_warnings"]

PLACES = 61  # along a lap
LET_IN = (
    0.05  # of a plank's thickness; where planks are let into each other by more, nothing is said of the land
)
THIN = 0.1  # of a plank's thickness, left at its upper edge; common practice, no source
GAPE = 1.0  # mm at the upper edge of a lap that opens; common practice, no source


def clinker_warnings(hull: Hull) -> Iterator[Problem]:
    """Planks that are planed to a feather edge at their lands, and laps that gape where the section is hollow."""
    for below, above in pairwise(hull.strakes):
        if below.laps is None or below.edges is None or above.edges is None or above.edges[0] is None:
            continue
        edge, laps = below.edges[1], below.laps
        first, last = (float(edge.at(np.array(t))[0]) for t in (edge.start, edge.end))
        x = np.linspace(first, last, PLACES)[1:-1]
        planks = below.planked(hull.profile), above.planked(hull.profile)
        lands = lands_at(*planks, (edge, above.edges[0]), laps, x)
        whole = lands.let_in < LET_IN * below.planking
        if not whole.any():
            continue
        place = f'{DESIGN_FILE}, strake "{below.name}"'
        i = int(np.where(whole, lands.left, np.inf).argmin())
        if lands.left[i] < THIN * below.planking:
            left = max(float(lands.left[i]), 0.0)
            yield Problem(
                place,
                f"its upper edge is {left:.1f} mm thick at its land {x[i]:.0f} mm aft: {above.name} turns by "
                f"{np.degrees(lands.bevel[i]):.0f}° there, and a lap of {laps.width:g} mm takes the rest",
                "make lap less under [clinker], or line her off for more planks there",
                code="land-thin",
            )
        gape = laps.width * np.tan(np.where(whole, -lands.bevel, 0.0))
        j = int(gape.argmax())
        if gape[j] > GAPE:
            yield Problem(
                place,
                f"{above.name} is {gape[j]:.1f} mm off its upper edge at the lap {x[j]:.0f} mm aft, where the "
                "section is hollow",
                "check the lines there, or make lap less under [clinker]",
                code="land-gapes",
            )
