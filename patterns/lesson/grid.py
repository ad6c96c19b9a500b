"""A grid to loft on: each of its two ways at a common scale of its own, with lines at round lengths."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from patterns.measure import MM_PER_INCH
from patterns.shop.views import SCALES

__all__ = ["FEET", "METRIC", "Axis", "lay_axis"]

INCH = float(MM_PER_INCH)
FEET = tuple(INCH * inches for inches in (0.25, 0.5, 1.0, 3.0, 6.0, 12.0, 24.0, 48.0, 96.0))
METRIC = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0)
LEAST, NAMED = 4.0, 12.0  # mm of paper between two lines, and between two that are named


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """One way of the grid.

    Attributes:
        low, high: where it begins and ends, true mm.
        scale: 1 to so much.
        step: between its lines, true mm.
        named: between those that are drawn firmer and named; a multiple of the step.
    """

    low: float
    high: float
    scale: int
    step: float
    named: float

    @property
    def length(self) -> float:
        """On paper, mm."""
        return (self.high - self.low) / self.scale

    def at(self, value: float) -> float:
        """Where a true length stands on paper, mm from the axis's beginning."""
        return (value - self.low) / self.scale

    def lines(self) -> list[tuple[float, bool]]:
        """The true lengths at which lines stand, and whether each is a named one."""
        first, last = round(self.low / self.step), round(self.high / self.step)
        every = round(self.named / self.step)
        return [(index * self.step, index % every == 0) for index in range(first, last + 1)]


def lay_axis(low: float, high: float, room: float, steps: Sequence[float]) -> Axis:
    """The axis at the largest common scale at which it fits so much paper.

    Args:
        low, high: what must lie on it, true mm.
        room: mm of paper.
        steps: the lengths between lines that may be chosen, rising; each divides a later one.
    """
    for scale in SCALES:
        step = next((step for step in steps if step / scale >= LEAST), steps[-1])
        named = next((more for more in steps if more / scale >= NAMED and _divides(step, more)), steps[-1])
        first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
        axis = Axis(low=first * step, high=max(last, first + 1) * step, scale=scale, step=step, named=named)
        if axis.length <= room:
            return axis
    return axis


def _divides(step: float, more: float) -> bool:
    return abs(more / step - round(more / step)) < 1e-9
