"""Round bilges from rounded tables.  Run: python -m tests.bench.round_bench [count]

Prints how far the faired surface is out beside the goals, the bevels, the time, and how often a slip is found.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from patterns.boat import load_boat
from patterns.hull.girth import Girth
from patterns.hull.planes import FloatArray
from tests.patterns.analytic_boats import ROUNDINGS, Rounding
from tests.patterns.round_boats import RoundBoat, round_boat, write_round_table
from tests.patterns.test_cross import BOW, _parabolic, parabolic_boat

GOALS = {"exact": (0.08, 0.5), "whole mm": (None, None), "1/16 in": (0.26, 0.9), "1/8 in": (0.45, 1.5)}
GOALS["noise 1/8 in"] = (1.2, 3.5)
SLIPS = (12.7, 25.4, 304.8)  # mm: half an inch, an inch, a foot


def surface_departures(true: RoundBoat, girth: Girth) -> tuple[FloatArray, FloatArray]:
    """How far the planked surface is out, mm, and its bevels, degrees, on a grid of 160 by 61 places."""
    p, r = (
        v.ravel() for v in np.meshgrid(np.linspace(0.0, 1.0, 160), np.linspace(0.0, 1.0, 61), indexing="ij")
    )
    points, by_p, by_r = girth.shape(p, r)
    base = true.base
    lean = float(np.tan(base.rake))
    transom = base.aft_x["keel"] - lean * base.keel_z(base.aft_x["keel"])
    x, y, z = points.T
    planked = (x > base.fore_x["sheer"] + 15.0) & (x - lean * z < transom) & (y > base.half + 2.0)
    planked &= z < base.sheer_z(x) + 0.01
    normals = girth.outward(by_p, by_r)[planked]
    turn = np.arccos(normals[:, 0]) - np.arccos(true.normals(points[planked])[:, 0])
    return true.off(points[planked]), np.degrees(np.abs(turn))


def _one(seed: int, rounding: Rounding) -> list[float]:
    true = round_boat(seed)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_round_table(true, folder, rounding, np.random.default_rng(seed + 100))
        begun = time.perf_counter()
        boat = load_boat(folder)
        taken = time.perf_counter() - begun
        assert boat.lines.girth is not None
        off, turn = surface_departures(true, boat.lines.girth)
        doubted = {s.line if s.line in ("keel", "sheer") else "rows" for s in boat.lines.suspects}
        found = [_slipped(folder, slip, np.random.default_rng(seed)) for slip in SLIPS]
    return [
        float(np.sqrt(np.mean(off**2))),
        float(np.abs(off).max()),
        float(turn.max()),
        taken,
        *("rows" in doubted, "keel" in doubted, "sheer" in doubted),
        *found,
    ]


def _slipped(folder: Path, slip: float, rng: np.random.Generator) -> bool:
    """Whether a slip in one cell of the rows between keel and sheer is named first; the file is put back."""
    path = folder / "offsets.csv"
    text = path.read_text(encoding="utf-8")
    rows = [row.split(",") for row in text.splitlines()]
    cells = [
        (i, j)
        for i, row in enumerate(rows)
        for j in range(3, len(row) - 1)
        if row[0] in ("half-breadth", "height", "diagonal") and row[1] not in ("keel", "sheer") and row[j]
    ]
    i, j = cells[int(rng.integers(len(cells)))]
    rows[i][j] = f"{abs(float(rows[i][j]) + slip * rng.choice([-1.0, 1.0])):.6f}"
    path.write_text("\n".join(",".join(row) for row in rows) + "\n", encoding="utf-8")
    suspects = [s for s in load_boat(folder).lines.suspects if s.line not in ("keel", "sheer")]
    path.write_text(text, encoding="utf-8")
    return bool(suspects) and (suspects[0].line, suspects[0].label) == (rows[i][1], rows[0][j])


def main(count: int = 10) -> None:
    """Print the table."""
    print(
        f"{count} boats each, 13 stations: mean over the boats (goal), worst of all; slips named first of {count}"
    )
    for rounding in ROUNDINGS:
        rows = np.array([_one(seed, rounding) for seed in range(count)])
        mean, worst = rows.mean(axis=0), rows.max(axis=0)
        rms, most = GOALS[rounding.name]
        print(
            f"{rounding.name:14s} rms {mean[0]:5.2f} ({rms})  max {mean[1]:5.2f} ({most}) worst {worst[1]:5.2f}  "
            f"bevel {mean[2]:4.2f} deg worst {worst[2]:4.2f}  {mean[3]:4.2f} s  "
            f"false alarms rows {rows[:, 4].sum():.0f} keel {rows[:, 5].sum():.0f} sheer {rows[:, 6].sum():.0f}  "
            f"1/2 in {rows[:, 7].sum():.0f}, 1 in {rows[:, 8].sum():.0f}, 1 ft {rows[:, 9].sum():.0f}"
        )
    for step, goal in ((0.0, "0"), (1.0, "0.4 mm, 0.06 deg"), (3.175, "1.2 mm, 0.09 deg")):
        with tempfile.TemporaryDirectory() as name:
            girth = parabolic_boat(Path(name), step=step).lines.girth
        assert girth is not None
        p, r = (v.ravel() for v in np.meshgrid(np.linspace(0, 1, 90), np.linspace(0, 1, 45), indexing="ij"))
        points, by_p, by_r = girth.shape(p, r)
        x = points[:, 0] - BOW
        out = np.abs(points[:, 1] - _parabolic(x, points[:, 2])).max()
        y_x = -400.0 * x / 2000.0**2 * (1.0 - (points[:, 2] / 250.0) ** 2)
        y_z = -400.0 * points[:, 2] / 250.0**2 * (1.0 - (x / 2000.0) ** 2)
        true = np.arccos(-y_x / np.sqrt(1.0 + y_x**2 + y_z**2))
        turn = np.degrees(np.abs(np.arccos(girth.outward(by_p, by_r)[:, 0]) - true))
        print(
            f"parabolic hull to {step:g} mm: max {out:.2f} mm, "
            f"rms of bevel {np.sqrt(np.mean(turn**2)):.3f} deg ({goal})"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10)
