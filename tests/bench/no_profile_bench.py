"""What it costs to leave out the stem's profile.  Run: python -m tests.bench.no_profile_bench [count]

The same boats are read with their stem's own points and without them.  Printed: how far the rabbet is out (mm,
square to it) from the highest line's end to the keel's second height and abaft it; how far the frames abaft the
keel's second height are out (mm, degrees); and in how many boats an offset is doubted although none is wrong.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import numpy as np

from patterns.boat import Boat, load_boat
from patterns.hull.planes import FloatArray, station_plane
from tests.patterns.analytic_boats import ROUNDINGS, AnalyticBoat, analytic_boat, write_table
from tests.patterns.whole_boats import departure

__all__ = ["rabbet_errors", "without_profile"]


def without_profile(folder: Path) -> None:
    """Take the stem's own points out of a design folder."""
    design = folder / "design.toml"
    text = design.read_text(encoding="utf-8")
    design.write_text(text.replace('profile = "stem.csv"\n', ""), encoding="utf-8")
    (folder / "stem.csv").unlink()


def rabbet_errors(true: AnalyticBoat, made: Boat) -> tuple[float, float, float]:
    """How far the faired rabbet is from the true one, forward and abaft of the keel's second height; where that is.

    Each is the largest distance from a true point to the faired line; all in mm.
    """
    keel = made.offsets.lines["keel"]
    second = float(keel.x[np.nonzero(np.isfinite(keel.z))[0][1]])
    s = np.linspace(true.fore_s["sheer"], true.s_at(true.profile_x, true.aft_x["keel"], -4000.0, 9000.0), 600)
    points = np.stack([true.profile_x(s), true.profile_z(s)], axis=1)
    off = _off(points, made)
    ahead = points[:, 0] < second
    return float(off[ahead].max()), float(off[~ahead].max()), second


def _off(points: FloatArray, made: Boat) -> FloatArray:
    """The distance of points (n, 2) from the faired rabbet, mm."""
    line = made.lines.profile
    at = line.at(np.linspace(line.start, line.end, 4000))[:, [0, 2]]
    start, step = at[:-1], np.diff(at, axis=0)
    found = []
    for point in points:
        along = np.clip(((point - start) * step).sum(axis=1) / (step**2).sum(axis=1), 0.0, 1.0)
        found.append(np.hypot(*(start + along[:, None] * step - point).T).min())
    return np.array(found)


def main(count: int = 40) -> None:
    """Print the table."""
    print(f"{count} boats each: median / 95 % / worst")
    for rounding in ROUNDINGS:
        for given in (True, False):
            rows, doubted = [], 0
            for seed in range(count):
                with tempfile.TemporaryDirectory() as place:
                    folder = Path(place)
                    boat = analytic_boat(seed)
                    stations = 8 + seed % 4
                    write_table(
                        boat, folder, rounding, np.random.default_rng(10_000 + seed), stations=stations
                    )
                    if not given:
                        without_profile(folder)
                    made = load_boat(folder)
                doubted += bool(made.lines.suspects)
                fore, aft, second = rabbet_errors(boat, made)
                places = np.linspace(second, boat.aft_x["keel"] - 40.0, 5)
                out = [departure(boat.hull(), made.hull, station_plane(float(x))) for x in places]
                rows.append((fore, aft, max(o[0] for o in out), max(o[1] for o in out)))
            table = np.array(rows)
            words = " | ".join(
                f"{name} {np.median(column):6.2f} / {np.percentile(column, 95):6.2f} / {column.max():6.2f}"
                for name, column in zip(("rabbet fore", "aft", "frames", "bevels"), table.T, strict=True)
            )
            print(
                f"{rounding.name:13s} {'profile   ' if given else 'no profile'} {words} | doubted {doubted}"
            )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 40)
