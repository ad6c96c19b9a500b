"""Invented boats with two to four lines beyond the keel, and tables of them in which a whole column is wrong."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.table.values import LineOffsets, Offsets
from tests.bench.exact_boats import EIGHTH, ExactBoat, ExactLine, exact_boat, table_of

__all__ = ["FAULTS", "LEVELS", "Level", "boat_with_lines", "plan", "sound_table"]

INCH = 25.4


@dataclass(frozen=True)
class Level:
    """How a table is written: the step, mm; half the width of even noise instead; the allowed move."""

    step: float
    noise: float
    allow: float


LEVELS = {
    "whole mm": Level(1.0, 0.0, 0.5),
    "1/16 in": Level(EIGHTH / 2, 0.0, EIGHTH / 4),
    "1/8 in": Level(EIGHTH, 0.0, EIGHTH / 2),
    "noise 1/8 in": Level(0.0, EIGHTH, EIGHTH),
}


def boat_with_lines(rng: np.random.Generator, count: int) -> ExactBoat:
    """A boat of `exact_boat` with further chines between its chine and its sheer; ``count`` lines in all."""
    boat = exact_boat(rng)
    chine, sheer = boat.lines
    down = int(np.argmin(boat.profile[:, 1]))
    stem_z, stem_x = boat.profile[:down, 1][::-1], boat.profile[:down, 0][::-1]
    between = []
    for k in range(count - 2):
        part = (k + 1) / (count - 1) * rng.uniform(0.85, 1.05)
        head = (1 - part) * float(chine.z(np.array(chine.x_fore))) + part * float(
            sheer.z(np.array(sheer.x_fore))
        )
        between.append(
            _between(
                f"upper chine {k + 1}",
                (chine, sheer),
                part,
                float(np.interp(head, stem_z, stem_x)),
                rng.uniform(0, 30),
            )
        )
    return replace(boat, lines=(chine, *between, sheer))


def _between(
    name: str, ends: tuple[ExactLine, ExactLine], part: float, fore: float, full: float
) -> ExactLine:
    low, high = ends
    aft = (1 - part) * low.x_aft + part * high.x_aft

    def mixed(x: FloatArray, view: str) -> FloatArray:
        u = np.clip((x - fore) / (aft - fore), 0.0, 1.0)
        a, b = (getattr(line, view)(line.x_fore + u * (line.x_aft - line.x_fore)) for line in ends)
        return np.asarray((1 - part) * a + part * b)

    def half(x: FloatArray) -> FloatArray:
        u = np.clip((x - fore) / (aft - fore), 0.0, 1.0)
        return np.asarray(mixed(x, "y") + full * 4 * u * (1 - u))

    return ExactLine(name, fore, aft, half, lambda x: mixed(x, "z"))


def plan(boat: ExactBoat, rng: np.random.Generator, *, count: int, metric: bool, even: bool) -> FloatArray:
    """The stations' positions as a plan would have them, mm aft: even (half stations at an end now and then),
    or uneven."""
    first, last = float(boat.profile[0, 0]), min(line.x_aft for line in boat.lines)
    if not even:
        gaps = rng.uniform(0.6, 1.5, count + 1)
        return np.asarray(np.round(first + np.cumsum(gaps)[:-1] / gaps.sum() * (last - first)))
    unit = 10.0 if metric else INCH / 2
    pitch = np.floor((last - first) / (count + 0.6) / unit) * unit
    start = np.ceil((first + 0.3 * pitch) / unit) * unit
    at = start + pitch * np.arange(count)
    if rng.random() < 0.3:
        at = np.insert(at, 1, at[0] + pitch / 2)
    return np.asarray(at[at < last - 0.25 * pitch])


Fault = Callable[[Offsets, str, float, float], Offsets]
"""A table with a fault in a column: the table, the column, 1 or -1, the step that figures are rounded to."""


def _typed(offsets: Offsets, label: str, step: float, change: Callable[[str, str, float], float]) -> Offsets:
    """The table with each offset of a column changed; ``change`` gets line, axis and value."""

    def new(name: str, axis: str, old: float) -> float:
        value = change(name, axis, old)
        return float(np.round(value / step) * step) if step and value != old else value

    lines: dict[str, LineOffsets] = {}
    for name, line in offsets.lines.items():
        i, y, z = line.column(label), line.y.copy(), line.z.copy()
        y[i], z[i] = new(name, "y", float(y[i])), new(name, "z", float(z[i]))
        lines[name] = replace(line, y=y, z=z)
    return replace(offsets, lines=lines)


def _shifted(axis: str, by: float, *, keel: bool) -> Fault:
    return lambda table, label, sign, step: _typed(
        table,
        label,
        step,
        lambda name, of, v: v + sign * by if of == axis and (keel or name != "keel") else v,
    )


def _scaled(axis: str, factor: float) -> Fault:
    return lambda table, label, sign, step: _typed(
        table, label, step, lambda name, of, v: v * factor**sign if of == axis and name != "keel" else v
    )


def _misplaced(by: float) -> Fault:
    def moved(table: Offsets, label: str, sign: float, step: float) -> Offsets:
        def line(old: LineOffsets) -> LineOffsets:
            x = old.x.copy()
            x[old.column(label)] += sign * by
            return replace(old, x=x)

        at = table.station_x.copy()
        at[table.stations.index(label)] += sign * by
        return replace(
            table,
            lines={name: line(old) for name, old in table.lines.items()},
            diagonals={name: line(old) for name, old in table.diagonals.items()},
            station_x=at,
        )

    return moved


def _exchanged(table: Offsets, label: str, sign: float, step: float) -> Offsets:
    def line(old: LineOffsets) -> LineOffsets:
        i = old.column(label)
        order = np.arange(len(old.x))
        if (np.isfinite(old.y[[i, i + 1]]) | np.isfinite(old.z[[i, i + 1]])).all():
            order[[i, i + 1]] = i + 1, i
        return replace(old, y=old.y[order], z=old.z[order])

    return replace(
        table,
        lines={name: line(old) for name, old in table.lines.items()},
        diagonals={name: line(old) for name, old in table.diagonals.items()},
    )


FAULTS: dict[str, tuple[Fault, str, bool]] = {
    "half-breadths +-10 mm": (_shifted("y", 10.0, keel=False), "station-breadths", False),
    "and the keel's": (_shifted("y", 10.0, keel=True), "station-breadths", False),
    "heights +-10 mm": (_shifted("z", 10.0, keel=True), "station-heights", False),
    "half-breadths x 1.03": (_scaled("y", 1.03), "station-breadths", False),
    "heights x 1.03": (_scaled("z", 1.03), "station-heights", False),
    "position +-25 mm": (_misplaced(25.0), "station-position", False),
    "position +-50 mm": (_misplaced(50.0), "station-position", False),
    "position +-100 mm": (_misplaced(100.0), "station-position", False),
    "25 mm, even plan": (_misplaced(25.0), "station-position", True),
    "50 mm, even plan": (_misplaced(50.0), "station-position", True),
    "100 mm, even plan": (_misplaced(100.0), "station-position", True),
    "columns exchanged": (_exchanged, "stations-exchanged", False),
}
"""By name: the fault, the code that names it, and whether the plan's spacing is always even."""


def sound_table(seed: int, level: Level, *, lines: int, even: bool) -> tuple[ExactBoat, Offsets]:
    """A boat and its sound table."""
    rng = np.random.default_rng(seed)
    boat = boat_with_lines(rng, lines)
    metric = level.step == 1.0
    at = plan(boat, rng, count=int(rng.integers(6, 12)), metric=metric, even=even)
    return boat, table_of(boat, at=at, step=level.step, noise=level.noise, rng=rng)
