"""What is known of a fair edge before it is measured, as covariances of its distance from the base curve.

Level, slope and sag are all but free; what is left is a batten's: its bending is white noise along its length (the
kernel of a cubic smoothing spline).  Both sides of the boat are nearly alike.
Source of the kernel: G. Wahba, Spline Models for Observational Data (1990), section 1.2; the figures from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from typing import NamedTuple

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.repair.measuring.base import BEYOND, BaseCurve

__all__ = ["CHOICES", "Choice", "Latent", "StretchKey", "StretchPrior", "covariance_parts", "mixed"]

StretchKey = tuple[str, str, str]
"""A frame; the side, empty where both sides share one prior; a stretch."""


class Latent(NamedTuple):
    """The edge's distance from its base curve at one place."""

    key: StretchKey
    sign: float  # 1 to port, -1 to starboard
    share: float


class Choice(NamedTuple):
    """One choice of what is not known of the prior, and how likely it is beforehand (logarithm)."""

    lively: float  # how much 500 mm of edge bend beside their base curve, mm
    unlike: float  # how far the sides differ, mm
    rough: float  # times the usual error of a reading
    bilge: bool  # liveliness goes with the base curve's turning, and is not the same all along
    log: float


LIVELY = (0.3, 1.2, 5.0, 20.0, 80.0, 320.0)
UNLIKE = ((1.5, 0.6), (6.0, 0.38), (25.0, 0.02))
ROUGH = ((1.0, 0.8), (1.7, 0.2))
BILGE = ((False, 0.5), (True, 0.5))
CHOICES = tuple(
    Choice(lively, unlike, rough, bilge, float(np.log(u * r * b / len(LIVELY))))
    for lively, (unlike, u), (rough, r), (bilge, b) in product(LIVELY, UNLIKE, ROUGH, BILGE)
)
LEVEL = 60.0  # mm; standard deviation of level and slope
SAG = 0.05  # part of the length; of the sag
SIDES_LIVELY = 0.2  # part of it by which the sides differ in how they bend
LONGEST = 8000.0  # mm; a longer stretch is a slip, and is let bend no more than this
BLOCKS = 60  # steps of an integral along the edge
LEAST, MOST = 0.15, 6.0  # times the usual, between which liveliness goes with the turning


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StretchPrior:
    """A stretch's own figures: its length, mm, whether it is straight on purpose, and its share of the bending.

    ``bends`` holds how lively each of `BLOCKS` pieces of it is beside the whole, (BLOCKS,), mean square 1.
    """

    length: float
    straight: bool
    bends: FloatArray

    @classmethod
    def of(cls, base: BaseCurve | None, *, straight: bool) -> StretchPrior:
        """By its base curve; without one it has no length."""
        if base is None:
            return cls(length=0.0, straight=True, bends=np.ones(BLOCKS))
        heading = np.unwrap(np.arctan2(base.normal[:, 1], base.normal[:, 0]))
        turning = np.abs(np.interp(_blocks(), base.share, np.gradient(heading, base.share)))
        usual = float(turning.mean())
        bends = np.ones(BLOCKS) if usual < 0.05 else np.clip(turning / usual, LEAST, MOST)
        return cls(length=base.length, straight=straight, bends=bends / np.sqrt(np.square(bends).mean()))


def _blocks() -> FloatArray:
    width = (1.0 + 2.0 * BEYOND) / BLOCKS
    return np.asarray(-BEYOND + width * (np.arange(BLOCKS) + 0.5))


class CovarianceParts(NamedTuple):
    """Covariances between latents, (n, m), to be weighted by a choice."""

    fixed: FloatArray
    even: FloatArray
    bilge: FloatArray
    sides: FloatArray
    sides_even: FloatArray


def covariance_parts(
    one: Sequence[Latent], two: Sequence[Latent], stretches: dict[StretchKey, StretchPrior]
) -> CovarianceParts:
    """The covariances of latents (n,) with others (m,)."""
    a, b = _Latents(one, stretches), _Latents(two, stretches)
    same = np.equal.outer(a.key, b.key).astype(float)
    shapes = [np.outer(f, g) for f, g in zip(a.shapes, b.shapes, strict=True)]
    fixed = LEVEL**2 * (shapes[0] + shapes[1]) + SAG**2 * np.outer(a.sags, b.sags) * shapes[2]
    even, bilge = (np.asarray(f @ g.T) * same for f, g in zip(a.bending, b.bending, strict=True))
    sides = 0.5 * np.outer(a.sign, b.sign) * same
    return CovarianceParts(
        fixed=fixed * same,
        even=even,
        bilge=bilge,
        sides=(shapes[0] + 0.5 * shapes[1] + 0.25 * shapes[2] * np.outer(a.curved, b.curved)) * sides,
        sides_even=even * sides,
    )


def mixed(parts: CovarianceParts, choice: Choice) -> FloatArray:
    """The covariances by one choice."""
    return np.asarray(
        parts.fixed
        + choice.lively**2 * (parts.bilge if choice.bilge else parts.even)
        + choice.unlike**2 * parts.sides
        + (SIDES_LIVELY * min(choice.lively, choice.unlike)) ** 2 * parts.sides_even
    )


class _Latents:
    """Latents as arrays."""

    def __init__(self, latents: Sequence[Latent], stretches: dict[StretchKey, StretchPrior]) -> None:
        numbers = {key: i for i, key in enumerate(stretches)}
        own = [stretches[latent.key] for latent in latents]
        self.key = np.array([numbers[latent.key] for latent in latents])
        self.sign = np.array([latent.sign for latent in latents])
        share = np.array([latent.share for latent in latents])
        self.shapes = (np.ones_like(share), 2.0 * share - 1.0, 6.0 * share**2 - 6.0 * share + 1.0)
        self.curved = np.array([float(not stretch.straight) for stretch in own])
        length = np.array([min(stretch.length, LONGEST) for stretch in own])
        self.sags = length * self.curved
        half = 0.5 * (1.0 + 2.0 * BEYOND) / BLOCKS
        begun, ended = (np.maximum(share[:, None] - _blocks() + way * half, 0.0) for way in (1.0, -1.0))
        reach = (begun**2 - ended**2) / (
            4.0 * half
        )  # a bend spread over that piece moves the edge by so much here
        even = reach * ((length / 500.0) ** 1.5 * self.curved)[:, None]
        even *= np.sqrt((1.0 + 2.0 * BEYOND) / BLOCKS)
        bends = np.array([stretch.bends for stretch in own]).reshape(len(own), BLOCKS)
        self.bending = (even, even * bends)
