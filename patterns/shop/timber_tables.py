"""The table of timbers for the shop: lengths, marks, ends, bends and twist of each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from patterns.boat import Boat
from patterns.joinery.crossings import crossings
from patterns.shop.cells import csv_text
from patterns.timbers.measured import TimberSizes, measured

__all__ = ["timber_table"]

HEADS = ("timber", "kind", "what", "from_after_end_mm", "mm", "deg", "note")
Row = tuple[str, str, str, str]


def timber_table(boat: Boat) -> str:
    """One row for each measure of each timber that runs fore and aft, as CSV."""
    rows: list[Sequence[object]] = [HEADS]
    for run in boat.runs:
        sizes = measured(run)
        for row in _rows(boat, sizes):
            rows.append((run.name, run.kind, *row))
    return csv_text(rows)


def _rows(boat: Boat, sizes: TimberSizes) -> Iterator[Sequence[str]]:
    run = sizes.run
    yield "true length", "", f"{run.length:.1f}", "", "longest corner, tip to tip"
    yield "breadth", "", f"{run.across:g}", "", f"on the {run.lies_on[0]}" if run.mirrored else "athwartships"
    yield "depth", "", f"{run.deep:g}", "", f"{run.laminations} laminations" if run.laminations > 1 else ""
    wide, place = sizes.widest
    yield "breadth of the stick before bevelling", f"{place:.0f}", f"{wide:.1f}", "", "where it is most"
    for which, word in ((0, "after end"), (1, "fore end")):
        cut = sizes.end_cut(which)
        for what, angle in (
            ("in plan, from square", cut.in_plan),
            ("in profile, from square", cut.in_profile),
            ("cut on its back", cut.on_back),
            ("cut on its edge", cut.on_edge),
        ):
            yield f"{word}, {what}", "", "", f"{np.degrees(angle):.2f}", cut.against
        yield f"{word}, longest corner over the shortest", "", f"{cut.long:.1f}", "", cut.against
    for mark in crossings(boat, sizes):
        bevel = "" if np.isnan(mark.bevel) else f"{np.degrees(mark.bevel):.2f}"
        yield (
            mark.name,
            f"{mark.at:.1f}",
            "",
            bevel,
            "bevel of its edge, stock on the inner face" if bevel else "",
        )
    for way, edgewise in (("flat", False), ("edgewise", True)):
        bend = sizes.bend(edgewise=edgewise)
        radius = f"{bend.radius:.0f}" if np.isfinite(bend.radius) else ""
        yield f"tightest bend {way}, radius", f"{bend.at:.0f}", radius, "", "" if radius else "straight"
    stretch = sizes.unfayed
    if stretch is not None:
        where = f"{stretch.start:.0f}", f"{stretch.end:.0f}"
        yield "edge does not fay, from", where[0], "", "", f"to the {run.lies_on[3]}"
        yield (
            "edge does not fay, to",
            where[1],
            f"{stretch.planed:.1f}",
            "",
            "most that is planed off it there",
        )
    most, at = sizes.most_twist
    yield (
        "twist in all",
        "",
        "",
        f"{np.degrees(float(sizes.twists[-1])):.2f}",
        "from the after end to the fore end",
    )
    yield "most twist in 1 m", f"{at:.0f}", "", f"{np.degrees(most):.2f}", ""
