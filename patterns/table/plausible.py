"""Proportions of the boat as typed that ordinary boats do not have: mostly a slip, so each is a doubt.

Every limit here is common practice, no source; they are wide, so that ordinary boats raise nothing, and a boat that
is unusual on purpose is confirmed by the doubt's code.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from patterns.design.file import DESIGN_FILE, Design
from patterns.errors import Problem
from patterns.measure import with_unit
from patterns.table.values import BOW, STERN, FloatArray, LineOffsets, Offsets, Place

__all__ = ["boat_length", "greatest_breadth", "proportion_doubts"]

SHORTEST, LONGEST = 1_000.0, 25_000.0  # mm; a shorter boat is a model, a longer one a ship
THINNEST = 2_500.0  # length per thickness of planking
# Breadth in m against the power 2/3 of the length in m: ordinary boats have about 0.6, doubled ones 1.2.
WIDEST = 0.9
NARROWEST = 0.08  # breadth per length; racing shells have less
SMALL, SMALL_NARROWEST = 3_000.0, 0.27  # a boat shorter than this, mm, is wider than that part of its length
SHALLOWEST, DEEPEST = 0.1, 2.0  # depth per breadth
FLARE, TUMBLE = np.radians(60.0), np.radians(35.0)  # of the topmost strake out from plumb, and in
INWARD = 0.03  # of the greatest breadth by which a lower strake may lean in
DOUBLED = 1.5  # breadth of a line per breadth of the one above it
ENOUGH = 4  # stations with which two lines are compared


def proportion_doubts(offsets: Offsets, design: Design) -> Iterator[Problem]:
    """Length, breadth and depth against each other, and the lines beside one another."""
    lines = [offsets.lines[spec.name] for spec in design.lines if spec.name in offsets.lines]
    if len(lines) < 2:
        return
    # A line with whole breadths is wider than the one above it too, but by more: the planking's lean names its row.
    yield from (
        list(_exchanged(lines, offsets, most=DOUBLED))
        or list(_leaning(lines, offsets))
        or list(_exchanged(lines, offsets, most=np.inf))
    )
    yield from _whole_boat(lines, offsets, design)  # after the one row that may explain it
    yield from _alike(offsets, flat=(lines[0].name, lines[1].name))


def boat_length(offsets: Offsets, design: Design) -> float:
    """Over all as typed, mm; nan where no position can be read."""
    names = {spec.name for spec in design.lines}
    x = [line.x[line.complete] for line in offsets.lines.values() if line.name in names]
    typed = np.concatenate([*x, offsets.station_x[np.isfinite(offsets.station_x)]])
    return float(np.ptp(typed)) if len(typed) else float("nan")


def greatest_breadth(offsets: Offsets, design: Design) -> float:
    """The whole breadth as typed, mm; nan where no half-breadth can be read."""
    found = [offsets.lines[spec.name].y for spec in design.lines if spec.name in offsets.lines]
    typed = np.concatenate(found) if found else np.array([])
    typed = typed[np.isfinite(typed)]
    return 2.0 * float(typed.max()) if len(typed) else float("nan")


def _whole_boat(lines: Sequence[LineOffsets], offsets: Offsets, design: Design) -> Iterator[Problem]:
    """The boat's length, breadth and depth against each other and against her planking."""
    ends = np.concatenate([line.x[line.complete] for line in lines])
    y, z = (np.concatenate(list(rows)) for rows in zip(*((i.y, i.z) for i in lines), strict=True))
    if len(ends) < 2 or not np.isfinite(y).any() or not np.isfinite(z).any():
        return
    long, wide, deep = float(np.ptp(ends)), 2.0 * float(np.nanmax(y)), float(np.nanmax(z) - np.nanmin(z))
    length, breadth, depth = (with_unit(mm, offsets.notation) for mm in (long, wide, deep))
    said = f"the boat is {length} long and {breadth} wide"
    planking = max(strake.planking for strake in design.strakes)
    if not SHORTEST <= long <= min(LONGEST, THINNEST * planking):
        yield Problem(
            f"{DESIGN_FILE}, [table], key notation",
            f"the boat is {length} long, and the thickest planking is {planking:g} mm",
            "check whether the table is written in this notation",
            code="boat-length",
        )
    elif wide > WIDEST * 1000.0 * (long / 1000.0) ** (2.0 / 3.0):
        yield Problem(
            offsets.file,
            f"{said}, much wider than boats of this length",
            "halve the half-breadths if they are whole breadths",
            code="wide-boat",
        )
    elif wide < NARROWEST * long or (long < SMALL and wide < SMALL_NARROWEST * long):
        yield Problem(
            offsets.file,
            f"{said}, much narrower than boats of this length",
            "check breadths and notation under [table]",
            code="narrow-boat",
        )
    if not SHALLOWEST * wide <= deep <= DEEPEST * wide:
        how = "shallow" if deep < wide else "deep"
        yield Problem(
            offsets.file,
            f"the boat is {depth} deep and {breadth} wide, which is very {how}",
            "check the heights and half-breadths for a wrong unit",
            code="odd-depth",
        )


