"""Slips in chines and sheers of many kinds: found, blamed on the right cell, rightly explained.

Run: python -m tests.bench.line_slips_bench [boats] [seed].  Three parts, all seeded: single lines of every family
by their own run alone; what a lower or higher bound of the odds would find, and at which price in false alarms; and
whole tables, where stem and transom have their say too.  Each slip is 24 mm or more.
"""

from __future__ import annotations

import sys
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from patterns.errors import DesignError
from patterns.fairing.blame import EITHER, FAR, _Row, _tales, blamed
from patterns.fairing.ends import blunt_from
from patterns.fairing.evenness import NOISE
from patterns.fairing.lines import fair_lines
from patterns.hull.planes import FloatArray
from patterns.measure import Notation, least_count
from patterns.table.values import Offsets
from tests.bench.exact_boats import EIGHTH, ExactBoat, design_for, exact_boat, table_of
from tests.bench.line_families import ROUNDINGS, FamilyLine, Rounded, family_lines, places

Undo = Callable[[float, np.random.Generator], float | None]
LEAST = 24.0  # mm; smaller slips are not counted
PLACES = ("bow", "next to an end", "inner", "stern")


def _off(by: float) -> Undo:
    return lambda value, rng: float(value + rng.choice([-1, 1]) * by)


def _inches_and_eighths(value: float, _: np.random.Generator) -> float | None:
    inches, eighths = divmod(int(np.floor(value / EIGHTH + 1e-6)) % 96, 8)
    if value < 0.0 or inches > 7 or inches == eighths:
        return None
    return value + ((eighths - inches) * 8 + inches - eighths) * EIGHTH


def _figures(value: float, rng: np.random.Generator) -> float | None:
    text = f"{value:.0f}"
    at = [i for i in range(len(text) - 1) if text[i] != text[i + 1] and text[i] != "-"]
    if not at:
        return None
    i = int(rng.choice(at))
    swapped = text[:i] + text[i + 1] + text[i] + text[i + 2 :]
    return None if swapped.startswith("0") else float(swapped)


IMPERIAL: dict[str, Undo] = {
    "1 in": _off(25.4), "2 in": _off(50.8), "1 ft": _off(304.8), "inches/eighths": _inches_and_eighths
}  # fmt: skip
METRIC: dict[str, Undo] = {"25 mm": _off(25.0), "100 mm": _off(100.0), "two figures": _figures}


def notation_of(way: Rounded) -> tuple[Notation, dict[str, Undo]]:
    """The notation of a way of rounding, and the slips that are made in it."""
    if way.name == "whole mm":
        return Notation.MM, METRIC
    return Notation.FEET_INCHES_EIGHTHS, IMPERIAL


class Tally:
    """Counts by place and slip."""

    def __init__(self) -> None:
        self.rows: dict[tuple[str, str], list[tuple[bool, bool, bool | None]]] = defaultdict(list)
        self.good: list[bool] = []
        self.doubted: list[str] = []

    def show(self, title: str) -> None:
        """Print the rates: found / right cell first / and rightly explained first, per cent.

        Explanations are not counted where the table was refused as well, for other ends' sake.
        """
        rate = 100.0 * float(np.mean(self.good))
        print(f"{title}: false alarms {sum(self.good)} of {len(self.good)} ({rate:.2f} %) {self.doubted[:4]}")
        slips = list(dict.fromkeys(slip for _, slip in self.rows))
        for place in PLACES:
            words = []
            for slip in (*slips, "all"):
                found = [row for (at, kind), rows in self.rows.items() for row in rows
                         if at == place and slip in (kind, "all")]  # fmt: skip
                if found:
                    a, b, c = (
                        100 * float(np.mean([row[k] for row in found if row[k] is not None] or [False]))
                        for k in range(3)
                    )
                    words.append(f"{slip} {a:.0f}/{b:.0f}/{c:.0f}")
            print(f"    {place:15} {'  '.join(words)}")


def _place(i: int, n: int) -> str:
    return "bow" if i == 0 else "stern" if i == n - 1 else "next to an end" if i in (1, n - 2) else "inner"


def _chosen(n: int, rng: np.random.Generator) -> Iterator[int]:
    yield from (0, n - 1, int(rng.choice([1, n - 2])), int(rng.integers(2, n - 2)))


def _near(meant: float | None, good: float) -> bool:
    return meant is not None and abs(meant - good) < 1.0


def on_lines(way: Rounded, boats: int, seed: int) -> Tally:
    """Slips in single lines of all families."""
    rng, tally = np.random.default_rng(seed), Tally()
    notation, slips = notation_of(way)
    for _, lines in zip(range(boats), family_lines(rng), strict=False):
        for line in lines:
            x = places(line, int(rng.integers(6, 11)), rng)
            good = way.typed(line.at(x), rng)
            if way.noise:
                good = np.round(good / least_count(notation)) * least_count(notation)
            if len(x) < 8:
                continue
            first = _blamed(line, x, good, way, notation)
            tally.good.append(bool(first))
            tally.doubted += [f"{line.family}, {line.view}, {len(x)} offsets"] if first else []
            for i in _chosen(len(x), rng):
                slip = str(rng.choice(list(slips)))
                typed = slips[slip](float(good[i]), rng)
                if typed is None or abs(typed - good[i]) < LEAST:
                    continue
                wrong = good.copy()
                wrong[i] = typed
                found = _blamed(line, x, wrong, way, notation)
                right = bool(found) and found[0][0] == i
                named = right and (slip == "25 mm" or _near(found[0][1], float(good[i])))
                tally.rows[_place(i, len(x)), slip].append((bool(found), right, named))
    return tally


