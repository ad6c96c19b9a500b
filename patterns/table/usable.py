"""The part of a half-typed table that lines are laid through: figures that contradict others are left out."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from patterns.table.sizes import LONGEST
from patterns.table.values import BOW, STERN, FloatArray, LineOffsets, Offsets, Place

__all__ = ["usable"]

LEAST_APART = 1.0  # mm; places nearer to each other than this are one place typed twice


def usable(offsets: Offsets, *, far: Collection[str]) -> Offsets:
    """The table with nan where a figure cannot be used.

    Left out are stations that do not lie aft of the one before (as few as may be), ends of lines that lie on the
    wrong side of the line's stations, and figures of another size than the boat.

    Args:
        far: the places, in words, of the figures of another size.
    """
    kept = _rising(np.where(np.abs(offsets.station_x) <= LONGEST, offsets.station_x, np.nan))
    station_x = np.where(kept, offsets.station_x, np.nan)
    known = dict(zip(offsets.stations, station_x.tolist(), strict=True))
    return replace(
        offsets,
        station_x=station_x,
        lines={name: _usable(line, known, far) for name, line in offsets.lines.items()},
        diagonals={name: _usable(line, known, far) for name, line in offsets.diagonals.items()},
    )


def _usable(line: LineOffsets, stations: dict[str, float], far: Collection[str]) -> LineOffsets:
    x = np.array([stations.get(label, at) for label, at in zip(line.labels, line.x.tolist(), strict=True)])
    x, y, z = (
        np.where(_near(places, far) & (np.abs(values) <= LONGEST), values, np.nan)
        for values, places in ((x, line.x_places), (line.y, line.y_places), (line.z, line.z_places))
    )
    for label, sign in ((BOW, 1.0), (STERN, -1.0)):
        i = line.column(label)
        given = np.isfinite(x) & (np.isfinite(y) | np.isfinite(z))
        others = np.delete(x, i)[np.delete(given, i)]
        if len(others) and np.min(sign * (others - x[i])) < LEAST_APART:
            x[i] = np.nan
    return replace(line, x=x, y=y, z=z)


def _near(places: tuple[Place | None, ...], far: Collection[str]) -> NDArray[np.bool_]:
    """Which cells hold a figure of the boat's size."""
    return np.array([place is None or str(place) not in far for place in places])


def _rising(x: FloatArray) -> NDArray[np.bool_]:
    """Which of the places to keep so that they rise: the longest such part of the row."""
    known = np.nonzero(np.isfinite(x))[0]
    best: list[int] = []
    runs: list[list[int]] = []
    for k in known.tolist():
        before = [run for run in runs if x[k] - x[run[-1]] >= LEAST_APART]
        run = [*max(before, key=len, default=[]), k]
        runs.append(run)
        best = max(best, run, key=len)
    kept = np.zeros(len(x), dtype=bool)
    kept[best] = True
    return kept
