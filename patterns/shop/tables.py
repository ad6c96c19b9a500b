"""The tables for the shop, as CSV: bevels, cut list, as-faired offsets, the moves that fairing made."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from patterns.boat import Boat
from patterns.design.file import Design
from patterns.fairing.cells import FairedCell
from patterns.files.batch import Batch
from patterns.joinery.distances import hole_distances
from patterns.measure import Notation, format_length, format_typed
from patterns.pattern import Pattern
from patterns.shop.cells import csv_text
from patterns.table.values import Offsets
from patterns.text.bevels import reading_words, rounded_departure

__all__ = [
    "as_faired",
    "as_faired_stem",
    "bevel_table",
    "distance_table",
    "faired_words",
    "moves_table",
    "own_factor",
    "typed_words",
    "write_faired",
]


def _csv(rows: Iterable[Sequence[object]]) -> str:
    return csv_text(rows)


def bevel_table(patterns: Sequence[Pattern]) -> str:
    """Every bevel reading: pattern, edge, place, exact angle, angle for the gauge, saw tilt."""
    rows: list[Sequence[object]] = [
        ("pattern", "edge", "what", "x_mm", "y_mm", "bevel_deg", "for_the_gauge", "saw_tilt_deg")
    ]
    for pattern in patterns:
        rows += [
            (
                pattern.name,
                reading.edge,
                reading.where,
                f"{reading.at[0]:.1f}",
                f"{reading.at[1]:.1f}",
                f"{np.degrees(reading.bevel):.2f}",
                reading_words(reading),
                "" if reading.land else f"{rounded_departure(reading.bevel):g}",
            )
            for reading in pattern.readings
        ]
    return _csv(rows)


def distance_table(patterns: Sequence[Pattern]) -> str:
    """Every hole's distances from the edges of its piece and from the next hole, and the wood left at notches."""
    rows: list[Sequence[object]] = [
        ("pattern", "what", "x_mm", "y_mm", "diameter_mm", "edge_distance_mm", "spacing_mm", "wood_left_mm")
    ]
    for pattern in patterns:
        rows += [
            (
                pattern.name,
                found.hole.purpose,
                f"{found.hole.at[0]:.1f}",
                f"{found.hole.at[1]:.1f}",
                f"{found.hole.diameter:g}",
                f"{found.edge:.1f}",
                f"{found.spacing:.1f}" if np.isfinite(found.spacing) else "",
                "",
            )
            for found in hole_distances(pattern)
        ]
        rows += [
            (pattern.name, f"notch for the {timber}", "", "", "", "", "", f"{left:.1f}")
            for timber, left in pattern.depth_left.items()
        ]
    return _csv(rows)


def as_faired(boat: Boat, notation: Notation) -> str:
    """The table of offsets as faired, in the layout of the table that was typed in: it can be read as a table."""
    offsets, down, full = boat.offsets, *_own_way(boat.design)
    way = 1 if boat.design.table.stations == "from forward aft" else -1
    labels = ["bow", *offsets.stations, "stern"][::way]
    faired: dict[tuple[str, str, str], float] = {
        (row.line, row.view, row.label): row.faired for row in boat.lines.rows
    }
    # An end that was snapped has a position row of its own; the others keep theirs.
    ends = {(row.line, row.label): row.x for row in boat.lines.rows if row.label in ("bow", "stern")}
    rows: list[Sequence[object]] = [("block", "line", *labels)]
    common = [format_length(_own_position(boat, float(x)), notation) for x in offsets.station_x[::way]]
    rows.append(("position", "", "", *common, ""))
    names = dict.fromkeys([*offsets.lines, *offsets.diagonals])
    for name in names:
        at = [ends.get((name, label)) for label in (labels[0], labels[-1])]
        own = [_words(None if x is None else _own_position(boat, x), notation) for x in at]
        if any(own):
            rows.append(("position", name, own[0], *("" for _ in offsets.stations), own[1]))
    for block, view, factor in (
        ("height", "height", -1.0 if down else 1.0),
        ("breadth" if full else "half-breadth", "half-breadth", 2.0 if full else 1.0),
        ("diagonal", "diagonal", 1.0),
    ):
        for name in names:
            cells = [_words(faired.get((name, view, label)), notation, factor=factor) for label in labels]
            if any(cells):
                rows.append((block, name, *cells))
    return _csv(rows)


