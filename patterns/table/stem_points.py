"""The stem's own points: the rabbet, measured aft at a height or up at a distance."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Literal

import numpy as np

from patterns.errors import Problem
from patterns.measure import Notation
from patterns.table.cell_lengths import CellReader
from patterns.table.headings import columns_of
from patterns.table.padding import Padding
from patterns.table.spreadsheet import Row, is_empty, read_sheet, too_many
from patterns.table.values import Place, StemPoints

__all__ = ["read_stem"]

MORE = ("knuckle",)
MOST_POINTS = 200  # a plan gives a dozen (common practice, no source)
YES, NO = ("yes", "y", "x", "true", "1", "knuckle"), ("", "no", "n", "false", "0")


@dataclass(frozen=True, slots=True, kw_only=True)
class StemPoint:
    """One point as it was read."""

    x: float
    z: float
    measured: Literal["aft", "height"]
    knuckle: bool
    place: Place
    height_place: Place


def read_stem(
    path: Path,
    *,
    notation: Notation,
    down: bool = False,
    stern: bool = False,
    forward: bool = False,
    padding: Padding | None = None,
) -> tuple[StemPoints | None, list[Problem]]:
    """The stem's points, its head first.

    Args:
        path: a CSV file with the columns ``measured``, ``height``, ``aft`` and, if wanted, ``knuckle``.
        notation: that of the table of offsets.
        down: heights are measured down from the set-up line.
        stern: it is the stem at the stern, whose points run forward from its head.
        forward: distances are measured forward, in a column ``forward``; they come out negative, as distances aft.
        padding: how the same plan writes its inches.

    Returns:
        The points that could be read, or None where there are none or they are out of order; and every problem.
    """
    sheet, problems = read_sheet(path)
    if sheet is None:
        return None, problems
    reader = CellReader(sheet=sheet, notation=notation, padding=padding or Padding())
    way = "forward" if forward else "aft"
    needed = ("measured", "height", way)
    if _other_way(reader, sheet.rows[0], forward=forward):
        return None, reader.problems
    columns = columns_of(reader, sheet.rows[0], needed=needed, more=MORE, of="the stem's points")
    if columns is None:
        return None, reader.problems
    if (problem := too_many(sheet.file, sheet.rows[1:], MOST_POINTS)) is not None:
        return None, [problem]
    used = [row for row in sheet.rows[1:] if not _unused(row, columns, way)]
    points = [_point(reader, row, columns, down, way) for row in used]
    found = [point for point in points if point is not None]
    if not reader.problems and len(found) < 3:
        reader.trouble(
            sheet.file,
            f"holds {len(found)} points",
            "give three or more, from the head to the forefoot",
            code="missing-points",
        )
    if found and found[0].z < found[-1].z:
        found.reverse()  # written from the forefoot up
    count = len(reader.problems)
    _order(reader, found, stern=stern)
    if len(reader.problems) > count or not found:
        return None, reader.problems
    return StemPoints(
        file=sheet.file,
        x=np.array([point.x for point in found]),
        z=np.array([point.z for point in found]),
        measured=tuple(point.measured for point in found),
        knuckle=tuple(point.knuckle for point in found),
        places=tuple(point.place for point in found),
    ), reader.problems


def _other_way(reader: CellReader, row: Row, *, forward: bool) -> bool:
    """Whether the distances have the heading of the way that the design does not measure; then a problem."""
    way, other = ("forward", "aft") if forward else ("aft", "forward")
    headings = [text.lower() for text in row.texts]
    if other not in headings or way in headings:
        return False
    said = f'positions = "{"forward from stern" if forward else "aft from bow"}" under [table] in design.toml'
    reader.trouble(
        reader.place(row, headings.index(other), ""),
        f'the heading "{other}" does not go with {said}',
        f'give the distances {way} and write "{way}" for "{other}", in the heading and in the column measured; '
        "or correct positions",
        code="stem-other-way",
    )
    return True


def _unused(row: Row, columns: dict[str, int], way: str) -> bool:
    """Whether a row of the form was left as it came: it says what is measured, and no figure stands in it."""
    lengths = [row.text(columns[heading]) for heading in ("height", way)]
    return row.text(columns["measured"]).lower() in (way, "height") and all(map(is_empty, lengths))


def _point(reader: CellReader, row: Row, columns: dict[str, int], down: bool, way: str) -> StemPoint | None:
    """One point; ``way`` is the heading of its distance along the boat."""
    measured = row.text(columns["measured"]).lower()
    if measured not in (way, "height"):
        place = reader.place(row, columns["measured"], "measured")
        what = f'"{measured}" is not valid' if measured else "the word in measured is missing"
        reader.trouble(
            place,
            what,
            f'write "{way}" (measured {way} at a height) or "height" (measured up at a distance)',
            code="invalid-choice",
        )
    knuckle = ""
    if "knuckle" in columns:
        knuckle = row.text(columns["knuckle"]).lower()
        if knuckle not in (*YES, *NO):
            place = reader.place(row, columns["knuckle"], "knuckle")
            reader.trouble(
                place, f'"{knuckle}" is not valid', 'write "yes", or leave it empty', code="invalid-choice"
            )
    values: dict[str, float] = {}
    for heading in ("height", way):
        text, place = row.text(columns[heading]), reader.place(row, columns[heading], heading)
        value = reader.length(text, place)
        if value is None:
            if is_empty(text):
                reader.trouble(place, f"this point has no {heading}", reader.wanted, code="missing-cell")
            continue
        turned = down if heading == "height" else way == "forward"
        values[heading] = float(-value if turned else value)
    if len(values) < 2 or measured not in (way, "height"):
        return None
    return StemPoint(
        x=values[way],
        z=values["height"],
        measured="aft" if measured == way else "height",
        knuckle=knuckle in YES,
        place=reader.place(row, columns[measured], measured),
        height_place=reader.place(row, columns["height"], "height"),
    )


def _order(reader: CellReader, points: list[StemPoint], *, stern: bool) -> None:
    """From the head each point lies lower, or farther into the boat on a level forefoot."""
    alone = _out_of_order(points, stern=stern)
    if alone is not None:
        point = points[alone]
        near = points[alone + 1 if alone + 1 < len(points) else alone - 1]
        where = "below" if point.z < near.z else "above"
        reader.trouble(
            point.height_place,
            f"this point lies {where} the one of row {near.place.row}, out of the order of all the others",
            "the stem's points run down from its head: correct the height, or put the row where it belongs",
            code="stem-points-order",
        )
        return
    for above, below in pairwise(points):
        if below.z > above.z:
            reader.trouble(
                below.height_place,
                f"this point lies above the one of row {above.place.row}",
                "the stem's points run down from its head: put the rows in order, or correct the height",
                code="stem-points-order",
            )
        elif not _runs_on(above, below, stern=stern):
            reader.trouble(
                below.place,
                f"this point does not lie {'forward' if stern else 'aft'} of the one of row {above.place.row} "
                "on the same height",
                code="stem-points-order",
            )


def _runs_on(above: StemPoint, below: StemPoint, *, stern: bool) -> bool:
    """Whether one point may follow another."""
    into = (above.x - below.x) if stern else (below.x - above.x)
    return below.z < above.z or (below.z == above.z and into > 0.0)


def _out_of_order(points: list[StemPoint], *, stern: bool) -> int | None:
    """The one point whose height alone is at fault: without it the rest is in order, as without no other."""

    def in_order(row: list[StemPoint]) -> bool:
        return all(_runs_on(a, b, stern=stern) for a, b in pairwise(row))

    if len(points) < 4 or in_order(points):
        return None
    alone = [i for i in range(len(points)) if in_order(points[:i] + points[i + 1 :])]
    return alone[0] if len(alone) == 1 and _rises(points, alone[0]) else None


def _rises(points: list[StemPoint], i: int) -> bool:
    """Whether the row rises just before or just after a point."""
    return any(b.z > a.z for a, b in pairwise(points[max(i - 1, 0) : i + 2]))
