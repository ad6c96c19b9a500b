"""A line that ends off its stem or its transom: is its end at fault, or a point of the rabbet, or its height?

Two figures disagree, and the table's other figures know which of them is wrong.
"""

from __future__ import annotations

import numpy as np

from patterns.table.by_neighbours import by_neighbours, through
from patterns.table.rabbet_points import RabbetPoints
from patterns.table.values import FloatArray, LineOffsets

__all__ = ["height_at_fault", "height_on", "rabbet_at_fault"]

NEAR = 2  # points of the rabbet on either side of a line's end that are asked
WORSE = 2.0  # times as far off the others as the other figure is, from which a figure is at fault
BY_HEAD = 3  # points by which the rabbet is run on to the stem's head
STEEP = 1.0  # rise over run from which a stem's head is looked at by its distances aft


def rabbet_at_fault(rabbet: RabbetPoints, x: float, z: float, *, allowed: float) -> int | None:
    """The point of the rabbet that all its other points and a line's end contradict.

    Args:
        x, z: the line's end, off the rabbet as typed, mm.
        allowed: how far off a good end may be, mm.
    Returns:
        The point's index; None where the line's end may as well be wrong.
    """
    if len(rabbet.at) < BY_HEAD + 2:
        return None
    nearest = np.argsort(np.hypot(*(rabbet.at - (x, z)).T))[:NEAR]
    found = []
    for i in (int(k) for k in nearest):
        end, point = _off_others(rabbet, i, x, z)
        if end <= allowed and point > max(allowed, WORSE * end):
            found.append((end, i))
    return min(found)[1] if found else None


def _off_others(rabbet: RabbetPoints, i: int, x: float, z: float) -> tuple[float, float]:
    """How far a line's end, and one of the rabbet's points, are off its other points, mm."""
    head = rabbet.at[0]
    if i == 0:
        below = rabbet.at[1 : 1 + BY_HEAD]
        rise, run = np.ptp(below, axis=0)[::-1]
        if np.any(np.diff(below[:, 1]) >= 0.0) or rise < STEEP * run:
            return np.inf, np.inf
        return abs(x - _run_on(below, z)), abs(float(head[0]) - _run_on(below, float(head[1])))
    if i == len(rabbet.at) - 1:
        return np.inf, np.inf
    kept = [k for k in range(len(rabbet.at)) if k != i]
    rest = RabbetPoints(
        at=rabbet.at[kept],
        knuckle=tuple(rabbet.knuckle[k] for k in kept),
        places=tuple(rabbet.places[k] for k in kept),
    )
    own = rest.reach(float(rabbet.at[i, 0]), float(rabbet.at[i, 1]))
    end = rest.reach(x, z)
    return max(end.distance - 0.5 * end.bulge, 0.0), own.distance - 0.5 * own.bulge


def _run_on(below: FloatArray, z: float) -> float:
    """The distance aft at a height above points of a stem: half way from its straight run to its parabola, mm.

    Stems straighten towards the head, so the parabola bends too much there, and the straight run not enough.
    """
    parabola, straight = (through(below[:count, 1], below[:count, 0], z) for count in (BY_HEAD, 2))
    return 0.5 * (parabola + straight)


def height_at_fault(row: LineOffsets, i: int, wanted: float) -> bool:
    """Whether a line's own run wants another height at its end, about the one that puts it on the transom.

    Args:
        i: the end's column.
        wanted: the height at which the transom is where the line ends, mm.
    """
    by_run = by_neighbours(row.x, row.z, i)
    return bool(abs(by_run - wanted) * WORSE < abs(by_run - float(row.z[i])))


def height_on(rabbet: RabbetPoints, x: float, z: float) -> float | None:
    """The rabbet's height at a distance aft, the nearest to another height, mm; None where there is none."""
    at = rabbet.curve().reshape(-1, 2)
    at = at[np.isfinite(at).all(axis=1)]
    over = at[:, 0] - x
    i = np.nonzero(over[:-1] * over[1:] <= 0.0)[0]
    if not len(i):
        return None
    share = over[i] / np.where(over[i] == over[i + 1], 1.0, over[i] - over[i + 1])
    heights = at[i, 1] + share * (at[i + 1, 1] - at[i, 1])
    return float(heights[np.abs(heights - z).argmin()])
