"""What is known of a clinker frame's lands: steps alike, square to the strake below."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.repair.measuring.base import BaseCurve
from patterns.repair.measuring.prior import Latent, StretchKey
from patterns.repair.measuring.spots import HEAD_END, HEEL_END, QUARTER, Spot

__all__ = ["LandRow", "Lands"]

STEP = 1.5  # mm; of a land's step from the usual one
# It is square to the strake: its two edges lie no farther apart along it (both: common practice, no source).
SQUARE = 2.0  # mm
REACH = 60.0  # mm; a stretch that is shorter, between two corners, is a land
FEWEST = 3


class LandRow(NamedTuple):
    """One equation: what is left, its factors for latents (n,) from the first on, scaled to an error of 1."""

    left: float
    factors: FloatArray
    first: int


class Lands:
    """The lands of all frames.

    Attributes:
        steps, others: the equations about their steps, and all others.
    """

    def __init__(
        self,
        spots: Sequence[Spot],
        at: FloatArray,
        bases: Mapping[StretchKey, BaseCurve],
        latents: Sequence[Latent],
        first: Sequence[int],
    ) -> None:
        self.spots, self.at, self.bases, self.known, self.first = spots, at, bases, latents, first
        self.steps: list[LandRow] = []
        self.others: list[LandRow] = []
        below = [i for i in range(len(spots) - 1) if self._is_land(i)]
        if len(below) < FEWEST:
            return
        self.steps = list(self._steps(below))
        self.others = [self._square(i) for i in below]

    def _is_land(self, i: int) -> bool:
        """Whether a land runs from a spot to the next."""
        a, b = self.spots[i : i + 2]
        inner = len(a.stretches) == len(b.stretches) == 2 and a.stretches[1] == b.stretches[0]
        inner = inner and a.stretches[0] != HEEL_END and b.stretches[1] != HEAD_END and a.side == b.side
        inner = inner and a.frame == b.frame and float(np.hypot(*(self.at[i + 1] - self.at[i]))) < REACH
        return inner and all(self.known[k].key in self.bases for k in self._four(i))

    def _four(self, i: int) -> tuple[int, int, int, int]:
        """The latents: where the strake below ends, where the land begins and ends, where the one above begins."""
        return self.first[i], self.first[i] + 1, self.first[i + 1], self.first[i + 1] + 1

    def _at(self, latent: int) -> tuple[FloatArray, FloatArray]:
        """The place and the normal of the base curve at a latent."""
        one = self.known[latent]
        base = self.bases[one.key]
        k = int(np.abs(base.share - one.share).argmin())
        return base.at[k], base.normal[k]

    def _steps(self, below: Sequence[int]) -> Iterator[LandRow]:
        """Steps from strake to strake are alike."""
        found = []
        for i in below:
            one, _, _, two = self._four(i)
            (start, normal), (end, above) = self._at(one), self._at(two)
            found.append((float(normal @ (end - start)), one, two, float(normal @ above)))
        usual = float(np.median([step for step, *_ in found]))
        for step, one, two, part in found:
            factors = np.zeros(two - one + 1)
            factors[0], factors[-1] = -1.0 / STEP, part / STEP
            yield LandRow((usual - step) / STEP, factors, one)

    def _square(self, i: int) -> LandRow:
        """A land is square to the strake below."""
        one, begin, end, _ = self._four(i)
        along = QUARTER @ self._at(one)[1]
        (start, normal), (last, other) = self._at(begin), self._at(end)
        factors = np.array([-float(along @ normal), float(along @ other)]) / SQUARE
        return LandRow(-float(along @ (last - start)) / SQUARE, factors, begin)
