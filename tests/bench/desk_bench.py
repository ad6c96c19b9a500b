"""How long the desk takes from an edit to the lines, and to the suspects: ``python -m tests.bench.desk_bench``.

Cells are changed one after the other as the page does it, over the desk's own server: a slip is typed, waited for,
and put right again.  The clock runs from the request until the page has the lines and findings of the table as it
is then.  What is worked is the same on a busy machine; the ratio is to writing the table and nothing else.
"""

from __future__ import annotations

import argparse
import shutil
import statistics
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from tests.demo import DEMO
from tests.patterns.desks import Asked, served

EDITS = 10  # cells of a table; each is spoiled and put right


def cells_of(desk: Asked) -> Iterator[tuple[int, int, str]]:
    """Offsets of heights and half-breadths, spread over the table."""
    rows = desk.file("offsets.csv")["rows"]
    every = [
        (number, column, text)
        for number, cells in rows
        if cells[0] in ("height", "half-breadth")
        for column, text in enumerate(cells)
        if column > 2 and text
    ]
    yield from every[:: max(len(every) // EDITS, 1)][:EDITS]


def edited(desk: Asked, row: int, column: int, text: str) -> tuple[float, float]:
    """Seconds from an edit until lines and suspects are there; seconds of work until then."""
    desk.drawn()
    base = desk.file("offsets.csv")["digest"]
    began, worked = time.perf_counter(), time.process_time()
    status, _ = desk.do({"do": "cells", "file": "offsets.csv", "base": base, "cells": [[row, column, text]]})
    assert status == 200
    desk.drawn(settled=False)
    return time.perf_counter() - began, time.process_time() - worked


def longer(text: str) -> str:
    """The offset with a slip."""
    head, dash, tail = text.partition("-")
    return f"{int(head) + 1}{dash}{tail}" if dash else str(int(text) + 40)


def half_typed(folder: Path) -> None:
    """Leave out the last two rows of the table."""
    table = folder / "offsets.csv"
    lines = table.read_text(encoding="utf-8").rstrip("\n").split("\n")
    table.write_text("\n".join(lines[:-2]) + "\n", encoding="utf-8")


def measured(source: Path, *, half: bool) -> list[tuple[float, float]]:
    """Every time of one folder."""
    with tempfile.TemporaryDirectory() as room:
        folder = Path(room) / "boat"
        shutil.copytree(source, folder)
        if half:
            half_typed(folder)
        with served(folder) as desk:
            desk.drawn()
            times = []
            for row, column, text in cells_of(desk):
                times += [edited(desk, row, column, longer(text)), edited(desk, row, column, text)]
            return times[2:]  # the first makes what is made once


def spread(seconds: list[float]) -> str:
    """Median and 95 %, ms."""
    ordered = sorted(1000.0 * each for each in seconds)
    return f"{statistics.median(ordered):>8.0f} {ordered[int(0.95 * (len(ordered) - 1))]:>8.0f}"


def floor() -> float:
    """Seconds to write the same table once, whole and on the drive: no desk can be faster."""
    from patterns.desk.files import DeskFiles

    with tempfile.TemporaryDirectory() as room:
        shutil.copytree(DEMO, Path(room) / "boat")
        files = DeskFiles(Path(room) / "boat")
        file, times = files.files["offsets.csv"], []
        for _ in range(EDITS):
            began = time.perf_counter()
            files.change("offsets.csv", file.digest, lambda data: data + b"\n")
            times.append(time.perf_counter() - began)
        return statistics.median(times)


def main() -> None:
    """Print a line for each folder: the time that passes and the time that is worked, median and 95 %, ms."""
    argparse.ArgumentParser(description=__doc__).parse_args()
    least = floor()
    print(f"writing the table once, whole: {1000.0 * least:.1f} ms")
    heads = "".join(f" {word:>8}" for word in ("passes", "95 %", "works", "95 %"))
    print(f"{'edit to lines and suspects, ms':<36} {'edits':>5}{heads} ratio")
    for name, source in (("hard chine", DEMO), ("round bilge", DEMO / "round_bilge")):
        for half in (False, True):
            times = measured(source, half=half)
            passes, works = zip(*times, strict=True)
            label = f"{name}, {'half typed' if half else 'whole'}"
            ratio = statistics.median(works) / least
            print(f"{label:<36} {len(times):>5} {spread(list(passes))} {spread(list(works))} {ratio:>5.0f}")


if __name__ == "__main__":
    main()
