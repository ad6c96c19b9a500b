"""Bevels as the bench reads them: where they are given, how they are rounded, what they are called."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from patterns.flat.polylines import lengths
from patterns.hull.planes import FloatArray

__all__ = [
    "LEAST_STEP",
    "MOST_APART",
    "BevelKind",
    "GaugeAngle",
    "bevel_words",
    "gauge_angle",
    "reading_places",
    "rounded_departure",
]

MOST_APART = 150.0  # mm between readings along an edge
LEAST_STEP = np.radians(1.0)  # a change of bevel that asks for a reading of its own
FINEST = 0.5  # degrees; as fine as a bevel gauge is set by eye (common practice, no source)

BevelKind: TypeAlias = Literal["under", "square", "standing", "land"]


@dataclass(frozen=True, slots=True)
class GaugeAngle:
    """A bevel as a gauge is set to it: the angle through the wood in degrees, and what the bench calls it."""

    degrees: float
    kind: BevelKind

    @property
    def tilt(self) -> float:
        """How far it is from square, degrees: the saw's tilt for a sawn edge."""
        return abs(self.degrees - 90.0)


def rounded_departure(bevel: float, *, land: bool = False) -> float:
    """The departure from square in degrees, rounded so that wood is left on, never lost.

    A sawn edge is rounded towards square.  A land, planed down to a fixed line, is rounded away from it: the
    flatter it is planed the less is taken off.
    """
    departure = abs(np.degrees(bevel) - 90.0) / FINEST
    whole = np.ceil(departure - 1e-9) if land else np.floor(departure + 1e-9)
    return float(whole * FINEST)


def gauge_angle(bevel: float, *, land: bool = False) -> GaugeAngle:
    """A bevel, radians, rounded for the gauge; ``land`` as in :func:`bevel_words`."""
    departure = rounded_departure(bevel, land=land)
    degrees = float(90.0 + np.copysign(departure, bevel - 0.5 * np.pi))
    if land:
        return GaugeAngle(degrees, "land")
    if departure == 0.0:
        return GaugeAngle(90.0, "square")
    return GaugeAngle(degrees, "under" if bevel < 0.5 * np.pi else "standing")


def bevel_words(bevel: float, *, land: bool = False, tilt: bool = True, apart: str = " ") -> str:
    """The angle through the wood in words, ``78° under (saw tilt 12°)``; a land's is ``138° through the wood``.

    Args:
        bevel: radians, read square to the edge; less than a right angle is under, more is standing.
        land: it is planed, not sawn.
        tilt: with the saw's tilt; without it for an edge that is planed by a gauge.
        apart: what parts the angle from the saw's tilt, e.g. a new line.
    """
    angle = gauge_angle(bevel, land=land)
    if angle.kind == "land":
        return f"{angle.degrees:g}° through the wood"
    saw = f"{apart}(saw tilt {angle.tilt:g}°)" if tilt and angle.kind != "square" else ""
    return f"{angle.degrees:g}° {angle.kind}{saw}"


def reading_places(
    points: FloatArray, bevel: FloatArray, *, also: tuple[float, ...] = (), clear: float = 25.0
) -> list[int]:
    """The indices along an edge at which its bevel is given.

    Both ends, every place in ``also`` (mm along the edge: notches and joints), not more than 150 mm apart, and
    wherever the bevel has changed by one degree since the last reading.

    Args:
        points: shape (n, 2), mm.
        bevel: shape (n,), radians.
        clear: readings from the spacing rules keep this far from the fixed ones, mm.
    """
    run = lengths(points)
    fixed = sorted({0, len(points) - 1, *(int(np.abs(run - place).argmin()) for place in also)})
    chosen = [fixed[0]]
    for stop in fixed[1:]:
        while True:
            last = chosen[-1]
            since = np.arange(last + 1, stop)
            gap = run[stop] - run[last]
            spacing = gap / max(np.ceil(gap / MOST_APART - 1e-9), 1.0)
            turned = np.abs(bevel[since] - bevel[last]) >= LEAST_STEP
            # A twist in a short run would crowd the words out; there the readings stand `clear` apart.
            turned &= (run[since] - run[last] >= clear) & (run[stop] - run[since] >= clear)
            far = run[since] - run[last] > spacing + 1e-9
            if not (turned | far).any():
                break
            first = int((turned | far).argmax())
            chosen.append(int(since[max(first - 1, 0)] if far[first] else since[first]))
        chosen.append(stop)
    return sorted(set(chosen))
