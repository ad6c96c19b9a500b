"""Whole columns of the table that are wrong.  Run: python -m tests.bench.columns_bench [boats]

Prints for each fault how often it is found, rightly named at the right station, and how often a sound cell is
doubted without looking at columns and with it; the same by rounding, by the number of lines, and by place;
then how often a sound table gets a finding on a column, for three families of boats; and the cost.
"""

from __future__ import annotations

import sys
import time
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import numpy as np

from patterns.errors import DesignError, Problem
from patterns.fairing.column_findings import column_findings
from patterns.fairing.column_words import CODES, SPACING
from patterns.fairing.lines import _faired, fair_lines
from patterns.fairing.row_likelihood import judge
from patterns.fairing.suspects import Suspect
from patterns.fairing.table_rows import rows_of
from patterns.measure import Notation
from patterns.table.values import LineOffsets, Offsets
from tests.bench.column_boats import FAULTS, LEVELS, Level, sound_table
from tests.bench.exact_boats import design_for
from tests.bench.fairing_bench import wilson
from tests.bench.hull_lines import LENGTH, hull_lines
from tests.patterns.analytic_boats import analytic_boat

FIRST_SEED = 480_000  # a multiple of 48, so that every kind of table comes equally often
COLUMN_CODES = {*CODES.values(), SPACING}


@dataclass(frozen=True)
class Outcome:
    """What was said of one wrong table."""

    fault: str
    level: str
    lines: int
    place: str
    found: bool
    named: bool
    firm: bool
    blamed_before: bool
    blamed: bool


def _sound_cells(suspects: Iterable[Suspect], columns: set[str]) -> bool:
    """Whether a cell outside of the wrong columns is doubted."""
    return any(suspect.label not in columns or suspect.view == "stem" for suspect in suspects)


def _findings(table: Offsets, design: Any) -> tuple[tuple[Problem, ...], tuple[Suspect, ...]] | None:
    try:
        lines = fair_lines(table, design)
    except DesignError:
        return None
    return tuple(w for w in lines.warnings if w.code in COLUMN_CODES), lines.suspects


