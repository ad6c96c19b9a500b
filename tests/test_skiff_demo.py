"""The demo of a flat-bottomed skiff: quiet and whole; the rough lengths of its planks across, against its chine."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from patterns.assembly.proof import assembled
from patterns.boat import Boat, load_boat
from patterns.errors import DesignError
from patterns.joinery.cross_planks import cross_planks
from patterns.members import all_patterns
from patterns.shop.book_planking import bottom_table
from tests.demo import DEMO
from tests.patterns.folders import DESIGN, changed, codes_of, write_folder

WIDTH, TRIM = 100.0, 15.0


@pytest.fixture(scope="module")
def boat() -> Boat:
    return load_boat(DEMO / "skiff")


@pytest.mark.slow
def test_it_is_made_whole_without_a_doubt(boat: Boat) -> None:
    assert not boat.warnings
    assert not boat.lines.suspects
    patterns = all_patterns(boat)
    assert {"frame 2 bottom", "transom panel", "breasthook"} <= {pattern.name for pattern in patterns}
    found = assembled(boat, patterns, step=10.0)
    assert len(found.contacts) > 10
    assert not found.faults


@pytest.mark.slow
def test_planks_across_cover_the_bottom_and_reach_past_its_sides(boat: Boat) -> None:
    """The table's own figures: the half-breadths at its stations, and the bottom's length along its rocker."""
    planks = cross_planks(boat)
    line = boat.hull.lines["chine"]
    points = line.at(np.linspace(line.start, line.end, 20001))
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points[:, [0, 2]], axis=0).T))])
    assert [plank.number for plank in planks] == list(range(1, int(np.ceil(run[-1] / WIDTH)) + 1))
    assert all(one.ends == two.starts == one.starts + WIDTH for one, two in pairwise(planks))
    assert planks[-1].ends == pytest.approx(run[-1], abs=0.01)
    for plank in planks:
        under = points[(run >= plank.starts) & (run <= plank.ends)]
        least = 2.0 * (float(under[:, 1].max()) + TRIM)
        assert least - 0.01 <= plank.rough < least + 5.01
        assert plank.rough % 5.0 == 0.0
        assert plank.aft == pytest.approx(np.interp(plank.starts, run, points[:, 0]), abs=0.05)
    stations = dict(zip(boat.offsets.stations, boat.offsets.station_x, strict=True))
    for name, half in (("2", 265.0), ("4", 432.0), ("6", 363.0)):
        over = next(plank for plank in planks[::-1] if plank.aft <= stations[name])
        assert 2.0 * (half + TRIM) - 3.0 < over.rough < 2.0 * (half + TRIM) + 45.0


@pytest.mark.slow
def test_the_table_has_a_row_for_each_plank(boat: Boat) -> None:
    rows = [row.split(",") for row in bottom_table(boat).split("\r\n") if row]
    assert rows[0][0] == "plank"
    assert [int(row[4]) for row in rows[1:]] == [round(plank.rough) for plank in cross_planks(boat)]


def test_planks_across_want_a_flat_bottom(tmp_path: Path) -> None:
    text = '[cross_planks]\nwidth = "100 mm"\ntrim = "15 mm"\nstock = "larch"\n\n[marks]'
    with pytest.raises(DesignError) as refused:
        load_boat(write_folder(tmp_path, design=changed(DESIGN, "[marks]", text)))
    assert codes_of(refused.value) == ["cross-planks-not-flat"]
