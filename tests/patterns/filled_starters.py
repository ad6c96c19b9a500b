"""The starters filled in cell by cell, as their comments say, from boats that are exact functions."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.measure import Notation, format_length
from patterns.run.starter import start_folder
from tests.patterns.analytic_boats import AnalyticBoat, _angle, analytic_boat
from tests.patterns.folders import changed
from tests.patterns.round_boats import RoundBoat, round_boat

__all__ = ["filled_starter", "typed"]

FIRST = 400.0  # mm aft; the first station


def typed(mm: float, *, metric: bool = False) -> str:
    """A length as one types it into a spreadsheet: feet, inches and eighths parted by spaces, or whole mm."""
    if metric:
        return f"{mm:.0f}"
    return re.sub(r"(?<=\d)-(?=\d)", " ", format_length(mm, Notation.FEET_INCHES_EIGHTHS))


@dataclass(frozen=True)
class Line:
    """One line over x, and the distances aft of its ends."""

    y: Callable[[float], float]
    z: Callable[[float], float]
    fore: float
    aft: float


def _lines(boat: AnalyticBoat, *, several: bool) -> dict[str, Line]:
    made = {
        name: Line(
            lambda x, f=y: float(f(np.array(x))),  # type: ignore[misc]
            lambda x, f=z: float(f(np.array(x))),  # type: ignore[misc]
            boat.fore_x[name],
            boat.aft_x[name],
        )
        for name, y, z in (("chine", boat.chine_y, boat.chine_z), ("sheer", boat.sheer_y, boat.sheer_z))
    }
    if not several:
        return made
    return {
        "lower chine": made["chine"],
        "upper chine": _between(boat, made["chine"], made["sheer"]),
        "sheer": made["sheer"],
    }


def _between(boat: AnalyticBoat, low: Line, high: Line) -> Line:
    """A line half way between two, pushed out so that the sections are rounder, from the stem to the transom."""
    inner, outer = sorted((low.fore, high.fore))
    for _ in range(60):
        fore = 0.5 * (inner + outer)
        if low.y(fore) + high.y(fore) < 2.0 * boat.half:
            inner = fore
        else:
            outer = fore
    length = high.aft - fore
    lift = boat.keel_z(fore) - 0.5 * (low.z(fore) + high.z(fore))

    def y(x: float) -> float:
        share = (x - fore) / length
        return 0.5 * (low.y(x) + high.y(x)) + 150.0 * share * (1.0 - 0.6 * share)

    def z(x: float) -> float:
        return 0.5 * (low.z(x) + high.z(x)) + lift * (1.0 - (x - fore) / length) ** 2

    return Line(y, z, fore, _aft(boat, z))


def _aft(boat: AnalyticBoat, z: Callable[[float], float]) -> float:
    """Where a height over x meets the transom."""
    rake = float(np.tan(boat.rake))
    root = boat.aft_x["keel"] - rake * boat.keel_z(boat.aft_x["keel"])
    x = root
    for _ in range(60):
        x = root + rake * z(x)
    return x


@dataclass(frozen=True)
class Level:
    """A row of a round bilge: the plane in the body plan by a point and a direction in it."""

    start: FloatArray
    run: FloatArray


def _levels(boat: RoundBoat) -> dict[str, Level]:
    found = {
        f"WL {i + 1}": Level(np.array([0.0, z]), np.array([1.0, 0.0])) for i, z in enumerate(boat.waterlines)
    }
    found |= {
        f"B {i + 1}": Level(np.array([y, 0.0]), np.array([0.0, 1.0])) for i, y in enumerate(boat.buttocks)
    }
    for i, (start, out, up) in enumerate(boat.diagonals):
        run = np.array([out, up - start]) / np.hypot(out, up - start)
        found[f"D {i + 1}"] = Level(np.array([0.0, start]), run)
    return found


def filled_starter(folder: Path, sort: str, *, seed: int = 3, metric: bool = False) -> Path:
    """Write a starter and fill in every empty cell and key of it, in whole mm where it is metric."""
    start_folder(folder, sort=sort)
    if sort == "round bilge":
        round_one = round_boat(seed)
        base, levels = round_one.base, {}
        low, high = round_one.waterlines[0], round_one.waterlines[-1]
        round_one = replace(
            round_one, waterlines=tuple(low + (high - low) * s for s in (0, 0.15, 0.35, 0.6, 1.0))
        )
        levels = _levels(round_one)
        lines = {"sheer": _lines(base, several=False)["sheer"]}
        _fill_levels(folder, round_one)
    else:
        round_one, base, levels = None, analytic_boat(seed), {}
        lines = _lines(base, several=sort == "several chines")
    _fill_table(folder / "offsets.csv", base, lines, round_one, levels, metric=metric)
    _fill_stem(folder / "stem.csv", base, metric=metric)
    _fill_design(folder / "design.toml", base, decked=sort != "round bilge", metric=metric)
    return folder


def _fill_table(
    path: Path,
    boat: AnalyticBoat,
    lines: dict[str, Line],
    round_one: RoundBoat | None,
    levels: dict[str, Level],
    *,
    metric: bool,
) -> None:
    text = path.read_text(encoding="utf-8")
    comments = [line for line in text.splitlines() if line.startswith("#")]
    rows = list(csv.reader(line for line in text.splitlines() if not line.startswith("#")))
    stations = len(rows[0]) - 4
    x = FIRST + (min(boat.aft_x.values()) - FIRST) / (stations + 0.2) * np.arange(stations)
    for row in rows[1:]:
        block, name = row[:2]
        for column in range(2, len(row)):
            at = {2: "bow", len(row) - 1: "stern"}.get(column)
            value = _value(boat, lines, round_one, levels, block, name, at or float(x[column - 3]))
            row[column] = "" if value is None else typed(value, metric=metric)
    stream = io.StringIO()
    csv.writer(stream, lineterminator="\n").writerows(rows)
    path.write_text("\n".join(comments) + "\n" + stream.getvalue(), encoding="utf-8")


def _value(
    boat: AnalyticBoat,
    lines: dict[str, Line],
    round_one: RoundBoat | None,
    levels: dict[str, Level],
    block: str,
    name: str,
    at: str | float,
) -> float | None:
    """What stands in a cell: mm, or None where the line does not cross."""
    if name == "":
        return None if isinstance(at, str) else at
    if name == "keel":
        x = boat.aft_x["keel"] if at == "stern" else at
        if isinstance(x, str) or x < 500.0:
            return None
        if block == "position":
            return x if at == "stern" else None
        return boat.keel_z(x) if block == "height" else boat.half
    if name in levels and round_one is not None:
        return _level_value(boat, round_one, levels[name], block, at)
    line = lines[name]
    if block == "position":
        return {"bow": line.fore, "stern": line.aft}.get(at) if isinstance(at, str) else None
    x = {"bow": line.fore, "stern": line.aft}[at] if isinstance(at, str) else at
    if x < line.fore + (1.0 if at != "bow" else -1.0):
        return None
    return line.z(x) if block == "height" else line.y(x)


def _level_value(
    boat: AnalyticBoat, round_one: RoundBoat, level: Level, block: str, at: str | float
) -> float | None:
    if at == "bow":
        return None

    def height(x: float) -> float:
        along = round_one.along(x, level.start, level.run)
        return float((level.start + (along or 0.0) * level.run)[1])

    x = _aft(boat, height) if at == "stern" else float(at)
    if block == "position":
        return x if at == "stern" and round_one.along(x, level.start, level.run) else None
    return round_one.along(x, level.start, level.run)


def _fill_stem(path: Path, boat: AnalyticBoat, *, metric: bool) -> None:
    """Steep points by their distance aft, level ones by their height; one row of the form stays empty."""
    first, last = boat.fore_s["sheer"], boat.s_at(boat.profile_x, 1000.0, -4000.0, 9000.0)
    s = np.linspace(first, last, 400)
    turn = np.degrees([_angle(boat, v) for v in s])
    steep = np.interp(np.linspace(turn[0], -45.0, 4), turn, s)
    level = np.interp(np.linspace(-33.0, turn[-1] - 3.0, 3), turn, s)
    points = {
        kind: [(float(boat.profile_z(v)), float(boat.profile_x(v))) for v in found]
        for kind, found in (("aft", steep), ("height", level))
    }
    made = []
    for line in path.read_text(encoding="utf-8").splitlines():
        kind = line.partition(",")[0]
        if line == f"{kind},,," and points[kind]:
            z, x = points[kind].pop(0)
            line = f"{kind},{typed(z, metric=metric)},{typed(x, metric=metric)},"
        made.append(line)
    path.write_text("\n".join(made) + "\n", encoding="utf-8")


def _fill_levels(folder: Path, boat: RoundBoat) -> None:
    """The places of waterlines, buttocks and diagonals, in mm so that they are the very ones."""
    path = folder / "design.toml"
    text = path.read_text(encoding="utf-8")
    for name, key, value in (
        *((f"WL {i + 1}", "height", z) for i, z in enumerate(boat.waterlines)),
        *((f"B {i + 1}", "half_breadth", y) for i, y in enumerate(boat.buttocks)),
        *((f"D {i + 1}", "height", start) for i, (start, _, _) in enumerate(boat.diagonals)),
    ):
        text = changed(text, f'name = "{name}"\n{key} = ""', f'name = "{name}"\n{key} = "{value:.6f} mm"')
    for _, out, up in boat.diagonals:
        text = text.replace(
            '{ half_breadth = "", height = "" }',
            f'{{ half_breadth = "{out:.6f} mm", height = "{up:.6f} mm" }}',
            1,
        )
    path.write_text(text, encoding="utf-8")


def _fill_design(path: Path, boat: AnalyticBoat, *, decked: bool, metric: bool) -> None:
    text = path.read_text(encoding="utf-8")
    if metric:
        text = changed(text, 'notation = "feet-inches-eighths"', 'notation = "mm"')
    for empty, filled in (
        ('name = "" ', 'name = "Filled In" '),
        ('lines_to = "" ', 'lines_to = "outside of planking" '),
        ('sheer_to = "" ', f'sheer_to = "{"underside of deck" if decked else "top of planking"}" '),
        ('sided = "" ', f'sided = "{2.0 * boat.half:.3f} mm" '),
        ('foot = "" ', 'foot = "2-0-0" '),
        ('rake = "" ', 'rake = "from the table" '),
        ('line = "" ', 'line = "4-0-0" '),
    ):
        text = changed(text, empty, filled)
    path.write_text(text, encoding="utf-8")
