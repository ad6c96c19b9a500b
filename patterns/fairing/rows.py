"""Whether a whole run of a row stands one station off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from patterns.fairing.batten import Ends, batten
from patterns.fairing.evenness import NOISE
from patterns.fairing.lifting import lift
from patterns.hull.planes import FloatArray

__all__ = ["Shift", "shifted"]

BETTER = 12.0  # natural logarithm of the likelihoods' ratio from which a shift is spoken of
STILL_DOUBTED = 4.0  # deviations; a row that is put right has no doubt left
RUN = 3  # shorter runs are single slips


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """A run of a row that stands one station off.

    Attributes:
        first, last: the indices of the run as typed.
        by: +1 where the values stand one station too far aft, -1 too far forward.
    """

    first: int
    last: int
    by: int


def shifted(
    x: FloatArray, y: FloatArray, *, tolerance: float, ends: Ends = "free", knuckles: Sequence[int] = ()
) -> Shift | None:
    """The shift of a run of offsets that makes the row fair, if there is one.

    A value typed twice or left out sets all that follow one station off, up to the last station or to the
    end.  The value that has no place then is left aside.
    """
    n = len(x)
    if n < 8 or knuckles:
        return None
    best: Shift | None = None
    # A shift leaves one value aside, so it must also be likelier than one wrong value left aside: the simpler tale.
    single = max(_likely(np.delete(x, i), np.delete(y, i), tolerance, ends)[0] for i in range(n))
    least = max(_likely(x, y, tolerance, ends)[0], single) + BETTER
    for first in range(1, n - RUN):
        for last in (n - 2, n - 1):
            for by in (1, -1):
                if last - first < RUN:
                    continue
                stays = [*range(first), *range(last + 1, n)]
                # Aft: what stands at first+1 belongs to first; the value at first is the one too many.
                moves = range(first + 1, last + 1) if by > 0 else range(first, last)
                pairs = sorted([(i, i) for i in stays] + [(i - by, i) for i in moves])
                to = np.array([pair[0] for pair in pairs])
                if np.any(np.diff(to) == 0):
                    continue
                typed = np.array([pair[1] for pair in pairs])
                likely, most = _likely(x[to], y[typed], tolerance, ends)
                if likely > least and most < STILL_DOUBTED:
                    best, least = Shift(first=first, last=last, by=by), likely
    return best


def _likely(x: FloatArray, y: FloatArray, tolerance: float, ends: Ends) -> tuple[float, float]:
    """Logarithm of a row's likelihood, and the largest deviation of any of its offsets."""
    laid = batten(x, ends=ends)
    lifted = lift(
        laid.uneven,
        y,
        noise=np.full(len(x), tolerance * NOISE),
        ducks=len(x),
        reach=max(float(np.ptp(y)), 10.0 * tolerance),
    )
    return lifted.whole, float(np.abs(lifted.deviation).max())
