"""Designs with every combination of two members or keys: a sound result, a finding, or a fault of the program.

    python -m tests.bench.pairs_bench            400 designs by chance
    python -m tests.bench.pairs_bench 6000 7     so many, from another seed
    python -m tests.bench.pairs_bench 6000 7 900 and those from the 900th on, where a run was cut short

A fault is a traceback, an internal error, or an error that names no place.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter
from pathlib import Path

from patterns import check
from patterns.findings import Findings
from patterns.numeric_errors import PiecesOmitted
from tests.bench.pair_designs import HULLS, base_of, drawn, pairs, write_pair

__all__ = ["main", "outcome"]

UNEXPLAINED = ("piece-shape-failed",)


def outcome(folder: Path) -> tuple[str, str]:
    """What a design ends in (``sound``, ``doubt``, ``refused``, or ``FAULT`` with more), and what is said of it."""
    with warnings.catch_warnings():
        warnings.simplefilter("error", PiecesOmitted)
        try:
            found = check(folder)
        except Exception as error:  # the bench counts faults of any kind
            last = traceback.extract_tb(error.__traceback__)[-1]
            return f"FAULT {type(error).__name__}", f"{error} ({Path(last.filename).name}:{last.lineno})"
    return _ended(found)


def _ended(found: Findings) -> tuple[str, str]:
    bad = [problem for problem in found.errors if problem.code in UNEXPLAINED or not problem.place]
    if bad:
        return "FAULT unexplained", str(bad[0])
    if found.errors:
        return "refused", "; ".join(sorted({problem.code for problem in found.errors})) + ": " + str(
            found.errors[0]
        )
    if found.status:
        return "doubt", "; ".join(sorted({problem.code for problem in found.doubts}))
    return "sound", ""


def main(count: int = 400, seed: int = 1, first: int = 0) -> None:
    """Try so many pairs, without those before the first, and print what they end in."""
    start, ends, said = time.process_time(), Counter[str](), Counter[str]()
    with tempfile.TemporaryDirectory() as there:
        bases = {hull: base_of(hull, Path(there) / f"base {hull}") for hull in HULLS}
        for number, (hull, pair) in enumerate(drawn(seed, count)[first:], start=first):
            folder = write_pair(bases[hull], Path(there) / f"{number}", pair)
            end, words = outcome(folder)
            shutil.rmtree(folder)
            ends[end] += 1
            names = " + ".join(choice.name for choice in pair)
            if end.startswith("FAULT"):
                print(f"{end}: {hull}: {names}\n    {words}", flush=True)
            elif words:
                said[f"{end}: {words[:150]}"] += 1
            if number % 20 == 19:
                so_far = ", ".join(f"{times} {end}" for end, times in sorted(ends.items()))
                print(f"after {number + 1}: {so_far}", file=sys.stderr, flush=True)
    for words, times in said.most_common(40):
        print(f"{times:5} {words}")
    every = sum(len(pairs(hull)) for hull in HULLS)
    print(f"{first} to {count} of {every} pairs, seed {seed}, {time.process_time() - start:.0f} s")
    for end, times in sorted(ends.items()):
        print(f"{times:6} {end}")


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:]))
