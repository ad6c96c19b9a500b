"""Lines that lie below the one before them: at a station, or all along, as when two rows are exchanged."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

import numpy as np

from patterns.design.file import Design
from patterns.errors import Problem
from patterns.measure import format_length
from patterns.table.end_checks import end_problems
from patterns.table.values import LineOffsets, Offsets

__all__ = ["order_problems"]

LEAST = 3  # heights that two lines must both have before they are said to be exchanged


def order_problems(offsets: Offsets, design: Design) -> tuple[list[Problem], Offsets]:
    """Lines that lie below the one before them, and the table with heights that are exchanged put right.

    What follows from exchanged heights (ends off stem and transom) is not worth telling besides.
    """
    found: list[Problem] = []
    names = [spec.name for spec in design.lines if spec.name in offsets.lines]
    for lower, upper in pairwise(names):
        below, above = offsets.lines[lower], offsets.lines[upper]
        if not _all_along(below, above):
            found += _below(below, above, offsets, design)
            continue
        exchanged = _exchange(offsets, below, above)
        rows = f'the heights of "{upper}" lie below those of "{lower}" ({_row(below)}) all along'
        if len(list(end_problems(exchanged, design))) < len(list(end_problems(offsets, design))):
            found.append(Problem(f"{offsets.file}, {_row(above)}", rows, "these two rows seem exchanged"))
            offsets = exchanged
        else:
            want = (
                "mend the names of the rows, or the order of the lines in design.toml: from the centreline up"
            )
            found.append(Problem(f"{offsets.file}, {_row(above)}", rows, want))
    return found, offsets


def _row(line: LineOffsets) -> str:
    place = line.z_places[0]
    return "" if place is None else f"row {place.row}"


def _all_along(lower: LineOffsets, upper: LineOffsets) -> bool:
    both = np.isfinite(lower.z) & np.isfinite(upper.z)
    return int(both.sum()) >= LEAST and bool(np.all(upper.z[both] < lower.z[both]))


def _exchange(offsets: Offsets, a: LineOffsets, b: LineOffsets) -> Offsets:
    """The table with the heights of two lines exchanged, each with its cells."""
    lines = dict(offsets.lines)
    lines[a.name] = replace(a, z=b.z, z_places=b.z_places)
    lines[b.name] = replace(b, z=a.z, z_places=a.z_places)
    return replace(offsets, lines=lines)


def _below(lower: LineOffsets, upper: LineOffsets, offsets: Offsets, design: Design) -> Iterator[Problem]:
    """The stations at which a line lies below the one before it."""
    down = design.table.heights == "down from set-up line"
    for i in range(len(upper.labels)):
        if upper.z[i] < lower.z[i]:
            heights = [
                format_length(float(-line.z[i] if down else line.z[i]), offsets.notation)
                for line in (upper, lower)
            ]
            yield Problem(
                str(upper.z_places[i]),
                f'"{upper.name}" ({heights[0]}) lies below "{lower.name}" ({heights[1]}) here',
                "the design names the lines from the centreline up",
            )
