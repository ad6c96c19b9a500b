"""A frame measured in the boat: how true its edge and its bevels come out, and how often a slip is named.

    python -m tests.bench.repair_bench [ROUNDS]

Frames of invented chine boats are measured by each method with a hand that shakes by 0.4 mm, rounded to 1 mm or
1/16 in, then one value is spoiled by an inch.  Printed: the worst distance of the edge from the true section, the
worst error of the bevels by two neighbours, points doubted without a slip, how many slips were named, and how many
of those at a chine.
"""

from __future__ import annotations

import re
import sys
import tempfile
from pathlib import Path

import numpy as np

from patterns.errors import DesignError
from patterns.measure import Notation, format_length
from patterns.repair.repair import Repair, load_repair
from tests.patterns import repair_boats as boats

ROUNDS = 6
SHAKE = 0.4  # mm, standard deviation
NEIGHBOURS = (
    '[[neighbour]]\nname = "3"\nstands = "forward"\nspacing = "450 mm"\npoints = "three.csv"\n'
    '[[neighbour]]\nname = "5"\nstands = "aft"\nspacing = "450 mm"\npoints = "five.csv"\n'
)


def _saying(rng: np.random.Generator, step: float, notation: Notation) -> object:
    def say(mm: float) -> str:
        shaken = round((mm + rng.normal(0.0, SHAKE)) / step) * step
        return f"{shaken:.0f} mm" if notation is Notation.MM else format_length(shaken, notation)

    return say


def _errors(repair: Repair, x: float) -> tuple[float, float]:
    """The worst distance of the edge, mm, and the worst error of its bevels, degrees."""
    worst, turned = 0.0, 0.0
    for edge in repair.edges_of.values():
        for stretch in edge.stretches:
            worst = max(worst, float(boats.off(x, stretch.name, stretch.points[::4]).max()))
            angles = np.degrees(stretch.bevel(0.0, 1.0))
            for share, i in ((0.0, 0), (0.5, len(angles) // 2), (1.0, -1)):
                true = np.degrees(boats.bevel(stretch.name, share, x=x, aft=-1.0))
                turned = max(turned, float(abs(angles[i] - true)))
    return worst, turned


def _spoiled(
    text: str, rng: np.random.Generator, *, chine: bool = False
) -> tuple[str, tuple[str, str]] | None:
    """One value an inch too much, at a chine or where it moves a point across; the text and the point."""
    lines = text.splitlines()
    for _ in range(400):
        i = int(rng.integers(2, len(lines) - 1))
        cells = lines[i].split(",")
        column = int(rng.integers(5, 7))
        if not cells[column] or cells[9] != ("chine" if chine else ""):
            continue
        steep = cells[1] == "side"
        crosswise = {"half-breadth": (steep, not steep), "ordinate": (not steep, steep)}.get(
            cells[3], (True, True)
        )
        if cells[4] == "board":
            crosswise = (steep, not steep)
        if not crosswise[column - 5] and not chine:
            continue
        unit = cells[column].endswith(" mm")
        value = float(cells[column].removesuffix(" mm")) + 25.4 if unit else None
        if value is None:
            from patterns.measure import parse_length

            mm = parse_length(cells[column], notation=Notation.FEET_INCHES_EIGHTHS) + 25.4
            cells[column] = format_length(mm, Notation.FEET_INCHES_EIGHTHS)
        else:
            cells[column] = f"{value:.0f} mm"
        lines[i] = ",".join(cells)
        return "\n".join(lines), (cells[2], cells[0])
    return None


def _said(folder: Path) -> list[str]:
    """What is told of a spoiled file: its doubts, or why nothing can be drawn."""
    try:
        return [str(doubt) for doubt in load_repair(folder).doubts]
    except DesignError as error:
        return [str(problem) for problem in error.problems if "would have to be" in problem.what]


def _names(line: str, point: str, side: str) -> bool:
    """Whether a line is about a point of a side."""
    return re.search(rf"point {point}\b", line) is not None and f"the {side} side" in line


def main() -> None:
    """Print one line for each way of measuring."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS
    print("method            points  read to   edge mm  bevel deg   doubted  slips named  at chines")
    ways = [*((way.__name__, way) for way in boats.METHODS[:4]), ("all of them", boats.METHODS[:4])]
    for name, way in ways:
        for many in ((6, 6), (8, 8), (11, 9)):
            for read, step, notation in (
                ("1 mm", 1.0, Notation.MM),
                ("1/16 in", boats.SIXTEENTH, Notation.FEET_INCHES_EIGHTHS),
            ):
                _row(name, way, many, read, step, notation, rounds)


def _row(
    name: str, way: object, many: tuple[int, int], read: str, step: float, notation: Notation, rounds: int
) -> None:
    edges, bevels, false = [], [], 0
    named, tried = [0, 0], [0, 0]
    for seed in range(rounds):
        rng = np.random.default_rng(seed)
        say = _saying(rng, step, notation)
        x = float(rng.uniform(-600.0, 600.0))
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place)
            good = boats.rows(way, say=say, x=x, many=many)  # type: ignore[arg-type]
            boats.write_repair(folder, good, NEIGHBOURS)
            for file, off in (("three.csv", -450.0), ("five.csv", 450.0)):
                text = boats.rows(way, say=say, x=x + off, many=many)  # type: ignore[arg-type]
                (folder / file).write_text(text, encoding="utf-8")
            repair = load_repair(folder)
            worst, turned = _errors(repair, x)
            edges.append(worst)
            bevels.append(turned)
            false += len(repair.doubts)
            for chine in (False, True):
                spoiled = _spoiled(good, rng, chine=chine)
                if spoiled is not None:
                    tried[chine] += 1
                    boats.write_repair(folder, spoiled[0], NEIGHBOURS)
                    named[chine] += any(_names(line, *spoiled[1]) for line in _said(folder))
    print(
        f"{name:17s} {many[0]:2d}+{many[1]:2d}  {read:8s} {np.max(edges):8.2f} {np.max(bevels):10.2f} "
        f"{false:9d}  {named[0]:5d} of {tried[0]} {named[1]:8d} of {tried[1]}"
    )


if __name__ == "__main__":
    main()
