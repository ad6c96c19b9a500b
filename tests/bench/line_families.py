"""Chines and sheers of invented boats of many kinds, each line in each view an exact function.

None is a real boat.  They differ on purpose: what holds for one kind of line only should show as such.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from patterns.hull.planes import FloatArray
from tests.bench.exact_boats import EIGHTH, exact_boat
from tests.bench.hull_lines import hull_lines
from tests.patterns.analytic_boats import analytic_boat

__all__ = ["FAMILIES", "ROUNDINGS", "FamilyLine", "Rounded", "family_lines", "places", "ways_of_rounding"]

Function = Callable[[FloatArray], FloatArray]


@dataclass(frozen=True)
class FamilyLine:
    """One line in one view between its own ends, mm.

    Attributes:
        blunt: it meets the bow steeply, with its half-breadth there the half siding.
    """

    family: str
    name: str
    view: str
    at: Function
    fore: float
    aft: float
    blunt: bool = False


@dataclass(frozen=True)
class Rounded:
    """How figures get into the table: rounded to ``step`` or off by even noise; ``allow`` goes with it, mm."""

    name: str
    step: float
    noise: float
    allow: float

    def typed(self, exact: FloatArray, rng: np.random.Generator) -> FloatArray:
        """The figures as the table has them."""
        if self.noise:
            return np.asarray(exact + rng.uniform(-self.noise, self.noise, np.shape(exact)))
        return np.round(exact / self.step) * self.step if self.step else exact


ROUNDINGS = (
    Rounded("exact", 0.0, 0.0, 0.0),
    Rounded("whole mm", 1.0, 0.0, 0.5),
    Rounded("1/16 in", EIGHTH / 2, 0.0, EIGHTH / 4),
    Rounded("1/8 in", EIGHTH, 0.0, EIGHTH / 2),
    Rounded("±1/8 in", 0.0, EIGHTH, EIGHTH),
)


def ways_of_rounding(*names: str) -> tuple[Rounded, ...]:
    """Some of the ways, by name; all where none is named."""
    return tuple(way for way in ROUNDINGS if not names or way.name in names)


def places(line: FamilyLine, count: int, rng: np.random.Generator) -> FloatArray:
    """Where a table gives a line: its two ends and ``count`` stations evenly spaced between, mm aft.

    The first station lies anywhere within the first spacing, as lines leave the stem where they will.
    """
    spacing = (line.aft - line.fore) / (count + rng.uniform(0.0, 0.9))
    first = line.aft - spacing * (count - 1) - spacing * rng.uniform(0.35, 1.0)
    at = first + spacing * np.arange(count)
    at = np.round(at / 10.0) * 10.0
    at = at[(at > line.fore + 40.0) & (at < line.aft - 40.0)]
    return np.concatenate([[line.fore], at, [line.aft]])


def _own(family: str, rng: np.random.Generator) -> list[FamilyLine]:
    """Chine and sheer of one boat of a kind of its own."""
    length = rng.uniform(3200.0, 6500.0)
    beam, half = length * rng.uniform(0.14, 0.19), rng.uniform(12.0, 25.0)
    depth = length * rng.uniform(0.09, 0.13)
    lines = []
    for name, part, low in (("chine", rng.uniform(0.72, 0.85), 0.3), ("sheer", 1.0, 1.0)):
        fore, aft = rng.uniform(0.0, 300.0) * (1.0 if name == "chine" else 0.3), length
        swell, draw, late = rng.uniform(2.2, 4.0), rng.uniform(0.05, 0.2), rng.uniform(2.2, 5.0)
        lift, sweep = rng.uniform(0.2, 0.6), rng.uniform(2.0, 3.5)
        after, turn = rng.uniform(0.0, 0.12), rng.uniform(2.0, 3.0)
        wave, bluff, keen = rng.uniform(0.1, 0.3), rng.uniform(0.25, 0.6), rng.uniform(0.004, 0.05)
        short = rng.uniform(0.16, 0.25)
        end = rng.uniform(0.25, 0.6)
        rise = rng.uniform(0.5, 0.9)
        hog = rng.uniform(0.05, 0.15)

        def u(x: FloatArray, fore: float = fore, aft: float = aft) -> FloatArray:
            return np.asarray((np.asarray(x, dtype=float) - fore) / (aft - fore))

        def breadth(x: FloatArray, u: Function = u, part: float = part, swell: float = swell,
                    draw: float = draw, late: float = late, wave: float = wave, bluff: float = bluff,
                    keen: float = keen, end: float = end,
                    short: float = short) -> FloatArray:  # fmt: skip
            v = u(x)
            full = part * beam
            base = 1.0 - np.maximum(1.0 - v, 0.0) ** swell
            if family == "hollow bow":  # the entrance curves in before it swells
                base = base * (1.0 - wave * np.exp(-((v / short) ** 2)))
            if family == "tumblehome":  # drawn in hard at the stern
                base = base * (1.0 - end * v**late)
            elif family == "full plateau":
                base = np.tanh(0.8 * swell * v) * (1.0 - draw * v**late)
            elif family == "blunt bow":
                base = (np.sqrt(v + 0.0) * (1.0 + bluff) - bluff * v) * (1.0 - draw * v**3)
            elif family == "semi-blunt bow":  # the round of the bow lies within the stem's half siding
                gone = np.sqrt(v + keen) - np.sqrt(keen)
                base = (gone * (1.0 + bluff) - bluff * v) * (1.0 - draw * v**3)
            else:
                base = base * (1.0 - draw * v**late)
            return np.asarray(half + full * base)

        def height(x: FloatArray, u: Function = u, low: float = low, lift: float = lift, sweep: float = sweep,
                   after: float = after, turn: float = turn, rise: float = rise,
                   hog: float = hog) -> FloatArray:  # fmt: skip
            v = u(x)
            if family == "flat sheer":
                return np.asarray(depth * (low + 0.04 * (1.0 - v) + 0.015 * v**2))
            if family == "strong sheer":
                return np.asarray(depth * (low + rise * (1.0 - v) ** sweep + 0.35 * v**turn))
            if family == "reverse sheer":
                return np.asarray(depth * (low + hog * (4.0 * v * (1.0 - v)) + 0.1 * (1.0 - v) ** 3))
            return np.asarray(depth * (low + lift * np.maximum(1.0 - v, 0.0) ** sweep + after * v**turn))

        blunt = family in ("blunt bow", "semi-blunt bow")
        lines.append(FamilyLine(family, name, "half-breadth", breadth, fore, aft, blunt))
        lines.append(FamilyLine(family, name, "height", height, fore, aft))
    return lines


def _power_law(_: str, rng: np.random.Generator) -> list[FamilyLine]:
    return [
        FamilyLine("power law", line.name, line.view, line.at, 0.0, 4600.0)
        for line in hull_lines(rng) if line.name != "keel"
    ]  # fmt: skip


def _bent(_: str, rng: np.random.Generator) -> list[FamilyLine]:
    boat = analytic_boat(int(rng.integers(1_000_000)))
    return [
        FamilyLine("bent", name, view, getattr(boat, f"{name}_{axis}"), boat.fore_x[name], boat.aft_x[name])
        for name in ("chine", "sheer") for view, axis in (("half-breadth", "y"), ("height", "z"))
    ]  # fmt: skip


def _exact(_: str, rng: np.random.Generator) -> list[FamilyLine]:
    boat = exact_boat(rng)
    return [
        FamilyLine("whole boat", line.name, view, f, line.x_fore, line.x_aft)
        for line in boat.lines for view, f in (("half-breadth", line.y), ("height", line.z))
    ]  # fmt: skip


FAMILIES: dict[str, Callable[[str, np.random.Generator], list[FamilyLine]]] = {
    "power law": _power_law,
    "bent": _bent,
    "whole boat": _exact,
    **dict.fromkeys(
        ("hollow bow", "tumblehome", "full plateau", "flat sheer", "strong sheer", "reverse sheer",
         "blunt bow", "semi-blunt bow"),
        _own,
    ),
}  # fmt: skip


def family_lines(rng: np.random.Generator, *names: str) -> Iterator[list[FamilyLine]]:
    """Boats without end, the families in turn (those named, else all): four lines each."""
    while True:
        for name in names or FAMILIES:
            yield FAMILIES[name](name, rng)
