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
from patterns.table.values import FloatArray, LineOffsets, Offsets

__all__ = ["at_fault", "order_problems"]

LEAST = 3  # heights that two lines must both have before they are said to be exchanged
WORSE = 2.0  # times as far off its own neighbours as the other line, from which a line's figure is at fault


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
            found.append(
                Problem(
                    f"{offsets.file}, {_row(above)}",
                    rows,
                    "these two rows seem exchanged",
                    code="heights-exchanged",
                )
            )
            offsets = exchanged
        else:
            want = "correct the names of the rows, or the order of the lines in design.toml: from the centreline up"
            found.append(Problem(f"{offsets.file}, {_row(above)}", rows, want, code="lines-order"))
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


def at_fault(
    line: LineOffsets, values: FloatArray, other: LineOffsets, others: FloatArray, i: int
) -> float | None:
    """What a line's own neighbours want in column ``i``, mm, where its figure is at fault and not the other's.

    Args:
        values, others: the two lines' heights, or half-breadths, mm, shape (n,).
    Returns:
        None where the other line's figure is as far off its neighbours, or where there are too few.
    """
    mine, theirs = _between(line.x, values, i), _between(other.x, others, i)
    if mine is None or theirs is None:
        return None
    return mine if abs(values[i] - mine) > WORSE * abs(others[i] - theirs) else None


def _between(x: FloatArray, values: FloatArray, i: int) -> float | None:
    """What the straight line through a value's nearest neighbours has in its place; at an end it runs on."""
    there = [int(k) for k in np.nonzero(np.isfinite(x) & np.isfinite(values))[0] if k != i]
    before, after = [k for k in there if k < i], [k for k in there if k > i]
    near = [before[-1], after[0]] if before and after else before[-2:] or after[:2]
    if len(near) < 2 or not np.isfinite(x[i]) or x[near[0]] == x[near[1]]:
        return None
    a, b = near
    return float(values[a] + (values[b] - values[a]) * (x[i] - x[a]) / (x[b] - x[a]))


def _below(lower: LineOffsets, upper: LineOffsets, offsets: Offsets, design: Design) -> Iterator[Problem]:
    """The stations at which a line lies below the one before it, at the cell that its own row contradicts."""
    down = design.table.heights == "down from set-up line"

    def typed(mm: float) -> str:
        return format_length(-mm if down else mm, offsets.notation)

    for i in range(len(upper.labels)):
        if upper.z[i] < lower.z[i]:
            heights = typed(float(upper.z[i])), typed(float(lower.z[i]))
            wanted = at_fault(lower, lower.z, upper, upper.z, i)
            if wanted is not None:
                yield Problem(
                    str(lower.z_places[i]),
                    f'"{lower.name}" ({heights[1]}) lies above "{upper.name}" ({heights[0]}) here',
                    f"correct this height: its neighbours in the row want about {typed(wanted)}",
                    code="height-above-next-line",
                )
                continue
            yield Problem(
                str(upper.z_places[i]),
                f'"{upper.name}" ({heights[0]}) lies below "{lower.name}" ({heights[1]}) here',
                "the design names the lines from the centreline up",
                code="height-below-line",
            )
