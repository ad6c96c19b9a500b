"""Figures of another size than the boat they would belong to: a wrong unit, or one cell that slipped far."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from patterns.design.file import Design
from patterns.errors import Problem
from patterns.table.values import FloatArray, Offsets, Place

__all__ = ["size_problems"]

# mm; neither a model on the desk nor a ship (common practice, no source)
SHORTEST, LONGEST = 100.0, 100_000.0
# Parts of her length between the first station and the last, which leaves out her ends: no boat is as broad to a
# side as that is long, nor so high; heights may be taken from a base well below her.
BROADEST, HIGHEST, FARTHEST = 1.0, 4.0, 3.0


def size_problems(offsets: Offsets, design: Design) -> Iterator[Problem]:
    """A boat that nobody draws on paper at full size; else every cell that is far beyond her."""
    ends = offsets.station_x[[0, -1]]
    long = abs(float(ends[1] - ends[0]))
    if np.isnan(long) or long == 0.0:  # an end station is missing, or both are one: reported elsewhere
        return
    if not SHORTEST <= long <= LONGEST:
        shown = f"{long / 1000.0:g} m" if long > LONGEST else f"{long:g} mm"
        yield Problem(
            str(offsets.station_places[-1]) if offsets.station_places else offsets.file,
            f"from her first station to her last the boat would be {shown} long",
            f'check whether the table is written in the notation of the design, "{design.table.notation.value}"',
            code="boat-too-long",
        )
        return
    for line in (*offsets.lines.values(), *offsets.diagonals.values()):
        yield from _far(line.x, line.x_places, FARTHEST * long, long)
        yield from _far(line.y, line.y_places, BROADEST * long, long)
        yield from _far(line.z, line.z_places, HIGHEST * long, long)
    for stem in (offsets.stem, offsets.sternpost):
        if stem is not None:
            yield from _far(np.maximum(np.abs(stem.x), np.abs(stem.z)), stem.places, HIGHEST * long, long)


def _far(values: FloatArray, places: Sequence[Place | None], most: float, long: float) -> Iterator[Problem]:
    for value, place in zip(values.tolist(), places, strict=True):
        if place is not None and abs(value) > most:
            yield Problem(
                str(place),
                f"{value / 1000.0:.4g} m is too long on a boat of {long / 1000.0:.3g} m between her end stations",
                "correct the figure or its unit",
                code="length-beyond-boat",
            )
