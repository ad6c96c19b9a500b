"""All frames of a repair judged at once: what the measuring model is given, and what it answers."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

import numpy as np

from patterns.measure import Notation
from patterns.repair.measuring.equations import Frames
from patterns.repair.measuring.judge import Verdict, judge
from patterns.repair.measuring.spots import references_of, spots_of
from patterns.repair.measuring.stories import Stories
from patterns.repair.places import Places
from patterns.repair.points import MeasuredPoint

__all__ = ["solved"]

HAND = 0.378  # part of the move that fairing is allowed: the usual error of a hand (0.6 mm of 1/16 in)
WOOD = 0.126  # part of it: old wood beside a fair edge (0.2 mm of 1/16 in)
PLACED = 0.315  # part of it: the place of a sound nail or straight edge (0.5 mm of 1/16 in)
LEAST = 0.01  # mm; a tape is not truer than this


def solved(
    points: Mapping[str, Sequence[MeasuredPoint]],
    places: Places,
    *,
    allow: float,
    step: float,
    notation: Notation,
    straight: Collection[str] = (),
    compared: bool = True,
    moulded: float = 0.0,
) -> Verdict:
    """Edges, faults and how well all is known.

    Args:
        points: of each frame; the broken one's name is empty.
        allow: how far a good point may lie off the fair edge, mm.
        step: mm to which the tape was read.
        straight: stretches that are straight on purpose.
        compared: the centreline is known, so that each side is a witness for the other.
        moulded: the frame's moulding, mm; 0 where it is not known.
    """
    spots = tuple(spot for frame, own in points.items() for spot in spots_of(frame, own, places))
    frames = Frames(
        spots=spots,
        refs=references_of(spots, places),
        error=float(np.sqrt(max(HAND * allow, LEAST) ** 2 + step**2 / 12.0)),
        wood=max(WOOD * allow, LEAST),
        placed=max(PLACED * allow, LEAST),
        compared=compared,
        straight=frozenset(straight),
        moulded=moulded,
    )
    return judge(frames, Stories(notation))
