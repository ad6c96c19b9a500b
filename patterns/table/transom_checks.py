"""Whether the lines end on the transom: one plane, or one cylinder, with the rake that the design gives.

Where waterlines, buttocks and diagonals end on the transom too, they are witnesses: with keel and sheer alone, any
two ends lie on some plane, and a wrong one only shows as another rake.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from patterns.design.file import Design
from patterns.errors import Problem
from patterns.hull.curved import hollow, leaning
from patterns.table.end_blame import height_at_fault
from patterns.table.mirror import Seen
from patterns.table.typed_ends import TypedEnd, height_off, length_words, line_ends_at, row_ends_at
from patterns.table.values import STERN, FloatArray, Offsets

__all__ = ["OFF_END", "transom_problems"]

OFF_END = 6.35  # mm, a quarter of an inch: an end farther off is a slip, not a rounded figure
OFF_RAKE = 3.175  # mm, an eighth of an inch over the transom's height
MOST_ROUND = 0.9  # of the radius that a curved transom's half-breadth may be; past it the sides turn forward


def transom_problems(offsets: Offsets, design: Design, seen: Seen) -> Iterator[Problem]:
    """Lines whose stern end is not on the transom's plane, and a rake that the table does not have."""
    lines = line_ends_at(offsets, design, STERN)
    if len(lines) < 2:
        return
    y = np.nan_to_num(np.array([end.at[1] for end in lines]))
    radius, given = design.stern.radius, design.stern.rake
    if radius is not None and float(y.max()) >= MOST_ROUND * radius:
        yield Problem(
            f'design.toml, end "{seen.stern}", key radius',
            f"{radius:.0f} mm is too small for a {seen.transom} {2.0 * float(y.max()):.0f} mm wide",
            f"write more than {float(y.max()) / MOST_ROUND:.0f} mm",
            code="transom-radius-small",
        )
        return
    rows = row_ends_at(offsets, design, STERN)
    if given is not None:
        yield from _on_given(lines, rows, given, offsets, design, seen)
    else:
        yield from _on_one(lines, rows, offsets, design, seen)


