"""The last height of a level keel, which only one neighbour holds: doubted as the end of any other line is.

The profile line's own model leaves open how the keel goes on past its last neighbour, for it is as free there as
in the bend of the forefoot.  The heights of the level run alone hold it much better.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from patterns.fairing.blame import blamed
from patterns.fairing.lifting import Doubt
from patterns.measure import Notation

if TYPE_CHECKING:
    from patterns.fairing.profile_points import PathPoint

__all__ = ["end_doubts"]

LEVEL = 0.2  # rise over run of a chord that still belongs to the level run


def end_doubts(points: Sequence[PathPoint], tolerance: float, notation: Notation) -> list[Doubt]:
    """The doubts about a keel's own ends, where it ends at no stem.

    Args:
        points: the profile line's, in their order along it.
        tolerance: how far a good figure may be off, mm, > 0.
        notation: the table's, in which slips are usual.
    """
    last = len(points) - 1
    found = [_doubt(points, list(range(last, -1, -1)), tolerance, notation)]
    found.append(_doubt(points, list(range(last + 1)), tolerance, notation))
    return [doubt for doubt in found if doubt is not None]


def _doubt(
    points: Sequence[PathPoint], inward: Sequence[int], tolerance: float, notation: Notation
) -> Doubt | None:
    """The doubt about the first of ``inward``, if in its level run that is wrong or may be instead of another."""
    run = [inward[0]]
    for i in inward[1:]:
        one, other = points[run[-1]], points[i]
        if other.stem or one.stem or one.knuckle or abs(one.z - other.z) > LEVEL * abs(one.x - other.x):
            break
        run.append(i)
    run.sort()
    x, z = (np.array([getattr(points[i], axis) for i in run]) for axis in "xz")
    if len(run) < 2 or np.any(np.diff(x) <= 0):
        return None
    for blame in blamed(x, z, tolerance=tolerance, notation=notation):
        instead = blame.instead
        if inward[0] not in (run[blame.index], run[instead.index] if instead else None):
            continue
        return Doubt(
            index=run[blame.index],
            wanted=blame.wanted,
            deviation=(points[run[blame.index]].z - blame.wanted) / blame.unsure,
            unsure=blame.unsure,
            or_index=run[instead.index] if instead else None,
            or_wanted=instead.wanted if instead else None,
        )
    return None
