"""Where a timber's edge does not lie on its other surface, and chines that are no corner."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import numpy as np
import pytest

from patterns.boat import load_boat
from patterns.shop.timber_tables import timber_table
from patterns.timbers.faying import FAYS, unfayed_of
from patterns.timbers.flat_chines import flat_chine_doubts
from patterns.timbers.laying import strake_skin
from patterns.timbers.measured import measured
from tests.demo import demo_boat
from tests.patterns.odd_boats import ODD_BOATS, OddBoat, Sizes, write_odd
from tests.patterns.plane_boat import write_plane_boat


def test_between_planes_a_chine_log_and_a_clamp_fay_all_along(tmp_path: Path) -> None:
    boat = load_boat(write_plane_boat(tmp_path / "boat"))
    runs = [run for run in boat.runs if run.edge_over is not None]
    assert {run.name for run in runs} == {"chine log", "clamp"}
    for run in runs:
        assert run.edge_over is not None
        assert np.abs(run.edge_over).max() < 1e-3
        assert measured(run).unfayed is None


def test_a_stretch_is_from_the_first_place_that_does_not_fay_to_the_last() -> None:
    """By hand: short of the surface nothing is planed; beyond it the most is reported."""
    away = np.array([0.0, 10.0, 20.0, 30.0, 40.0])
    over = np.zeros((5, 2))
    assert unfayed_of(over + 0.9 * FAYS, away) is None
    over[1, 1], over[3, 0] = -8.0, 2.0
    found = unfayed_of(over, away)
    assert found is not None
    assert (found.start, found.end, found.planed) == (10.0, 30.0, 2.0)
    over[3, 0] = 0.0
    found = unfayed_of(over, away)
    assert found is not None
    assert (found.start, found.end, found.planed) == (10.0, 10.0, 0.0)


def test_on_the_demo_the_stretch_lies_where_side_and_bottom_come_into_one_plane() -> None:
    """What is planed off is at most the step between the insides of the two planks, of 9 mm and of 6 mm."""
    boat = demo_boat()
    run = next(run for run in boat.runs if run.name == "chine log")
    sizes = measured(run)
    stretch = sizes.unfayed
    assert stretch is not None
    skins = {strake.name: strake_skin(strake) for strake in boat.hull.strakes}
    corner = sizes.rails[:, 0]
    normals = [skins[name].feet(corner).normals for name in ("side", "bottom")]
    sine = np.linalg.norm(np.cross(normals[0], normals[1]), axis=1)
    away = np.array([*np.cumsum(np.linalg.norm(np.diff(corner, axis=0), axis=1))])
    assert sine[1:][away < stretch.start - 100.0].min() > np.sin(np.radians(16.0))
    assert sine[1:][away > stretch.start + 100.0].max() < np.sin(np.radians(20.0))
    assert FAYS < stretch.planed < 3.05
    rows = {
        row["what"]: row
        for row in csv.DictReader(io.StringIO(timber_table(boat)))
        if row["timber"] == "chine log"
    }
    assert float(rows["edge does not fay, from"]["from_after_end_mm"]) == pytest.approx(
        stretch.start, abs=0.5
    )
    assert float(rows["edge does not fay, to"]["mm"]) == pytest.approx(stretch.planed, abs=0.05)


@pytest.mark.slow
def test_a_chine_that_is_no_corner_is_doubted(tmp_path: Path) -> None:
    """Between eighteen chines of a bilge that is all but round there are corners of 2 to 3 degrees."""
    folder = write_odd(
        tmp_path / "boat",
        OddBoat(stretch=(1.1, 1.1, 1.1), chines=18, sizes=Sizes(moulded=120.0, log=(8.0, 14.0))),
    )
    found = [problem for problem in load_boat(folder).warnings if problem.code == "flat-chine"]
    assert len(found) > 8
    assert 'timber "log chine 3"' in " ".join(problem.place for problem in found)
    assert not any('"log chine 1"' in problem.place for problem in found)  # the real chine


@pytest.mark.slow
@pytest.mark.parametrize("name", ["double depth", "eight chines", "very wide scow"])
def test_chines_that_are_corners_are_not_doubted(name: str, tmp_path: Path) -> None:
    boat = load_boat(write_odd(tmp_path / "boat", ODD_BOATS[name]))
    assert not list(flat_chine_doubts(boat.design, boat.hull))
