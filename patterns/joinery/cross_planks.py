"""The planks of a bottom that is planked across: how long each must be sawn before it is trimmed in place."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.boat import Boat
from patterns.design.cross_plank_models import CrossPlanksSpec
from patterns.hull.surfaces import Curve

__all__ = ["CrossPlank", "cross_planks"]

FINE = 2.0  # mm along the bottom from place to place
STEP = 5.0  # mm; rough lengths are rounded up to whole steps
CRUMB = 0.5  # mm; a narrower last plank is none


@dataclass(frozen=True, slots=True, kw_only=True)
class CrossPlank:
    """One plank across, mm.

    Attributes:
        number: from forward aft.
        starts, ends: along the bottom from its fore end, as one walks over it.
        aft: the distance aft of its fore edge.
        rough: its length as it is sawn.
    """

    number: int
    starts: float
    ends: float
    aft: float
    rough: float


def cross_planks(boat: Boat) -> list[CrossPlank]:
    """The planks from the stem, or the bow transom, to the stern; none where the design asks for none."""
    spec = next(iter(boat.design.all(CrossPlanksSpec)), None)
    if spec is None:
        return []
    hull = boat.hull
    bottom = hull.strakes[0]
    line = hull.lines[bottom.upper]
    count = int(np.ceil((line.end - line.start) * _pace(line) / FINE)) + 2
    points = line.at(np.linspace(line.start, line.end, max(count, 200)))
    along = np.append(0.0, np.cumsum(np.hypot(np.diff(points[:, 0]), np.diff(points[:, 2]))))
    # Where the lines lie inside of planking, the side's own thickness is outside of them.
    sides = next(strake.planking for strake in hull.strakes if strake.lower == bottom.upper)
    past = spec.trim + (0.0 if bottom.inset > 0.0 else sides)
    found = []
    for number, start in enumerate(np.arange(0.0, along[-1] - CRUMB, spec.width), start=1):
        end = min(float(start) + spec.width, float(along[-1]))
        under = (along > start) & (along < end)
        ends = np.interp([start, end], along, points[:, 1])
        half = float(max(*ends, points[under, 1].max(initial=0.0)))
        rough = STEP * float(np.ceil(2.0 * (half + past) / STEP - 1e-9))
        aft = float(np.interp(start, along, points[:, 0]))
        found.append(CrossPlank(number=number, starts=float(start), ends=end, aft=aft, rough=rough))
    return found


def _pace(line: Curve) -> float:
    """The most mm for one of a line's parameter."""
    return float(np.linalg.norm(line.at(np.linspace(line.start, line.end, 101), 1), axis=1).max())