def _blamed(
    line: FamilyLine, x: FloatArray, y: FloatArray, way: Rounded, notation: Notation
) -> list[tuple[int, float | None]]:
    tolerance = max(way.allow, 0.05)
    blunt = line.view == "half-breadth" and blunt_from(x, y, noise=tolerance * NOISE) is not None
    found = blamed(x, y, tolerance=tolerance, notation=notation, blunt=blunt)
    return [(blame.index, blame.slips[0].meant if blame.slips else None) for blame in found]


BOUNDS = (-1.5, -0.7, 0.0, 1.0)  # logarithms of odds


def trade(way: Rounded, boats: int, seed: int) -> None:
    """Print, by the odds from which an offset would be doubted, how many sound rows are and how many slips."""
    rng = np.random.default_rng(seed)
    notation, slips = notation_of(way)
    odds: dict[str, list[float]] = defaultdict(list)
    for _, lines in zip(range(boats), family_lines(rng), strict=False):
        for line in lines:
            x = places(line, int(rng.integers(8, 11)), rng)
            good = way.typed(line.at(x), rng)
            odds["sound"].append(_odds(line, x, good, way, notation))
            for i in (0, 1, len(x) - 1):
                typed = slips[str(rng.choice(list(slips)))](float(good[i]), rng)
                if typed is not None and abs(typed - good[i]) >= LEAST:
                    wrong = np.where(np.arange(len(x)) == i, typed, good)
                    odds[_place(i, len(x))].append(_odds(line, x, wrong, way, notation))
    for name, values in odds.items():
        rates = "  ".join(f"{bound:+.1f} {100 * np.mean(np.array(values) > bound):5.1f}" for bound in BOUNDS)
        print(f"    {name:15} {len(values):4d} rows, doubted from odds of  {rates} %", flush=True)


def _odds(line: FamilyLine, x: FloatArray, y: FloatArray, way: Rounded, notation: Notation) -> float:
    """Logarithm of the odds that some offset is wrong, as `blamed` weighs them."""
    tolerance = max(way.allow, 0.05)
    blunt = line.view == "half-breadth" and blunt_from(x, y, noise=tolerance * NOISE) is not None
    row = _Row(x=x, y=y, tolerance=tolerance, notation=notation, elsewhere=None, knuckles=(), blunt=blunt)
    worst, *others = _tales(row, range(len(x)), [])
    if abs(worst.wanted - float(y[worst.index])) <= FAR * tolerance:
        return -np.inf
    near = [other.odds for other in others[:1] if other.odds > worst.odds - EITHER]
    return float(np.logaddexp.reduce([worst.odds, *near]))


def on_tables(way: Rounded, boats: int, seed: int) -> Tally:
    """Slips in chine and sheer of whole tables, as `fair_lines` sees them."""
    rng, tally = np.random.default_rng(seed), Tally()
    notation, slips = notation_of(way)
    for _ in range(boats):
        boat = exact_boat(rng)
        table = table_of(
            boat, count=int(rng.integers(6, 11)), step=way.step, noise=way.noise, rng=rng, notation=notation
        )
        tally.good.append(bool(_suspects(table, boat, way)))
        for name in ("chine", "sheer"):
            for axis in "yz":
                row = table.lines[name]
                values, cells = getattr(row, axis), getattr(row, f"{axis}_places")
                filled = np.nonzero(np.isfinite(values))[0]
                for k in _chosen(len(filled), rng):
                    slip, i = str(rng.choice(list(slips))), int(filled[k])
                    typed = slips[slip](float(values[i]), rng)
                    if typed is None or abs(typed - values[i]) < LEAST:
                        continue
                    found = _suspects(_with(table, name, axis, i, typed), boat, way)
                    right = bool(found) and found[0][0] == str(cells[i])
                    named = right and (slip == "25 mm" or _near(found[0][1], float(values[i])))
                    refused = bool(found) and found[0][1] is not None and np.isnan(found[0][1])
                    counts = (bool(found), right, None if refused else named)
                    tally.rows[_place(k, len(filled)), slip].append(counts)
    return tally


def _with(table: Offsets, line: str, axis: str, i: int, value: float) -> Offsets:
    row = table.lines[line]
    values = getattr(row, axis).copy()
    values[i] = value
    return replace(table, lines={**table.lines, line: replace(row, **{axis: values})})


def _suspects(table: Offsets, boat: ExactBoat, way: Rounded) -> list[tuple[str, float | None]]:
    """The cells that are blamed in chine and sheer, with what was meant (nan where the table was refused)."""
    try:
        suspects = fair_lines(table, design_for(boat, allow=way.allow)).suspects
    except DesignError as error:
        doubted = [p.place for p in error.problems if p.code == "suspect-offset"] or ["refused"]
        return [(place, np.nan) for place in doubted]
    return [(str(suspect.place), suspect.meant) for suspect in suspects if suspect.line != "keel"]


def main(boats: int = 200, seed: int = 500) -> None:
    """Print the tables."""
    for way in ROUNDINGS[1:]:
        on_lines(way, boats, seed).show(f"lines of all families, {way.name}")
    for way in ROUNDINGS[1:]:
        print(f"what another bound of the odds would find, {way.name}")
        trade(way, max(boats // 4, 1), seed)
    for way in ROUNDINGS[1:]:
        on_tables(way, max(boats // 10, 1), seed).show(f"whole tables, {way.name}")


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:]))
