"""Half-typed tables of sound boats.  Run: python -m tests.bench.draft_bench [count]

Cells and rows of sound tables are left blank at random.  Printed: in how many of them an offset is doubted, or
called wrong, although none is (both should be no more than in the whole tables), and how long a draft takes.
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from patterns.draft import Draft, draft_boat
from tests.patterns.analytic_boats import ROUNDINGS, analytic_boat, write_table
from tests.patterns.round_boats import round_boat, write_round_table

__all__ = ["blanked"]


def blanked(folder: Path, chance: random.Random) -> None:
    """Leave cells, rows and points of the stem blank."""
    table = folder / "offsets.csv"
    rows = [row.split(",") for row in table.read_text(encoding="utf-8").splitlines()]
    filled = [(r, c) for r, row in enumerate(rows) for c, cell in enumerate(row) if r and c > 1 and cell]
    for r, c in chance.sample(filled, chance.choice((1, 2, 4, 8, 16))):
        rows[r][c] = ""
    for r in chance.sample(range(1, len(rows)), chance.choice((0, 0, 1, 2))):
        rows[r][2:] = [""] * len(rows[r][2:])
    table.write_text("\n".join(",".join(row) for row in rows) + "\n", encoding="utf-8")
    if chance.random() < 0.3:
        stem = folder / "stem.csv"
        points = stem.read_text(encoding="utf-8").splitlines()
        stem.write_text("\n".join(points[: chance.randrange(1, len(points))]) + "\n", encoding="utf-8")


def main(count: int = 40) -> None:
    """Print the table."""
    print(f"{count} tables each: doubted / called wrong in whole ones, in half-typed ones; ms a draft")
    for kind in ("hard chine", "round bilge"):
        for rounding in ROUNDINGS[1:4]:
            whole, half, seconds = [0, 0], [0, 0], []
            for seed in range(count):
                with tempfile.TemporaryDirectory() as place:
                    folder, rng = Path(place), np.random.default_rng(seed)
                    if kind == "hard chine":
                        write_table(analytic_boat(seed), folder, rounding, rng, stations=8 + seed % 4)
                    else:
                        write_round_table(round_boat(seed), folder, rounding, rng)
                    _count(draft_boat(folder), whole)
                    blanked(folder, random.Random(seed))
                    start = time.perf_counter()
                    draft = draft_boat(folder)
                    seconds.append(time.perf_counter() - start)
                    _count(draft, half)
            print(
                f"{kind:12s} {rounding.name:10s} whole {whole[0]:3d} / {whole[1]:3d}   half-typed {half[0]:3d} / "
                f"{half[1]:3d}   {1000.0 * np.median(seconds):6.0f} ms"
            )


def _count(draft: Draft, into: list[int]) -> None:
    into[0] += draft.lines is not None and bool(draft.lines.suspects)
    into[1] += bool(draft.wrong)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 40)
