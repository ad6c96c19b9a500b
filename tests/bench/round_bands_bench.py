"""Bands of the round bilge's surface, by region and kind of row.

Run: python -m tests.bench.round_bands_bench [boats] [first seed]

Invented boats of any fullness: bilge, garboards and bow of each are drawn anew, so that few are like those of
another bench.  For each set of rows, part of the length and kind of row: how many bands hold the worst true error
near their row, and how much wider they are than that error, in the middle and at the 95th of 100.  Then how many
tables in whole mm and 1/16 in are warned of: those in which nothing is off by more than rounding explains, and the
others.
"""

from __future__ import annotations

import sys
import tempfile
from collections import defaultdict
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from patterns.fairing.bands import TIMES, SpanBand, too_wide
from patterns.fairing.lines import Lines, fair_lines
from patterns.fairing.round_bands import BOW_PART
from patterns.hull.planes import FloatArray
from patterns.table.folder import read_folder
from patterns.table.levels import levels_of
from tests.bench.round_rows_bench import TABLES
from tests.bench.wide_bench import FAR
from tests.patterns.analytic_boats import ROUNDINGS
from tests.patterns.round_boats import FORMS, Form, RoundBoat, round_boat, write_round_table

SETS = ("all rows", "6 waterlines", "3 waterlines, 1 diagonal")
WAYS = ("exact", "whole mm", "1/16 in", "1/8 in")
COUNTED = WAYS[1:3]
AFT = 0.8  # part of the length at which the stern begins


@dataclass(frozen=True, slots=True)
class Held:
    """One band and the worst true error near its row.

    Attributes:
        region, view: the part of the length, and the kind of row.
        error, half_width: mm.
        wide: whether one more point is asked for.
        explained: whether the error is small, or no more than rounding explains.
    """

    region: str
    view: str
    error: float
    half_width: float
    wide: bool
    explained: bool


def any_form(seed: int) -> Form:
    """A form of its own for each seed; no section turns back down on its way out."""
    rng = np.random.default_rng(77_000 + seed)
    full = float(rng.uniform(0.6, 0.9))
    hollow = float(rng.choice([0.0, rng.uniform(0.0, min(0.8, 3.0 * (1.0 - full) - 0.1))]))
    bow = float(rng.choice([0.02, rng.uniform(0.0, 0.3)]))
    return Form(full=full, power=float(rng.uniform(2.5, 6.5)), hollow=hollow, bow=bow)


def held(true: RoundBoat, folder: Path) -> list[Held]:
    """Every band of the surface of a table."""
    design, offsets, _ = read_folder(folder)
    lines = fair_lines(offsets, design)
    girth, base = lines.girth, true.base
    assert girth is not None
    bands: dict[tuple[str, str], SpanBand] = {(band.first, band.line): band for band in lines.bands}
    starts = {level.name: (level.start, level.along) for level in levels_of(offsets, design)}
    places = _places_of_rows(lines, starts)
    edges = np.array([min(girth.fore), *offsets.station_x, max(girth.aft)])
    lean = float(np.tan(base.rake))
    transom = base.aft_x["keel"] - lean * base.keel_z(base.aft_x["keel"])
    found = []
    for k, first in enumerate(("bow", *offsets.stations)):
        x, r = (
            v.ravel()
            for v in np.meshgrid(np.linspace(edges[k], edges[k + 1], 9), np.linspace(0, 1, 41), indexing="ij")
        )
        points = girth.shape(girth.place(x, r), r)[0]
        x, y, z = points.T
        real = (x > base.fore_x["sheer"] + 15.0) & (x - lean * z < transom) & (y > base.half + 2.0)
        real &= z < base.sheer_z(x) + 0.01
        mine = [name for name in places if (first, name) in bands]
        if not mine or not real.any():
            continue
        away = np.array([np.abs(r[real] - np.interp(x[real], *places[name])) for name in mine])
        error = np.abs(true.off(points[real]))
        middle = (float(x[real].mean()) - edges[0]) / (edges[-1] - edges[0])
        region = "bow" if middle < BOW_PART else "midships" if middle < AFT else "stern"
        for j, name in enumerate(mine):
            near = away.argmin(axis=0) == j
            if near.any():
                band, worst = bands[first, name], float(error[near].max())
                explained = worst <= max(FAR, TIMES * band.rounding)
                found.append(Held(region, band.view, worst, band.half_width, too_wide(band), explained))
    return found


def _places_of_rows(
    lines: Lines, starts: dict[str, tuple[FloatArray, FloatArray]]
) -> dict[str, tuple[FloatArray, FloatArray]]:
    """Each row's distances aft and places across, (n,) and (n,), by the feet of its faired offsets."""
    assert lines.girth is not None
    cells = defaultdict(list)
    for cell in lines.rows:
        if cell.line in starts:
            start, along = starts[cell.line]
            cells[cell.line].append((cell.x, *(start + cell.faired * along)))
    found = {}
    for name, rows in cells.items():
        points = np.array(sorted(rows))
        found[name] = (points[:, 0], lines.girth.nearest(points)[1])
    return found


def main(boats: int = 24, first: int = 60_000) -> None:
    """Print the tables."""
    ways = [way for way in ROUNDINGS if way.name in WAYS]
    print(f"{boats} boats for each set of rows")
    for title in SETS:
        rows: dict[tuple[str, str], list[Held]] = defaultdict(list)
        warned = {True: [0, 0], False: [0, 0]}
        for k in range(boats):
            FORMS["any"] = any_form(first + k)
            true, way = round_boat(first + k, "any"), ways[k % len(ways)]
            with tempfile.TemporaryDirectory() as name:
                rng = np.random.default_rng(first + k)
                write_round_table(
                    true, Path(name), way, rng, stations=(13, 10, 12, 9, 11)[k % 5], rows=TABLES[title],
                    bow_ends=k % 2 == 0,
                )  # fmt: skip
                table = held(true, Path(name))
            for one in table:
                rows[one.region, one.view].append(one)
            if way.name in COUNTED:
                tally = warned[all(one.explained for one in table)]
                tally[0] += any(one.wide for one in table)
                tally[1] += 1
        for (region, view), found in sorted(rows.items()):
            error, half = np.array([(one.error, one.half_width) for one in found]).T
            print(
                f"  {title:26s}{region:10s}{view:13s}{len(found):5d} bands  "
                f"held {100 * np.mean(error <= half):5.1f} %  "
                f"band over error: middle {np.median(half / np.maximum(error, 0.05)):4.1f}, 95 % of each "
                f"{np.percentile(half, 95) / np.percentile(error, 95):4.1f}"
            )
        print(
            f"  {title:26s}warned: {warned[True][0]} of {warned[True][1]} tables whose errors rounding explains, "
            f"{warned[False][0]} of {warned[False][1]} others",
            flush=True,
        )
    del FORMS["any"]


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:]))
