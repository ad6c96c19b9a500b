"""How many bevels are read, against a reading at every degree and every 150 mm, and how far rolling puts edges out.

``python -m tests.bench.bevels_bench [FOLDER ...]`` prints a row for each design folder, by default the demos.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from patterns import load
from patterns.flat.polylines import lengths
from patterns.hull.planes import FloatArray
from patterns.pattern import FaceEdge, Pattern, Reading
from patterns.text.bevels import gauge_angle

DEMOS = ("demo_design", "demo_design/round_bilge", "demo_design/broken_frame")
ON = 0.01  # mm; a reading as near to a hull edge is on it


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeCount:
    """One edge of the hull on one face: readings by the older rule and now, and how far the edge is out, mm."""

    before: int
    now: int
    out: float
    out_as_printed: float


def by_degree(run: FloatArray, bevel: FloatArray) -> int:
    """How many readings an edge has with one at each degree and each 150 mm."""
    chosen, stop = [0], len(run) - 1
    while True:
        last = chosen[-1]
        since = np.arange(last + 1, stop)
        gap = run[stop] - run[last]
        spacing = gap / max(np.ceil(gap / 150.0 - 1e-9), 1.0)
        turned = np.abs(bevel[since] - bevel[last]) >= np.radians(1.0)
        turned &= (run[since] - run[last] >= 25.0) & (run[stop] - run[since] >= 25.0)
        far = run[since] - run[last] > spacing + 1e-9
        if not (turned | far).any():
            return len(chosen) + 1
        first = int((turned | far).argmax())
        chosen.append(int(since[max(first - 1, 0)] if far[first] else since[first]))


def edge_count(pattern: Pattern, edge: FaceEdge) -> EdgeCount | None:
    """One edge's figures; None where no reading lies on it (it is square, and read on another stretch)."""
    run = lengths(edge.uv)
    mine: dict[int, Reading] = {}
    for reading in pattern.readings:
        near = np.hypot(*(edge.uv - reading.at).T)
        if reading.edge == edge.strake and near.min() < ON:
            mine[int(near.argmin())] = reading
    if not mine:
        return None
    places = sorted(mine)
    exact = np.array([mine[place].bevel for place in places])
    printed = np.radians([gauge_angle(bevel).degrees for bevel in exact])
    apart = 1.0 / np.tan(edge.bevel)
    rolled = [1.0 / np.tan(np.interp(run, run[places], by)) for by in (exact, printed)]
    out = [pattern.thickness * float(np.abs(apart - each).max()) for each in rolled]
    return EdgeCount(before=by_degree(run, edge.bevel), now=len(places), out=out[0], out_as_printed=out[1])


def main(folders: list[str]) -> None:
    """Print the table."""
    print(f"{'design':34}{'by degree':>10}{'now':>6}{'dropped':>9}{'out mm':>8}{'as printed':>12}")
    for folder in folders:
        counts = []
        for pattern in load(Path(folder)).patterns():
            for edge in pattern.edges:
                if edge.face == "moulded face":
                    shown = FaceEdge(
                        face=edge.face, strake=edge.strake, uv=edge.uv @ pattern.view.T, bevel=edge.bevel
                    )
                    tries = [edge_count(pattern, each) for each in (edge, shown)]
                    counts.append((tries[0] or tries[1], by_degree(lengths(edge.uv), edge.bevel)))
        before = sum(old for _, old in counts)
        found = [count for count, _ in counts if count is not None]
        now = sum(count.now for count in found)
        rolled = [count for count in found if count.now > 1]
        out, printed = (
            max((getattr(c, key) for c in rolled), default=0.0) for key in ("out", "out_as_printed")
        )
        share = 1.0 - now / max(before, 1)
        print(f"{folder:34}{before:10}{now:6}{share:9.0%}{out:8.2f}{printed:12.2f}")


if __name__ == "__main__":
    main(sys.argv[1:] or list(DEMOS))
