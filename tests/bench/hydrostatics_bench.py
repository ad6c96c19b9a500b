"""How true a faired hull's displacement is, and which wrong rows the plan's figures show.

Run: python -m tests.bench.hydrostatics_bench [count]

Truth is the exact hull that the table was taken from. A doubt beside a right table is a false alarm.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import numpy as np

from patterns.boat import load_boat
from patterns.design.hydrostatics_models import HydrostaticsSpec
from patterns.errors import DesignError
from patterns.hull.hydrostatics import Hydrostatics, float_hull
from patterns.hull.plan_hydrostatics import hydrostatics_of
from patterns.measure import Notation
from tests.patterns.analytic_boats import ROUNDINGS, AnalyticBoat, Rounding, analytic_boat, write_table

WATERLINE = 230.0
Spoil = Callable[[list[list[str]]], None]


def times(by: float, block: str, *lines: str) -> Spoil:
    """Rows of some lines times a factor, aft of the bow."""

    def spoil(table: list[list[str]]) -> None:
        for cells in table:
            if cells[0] == block and cells[1] in lines:
                cells[3:] = [f"{by * float(cell):.3f}" if cell else "" for cell in cells[3:]]

    return spoil


SLIPS: dict[str, Spoil] = {
    "chine and sheer in full": times(2.0, "half-breadth", "chine", "sheer"),
    "chine in full": times(2.0, "half-breadth", "chine"),
    "breadths 10 % over": times(1.1, "half-breadth", "chine", "sheer"),
    "breadths 5 % over": times(1.05, "half-breadth", "chine", "sheer"),
    "chine's heights 10 % over": times(1.1, "height", "chine"),
    "stations 5 % over": times(1.05, "position", ""),
}


def plan_of(true: Hydrostatics) -> HydrostaticsSpec:
    """The plan's figures, as a plan has them: three or four of them, rounded."""
    return HydrostaticsSpec.model_validate(
        {
            "designed_waterline": f"{WATERLINE} mm",
            "displacement": f"{true.mass:.0f} kg",
            "centre_of_buoyancy": f"{100.0 * true.centre_share:.1f} %",
            "waterline_length": f"{true.length:.0f} mm",
            "waterline_breadth": f"{true.breadth:.0f} mm",
            "prismatic": round(true.prismatic, 2),
        }
    )


def afloat(
    boat: AnalyticBoat, rounding: Rounding, plan: HydrostaticsSpec, seed: int, spoil: Spoil | None = None
) -> tuple[Hydrostatics, tuple[str, ...]] | None:
    """What came of one table, and the keys that were doubted; None where the table was refused."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_table(boat, folder, rounding, np.random.default_rng(seed))
        if spoil is not None:
            path = folder / "offsets.csv"
            table = [line.split(",") for line in path.read_text("utf-8").splitlines()]
            spoil(table)
            path.write_text("\n".join(map(",".join, table)) + "\n", encoding="utf-8")
        try:
            made = load_boat(folder)
        except DesignError:
            return None
    found = hydrostatics_of(made.design.model_copy(update={"wanted": (plan,)}), made.hull, Notation.MM)
    assert found.figures is not None
    return found.figures, tuple(problem.place.rpartition(" ")[2] for problem in found.doubts)


def main(boats: int) -> None:
    """Print both tables."""
    print(f"{'table':14} {'mass %':>16} {'centre mm':>16} {'breadth mm':>16} {'gap %':>8} {'doubted':>8}")
    print(f"{'':14} {'95 % / worst':>16} {'95 % / worst':>16} {'95 % / worst':>16} {'worst':>8} {'boats':>8}")
    truths = []
    for seed in range(1000, 1000 + boats):
        boat = analytic_boat(seed)
        truths.append((seed, boat, float_hull(boat.hull(), WATERLINE, density=1025.0)))
    for rounding in ROUNDINGS:
        off, doubted, gap = [], 0, 0.0
        for seed, boat, true in truths:
            found = afloat(boat, rounding, plan_of(true), seed)
            assert found is not None
            made, doubts = found
            doubted += bool(doubts)
            gap = max(gap, made.gap)
            off.append(
                (
                    100.0 * (made.mass / true.mass - 1.0),
                    made.centre_aft - true.centre_aft,
                    made.breadth - true.breadth,
                )
            )
        worst = np.abs(off)
        cells = [f"{np.percentile(k, 95):.2f} / {k.max():.2f}" for k in worst.T]
        print(f"{rounding.name:14} " + " ".join(f"{cell:>16}" for cell in cells), end=" ")
        print(f"{100.0 * gap:8.3f} {doubted:8}")
    print(f"\n{'slip (whole mm)':28} {'refused':>8} {'doubted':>8} {'silent':>8} {'mass x':>8}")
    for name, spoil in SLIPS.items():
        made_of = [afloat(boat, ROUNDINGS[1], plan_of(true), seed, spoil) for seed, boat, true in truths]
        read = [(one, true) for one, (_, _, true) in zip(made_of, truths, strict=True) if one is not None]
        doubted = sum(bool(doubts) for (_, doubts), _ in read)
        ratio = np.median([made.mass / true.mass for (made, _), true in read]) if read else np.nan
        print(f"{name:28} {boats - len(read):8} {doubted:8} {len(read) - doubted:8} {ratio:8.2f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 40)
