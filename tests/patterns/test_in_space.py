"""The lines as points in the boat, read back from the table and compared with the hull by other ways."""

from __future__ import annotations

import csv
import io
from collections import defaultdict
from dataclasses import replace

import numpy as np
import pytest

from patterns.boat import Boat
from patterns.hull.planes import station_plane
from patterns.hull.sections import cut_hull
from patterns.shop.in_space import points_table
from tests.demo import demo_boat

Read = dict[tuple[str, str], np.ndarray]


def read(boat: Boat) -> Read:
    """The table by the standard library's reader: points (n, 3) by what and name, in their own order."""
    found: dict[tuple[str, str], list[list[float]]] = defaultdict(list)
    rows = list(csv.DictReader(io.StringIO(points_table(boat), newline="")))
    assert list(rows[0]) == ["what", "name", "point", "aft_mm", "outboard_mm", "up_mm"]
    for row in rows:
        own = found[row["what"], row["name"]]
        assert int(row["point"]) == len(own) + 1
        own.append([float(row[key]) for key in ("aft_mm", "outboard_mm", "up_mm")])
    return {key: np.array(points) for key, points in found.items()}


@pytest.fixture(scope="module")
def table() -> Read:
    return read(demo_boat())


def test_every_faired_offset_is_on_its_line(table: Read) -> None:
    """At the offset's distance aft a straight line between the table's points passes it within 0.5 mm."""
    compared = 0
    for row in demo_boat().lines.rows:
        points = table.get(("line", row.line))
        if points is None or row.view not in ("height", "half-breadth") or row.label in ("bow", "stern"):
            continue
        if not points[0, 0] < row.x < points[-1, 0]:
            continue
        column = 2 if row.view == "height" else 1
        assert np.interp(row.x, points[:, 0], points[:, column]) == pytest.approx(row.faired, abs=0.5)
        compared += 1
    assert compared > 40


def test_sections_end_on_the_lines_that_the_hull_has_there(table: Read) -> None:
    """The lines' places in the cut, which the members are made by, are on the table's section within 0.5 mm."""
    boat = demo_boat()
    compared = 0
    for name, x in zip(boat.offsets.stations, boat.offsets.station_x.tolist(), strict=True):
        section = table.get(("section", name))
        if section is None or name in (boat.offsets.stations[0], boat.offsets.stations[-1]):
            continue
        assert np.ptp(section[:, 0]) == 0.0
        plane = station_plane(x)
        for mark in cut_hull(boat.hull, plane).marks.values():
            at = plane.space(mark[None])[0]
            assert float(np.linalg.norm(section - at, axis=1).min()) < 0.5
            compared += 1
    assert compared > 10


def test_a_name_that_a_spreadsheet_would_run_stays_a_word() -> None:
    boat = demo_boat()
    lines = dict(boat.hull.lines)
    first = next(iter(lines))
    named = replace(boat, hull=replace(boat.hull, lines={"=1+1": lines.pop(first), **lines}))
    assert "line,'=1+1,1," in points_table(named)