def _row(places: Sequence[Place | None], offsets: Offsets) -> str:
    first = next((place for place in places if place is not None), None)
    return offsets.file if first is None else f"{first.file}, row {first.row}"


def _stations(line: LineOffsets) -> NDArray[np.bool_]:
    return np.array([label not in (BOW, STERN) for label in line.labels])


def _exchanged(lines: Sequence[LineOffsets], offsets: Offsets, *, most: float) -> Iterator[Problem]:
    """A line that is wider than the one above it all along, forward too, where every boat flares.

    Args:
        most: by which factor it is wider at most.
    """
    for lower, upper in pairwise(lines[1:]):
        both = np.isfinite(lower.y) & np.isfinite(upper.y) & _stations(lower)
        apart = lower.y[both] / np.maximum(upper.y[both], 1e-9)
        if int(both.sum()) >= ENOUGH and bool(np.all(apart > 1.0)) and float(np.median(apart)) < most:
            yield Problem(
                _row(upper.y_places, offsets),
                f'the half-breadths of "{lower.name}" are larger than those of "{upper.name}" at every station',
                f"check whether this row and {_row(lower.y_places, offsets)} are exchanged",
                code="lines-exchanged",
            )


def _leaning(lines: Sequence[LineOffsets], offsets: Offsets) -> Iterator[Problem]:
    """Strakes that lean out or in amidships as no planking does: one line's breadths are doubled or halved."""
    typed = np.concatenate([line.y[np.isfinite(line.y)] for line in lines])
    wide = 2.0 * float(typed.max(initial=0.0))
    for lower, upper in pairwise(lines[1:]):
        both = np.isfinite(lower.y) & np.isfinite(upper.y) & np.isfinite(lower.z) & np.isfinite(upper.z)
        there = np.nonzero(both & _stations(lower))[0]
        middle = there[len(there) // 4 : len(there) - len(there) // 4]
        if len(middle) < 2:
            continue
        out, up = np.median(upper.y[middle] - lower.y[middle]), np.median(upper.z[middle] - lower.z[middle])
        lean = float(np.arctan2(out, up))
        topmost = upper is lines[-1]
        code = _leans(float(out), lean, topmost=topmost, wide=wide)
        if not code:
            continue
        wrong = upper if lean > 0.0 else lower
        halved = out - 0.5 * float(np.median(wrong.y[middle])) * (1.0 if wrong is upper else -1.0)
        want = (
            "check the half-breadths of both rows for a wrong unit"
            f" ({_row(lower.y_places, offsets)} and {_row(upper.y_places, offsets)})"
        )
        if not _leans(float(halved), float(np.arctan2(halved, up)), topmost=topmost, wide=wide):
            want = f"halve the row if it holds whole breadths; else {want}"
        yield Problem(
            _row(wrong.y_places, offsets),
            f'between "{lower.name}" and "{upper.name}" the planking leans {np.degrees(abs(lean)):.0f}° '
            f"{'out' if lean > 0.0 else 'in'} from plumb amidships",
            want,
            code=code,
        )


def _leans(out: float, lean: float, *, topmost: bool, wide: float) -> str:
    """The code of a strake that leans as no planking does; empty for an ordinary one.

    Args:
        out: by how much its upper edge is farther out, mm.
        lean: radians out from plumb.
        wide: the boat's greatest breadth, mm.
    """
    if topmost and lean > FLARE:
        return "leaning-side"
    return "tumblehome" if (topmost and lean < -TUMBLE) or (not topmost and out < -INWARD * wide) else ""


def _alike(offsets: Offsets, *, flat: tuple[str, str]) -> Iterator[Problem]:
    """Two rows of one block with the same figures: one was typed twice.

    Args:
        flat: keel and lowest chine; on a flat bottom their heights are the same.
    """
    for view in ("half-breadth", "height"):
        rows = [
            (line.name, *((line.y, line.y_places) if view == "half-breadth" else (line.z, line.z_places)))
            for line in offsets.lines.values()
        ]
        yield from _same(view, rows, offsets, meant=flat if view == "height" else None)
    yield from _same(
        "diagonal", [(row.name, row.y, row.y_places) for row in offsets.diagonals.values()], offsets
    )


def _same(
    view: str,
    rows: Sequence[tuple[str, FloatArray, tuple[Place | None, ...]]],
    offsets: Offsets,
    *,
    meant: tuple[str, str] | None = None,
) -> Iterator[Problem]:
    for k, (name, values, places) in enumerate(rows):
        for other, given, _ in rows[:k]:
            both = np.isfinite(values) & np.isfinite(given)
            if int(both.sum()) < ENOUGH or float(np.ptp(values[both])) == 0.0:
                continue
            if meant is not None and {name, other} == set(meant):
                continue
            if np.array_equal(values[both], given[both]):
                yield Problem(
                    _row(places, offsets),
                    f'the {view} row of "{name}" has the same figures as that of "{other}"',
                    "check whether one row was typed twice",
                    code="rows-alike",
                )
