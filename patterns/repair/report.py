"""What `check` says of a repair, and its points as a table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from patterns.design.confirmed import with_remedy
from patterns.measure import format_length
from patterns.repair.fairing import FairSide
from patterns.repair.measuring.bevels import ReadBy
from patterns.repair.places import Side
from patterns.repair.repair import Repair
from patterns.repair.side_by_side import side_differences
from patterns.shop.cells import csv_text
from patterns.shop.report import counted

__all__ = ["CAUTION", "findings", "points_table", "repair_report"]

CAUTION = (
    "Shore the hull to her shape before you measure, and again before you cut the old frame out; how much of it "
    "must go, and of what it is made again, is for a qualified surveyor."
)


def repair_report(repair: Repair) -> Iterator[str]:
    """What `check` says of a repair without errors, a line each: the verdict first, then what to know."""
    yield _title(repair)
    if repair.doubts:
        yield f"{counted(len(repair.doubts), 'doubt')} about what was measured: go back to the boat before you cut."
        yield from (f"  {doubt}" for doubt in repair.doubts)
    else:
        yield "No reading is in doubt."
    for name in repair.sides:
        yield from _known(repair, name)
    yield from _sides_apart(repair)
    if repair.warnings:
        yield f"{counted(len(repair.warnings), 'warning')}:"
        yield from (f"  {with_remedy(warning)}" for warning in repair.warnings)
    yield CAUTION


def _title(repair: Repair) -> str:
    points = sum(len(side.points) for side in repair.sides.values())
    sides = " and ".join(repair.sides)
    return f"{repair.name}, frame {repair.spec.frame}: {counted(points, 'point')} read, {sides}."


def _known(repair: Repair, name: Side) -> Iterator[str]:
    """How well a side is known, stretch by stretch, and its bevels."""
    for stretch in repair.sides[name].edge.stretches:
        own = [span.half_width for span in repair.spans if (span.side, span.stretch) == (name, stretch.name)]
        words = f"  {name} {stretch.name}: the edge is known to within {max(own):.1f} mm"
        if np.isfinite(stretch.slope).all():
            degrees = 90.0 + np.degrees(np.arctan(stretch.slope[[0, -1]]))
            by = _means(repair, name, stretch.name)
            words += f"; bevel through the old wood {degrees[0]:.1f}° to {degrees[1]:.1f}°, by {by}"
        yield words


def findings(repair: Repair) -> Iterator[str]:
    """Every point's residuals, and how far the sides are apart, a line each."""
    yield _title(repair)
    for name, side in repair.sides.items():
        yield from _side(repair, name, side)
    yield from _sides_apart(repair)


def _side(repair: Repair, name: Side, side: FairSide) -> Iterator[str]:
    left = ", and [what three nails left over]" if any(p.check is not None for p in side.points) else ""
    yield f"  {name}: point by point, how far the fair edge lies out of it{left}"
    for k, stretch in enumerate(side.edge.stretches):
        a, b = side.corners[k], side.corners[k + 1]
        shown = range(a, b + 1) if k == 0 else range(a + 1, b + 1)
        words = [_point(side, i) for i in shown]
        yield f"    {stretch.name}: {', '.join(words)}"
    yield from _known(repair, name)


def _means(repair: Repair, side: Side, stretch: str) -> str:
    """What a stretch's bevels are known by."""
    read = {one.means for one in repair.bevels.readings if (one.side, one.stretch) == (side, stretch)}
    words = ["the gauge"] if ReadBy.GAUGE in read else []
    words += [f"frame {' and '.join(repair.neighbours)}"] if ReadBy.OUTLINES in read else []
    return " and ".join(words) or "the rest of the frame"


def _point(side: FairSide, i: int) -> str:
    fixed = side.points[i]
    corner = f" ({fixed.measured.corner})" if fixed.measured.corner else ""
    check = f" [{fixed.worst_check:.1f}]" if fixed.check is not None else ""
    return f"{fixed.measured.name}{corner} {round(side.moves[i], 1) + 0.0:+.1f} mm{check}"


def _sides_apart(repair: Repair) -> Iterator[str]:
    if len(repair.sides) < 2:
        yield "One side was measured: what is printed of it need not fit the other."
        return
    if repair.spec.centreline == "not known":
        yield "The centreline is not known: the sides are not compared."
        return
    starboard, port = repair.sides["starboard"], repair.sides["port"]
    apart = side_differences(starboard, port)
    if not apart:
        yield "No stretch was measured on both sides: they are not compared."
        return
    farthest = max(apart, key=lambda one: abs(one.mm))
    most, point = farthest.mm, farthest.name
    mean = float(np.mean([one.mm for one in apart if not one.corner] or [most]))
    yield (
        f"The sides: port lies {abs(most):.1f} mm {'outside' if most > 0 else 'inside'} of starboard at point "
        f"{point} at most, {abs(mean):.1f} mm {'outside' if mean > 0 else 'inside'} on average."
    )
    names, others = ([stretch.name for stretch in side.edge.stretches] for side in (starboard, port))
    if names != others:
        yield f"  They are compared only where both were measured: {', '.join(n for n in names if n in others)}."
    yield {
        "each": '  Each keeps its own shape; sides = "mean" would give both the mean.',
        "mean": f"  Both get the mean: up to {0.5 * abs(most):.1f} mm from what was measured.",
        "port": f"  Both get port's shape: starboard will be off by up to {abs(most):.1f} mm.",
        "starboard": f"  Both get starboard's shape: port will be off by up to {abs(most):.1f} mm.",
    }[repair.spec.sides]


def points_table(repair: Repair) -> str:
    """Every point as measured and as faired, with its residuals, as CSV."""
    notation = repair.spec.notation
    rows: list[Sequence[object]] = [
        (
            "side", "edge", "point", "corner", "out_mm", "up_mm", "faired_out_mm", "faired_up_mm", "move_mm",
            "three_nails_mm", "along_edge_mm", "bevel_deg", "faired_out", "faired_up",
        )
    ]  # fmt: skip
    for name, side in repair.sides.items():
        for i, fixed in enumerate(side.points):
            k, share = side.share(i)
            stretch = side.edge.stretches[k]
            slope = np.interp(share * stretch.run[-1], stretch.run, stretch.slope)
            rows.append((
                name,
                fixed.measured.edge,
                fixed.measured.name,
                fixed.measured.corner,
                *(f"{value:.2f}" for value in (*fixed.at, *side.at[i])),
                f"{round(side.moves[i], 2) + 0.0:+.2f}",
                "" if fixed.check is None else f"{fixed.worst_check:.2f}",
                f"{side.runs[i]:.1f}",
                "" if not np.isfinite(slope) else f"{90.0 + np.degrees(np.arctan(slope)):.2f}",
                *(format_length(float(value), notation) for value in side.at[i]),
            ))  # fmt: skip
    return csv_text(rows)
