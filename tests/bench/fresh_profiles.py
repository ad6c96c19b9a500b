"""More invented profiles: some to set the bands by, and some kept apart to judge them.

The second kind set no size of a band by itself, but was looked at: the wider bands of quickly bent lines
(`keel_bands.QUICKER`) came after "arc on rocker" missed, and the doubts' limits were set on all families.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from patterns.hull.planes import FloatArray
from tests.bench.profiles import AFT, STEP, Shape, TrueProfile, from_curvature

__all__ = ["FOR_BANDS", "ONLY_JUDGED"]


def _turning(shape: Shape, turn: float) -> Shape:
    """A curvature of this shape that turns by ``turn`` radians in all."""
    s = np.arange(0.0, 5900.0, STEP)
    size = turn / (float(shape(s).sum()) * STEP)
    return lambda at: size * shape(at)


def two_arcs(seed: int) -> TrueProfile:
    """A straight stem, a tight arc, a wide arc and a straight keel, tangent to one another."""
    rng = np.random.default_rng(40_000 + seed)
    start, part = rng.uniform(55, 82), rng.uniform(0.5, 0.8)
    tight, wide, a = rng.uniform(300, 500), rng.uniform(900, 1800), rng.uniform(250, 500)
    one = a + tight * np.radians(start) * part
    two = one + wide * np.radians(start) * (1 - part)

    def kappa(s: FloatArray) -> FloatArray:
        return np.where((s > a) & (s < one), 1 / tight, np.where((s >= one) & (s < two), 1 / wide, 0.0))

    return from_curvature(f"two arcs {seed}", start, kappa)


def clothoids(seed: int) -> TrueProfile:
    """Curvature that grows evenly to a greatest value, and falls evenly to the keel's own."""
    rng = np.random.default_rng(41_000 + seed)
    start, a = rng.uniform(48, 82), rng.uniform(150, 400)
    up, down = rng.uniform(200, 600), rng.uniform(300, 1000)
    keel = rng.uniform(0.0, 1e-5)

    def shape(s: FloatArray) -> FloatArray:
        return np.interp(s, [a, a + up, a + up + down], [0.0, 1.0, 0.0])

    bent = _turning(shape, np.radians(start) - 0.01)
    return from_curvature(f"clothoids {seed}", start, lambda s: bent(s) + keel)


def raised_cosine(seed: int) -> TrueProfile:
    """A bend whose curvature is one wave of a cosine, on a keel with rocker in its after half."""
    rng = np.random.default_rng(42_000 + seed)
    start, middle, half = rng.uniform(48, 82), rng.uniform(650, 900), rng.uniform(350, 600)
    rise = rng.uniform(0.0, 3e-5)

    def shape(s: FloatArray) -> FloatArray:
        u = np.clip((s - middle) / half, -1.0, 1.0)
        return np.asarray(0.5 + 0.5 * np.cos(np.pi * u))

    bent = _turning(shape, np.radians(start) - 0.005)

    def both(s: FloatArray) -> FloatArray:
        return bent(s) + np.asarray(rise / (1 + np.exp(-(s - 3000.0) / 300.0)))

    return from_curvature(f"raised cosine {seed}", start, both)


def eased_arc(seed: int) -> TrueProfile:
    """A straight stem, an arc and a straight keel, eased into one another over a short way."""
    rng = np.random.default_rng(43_000 + seed)
    start, radius, a = rng.uniform(50, 82), rng.uniform(350, 800), rng.uniform(250, 500)
    end, soft = a + radius * np.radians(start), rng.uniform(15, 70)

    def shape(s: FloatArray) -> FloatArray:
        return np.asarray(np.tanh((s - a) / soft) - np.tanh((s - end) / soft))

    return from_curvature(f"eased arc {seed}", start, _turning(shape, np.radians(start)))


def arc_on_rocker(seed: int) -> TrueProfile:
    """An arc that runs into another of a very long radius: the keel's rocker."""
    rng = np.random.default_rng(44_000 + seed)
    keel = rng.uniform(1.5e-5, 5e-5)
    start, radius, a = rng.uniform(55, 80), rng.uniform(350, 750), rng.uniform(200, 450)
    end = a + radius * (np.radians(start) - 2200 * keel)
    return from_curvature(
        f"arc on rocker {seed}", start, lambda s: np.where(s < a, 0.0, np.where(s < end, 1 / radius, keel))
    )


def exponential(seed: int) -> TrueProfile:
    """The closed form z = A exp(-x / c) + r x^2: a hollowless bow that dies away into a rockered keel."""
    rng = np.random.default_rng(45_000 + seed)
    fall, rocker = rng.uniform(230, 420), rng.uniform(1e-6, 6e-6)
    x = np.linspace(0.0, AFT, 30_001)
    return TrueProfile(f"exponential {seed}", x, 880 * np.exp(-x / fall) + rocker * x**2 + 20.0)


def sharp_bend(seed: int) -> TrueProfile:
    """A quick bend near the lowest stem point, the keel straight and rising or falling a little."""
    rng = np.random.default_rng(46_000 + seed)
    start, slope = rng.uniform(50, 78), np.radians(rng.uniform(-0.6, 0.6))
    at, wide = rng.uniform(750, 1000), rng.uniform(60, 140)

    def shape(s: FloatArray) -> FloatArray:
        return np.asarray(np.exp(-0.5 * ((s - at) / wide) ** 2) + 0.15 * np.exp(-np.abs(s - at) / 500.0))

    return from_curvature(f"sharp bend {seed}", start, _turning(shape, np.radians(start) + slope))


FOR_BANDS: dict[str, Callable[[int], TrueProfile]] = {"two arcs": two_arcs, "clothoids": clothoids}
ONLY_JUDGED: dict[str, Callable[[int], TrueProfile]] = {
    "raised cosine": raised_cosine, "eased arc": eased_arc, "arc on rocker": arc_on_rocker,
    "exponential": exponential, "sharp bend": sharp_bend,
}  # fmt: skip
