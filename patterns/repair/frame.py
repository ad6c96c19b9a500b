"""One frame's points in their places, and its edges as the measuring model has them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from patterns.errors import Problem
from patterns.repair.fairing import FairSide, fair_side, order_problems
from patterns.repair.fixing import Fixed, fix
from patterns.repair.measuring.curves import curves_of
from patterns.repair.measuring.model import Model
from patterns.repair.places import SIDES, Places, Side
from patterns.repair.points import MeasuredPoint

__all__ = ["faired_sides", "fixed_sides"]


def fixed_sides(
    points: Sequence[MeasuredPoint], places: Places
) -> tuple[dict[Side, tuple[Fixed, ...]], list[Problem]]:
    """The points of every side of one frame that was measured, where each side's points make an edge."""
    found: dict[Side, tuple[Fixed, ...]] = {}
    problems: list[Problem] = []
    for side in SIDES:
        measured = [point for point in points if point.side == side]
        own = [fix(point, places) for point in measured]
        fixed = [point for point in own if isinstance(point, Fixed)]
        wrong = [point for point in own if isinstance(point, Problem)]
        wrong = wrong or order_problems(fixed)
        if fixed and not wrong:
            found[side] = tuple(fixed)
        problems += wrong
    return found, problems


def faired_sides(fixed: Mapping[Side, Sequence[Fixed]], model: Model, frame: str) -> dict[Side, FairSide]:
    """Every side of one frame with its fair edge."""
    return {side: fair_side(points, curves_of(model, frame, side)) for side, points in fixed.items()}
