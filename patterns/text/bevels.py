"""Bevels as the bench reads them: where they are given, how they are rounded, what they are called.

Between two readings the builder rolls the bevel straight from the one to the other, so a new reading is given only
where the edge would be out of its place by more than `MOST_OUT` on the other face.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, TypeAlias, get_args

import numpy as np

from patterns.flat.polylines import lengths
from patterns.hull.planes import FloatArray
from patterns.pattern import Reading

__all__ = [
    "MOST_OUT",
    "BevelFigure",
    "BevelKind",
    "GaugeAngle",
    "bevel_figures",
    "bevel_rule",
    "bevel_words",
    "figure_now",
    "gauge_angle",
    "reading_places",
    "reading_words",
    "rolled_out",
    "rounded_departure",
]

MOST_OUT = (
    0.5  # mm; the edge on the other face may be out by so much where the bevel is rolled between readings
)
FINEST = 0.5  # degrees; as fine as a bevel gauge is set by eye (common practice, no source)
HALVINGS = 8  # of the error allowed between readings, to share it evenly among them

BevelKind: TypeAlias = Literal["under", "square", "standing", "land"]
BevelFigure: TypeAlias = Literal["through the wood", "from square"]

# One choice for the whole set: pages, tables, book and picture print the same figure for the same edge.
_figure: ContextVar[BevelFigure] = ContextVar("bevel figure", default=get_args(BevelFigure)[0])


@contextmanager
def bevel_figures(figure: BevelFigure) -> Iterator[None]:
    """Give all bevels within it by that figure."""
    before = _figure.set(figure)
    try:
        yield
    finally:
        _figure.reset(before)


def figure_now() -> BevelFigure:
    """The figure by which bevels are given."""
    return _figure.get()


def bevel_rule() -> str:
    """What the figure of a bevel is, for keys and headings."""
    return "angle through the wood" if figure_now() == "through the wood" else "angle from square"


@dataclass(frozen=True, slots=True)
class GaugeAngle:
    """A bevel as a gauge is set to it: the angle through the wood in degrees, and what the bench calls it."""

    degrees: float
    kind: BevelKind

    @property
    def tilt(self) -> float:
        """How far it is from square, degrees: the saw's tilt for a sawn edge."""
        return abs(self.degrees - 90.0)

    @property
    def words(self) -> str:
        """One figure with its sense: ``78° under``, or from square ``12° under``."""
        if self.tilt == 0.0:
            return "square"
        figure = self.degrees if figure_now() == "through the wood" else self.tilt
        return f"{figure:g}° {'under' if self.degrees < 90.0 else 'standing'}"


def rounded_departure(bevel: float, *, land: bool = False) -> float:
    """The departure from square in degrees, rounded so that wood is left on, never lost.

    A sawn edge is rounded towards square.  A land, planed down to a fixed line, is rounded away from it: the
    flatter it is planed the less is taken off.
    """
    departure = abs(np.degrees(bevel) - 90.0) / FINEST
    whole = np.ceil(departure - 1e-9) if land else np.floor(departure + 1e-9)
    return float(whole * FINEST)


def gauge_angle(bevel: float, *, land: bool = False) -> GaugeAngle:
    """A bevel, radians, rounded for the gauge; ``land``: it is planed, not sawn."""
    departure = rounded_departure(bevel, land=land)
    degrees = float(90.0 + np.copysign(departure, bevel - 0.5 * np.pi))
    if land:
        return GaugeAngle(degrees, "land")
    if departure == 0.0:
        return GaugeAngle(90.0, "square")
    return GaugeAngle(degrees, "under" if bevel < 0.5 * np.pi else "standing")


def bevel_words(bevel: float, *, land: bool = False) -> str:
    """A bevel, radians, in words: one figure with its sense, by the choice of `bevel_figures`."""
    return gauge_angle(bevel, land=land).words


def reading_words(reading: Reading) -> str:
    """A reading in words; an edge that is square from end to end has only one."""
    words = bevel_words(reading.bevel, land=reading.land)
    return f"{words} all along" if reading.all_along else words


def rolled_out(run: FloatArray, bevel: FloatArray, thickness: float) -> float:
    """How far an edge is out on the other face where its bevel is rolled straight from its first place to its last.

    Args:
        run: shape (n,), the places along the edge, mm.
        bevel: shape (n,), radians.
    Returns:
        mm, square to the edge: the thickness times the cotangent of the bevel is how far the two faces' edges are
        apart.
    """
    if len(run) < 3:
        return 0.0
    part = (run - run[0]) / max(float(run[-1] - run[0]), 1e-9)
    rolled = bevel[0] + part * (bevel[-1] - bevel[0])
    return float(thickness * np.abs(1.0 / np.tan(bevel) - 1.0 / np.tan(rolled)).max())


def reading_places(
    points: FloatArray, bevel: FloatArray, thickness: float, *, also: tuple[float, ...] = ()
) -> list[int]:
    """The indices along an edge at which its bevel is given.

    Both ends, every place in ``also``, and between these the fewest places from each to the next of which the bevel
    can be rolled straight with the edge at most `MOST_OUT` out, so placed that the edge is out about evenly.

    Args:
        points: shape (n, 2), mm.
        bevel: shape (n,), radians.
        thickness: of the wood, mm.
        also: mm along the edge: joints and notches.
    """
    run = lengths(points)
    fixed = sorted({0, len(points) - 1, *(int(np.abs(run - place).argmin()) for place in also)})
    chosen = [0]
    for start, stop in pairwise(fixed):
        here = slice(start, stop + 1)
        chosen += [start + place for place in _evenly(run[here], bevel[here], thickness)[1:]]
    return chosen


def _evenly(run: FloatArray, bevel: FloatArray, thickness: float) -> list[int]:
    """The fewest places along one stretch, its ends among them, for the least error that they allow."""
    best = _rolled_places(run, bevel, thickness, MOST_OUT)
    low, high = 0.0, MOST_OUT
    for _ in range(HALVINGS if len(best) > 2 else 0):
        middle = 0.5 * (low + high)
        tried = _rolled_places(run, bevel, thickness, middle)
        if len(tried) == len(best):
            best, high = tried, middle
        else:
            low = middle
    return best


def _rolled_places(run: FloatArray, bevel: FloatArray, thickness: float, most: float) -> list[int]:
    """From the first place on the farthest to which the bevel can be rolled straight, to the last place."""
    last, chosen = len(run) - 1, [0]
    while chosen[-1] < last:
        here = slice(chosen[-1], None)
        fits = rolled_out(run[here], bevel[here], thickness) <= most
        chosen.append(last if fits else chosen[-1] + _farthest(run[here], bevel[here], thickness, most))
    return chosen


def _farthest(run: FloatArray, bevel: FloatArray, thickness: float, most: float) -> int:
    """The farthest place to which the bevel can be rolled straight from the first; a nearer one may not do."""
    part = (run - run[0])[None, :] / np.maximum(run[1:] - run[0], 1e-9)[:, None]
    rolled = np.where(part < 1.0, bevel[0] + part * (bevel[1:] - bevel[0])[:, None], bevel)
    out = thickness * np.abs(1.0 / np.tan(bevel) - 1.0 / np.tan(rolled)).max(axis=1)
    return int(np.flatnonzero(out <= most)[-1]) + 1
