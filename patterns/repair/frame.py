"""One frame's points in their places and faired: the broken frame's, and its neighbours' in the same way."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from patterns.design.file import FairingSpec
from patterns.errors import Problem
from patterns.measure import Notation
from patterns.repair.fairing import FairSide, fair_side
from patterns.repair.fixing import Fixed, fix
from patterns.repair.places import SIDES, Places, Side
from patterns.repair.points import MeasuredPoint
from patterns.repair.unfolded import one_change

__all__ = ["faired_sides"]


def faired_sides(
    points: Sequence[MeasuredPoint],
    places: Places,
    fairing: FairingSpec,
    straight: Collection[str],
    notation: Notation,
) -> tuple[dict[Side, FairSide], list[Problem]]:
    """Every side of one frame that was measured."""
    found: dict[Side, FairSide] = {}
    problems: list[Problem] = []
    for side in SIDES:
        measured = [point for point in points if point.side == side]
        own = [fix(point, places) for point in measured]
        fixed = [point for point in own if isinstance(point, Fixed)]
        wrong = [point for point in own if isinstance(point, Problem)]
        if fixed and not wrong:
            made, wrong = fair_side(fixed, allow=fairing.allow, ends=fairing.ends, straight=straight)
            if made is not None:
                found[side] = made
        problems += wrong
        change = one_change(measured, places, notation) if wrong else None
        problems += [] if change is None else [change]
    return found, problems
