"""Exact lines of invented small hard-chine boats, for measuring what fairing does to rounded offsets."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from patterns.hull.planes import FloatArray

__all__ = ["LENGTH", "HullLine", "hull_lines", "stations"]

LENGTH = 4600.0  # mm
Function = Callable[[FloatArray], FloatArray]


@dataclass(frozen=True)
class HullLine:
    """One line in one view: a function of the distance aft, mm."""

    name: str
    view: str
    at: Function


def stations(count: int, *, length: float = LENGTH) -> FloatArray:
    """Evenly spaced places from bow to stern, both ends among them, mm."""
    return np.linspace(0.0, length, count)


def hull_lines(rng: np.random.Generator, *, length: float = LENGTH) -> tuple[HullLine, ...]:
    """Six views of one boat: sheer, chine and keel, each height and half-breadth (the keel its height only).

    Half-breadths grow from the stem, stand full amidships and draw in to the transom; heights sweep up to
    the bow.  The forefoot proper is left to the stem's own points.
    """
    beam = rng.uniform(650.0, 900.0)

    def breadth(
        full: float, swell: float, draw: float, late: float, stem: float
    ) -> Callable[[FloatArray], FloatArray]:
        def at(x: FloatArray) -> FloatArray:
            u = x / length
            return stem + full * (1 - (1 - u) ** swell) * (1 - draw * u**late)

        return at

    def height(
        low: float, fore: float, sweep: float, aft: float, lift: float
    ) -> Callable[[FloatArray], FloatArray]:
        def at(x: FloatArray) -> FloatArray:
            u = x / length
            return low + fore * (1 - u) ** sweep + aft * u**lift

        return at

    stem = rng.uniform(15.0, 25.0)
    return (
        HullLine(
            "sheer", "half-breadth",
            breadth(beam, rng.uniform(2.4, 5.2), rng.uniform(0.08, 0.25), rng.uniform(2.5, 6.5), stem),
        ),
        HullLine(
            "sheer", "height",
            height(rng.uniform(480.0, 560.0), rng.uniform(200.0, 340.0), rng.uniform(2.0, 3.5),
                   rng.uniform(10.0, 60.0), rng.uniform(2.0, 3.0)),
        ),
        HullLine(
            "chine", "half-breadth",
            breadth(0.82 * beam, rng.uniform(2.0, 4.8), rng.uniform(0.06, 0.22), rng.uniform(2.5, 6.5), stem),
        ),
        HullLine(
            "chine", "height",
            height(rng.uniform(120.0, 170.0), rng.uniform(220.0, 360.0), rng.uniform(2.4, 6.0),
                   rng.uniform(10.0, 60.0), rng.uniform(2.0, 3.0)),
        ),
        HullLine(
            "keel", "height",
            height(rng.uniform(0.0, 40.0), rng.uniform(120.0, 320.0), rng.uniform(4.0, 9.0),
                   rng.uniform(20.0, 90.0), rng.uniform(2.0, 3.0)),
        ),
    )  # fmt: skip
