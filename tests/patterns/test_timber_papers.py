"""The templates of timbers: their sections, and the papers wrapped round their ends, on the boat of planes."""

from __future__ import annotations

import csv
import io

import numpy as np
import pytest
import shapely

from patterns.boat import Boat, load_boat
from patterns.hull.planes import FloatArray
from patterns.members import timber
from patterns.pattern import Kind, Pattern
from patterns.shop.timber_tables import timber_table
from tests.patterns.plane_boat import BOTTOM_NORMAL, SIDE_NORMAL, write_plane_boat


@pytest.fixture(scope="module")
def boat(tmp_path_factory: pytest.TempPathFactory) -> Boat:
    return load_boat(write_plane_boat(tmp_path_factory.mktemp("papers") / "boat"))


@pytest.fixture(scope="module")
def patterns(boat: Boat) -> dict[str, Pattern]:
    return {pattern.name: pattern for _, make in timber.pieces(boat) for pattern in make()}


def _outlines(pattern: Pattern) -> tuple[FloatArray, FloatArray, FloatArray]:
    section, after, fore = (line.points for line in pattern.of_kind(Kind.SAW))
    return section, after, fore


def _word(pattern: Pattern, start: str) -> list[tuple[float, float]]:
    return [mark.at for mark in pattern.marks if mark.name.replace("\n", " ").startswith(start)]


@pytest.mark.slow
def test_a_section_has_the_area_of_the_bevelled_stick(patterns: dict[str, Pattern]) -> None:
    """45 x 20 mm, and the triangle that its edge on the bottom adds."""
    lean = np.arccos(SIDE_NORMAL @ BOTTOM_NORMAL) - 0.5 * np.pi
    section, _, _ = _outlines(patterns["chine log, ends"])
    assert shapely.Polygon(section).area == pytest.approx(
        45.0 * 20.0 - 0.5 * 20.0**2 * np.tan(lean), abs=0.01
    )


@pytest.mark.slow
def test_a_paper_is_as_wide_as_it_is_once_round(patterns: dict[str, Pattern]) -> None:
    for name in ("chine log, ends", "clamp, ends", "keel, ends"):
        section, after, _ = _outlines(patterns[name])
        round_ = shapely.Polygon(section).length
        assert np.ptp(after[:, 0]) == pytest.approx(round_, abs=0.01)
        assert after[2, 1] == pytest.approx(after[-1, 1], abs=1e-9)  # it closes on itself


@pytest.mark.slow
def test_the_cut_rises_and_falls_as_the_corners_reach_the_end(
    boat: Boat, patterns: dict[str, Pattern]
) -> None:
    """Along a straight timber the tips of its corners lie as far apart as their places along the run."""
    run = next(run for run in boat.runs if run.name == "chine log")
    along = np.cross(SIDE_NORMAL, BOTTOM_NORMAL)
    along = along / np.linalg.norm(along) * np.copysign(1.0, along[0])  # aft
    _, after, fore = _outlines(patterns["chine log, ends"])
    for paper, tips, out in ((after, run.corners[0], along), (fore, run.corners[-1], -along)):
        places, heights = np.sort(tips @ out), np.sort(paper[3:, 1])
        assert heights - heights[0] == pytest.approx(places - places[0], abs=0.01)


@pytest.mark.slow
def test_the_faces_follow_one_another_as_seen_from_outside(patterns: dict[str, Pattern]) -> None:
    """Looking at the starboard side with the after end up, the boat's top is to the right; else to the left."""
    log, clamp = patterns["chine log, ends"], patterns["clamp, ends"]
    for pattern, above in (
        (log, 1.0),
        (clamp, -1.0),
    ):  # the log's square edge is its upper one, the clamp's the lower
        _, after, fore = _outlines(pattern)
        for paper, way in ((after, 1.0), (fore, -1.0)):
            low, high = paper[:, 1].min(), paper[:, 1].max()
            (back,) = [x for x, y in _word(pattern, "back") if low <= y <= high]
            (edge,) = [x for x, y in _word(pattern, "square edge") if low <= y <= high]
            step = (edge - back) * way * above
            beside = 0.5 * (45.0 + 20.0)
            # The paper may begin between the two: then they are a whole round less apart.
            assert step == pytest.approx(beside, abs=0.01) or step == pytest.approx(
                beside - np.ptp(paper[:, 0]), abs=0.01
            )


@pytest.mark.slow
def test_the_table_tells_every_timber(boat: Boat) -> None:
    rows = list(csv.DictReader(io.StringIO(timber_table(boat))))
    assert {row["timber"] for row in rows} == {"keel", "chine log", "clamp"}
    lengths = {row["timber"]: float(row["mm"]) for row in rows if row["what"] == "true length"}
    for run in boat.runs:
        assert lengths[run.name] == pytest.approx(run.length, abs=0.06)
    assert all("nan" not in row.values() for row in rows)
    marks = {row["what"] for row in rows if row["timber"] == "clamp"}
    assert {"frame A", "frame B", "station 3", "tightest bend flat, radius", "twist in all"} <= marks