def faulty(fault: str, seed: int) -> Outcome | None:
    """One boat with one fault; None where the table is refused before anything is faired."""
    rng = np.random.default_rng(seed + 77)
    level = list(LEVELS)[seed % 4]
    count = 2 + seed // 4 % 3
    wrong, code, even = FAULTS[fault]
    boat, table = sound_table(seed, LEVELS[level], lines=count, even=even or bool(seed // 12 % 2))
    stations = table.stations
    near_end = bool(seed // 24 % 2)
    inner = stations[2:-2]
    label = str(rng.choice([stations[1], stations[-2]] if near_end else inner or stations[1:-1]))
    if code == "stations-exchanged" and label == stations[-1]:
        label = stations[-2]
    table = wrong(table, label, float(rng.choice([-1.0, 1.0])), LEVELS[level].step)
    design = design_for(boat, allow=LEVELS[level].allow)
    try:
        before = _faired(table, design).suspects
    except DesignError:
        return None
    found = _findings(table, design)
    if found is None:
        return None
    problems, suspects = found
    columns = {label}
    if code == "stations-exchanged":
        columns.add(stations[stations.index(label) + 1])
    firm = [p for p in problems if p.code == code and _at(p, table, label)]
    named = firm or [p for p in problems if p.code == SPACING and code == "station-position"]
    return Outcome(
        fault=fault,
        level=level,
        lines=count,
        place="next to an end" if near_end else "inner",
        found=bool(problems) or bool(suspects),
        named=bool(named),
        firm=bool(firm),
        blamed_before=_sound_cells(before, columns),
        blamed=_sound_cells(suspects, columns),
    )


def _at(problem: Problem, table: Offsets, label: str) -> bool:
    """Whether a problem's place is a column's."""
    place = table.station_places[table.stations.index(label)]
    return f"({place.heading})" in problem.place


def row(name: str, outcomes: list[Outcome]) -> str:
    """One row of the table, in per cent."""
    rates = [
        100 * float(np.mean([getattr(o, key) for o in outcomes]))
        for key in ("found", "named", "firm", "blamed_before", "blamed")
    ]
    return f"  {name:24}{len(outcomes):5d}" + "".join(f"{rate:9.0f}" for rate in rates)


def sound_tables(boats: int) -> Iterator[tuple[str, str, bool, Offsets, Any]]:
    """Sound tables of three families: the family, the level, whether the spacing is even, table and design."""
    for seed in range(boats):
        for name, level in LEVELS.items():
            for even in (True, False):
                boat, table = sound_table(FIRST_SEED + 96_000 + seed, level, lines=2 + seed % 3, even=even)
                yield "curved stem", name, even, table, design_for(boat, allow=level.allow)
                for family in ("powers", "polynomials"):
                    yield family, name, even, *_bare(family, seed, level, even)


def _bare(family: str, seed: int, level: Level, even: bool) -> tuple[Offsets, Any]:
    """A table of lines only, without a stem's points: enough for looking at columns."""
    rng = np.random.default_rng(FIRST_SEED + 192_000 + seed)
    if family == "powers":
        own = {(line.name, line.view): line.at for line in hull_lines(rng)}
        keel = own["keel", "height"]
        ends = [
            (name, 0.0, LENGTH, own[name, "half-breadth"], own[name, "height"]) for name in ("chine", "sheer")
        ]
    else:
        boat = analytic_boat(seed + 40_000)
        keel = lambda x: np.array([boat.keel_z(float(v)) for v in x])  # noqa: E731
        ends = [
            (
                name,
                boat.fore_x[name],
                boat.aft_x[name],
                getattr(boat, f"{name}_y"),
                getattr(boat, f"{name}_z"),
            )
            for name in ("chine", "sheer")
        ]
    fore, aft = min(end[1] for end in ends), max(end[2] for end in ends)
    count = int(rng.integers(5, 13))
    if even:
        pitch = np.floor((aft - fore) / (count + 0.6) / 10.0) * 10.0
        at = np.ceil(fore / 10.0) * 10.0 + pitch * (0.4 + np.arange(count))
    else:
        gaps = rng.uniform(0.6, 1.5, count + 1)
        at = np.round(fore + np.cumsum(gaps)[:-1] / gaps.sum() * (aft - fore))

    def written(values: Any) -> Any:
        if level.noise:
            return values + rng.uniform(-level.noise, level.noise, len(values))
        return np.round(values / level.step) * level.step

    labels = ("bow", *(str(k + 1) for k in range(count)), "stern")
    none = (None,) * len(labels)
    x = np.concatenate([[fore], at, [aft]])
    there = x > fore + 700.0
    z = np.where(there, written(keel(x)), np.nan)
    rows = {"keel": (x, np.where(there, 20.0, np.nan), z)}
    for name, a, b, half, height in ends:
        own_x = np.concatenate([[a], at, [b]])
        ok = (own_x == a) | (own_x == b) | ((own_x > a + 30.0) & (own_x < b - 30.0))
        rows[name] = (
            own_x,
            np.where(ok, written(half(own_x)), np.nan),
            np.where(ok, written(height(own_x)), np.nan),
        )
    lines = {
        name: LineOffsets(
            name=name, labels=labels, x=x, y=y, z=z, x_places=none, y_places=none, z_places=none
        )
        for name, (x, y, z) in rows.items()
    }
    design = SimpleNamespace(
        boat=SimpleNamespace(confirmed=()),
        fairing=SimpleNamespace(allow=level.allow, ends="free"),
        lines=tuple(SimpleNamespace(name=name, straight=False, knuckles=()) for name in lines),
        strakes=(),
        table=SimpleNamespace(heights="up from base", breadths="half"),
    )
    notation = Notation.MM if level.step == 1.0 else Notation.FEET_INCHES_EIGHTHS
    table = Offsets(file="offsets.csv", notation=notation, stations=labels[1:-1], station_x=at, lines=lines)
    return table, design


def main(boats: int = 96) -> None:
    """Print everything."""
    head = "".join(f"{word:>9}" for word in ("noticed", "named", "by lines", "blamed*", "blamed"))
    print(
        f"{boats} boats for each fault; per cent.  named: the right finding at the right station, the spacing's"
    )
    print(
        "doubt counted for a position; by lines: without that doubt; blamed: a sound cell is doubted, * before"
    )
    print(f"  {'':24}{'boats':>5}{head}")
    outcomes = [
        outcome
        for k, fault in enumerate(FAULTS)
        for seed in range(boats)
        if (outcome := faulty(fault, FIRST_SEED + 4800 * k + seed)) is not None
    ]
    for fault in FAULTS:
        print(row(fault, [o for o in outcomes if o.fault == fault]))
    for title, key in (
        ("by rounding", "level"),
        ("by lines beyond the keel", "lines"),
        ("by place", "place"),
    ):
        print(title)
        for fault in FAULTS:
            of = [o for o in outcomes if o.fault == fault]
            parts = []
            for value in dict.fromkeys(getattr(o, key) for o in sorted(of, key=lambda o: o.lines)):
                some = [o.named for o in of if getattr(o, key) == value]
                parts.append(f"{value}: {100 * float(np.mean(some)):3.0f}")
            print(f"  {fault:24}named  {'   '.join(sorted(parts))}")
    limits()
    alarms(boats)


def limits(boats: int = 12) -> None:
    """Print how small a fault of one column sound tables could show: 5.6 standard deviations.

    So far a shift must go for odds of 4 (logarithm) beside what is thought of it beforehand.
    """
    print("smallest fault that can be seen at inner stations, mm: 10 % / 50 % / 90 % of stations")
    for name, level in LEVELS.items():
        for count in (2, 3, 4):
            seen: dict[str, list[float]] = defaultdict(list)
            for seed in range(boats):
                boat, table = sound_table(FIRST_SEED + 300_000 + seed, level, lines=count, even=seed % 2 == 0)
                _limits_of(table, design_for(boat, allow=level.allow), seen)
            words = [
                f"{what} " + " / ".join(f"{v:.1f}" for v in np.percentile(found, [10, 50, 90]))
                for what, found in seen.items()
            ]
            print(f"  {name:13} {count} lines: {';  '.join(words)}")


def _limits_of(table: Offsets, design: Any, seen: dict[str, list[float]]) -> None:
    rows = rows_of(table, design)
    judged = [judge(r) for r in rows]
    for label in table.stations[1:-1]:
        sums = {"position": 0.0, "half-breadths": 0.0, "heights": 0.0}
        for one in (one for one in judged if label in one.row.labels):
            i = one.row.labels.index(label)
            sure = float(one.unsure[i]) ** -2
            slope = float(one.row.beside(i)(np.array([10.0]))[0]) / 10.0
            sums["position"] += slope**2 * sure
            if one.row.view == "height":
                sums["heights"] += sure
            elif not one.row.keel:
                sums["half-breadths"] += sure
        for what, total in sums.items():
            seen[what].append(5.6 / float(np.sqrt(max(total, 1e-12))))


def alarms(boats: int) -> None:
    """Print how often a sound table gets a finding on a column, and what looking costs."""
    tally: dict[tuple[str, str], list[bool]] = defaultdict(list)
    spacing: list[bool] = []
    begun, number = time.process_time(), 0
    for family, level, _, table, design in sound_tables(boats):
        found = column_findings(table, design)
        codes = {problem.code for problem in found.problems}
        tally[family, level].append(bool(codes - {SPACING}))
        spacing.append(SPACING in codes)
        number += 1
    taken = time.process_time() - begun
    print("sound tables with a finding on a column (per cent, 95 % confidence)")
    for (family, level), hits in tally.items():
        low, high = wilson(sum(hits), len(hits))
        print(f"  {family:12} {level:13} {sum(hits):3d} of {len(hits)}  ({max(low, 0.0):.2f} to {high:.2f})")
    print(f"  doubts of the spacing: {sum(spacing)} of {len(spacing)}")
    print(f"cost with making the tables: {1000 * taken / number:.0f} ms a table")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 96)
