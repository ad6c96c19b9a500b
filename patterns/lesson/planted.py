"""Slips planted in an exercise: offsets that are wrong on purpose, by as much as a pupil can see on the paper.

Lengths are mm of paper where nothing else is said.
"""

from __future__ import annotations

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.lesson.pencil import BoolArray, batten_bias, reading_errors

__all__ = ["MOVES", "band_of", "places_to_plant"]

MOVES = (4.5, 3.0)  # a slip that shows at once, and one that must be sighted for
CLEAR = 2.0  # times the band of a careful pupil: a slip that is less could be the pencil's
APART = 3  # crosses from one planted slip to the next
ENOUGH = 9  # crosses, for two slips; fewer have one
SURE = 2.0  # standard deviations: 19 pupils of 20


def band_of(x: FloatArray, true: FloatArray, printed: FloatArray, lifted: BoolArray) -> FloatArray:
    """How far a careful pupil's reading may be from the true line at each cross, (n,).

    Args:
        x, true: the true line's places.
        printed: heights of the crosses as they are printed; those of the lifted ones do not count.
        lifted: the crosses that the batten is clear of.
    """
    held = ~lifted
    slopes = np.gradient(true, x)
    bias = batten_bias(x, printed, held, true)
    band: FloatArray = bias + SURE * reading_errors(x, held, slopes)
    return band


def places_to_plant(x: FloatArray, true: FloatArray, printed: FloatArray) -> list[int]:
    """The crosses to be moved, the greatest move first: where the others show best what is wrong.

    Args:
        x, true: the true line's places at the crosses, from the bow aft.
        printed: the crosses before any is moved, rounded as the table writes them.
    """
    count = len(x)
    found: list[int] = []
    for move in MOVES[: 2 if count >= ENOUGH else 1]:
        bands = {}
        for place in range(1, count - 1):
            if all(abs(place - other) >= APART for other in found):
                lifted = np.isin(np.arange(count), [*found, place])
                bands[place] = band_of(x, true, printed, lifted)[place]
        best = min(bands, key=lambda place: bands[place], default=None)
        if best is None or (found and bands[best] * CLEAR > move):
            break
        found.append(best)
    return found
