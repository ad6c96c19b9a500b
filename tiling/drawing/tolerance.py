"""Comparisons that the last figures of computed coordinates do not decide.

Another version of a numerical library gives coordinates that differ by some millionths of a millimetre.  Where two
ways to lay a pattern on pages are equally good (both halves of a symmetrical piece, two ends of an even scale of
trials) that difference must not choose between them: the same design would come out on other pages.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["NOISE", "steady"]

NOISE = 1e-4  # of a square, a step or a piece; what goes so little beyond a whole number is that number
UNIT = 0.001  # mm
# Typed sizes are whole or half thousandths of a millimetre (1/16 in is 1.5875 mm), so the edge between two whole
# numbers lies where no typed size is.
ASIDE = 0.237


def steady(values: float | NDArray[Any]) -> NDArray[np.float64]:
    """Lengths in whole thousandths of a millimetre, to be compared; shape as of ``values``, mm; nan stays nan."""
    return np.asarray(np.floor(np.asarray(values, dtype=float) / UNIT + ASIDE))