def _brought_out(
    ends: Sequence[TypedEnd], radius: float | None, rake: float | None
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Ends brought out to the plane that touches a curved transom on the centreline.

    Returns:
        Their distances aft there, shape (n,), their heights, and by how much they were brought out, mm.
    """
    x, y, z = np.nan_to_num(np.array([end.at for end in ends])).T
    behind = hollow(y, radius)
    behind = behind / math.cos(rake if rake is not None else leaning(x, z, behind))
    return x + behind, z, behind


def _on_given(
    lines: Sequence[TypedEnd],
    rows: Sequence[TypedEnd],
    given: float,
    offsets: Offsets,
    design: Design,
    seen: Seen,
) -> Iterator[Problem]:
    """The ends against a rake that the design gives."""
    radius, allowed = design.stern.radius, OFF_END + design.fairing.allow
    ends = [*lines, *rows]
    x, z, behind = _brought_out(ends, radius, given)
    at_zero = x - z * math.tan(given)
    slope, _, left = _straight(x, z)
    fitted = math.atan(slope)
    apart = float(np.ptp(z)) * abs(math.tan(given) - math.tan(fitted)) * math.cos(given)
    another = apart > OFF_RAKE + design.fairing.allow and left <= _spread_without_one(at_zero)
    if (
        left * math.cos(fitted) <= allowed and float(np.ptp(z)) > 1.0 and another
    ):  # else one end by itself explains it better
        low, high = ends[int(z.argmin())], ends[int(z.argmax())]
        yield Problem(
            f'design.toml, end "{seen.stern}", key rake',
            f"the rake is {math.degrees(given):.1f} deg, but the {seen.stern} ends in {offsets.file} lie on a "
            f"{seen.transom} raked {math.degrees(fitted):.1f} deg "
            f'("{low.name}" {length_words(seen.aft(float(low.at[0])), offsets)} aft, '
            f'"{high.name}" {length_words(seen.aft(float(high.at[0])), offsets)} aft)',
            'correct one of them, or write "from the table"',
            code="transom-rake-differs",
        )
        return
    there = float(np.median(at_zero)) + z * math.tan(given) - behind
    for end, wanted in zip(
        lines, there, strict=False
    ):  # a row that is off is reported when the hull is faired
        if abs(float(end.at[0]) - wanted) * math.cos(given) > allowed:
            by_height = math.tan(given) if radius is None else 0.0
            yield _off_plane(end, float(wanted), by_height, offsets, design, seen)


def _on_one(
    lines: Sequence[TypedEnd], rows: Sequence[TypedEnd], offsets: Offsets, design: Design, seen: Seen
) -> Iterator[Problem]:
    """The ends against the plane, or the curve, that all of them have in common."""
    radius, allowed = design.stern.radius, OFF_END + design.fairing.allow
    for ends in ([*lines, *rows], lines):
        x, z, behind = _brought_out(ends, radius, None)
        slope, start, left = _straight(x, z)
        if left * math.cos(math.atan(slope)) <= allowed:
            return
        if len(ends) < 4:
            continue  # of three ends any might be wrong
        # The one end without which all others lie on one plane is the culprit.
        without = [(*_straight(np.delete(x, i), np.delete(z, i)), i) for i in range(len(ends))]
        slope, start, left, i = min(without, key=lambda plane: plane[2])
        if left > allowed:
            continue
        if i < len(lines):  # a row that is off is reported when the hull is faired
            wanted = float(start + slope * z[i] - behind[i])
            yield _off_plane(ends[i], wanted, slope if radius is None else 0.0, offsets, design, seen)
        return
    stand = ", ".join(f'"{end.name}" {length_words(seen.aft(float(end.at[0])), offsets)}' for end in lines)
    yield Problem(
        offsets.file,
        f"the lines' {seen.stern} ends do not lie on one {'plane' if radius is None else 'curve'}: {stand} aft",
        f'correct the positions at the {seen.stern}, or give the rake in design.toml, e.g. "12 deg"',
        code="ends-not-on-transom",
    )


def _straight(x: FloatArray, z: FloatArray) -> tuple[float, float, float]:
    """The plane ``x = start + slope z`` that fits ends best: slope, start, and how far the worst is off it, mm."""
    slope, start = np.polyfit(z, x, 1) if float(np.ptp(z)) > 1.0 else (0.0, float(x.mean()))
    return float(slope), float(start), float(np.abs(x - start - slope * z).max())


def _spread_without_one(at: FloatArray) -> float:
    """Half of how far apart values are without the one that is farthest off; infinite for fewer than three."""
    if len(at) < 3:
        return math.inf
    rest = np.delete(at, int(np.abs(at - np.median(at)).argmax()))
    return 0.5 * float(np.ptp(rest))


def _off_plane(
    end: TypedEnd, there: float, slope: float, offsets: Offsets, design: Design, seen: Seen
) -> Problem:
    """An end that is off the transom; at its height, where the line's own run shows that this is the wrong figure.

    Args:
        there: the transom's distance aft at its height, mm.
        slope: how much farther aft the transom's plane is by mm up; 0 where it is curved.
    """
    here = float(end.at[0])
    if slope:
        wanted = float(end.at[2]) + (here - there) / slope
        if height_at_fault(end.line, end.column, wanted):
            return height_off(end, wanted, offsets, design, seen)
    return Problem(
        str(end.place),
        f'the {seen.stern} end of "{end.name}" is {length_words(seen.aft(here), offsets)} aft, '
        f"off the {seen.transom}",
        f"the {seen.transom} through the other ends is {length_words(seen.aft(there), offsets)} aft at its height",
        code="end-off-transom",
    )
