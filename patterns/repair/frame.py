"""One frame's points in their places and faired: the broken frame's, and its neighbours' in the same way."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from patterns.design.file import FairingSpec
from patterns.errors import Problem
from patterns.repair.fairing import FairSide, fair_side, order_problems
from patterns.repair.fixing import Fixed, fix
from patterns.repair.places import SIDES, Places, Side
from patterns.repair.points import Measured

__all__ = ["faired_sides"]


def faired_sides(
    points: Sequence[Measured], places: Places, fairing: FairingSpec, straight: Collection[str]
) -> tuple[dict[Side, FairSide], list[Problem]]:
    """Every side of one frame that was measured."""
    found: dict[Side, FairSide] = {}
    problems: list[Problem] = []
    for side in SIDES:
        own = [fix(point, places) for point in points if point.side == side]
        lost = [point for point in own if isinstance(point, Problem)]
        problems += lost
        fixed = [point for point in own if isinstance(point, Fixed)]
        if lost or not fixed:
            continue
        made, more = fair_side(fixed, allow=fairing.allow, ends=fairing.ends, straight=straight)
        problems += more
        problems += _exchanged(fixed, places) if more else []
        if made is not None:
            found[side] = made
    return found, problems


def _exchanged(points: Sequence[Fixed], places: Places) -> list[Problem]:
    """The points that would put an edge in order again if their first two values were exchanged."""
    found = []
    for i, fixed in enumerate(points):
        first, second, *rest = fixed.measured.values
        other = fix(replace(fixed.measured, values=(second, first, *rest)), places)
        if isinstance(other, Fixed) and not order_problems([*points[:i], other, *points[i + 1 :]]):
            found.append(
                Problem(
                    str(fixed.measured.places[0]),
                    f"a and b exchanged at point {fixed.measured.name} would put that edge in order",
                    "look at the row again",
                )
            )
    return found
