"""Figures in another unit than the file says: the same text read in each notation, and what sizes a frame has."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from itertools import groupby

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.measure import BadLength, Notation, parse_length
from patterns.repair.measuring.faults import Cause, Suspicion
from patterns.repair.measuring.spots import CENTRELINE, Spot

__all__ = ["all_in_other_units", "of_points_in_other_units", "scaled_as_a_whole", "size_odds"]

SHORTEST, LONGEST = 4.0, 70.0  # times its moulding that a side's edge is long (common practice, no source)
STEEP = 8.0  # log odds by which each e-fold beyond them is less likely
FELT = 1.0  # mm; texts whose values differ less say the same in both notations


def size_odds(spots: Sequence[Spot], at: FloatArray, moulded: float) -> float:
    """How unlikely the lengths of the edges are beside the moulding (logarithm); 0 for ordinary ones.

    Args:
        at: (spots, 2).
        moulded: mm; 0 where it is not known.
    """
    if not moulded:
        return 0.0
    worst = 0.0
    for _, run in groupby(range(len(spots)), key=lambda i: (spots[i].frame, spots[i].side)):
        own = at[list(run)]
        times = max(float(np.hypot(*np.diff(own, axis=0).T).sum()), 1e-3) / moulded
        worst = max(worst, float(np.log(SHORTEST / times)), float(np.log(times / LONGEST)))
    return -STEEP * worst


def of_points_in_other_units(
    spots: Sequence[Spot], points: Collection[int], notation: Notation
) -> Iterator[Suspicion]:
    """One reading, or all of one point's, in another notation."""
    for i in points:
        many = len(spots[i].values)
        for chosen in ([(i, k)] for k in range(many)):
            yield from _reread(spots, chosen, notation)
        yield from _reread(spots, [(i, k) for k in range(many)], notation)


def all_in_other_units(spots: Sequence[Spot], notation: Notation) -> Iterator[Suspicion]:
    """All readings, those of one frame, or those of one side of a frame, in another notation."""
    scopes: dict[tuple[object, ...], list[tuple[int, int]]] = {}
    for i, spot in enumerate(spots):
        for scope in ((), (spot.frame,), (spot.frame, spot.side)):
            scopes.setdefault(scope, []).extend((i, k) for k in range(len(spot.values)))
    for chosen in dict.fromkeys(tuple(own) for own in scopes.values()):
        yield from _reread(spots, chosen, notation)


def _reread(
    spots: Sequence[Spot], chosen: Sequence[tuple[int, int]], notation: Notation
) -> Iterator[Suspicion]:
    """Readings as each other notation has them, where their texts allow it and say another thing then."""
    for other in Notation:
        if other is notation:
            continue
        instead: dict[int, Spot] = {}
        try:
            for i, k in chosen:
                value = parse_length(spots[i].measured.places[k].typed, notation=other)
                if abs(value - spots[i].measured.values[k]) > FELT:
                    instead[i] = instead.get(i, spots[i]).with_value(k, value)
        except BadLength:
            continue
        changed = tuple((i, k) for i, k in chosen if i in instead)
        if changed:
            yield Suspicion(cause=Cause.UNIT, readings=changed, instead=instead, read_as=other)


def scaled_as_a_whole(spots: Sequence[Spot], fault: Suspicion) -> bool:
    """Whether everything would be larger or smaller alike, so that only sizes and no fit can tell."""
    return len(fault.instead) == len(spots) and all(spot.sources == (CENTRELINE,) for spot in spots)
