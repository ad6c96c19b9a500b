"""How often the stated bands hold the true line.  Run: python -m tests.bench.bands_bench [boats] [seed].

Chine and sheer of invented boats of every family, faired by one batten a view: the worst true error of each
span beside the band that is stated for it, and how often a span is wide.
"""

from __future__ import annotations

import sys
from collections import defaultdict

import numpy as np

from patterns.fairing.bands import too_wide
from patterns.fairing.batten import fair
from patterns.fairing.ends import blunt_from
from patterns.fairing.evenness import NOISE
from patterns.fairing.line_bands import line_bands
from patterns.fairing.possible import possible
from patterns.hull.planes import FloatArray
from tests.bench.line_families import ROUNDINGS, FamilyLine, Rounded, family_lines, places

FINEST = 0.05  # mm; half the step of an exact table, as it is written

Row = tuple[float, float, bool, float]


def spans(line: FamilyLine, way: Rounded, count: int, rng: np.random.Generator) -> list[Row]:
    """For each span: worst true error, half-width, whether it is wide, and how far a good figure may be off, mm."""
    x = places(line, count, rng)
    y = way.typed(line.at(x), rng)
    held = np.full(len(x), way.allow)
    rounding = max(way.allow, FINEST)
    across = line.view == "half-breadth"
    if across:
        y[0], held[0] = line.at(x[:1])[0], 0.0  # half the stem's siding
    forward = blunt_from(x, y, noise=rounding * NOISE) if across else None

    def by(at: FloatArray) -> FloatArray:
        return at if forward is None else np.sqrt(np.maximum(at - x[0] + forward, 0.0))

    faired = fair(by(x), y, tolerance=held).curve

    def curve(at: FloatArray) -> FloatArray:
        return faired(by(at))

    lines = possible(x, y, noise=np.full(len(x), rounding * NOISE), blunt=forward is not None)
    bands = line_bands(
        lines, curve, line=line.name, view="half-breadth" if across else "height",
        labels=[str(i) for i in range(len(x))], places=[None] * len(x), rounding=rounding,
    )  # fmt: skip
    rows = []
    for i, band in enumerate(bands):
        at = x[i] + (x[i + 1] - x[i]) * np.linspace(0.0, 1.0, 41) ** (2 if i == 0 else 1)
        error = float(np.abs(curve(at) - line.at(at)).max())
        rows.append((error, band.half_width, too_wide(band), rounding))
    return rows


def measured(way: Rounded, boats: int, seed: int) -> dict[str, list[Row]]:
    """The spans of all families, by family."""
    rng = np.random.default_rng(seed)
    found: dict[str, list[Row]] = defaultdict(list)
    for _, lines in zip(range(boats), family_lines(rng), strict=False):
        for line in lines:
            found[line.family] += spans(line, way, int(rng.integers(6, 11)), rng)
    return found


def show(name: str, rows: list[Row]) -> None:
    """Print one row of the table."""
    error, half, wide, _ = np.array(rows, dtype=float).T
    print(
        f"  {name:16} {len(rows):5} spans  held {100 * np.mean(error <= half):5.1f} %  band over worst error, "
        f"median {np.median(half / np.maximum(error, 1e-3)):5.2f}  error 50/95/100 % {np.median(error):5.2f} "
        f"{np.percentile(error, 95):5.2f} {error.max():5.2f}  band {np.median(half):5.2f} "
        f"{np.percentile(half, 95):5.2f} {half.max():5.2f}  wide {100 * np.mean(wide):4.1f} %"
    )


def main(boats: int = 220, seed: int = 900) -> None:
    """Print the tables."""
    for way in ROUNDINGS:
        found = measured(way, boats, seed)
        print(f"{way.name}: {boats} boats")
        for family, rows in found.items():
            show(family, rows)
        show("all", [row for rows in found.values() for row in rows])


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:]))
