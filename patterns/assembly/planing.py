"""How much of a long timber's flat back must be planed away to lie on the planking."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from weakref import WeakKeyDictionary

import numpy as np

from patterns.assembly.shell import planking_shells
from patterns.boat import Boat
from patterns.hull.hull import Hull
from patterns.timbers.run import Run

__all__ = ["Planing", "planings", "planings_of"]

PLACES = 60  # along a timber at which it is looked at
LEAST = 0.1  # mm; less is a stroke of the plane
OUTSIDE = ("rubbing rail", "ribband")


@dataclass(frozen=True, slots=True, kw_only=True)
class Planing:
    """The most that is planed off a timber on one strake.

    Attributes:
        run: the timber.
        strake: in words, e.g. ``bottom planking``.
        depth: mm.
        at: how far aft, mm.
    """

    run: Run
    strake: str
    depth: float
    at: float


def planings_of(boat: Boat) -> tuple[Planing, ...]:
    """Those of a boat's timbers, found once for each boat: the doubts and the report both ask.

    Raises:
        PatternsError: a timber cannot be laid.
    """
    if boat not in _known:
        _known[boat] = tuple(planings(boat.hull, boat.runs))
    return _known[boat]


_known: WeakKeyDictionary[Boat, tuple[Planing, ...]] = WeakKeyDictionary()


def planings(hull: Hull, runs: Sequence[Run]) -> Iterator[Planing]:
    """Every timber inside of the planking with every strake that it runs into."""
    shells = planking_shells(hull)
    for run in runs:
        if run.kind in OUTSIDE:
            continue
        places = np.linspace(0, len(run.corners) - 1, min(PLACES, len(run.corners))).astype(int)
        corners = run.corners[places]
        points = np.concatenate([corners, 0.5 * (corners + np.roll(corners, -1, axis=1))], axis=1)
        points = points.reshape(-1, 3)
        for shell in shells:
            depth = shell.depth(points)
            most = int(depth.argmax())
            if depth[most] > LEAST:
                yield Planing(run=run, strake=shell.name, depth=float(depth[most]), at=float(points[most, 0]))
