"""Strip planking: how many strips each section takes, and where the first one lies."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.boat import Boat
from patterns.design.strip_models import StripsSpec
from patterns.errors import PatternsError
from patterns.hull.planes import station_plane
from patterns.joinery.plank_lines import outside_run

__all__ = ["StripRun", "strip_run"]

WHOLE = 1e-6  # of a strip; less of one more is none


@dataclass(frozen=True, slots=True, kw_only=True)
class StripRun:
    """The strips in one plane square to the centreline.

    Attributes:
        girth: over the outside of planking, from the rabbet to the sheer, mm.
        up: from the rabbet up to the first strip's lower edge, mm; None where that passes this place by.
        below, above: how many strips it takes under that edge, and from it to the sheer.
    """

    girth: float
    up: float | None
    below: int
    above: int


def strip_run(boat: Boat, x: float) -> StripRun | None:
    """The strips at a distance aft; None where the design asks for none.

    Raises:
        PatternsError: the first strip would lie above the sheer there.
    """
    spec = next(iter(boat.design.all(StripsSpec)), None)
    if spec is None:
        return None
    run, uv = outside_run(boat, station_plane(x))
    girth = float(run[-1])
    up: float | None = max(girth - spec.width, 0.0)
    if spec.first is not None:
        if spec.first >= uv[-1, 1]:
            raise PatternsError(
                f"the first strip at height {spec.first:g} mm is above the sheer, which is at {uv[-1, 1]:.0f} mm "
                f"{x:.0f} mm aft; reduce first under [strips]"
            )
        rises = np.nonzero((uv[:-1, 1] <= spec.first) & (uv[1:, 1] > spec.first))[0]
        up = None
        if len(rises):
            i = int(rises[-1])
            part = (spec.first - uv[i, 1]) / (uv[i + 1, 1] - uv[i, 1])
            up = float(run[i] + part * (run[i + 1] - run[i]))
    lower = 0.0 if up is None else up
    return StripRun(
        girth=girth, up=up, below=_count(lower, spec.width), above=_count(girth - lower, spec.width)
    )


def _count(girth: float, width: float) -> int:
    return max(int(np.ceil(girth / width - WHOLE)), 0)
