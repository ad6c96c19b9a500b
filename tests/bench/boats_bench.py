"""Whole boats from rounded tables: how far the frames are out.

Run: python -m tests.bench.boats_bench [count] [ordinary]

Prints, for each way of rounding, how far the frames of seeded boats are out: 95 of 100 frames and the worst of all
beside the goals, and each boat's worst frame (half of the boats, 95 of 100).  With ``ordinary`` the profile is
sampled as an ordinary plan has it, and both faces of upright, raked and canted frames are looked at.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import numpy as np

from tests.patterns.analytic_boats import ROUNDINGS
from tests.patterns.whole_boats import simulate

GOALS = {
    "exact": (0.2, 0.1),
    "whole mm": (0.8, 0.25),
    "1/16 in": (0.8, 0.25),
    "1/8 in": (2.0, 0.7),
    "noise 1/8 in": (3.5, 1.5),
}
# On ordinary plans: outline 95 % of frames and worst, mm; bevel 95 % and worst, degrees.
ORDINARY_GOALS = {
    "exact": ("0.5 / 1.0", "0.15 / 0.3"),
    "whole mm": ("0.8 / 1.2", "0.25 / 0.4"),
    "1/16 in": ("1.0 / 1.6", "0.3 / 0.45"),
    "1/8 in": ("2.0 / 2.8", "0.5 / 0.7"),
    "noise 1/8 in": ("2.9 / 3.6", "0.7 / 1.0"),
}


def main(count: int = 40, plan: str = "") -> None:
    """Print the table."""
    ordinary = plan == "ordinary"
    print(
        f"{count} boats each, {'26 faces' if ordinary else '9 frames'} a boat; outline in mm, bevel in degrees: "
        f"95 % of frames / worst (goal); boats' worst frames, median / 95 %"
    )
    for rounding in ROUNDINGS:
        found = []
        for seed in range(count):
            with tempfile.TemporaryDirectory() as folder:
                found.append(simulate(seed, rounding, Path(folder), stations=8 + seed % 4, ordinary=ordinary))
        outs = np.moveaxis(np.array(found), -1, 0)
        goals = (ORDINARY_GOALS if ordinary else GOALS)[rounding.name]
        words = [
            f"{what} {np.percentile(out, 95):5.2f} / {out.max():5.2f} ({goal}); "
            f"{np.median(out.max(axis=1)):5.2f} / {np.percentile(out.max(axis=1), 95):5.2f}"
            for what, goal, out in zip(("outline", "bevel"), goals, outs, strict=True)
        ]
        print(f"{rounding.name:14s} {'   '.join(words)}", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 40, *sys.argv[2:3])
