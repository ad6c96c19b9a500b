"""Slips on stem and keel in whole tables.  Run: python -m tests.bench.keel_tables_bench [count] [first seed]

Hard-chine boats as typed in files, their profile sampled as an ordinary plan has it and well all round, and round
bilges.  For each way of rounding: sound tables in which the keel is doubted or warned of, and how often a figure
25 mm wrong is found, and named first: inside, at the stem's head, at the keel's stern.  A table that is refused
for lines' ends off the stem or the transom is counted by itself where the end is blamed and not the figure.
"""

from __future__ import annotations

import sys
import tempfile
from collections import Counter
from pathlib import Path

import numpy as np

from patterns.errors import DesignError
from patterns.fairing.lines import fair_lines
from patterns.table.folder import read_folder
from patterns.table.values import column_letters
from tests.patterns.analytic_boats import ROUNDINGS, analytic_boat, write_table
from tests.patterns.round_boats import FORMS, WATERLINES, round_boat, write_round_table

BY = 25.0  # mm
KINDS = ("ordinary", "well sampled", "round bilge")
LEVELS = ("whole mm", "1/16 in", "1/8 in")
BLAMED = ("suspect-offset", "rabbet-point-off", "end-height-off")
WIDE = ("keel-band", "keel-corner")


def write(kind: str, seed: int, level: str, folder: Path) -> None:
    """One boat's table."""
    rounding = next(r for r in ROUNDINGS if r.name == level)
    rng = np.random.default_rng(20_000 + seed)
    if kind == "round bilge":
        form = tuple(FORMS)[seed % len(FORMS)]
        write_round_table(round_boat(seed, form), folder, rounding, rng, stations=12, rows=WATERLINES[1:4:2])
        return
    write_table(
        analytic_boat(seed), folder, rounding, rng, stations=8 + seed % 4, ordinary=kind == "ordinary"
    )


def doubted(folder: Path) -> tuple[list[str], bool]:
    """The cells of stem and keel that are doubted, the surest first; whether a span is warned of."""
    try:
        design, offsets, _ = read_folder(folder)
        lines = fair_lines(offsets, design)
    except DesignError as error:
        return [p.place for p in error.problems if p.code in BLAMED] or ["refused"], False
    cells = [str(s.place) for s in lines.suspects if s.line == "keel" or s.view == "stem"]
    return cells, any(problem.code in WIDE for problem in lines.warnings)


def figures(folder: Path) -> dict[str, list[tuple[Path, int, int]]]:
    """The figures of the profile by where they are: file, row, column."""
    stem, table = folder / "stem.csv", folder / "offsets.csv"
    rows = [line.split(",") for line in table.read_text(encoding="utf-8").splitlines()]
    k = next(i for i, row in enumerate(rows) if row[:2] == ["height", "keel"])
    keel = [(table, k, j) for j in range(2, len(rows[k])) if rows[k][j]]
    points = [line.split(",") for line in stem.read_text(encoding="utf-8").splitlines()]
    ahead = [(stem, i, 2 if row[0] == "aft" else 1) for i, row in enumerate(points) if i]
    return {"inner": [*ahead[1:], *keel[:-1]], "head": ahead[:1], "stern": keel[-1:]}


def slip(folder: Path, at: tuple[Path, int, int], by: float) -> tuple[list[str], str]:
    """What is doubted with one figure wrong, and that figure's place; the file is put back."""
    path, i, j = at
    text = path.read_text(encoding="utf-8")
    rows = [line.split(",") for line in text.splitlines()]
    rows[i][j] = f"{float(rows[i][j]) + by:.6f}"
    path.write_text("\n".join(map(",".join, rows)) + "\n", encoding="utf-8")
    cells, _ = doubted(folder)
    path.write_text(text, encoding="utf-8")
    return cells, f"{path.name}, row {i + 1}, column {column_letters(j)} "


def tally(kind: str, level: str, count: int, first: int) -> Counter[str]:
    """The counts over some boats."""
    counts: Counter[str] = Counter()
    for seed in range(first, first + count):
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            write(kind, seed, level, folder)
            cells, warned = doubted(folder)
            counts["alarms"] += bool(cells)
            counts["warned"] += warned
            rng = np.random.default_rng(30_000 + seed)
            for where, places in figures(folder).items():
                at = places[int(rng.integers(len(places)))]
                cells, place = slip(folder, at, BY * float(rng.choice([-1.0, 1.0])))
                counts[f"{where} found"] += bool(cells)
                counts[f"{where} named"] += bool(cells) and f"{cells[0]} ".startswith(place)
                counts[f"{where} refused"] += cells == ["refused"]
    return counts


def main(count: int = 10, first: int = 400) -> None:
    """Print the table."""
    print(f"{count} boats each; slips of {BY:g} mm on stem and keel: found / named first / refused")
    for kind in KINDS:
        for level in LEVELS:
            c = tally(kind, level, count, first)
            slips = ", ".join(
                f"{where} {c[f'{where} found']} / {c[f'{where} named']} / {c[f'{where} refused']}"
                for where in ("inner", "head", "stern")
            )
            print(
                f"{kind:13s} {level:9s} false alarms {c['alarms']}, warned of {c['warned']}; {slips}",
                flush=True,
            )


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:]))
