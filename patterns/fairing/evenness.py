"""How uneven the ducks' loads of a good line are, to be expected before its offsets are looked at.

The loads (each over the root of its duck's mean spacing, in units of mean spacing) are taken as drawn from a
normal distribution of unknown spread; the spread's logarithm is normal about a usual value.  The constants
were measured on lines of invented small boats; fairing hardly changes when they are halved or doubled.
"""

from __future__ import annotations

import numpy as np

from patterns.hull.planes import FloatArray

__all__ = ["NOISE", "expected", "likely_spread"]

USUAL = 0.01  # spread of the loads of a usual line over the range of its offsets, at 9 ducks
FALLS = 3.5  # power of the spacing with which it falls
VARIES = 1.2  # standard deviation of its natural logarithm from line to line
GRID = np.linspace(-4.0, 6.0, 61)  # standard deviations that are looked at
NOISE = 1.0 / np.sqrt(3.0)  # standard deviation of an even error between the tolerances, in tolerances


def expected(*, ducks: int, reach: float) -> tuple[FloatArray, FloatArray]:
    """Logarithms of the spreads that are looked at, shape (g,), and how likely each is beforehand (logarithm).

    Args:
        ducks: number of ducks of the line.
        reach: range of its offsets, mm.
    """
    centre = np.log(USUAL * max(reach, 1e-9) * (8.0 / max(ducks - 1, 1)) ** FALLS)
    return centre + VARIES * GRID, -0.5 * GRID**2


def likely_spread(
    stiff: FloatArray, part: FloatArray, *, rest: float, others: int, ducks: int, reach: float
) -> float:
    """The likeliest spread of a line's loads, mm, when its offsets are off by even noise.

    Args:
        stiff: shape (k,), the loads' singular values by moves of one tolerance each, > 0, mm.
        part: shape (k,), the loads as typed in the same directions, mm.
        rest: squared length of the loads in directions that no move reaches, mm^2.
        others: number of those directions.
        ducks, reach: see `expected`.
    """
    log_spread, prior = expected(ducks=ducks, reach=reach)
    own = np.exp(2 * log_spread)[:, None]
    both = own + (NOISE * stiff) ** 2
    likely = prior - 0.5 * (np.log(both) + part**2 / both).sum(axis=1)
    likely = likely - 0.5 * (others * 2 * log_spread + rest / own[:, 0])
    weight = np.exp(likely - likely.max())
    return float(np.exp(weight @ log_spread / weight.sum()))
