"""Faired lines that run far out of the boat: neighbouring offsets that cannot belong to one line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

import numpy as np

from patterns.errors import Problem
from patterns.fairing.ends import stands_at

if TYPE_CHECKING:
    from patterns.fairing.curves import SpaceLine
    from patterns.table.offsets import Offsets

__all__ = ["wild_lines"]

FAR = 0.5  # of the line's length: how far past its own offsets no fair line runs (common practice, no source)
SAMPLES = 24  # to each piece of a line


def wild_lines(lines: Iterable[SpaceLine], offsets: Offsets) -> Iterator[Problem]:
    """One problem for each line that runs far past the range of its own offsets, at the place where it does.

    Two stations a few millimetres apart whose offsets differ by inches throw the batten out so far.
    """
    for line in lines:
        row = offsets.lines[line.name]
        part = np.arange(SAMPLES) / SAMPLES
        t = (line.knots[:-1, None] + np.diff(line.knots)[:, None] * part).ravel()
        at = line.at(t)
        margin = FAR * float(np.ptp(at[:, 0]))
        for axis, typed, places, view in (
            (1, row.y, row.y_places, "half-breadth"),
            (2, row.z, row.z_places, "height"),
        ):
            low, high = float(np.nanmin(typed)), float(np.nanmax(typed))
            beyond = np.maximum(at[:, axis] - high, low - at[:, axis])
            worst = int(beyond.argmax())
            if beyond[worst] <= margin:
                continue
            x = float(at[worst, 0])
            after = min(int(np.searchsorted(np.nan_to_num(row.x, nan=-np.inf), x)), len(row.labels) - 1)
            yield Problem(
                stands_at(places[after], row.x_places[after], line=line.name),
                f'the {view} of "{line.name}" runs to {at[worst, axis]:.0f} mm, {x:.0f} mm aft, when it is faired: '
                "the offsets and positions near there do not belong to one line",
                "compare them with the plan, the positions of the stations too",
                code="wild-line",
            )
            break