def as_faired_stem(boat: Boat, notation: Notation, *, stern: bool = False) -> str:
    """A stem's own points as faired, in the layout of the file that was typed in."""
    stem = boat.offsets.sternpost if stern else boat.offsets.stem
    along = "aft" if boat.offsets.origin is None else "forward"
    rows: list[Sequence[object]] = [("measured", "height", along, "knuckle")]
    if stem is not None:
        down, _ = _own_way(boat.design)
        view = "sternpost" if stern else "stem"
        faired = {row.label: row.faired for row in boat.lines.rows if row.view == view}
        for i, measured in enumerate(stem.measured):
            x, z = float(stem.x[i]), float(stem.z[i])
            value = faired.get(str(i + 1))
            if value is not None:
                x, z = (value, z) if measured == "aft" else (x, value)
            rows.append((
                along if measured == "aft" else measured,
                format_length(-z if down else z, notation),
                format_length(_own_position(boat, x), notation),
                "yes" if stem.knuckle[i] else "",
            ))  # fmt: skip
    return _csv(rows)


def _own_way(design: Design) -> tuple[bool, bool]:
    """Whether the table counts heights down from a set-up line, and whether it gives whole breadths."""
    table = design.table
    return table.heights == "down from set-up line", table.breadths == "full"


def _own_position(boat: Boat, x: float) -> float:
    """A distance aft as the table measures its positions."""
    return x if boat.offsets.origin is None else boat.offsets.origin - x


def own_factor(design: Design, view: str) -> float:
    """By what a height or a half-breadth is multiplied to stand as the table gives it."""
    down, full = _own_way(design)
    if view == "height" and down:
        return -1.0
    return 2.0 if view == "half-breadth" and full else 1.0


def typed_words(design: Design, offsets: Offsets, row: FairedCell) -> str:
    """An offset letter by letter as it was typed; as the notation writes it where it was made of others."""
    typed = row.place.typed if row.place is not None else ""
    return format_typed(_own_value(design, offsets, row, row.offset), offsets.notation, typed)


def faired_words(design: Design, offsets: Offsets, row: FairedCell) -> str:
    """The same offset as faired, as the table gives it."""
    return format_length(_own_value(design, offsets, row, row.faired), offsets.notation)


def _own_value(design: Design, offsets: Offsets, row: FairedCell, mm: float) -> float:
    """A value of an offset as the table counts it, mm."""
    if row.view == "position" and offsets.origin is not None:
        return offsets.origin - mm
    return own_factor(design, row.view) * mm


def _words(value: float | None, notation: Notation, *, factor: float = 1.0) -> str:
    return "" if value is None else format_length(factor * value, notation)


def moves_table(boat: Boat) -> str:
    """For each line, view and station: offset, faired value, move, and the load of the duck (none at an end)."""
    rows: list[Sequence[object]] = [
        (
            "line",
            "view",
            "at",
            "position_mm",
            "offset_mm",
            "faired_mm",
            "move_mm",
            "duck_load",
            "offset",
            "faired",
        )
    ]
    rows += [
        (
            row.line,
            row.view,
            row.label,
            f"{row.x:.2f}",
            f"{row.offset:.2f}",
            f"{row.faired:.2f}",
            f"{row.move:+.2f}",
            "" if math.isnan(row.load) else f"{round(row.load, 3) + 0.0:.3f}",
            typed_words(boat.design, boat.offsets, row),
            faired_words(boat.design, boat.offsets, row),
        )
        for row in boat.lines.rows
    ]
    return _csv(rows)


def write_faired(work: Batch, boat: Boat) -> None:
    """The fairing's tables: as faired in the table's own notation and in mm, and every move."""
    work.write("as-faired.csv", as_faired(boat, boat.offsets.notation))
    if boat.offsets.stem is not None:
        work.write("as-faired-stem.csv", as_faired_stem(boat, boat.offsets.notation))
    if boat.offsets.sternpost is not None:
        work.write("as-faired-sternpost.csv", as_faired_stem(boat, boat.offsets.notation, stern=True))
    work.write("as-faired-mm.csv", as_faired(boat, Notation.MM))
    work.write("moves.csv", moves_table(boat))
