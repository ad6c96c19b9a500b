"""What lies on a piece laid off by ordinates between its full-size pages: lines across it, marks, holes, bevels."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from patterns.drawing.ordinates import Ordinates
from patterns.pattern import XY, Kind, Pattern
from patterns.text.bevels import reading_words

__all__ = ["LaidPlace", "places_on"]

STEEPER = 1.0  # a line that rises more than it runs lies across the piece


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidPlace:
    """A line across a piece, or a place on it.

    Attributes:
        name: in words.
        low: along and up of the place, or of a line's lower end, mm.
        high: the same of a line's upper end; None where it is a place.
    """

    name: str
    low: XY
    high: XY | None = None


def places_on(pattern: Pattern, laid: Ordinates) -> Iterator[LaidPlace]:
    """What lies on a piece between its ends, from forward aft."""
    found = [*_across(pattern, laid), *_points(pattern, laid)]
    yield from sorted(found, key=lambda place: place.low[0])


def _across(pattern: Pattern, laid: Ordinates) -> Iterator[LaidPlace]:
    """The named lines across it, by their ends."""
    for line in pattern.lines:
        if line.kind not in (Kind.REFERENCE, Kind.LANDING, Kind.JOINT) or not line.name or line.closed:
            continue
        ends = laid.base.own(line.points)[[0, -1]]
        run, rise = np.abs(ends[1] - ends[0])
        if rise > STEEPER * run:
            low, high = ((float(x), float(y)) for x, y in ends[np.argsort(ends[:, 1])])
            yield LaidPlace(name=line.name, low=low, high=high)


def _points(pattern: Pattern, laid: Ordinates) -> Iterator[LaidPlace]:
    """Marks, holes and bevels; those on a full-size page are printed there."""
    named = [(mark.name, mark.at) for mark in pattern.marks if mark.name]
    named += [(f"{hole.purpose} {hole.diameter:g} mm", hole.at) for hole in pattern.holes]
    named += [
        (f"bevel, {reading.where or reading.edge}: {reading_words(reading)}", reading.at)
        for reading in pattern.readings
    ]
    for name, at in named:
        x, y = laid.base.place(at)
        if not any(window.holds(x, y) for window in laid.windows):
            yield LaidPlace(name=" ".join(name.split()), low=(x, y))
