"""What table and design must agree on: each disagreement told with its place and both values."""
# ruff: noqa: E501 - one disagreement a line

from __future__ import annotations

import math
import re
import shutil
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.errors import DesignError, Problem
from patterns.measure import Notation, exact_length, format_length
from patterns.table.folder import read_folder
from patterns.table.rabbet_points import RabbetPoints, rabbet_points
from patterns.table.values import LineOffsets, Place, StemPoints
from tests.patterns.folders import (
    DESIGN,
    STEM,
    TABLE,
    changed,
    codes_of,
    places_of,
    problems_in,
    says,
    write_folder,
)


def warnings_in(folder: Path) -> tuple[Problem, ...]:
    return read_folder(folder)[2]


def test_the_whole_design_has_no_problem_and_no_warning(tmp_path: Path) -> None:
    assert warnings_in(write_folder(tmp_path)) == ()


FAULTS = [
    # missing cells
    (TABLE, "2-4-4,2-2-0+", "2-4-4,", "offsets.csv, row 8, column F (station 3)", "missing-cell", ['"sheer"']),
    (TABLE, "1-5-5+,1-11-6+", "1-5-5+,", "offsets.csv, row 11, column F (station 3)", "missing-cell", ['"sheer"']),
    (TABLE, "position,sheer,0-1-5+", "position,sheer,", "offsets.csv, row 5, column C (bow)", "missing-cell", ['"sheer"']),
    (TABLE, ",13-1-0+", ",", "offsets.csv, row 3, column J (stern)", "missing-cell", ['"keel"']),
    (TABLE, "0-3-6+,0-5-0+", "0-3-6+,", "offsets.csv, row 6, column J (stern)", "missing-cell", ['"keel"']),
    (TABLE, "half-breadth,chine", "# half-breadth,chine", "offsets.csv", "missing-row", ['"chine"', '"half-breadth"']),
    # order
    (TABLE, "position,sheer,0-1-5+", "position,sheer,1-1-5+", "offsets.csv, row 8, column D (station 1)", "height-beyond-end", ["forward", "(1-1-5+)"]),
    (TABLE, ",13-5-4+", ",10-5-4+", "offsets.csv, row 8, column I (station 6)", "height-beyond-end", ["aft", "(10-5-4+)"]),
    (TABLE, "1-1-1+,1-0-2+", "1-1-1+,0-2-2+", "offsets.csv, row 7, column G (station 4)", "height-below-line", ['"chine" (0-2-2+)', '"keel" (0-3-0)']),
    (TABLE, "1-5-4,1-9-0", "0-0-6,1-9-0", "offsets.csv, row 10, column F (station 3)", "line-within-keel", ['"chine"', "(0-0-6)"]),
    (TABLE, "1-8-3,1-3-4", "1-8-3,0-0-4", "offsets.csv, row 10, column J (stern)", "line-within-keel", ['"chine"', "0-0-4"]),
    # ends
    (TABLE, "position,chine,0-6-6", "position,chine,0-8-6", "offsets.csv, row 4, column C (bow)", "end-off-stem", ['"chine"', "0-8-6"]),
    (TABLE, "height,chine,1-5-6+", "height,chine,1-9-6+", "offsets.csv, row 7, column C (bow)", "end-height-off", ['"chine"', "1-9-6+"]),
    (TABLE, ",13-3-0+", ",13-4-0+", "offsets.csv, row 4, column J (stern)", "end-off-transom", ['"chine"', "13-3-0"]),
    (TABLE, ",13-5-4+", ",13-8-4+", "offsets.csv, row 5, column J (stern)", "end-off-transom", ['"sheer"', "13-8-4+"]),
    (DESIGN, 'rake = "12 deg"', 'rake = "9 deg"', 'design.toml, end "stern", key rake', "transom-rake-differs", ["9.0 deg", "12.0 deg"]),
    (DESIGN, 'rake = "12 deg"', 'rake = "-12 deg"', 'design.toml, end "stern", key rake', "transom-rake-differs", ['"keel" 13-1-0+', '"sheer" 13-5-4+']),
    # the design's places
    (DESIGN, 'at = "station 3"', 'at = "station 7"', 'design.toml, frame "3", key at', "unknown-name", ["station 7", "1, 2, 3"]),
    (DESIGN, 'at = "8-6-0"', 'at = "18-6-0"', 'design.toml, frame "seat", key at', "off-boat", ["18-6-0", "0-1-5+", "13-5-4+"]),
    (DESIGN, 'name = "sheer"\n', 'name = "sheer"\nknuckles = ["station 9"]\n', 'design.toml, line "sheer", key knuckles', "unknown-name", ["station 9"]),
    (DESIGN, 'name = "keel"\n[', 'name = "keel"\nknuckles = ["station 1"]\n[', 'design.toml, line "keel", key knuckles', "knuckle-off-line", ["station 1"]),
    (DESIGN, 'foot = "3-6-0"', 'foot = "14-6-0"', 'design.toml, end "bow", key foot', "foot-off-profile", ["14-6-0"]),
]  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize(
    ("text", "old", "new", "place", "code", "values"),
    FAULTS,
    ids=[f"{place}: {new}" for _, _, new, place, _, _ in FAULTS],
)
def test_a_disagreement_is_reported_with_its_place(
    tmp_path: Path, text: str, old: str, new: str, place: str, code: str, values: list[str]
) -> None:
    spoiled = changed(text, old, new)
    folder = write_folder(tmp_path, **{"design" if text is DESIGN else "table": spoiled})
    found = [problem for problem in problems_in(folder) if (problem.place, problem.code) == (place, code)]
    assert any(says(problem, *values) for problem in found), found


def test_a_line_without_a_row_of_ends_is_told_for_both(tmp_path: Path) -> None:
    table = changed(TABLE, "position,chine,0-6-6,,,,,,,13-3-0+\n", "")
    found = problems_in(write_folder(tmp_path, table=table))
    assert places_of(found) == [
        ("offsets.csv, row 2, column C (bow)", "missing-cell"),
        ("offsets.csv, row 2, column J (stern)", "missing-cell"),
    ]


def test_a_line_of_another_name_is_asked_about(tmp_path: Path) -> None:
    design = DESIGN.replace('"chine"', '"chime"')
    [problem] = problems_in(write_folder(tmp_path, design=design))
    assert places_of([problem]) == [('design.toml, line "chime"', "missing-row")]
    assert '"chine"' in problem.want


def test_a_gap_is_told_in_both_rows(tmp_path: Path) -> None:
    table = changed(TABLE, "1-1-1+,1-0-2+", "1-1-1+,-")
    table = changed(table, "1-5-4,1-9-0", "1-5-4,")
    found = problems_in(write_folder(tmp_path, table=table))
    assert places_of(found) == [
        ("offsets.csv, row 7, column G (station 4)", "missing-cell"),
        ("offsets.csv, row 10, column G (station 4)", "missing-cell"),
    ]


def test_a_station_abaft_the_lines_bow_end_is_a_gap_even_if_it_is_the_first(tmp_path: Path) -> None:
    table = changed(TABLE, "1-5-6+,1-5-1+", "1-5-6+,")
    table = changed(table, "0-0-6,0-2-6+", "0-0-6,")
    found = problems_in(write_folder(tmp_path, table=table))
    assert len(found) == 2
    assert all("column D (station 1)" in problem.place for problem in found)


def test_a_cell_that_cannot_be_read_is_not_told_as_missing_too(tmp_path: Path) -> None:
    table = changed(TABLE, "1-1-1+,1-0-2+", "1-1-1+,1-0-9")
    [problem] = problems_in(write_folder(tmp_path, table=table))
    assert problem.code == "length-unreadable"


def three_points(text: str) -> str:
    """The table with the chine at bow, station 4 and stern only."""
    table = changed(text, "1-5-6+,1-5-1+,1-2-6+,1-1-1+,1-0-2+,1-0-1+,1-0-6+,", "1-5-6+,,,,1-0-2+,,,")
    return changed(table, "0-0-6,0-2-6+,0-11-3+,1-5-4,1-9-0,1-10-0,1-8-3,", "0-0-6,,,,1-9-0,,,")


def test_fewer_than_four_points_need_a_straight_line(tmp_path: Path) -> None:
    found = problems_in(write_folder(tmp_path, table=three_points(TABLE)))
    assert places_of(found)[-1] == ("offsets.csv, row 7", "missing-cells")
    assert says(found[-1], '"chine"', "3", "4", "straight = true")
    design = changed(DESIGN, 'name = "chine"\n', 'name = "chine"\nstraight = true\n')
    assert warnings_in(write_folder(tmp_path, design=design, table=three_points(TABLE))) == ()


def test_a_line_may_begin_abaft_a_station(tmp_path: Path) -> None:
    """The chine leaves the stem between stations 1 and 2, where the rabbet is 0-10-0 up."""
    table = changed(TABLE, "position,chine,0-6-6", "position,chine,1-2-4")
    table = changed(table, "height,chine,1-5-6+,1-5-1+", "height,chine,0-10-0,")
    table = changed(table, "half-breadth,chine,0-0-6,0-2-6+", "half-breadth,chine,0-0-6,")
    assert warnings_in(write_folder(tmp_path, table=table)) == ()


def test_heights_down_from_the_set_up_line_are_told_as_the_table_has_them(tmp_path: Path) -> None:
    """Heights taken down from a line 3 ft above base, so that 1-0-2+ up is 1-11-5+ down."""
    eighths = Notation.FEET_INCHES_EIGHTHS

    def turned(cell: str) -> str:
        return cell and format_length(
            float(Fraction("914.4") - exact_length(cell, notation=eighths)), eighths
        )

    table = [line.split(",") for line in TABLE.splitlines()]
    for row in table:
        if row[0] == "height":
            row[2:] = [turned(cell) for cell in row[2:]]
    stem = [line.split(",") for line in STEM.splitlines()]
    for row in stem[1:]:
        row[1] = turned(row[1])
    design = changed(DESIGN, '"up from base"', '"down from set-up line"')
    joined = "\n".join(",".join(row) for row in table)
    files = {"design": design, "stem": "\n".join(",".join(row) for row in stem)}
    assert warnings_in(write_folder(tmp_path, table=joined, **files)) == ()
    found = problems_in(write_folder(tmp_path, table=changed(joined, "1-11-5+", "2-9-5+"), **files))
    assert codes_of(found) == ["height-below-line"]
    assert says(found[0], '"chine" (2-9-5+)', '"keel" (2-9-0)')


def test_two_rows_of_heights_that_are_exchanged_are_told_once(tmp_path: Path) -> None:
    """Neither station by station, nor the ends that come off stem and transom by it."""
    table = changed(TABLE, "height,chine", "height,other")
    table = changed(changed(table, "height,sheer", "height,chine"), "height,other", "height,sheer")
    [problem] = problems_in(write_folder(tmp_path, table=table))
    assert places_of([problem]) == [("offsets.csv, row 7", "heights-exchanged")]
    assert says(problem, '"sheer"', '"chine" (row 8)')


def test_lines_whose_names_are_exchanged_throughout_are_told_as_that(tmp_path: Path) -> None:
    """The heights alone are not at fault then: put right, they would leave the ends off stem and transom."""
    table = TABLE.replace(",chine,", ",other,").replace(",sheer,", ",chine,").replace(",other,", ",sheer,")
    found = problems_in(write_folder(tmp_path, table=table))
    assert "heights-exchanged" not in codes_of(found)
    (problem,) = (problem for problem in found if problem.code == "lines-order")
    assert problem.place == "offsets.csv, row 7"
    assert says(problem, '"sheer"', '"chine" (row 8)')


def test_a_table_may_give_the_rake(tmp_path: Path) -> None:
    design = changed(DESIGN, '"12 deg"', '"from the table"')
    assert warnings_in(write_folder(tmp_path, design=design)) == ()
    table = changed(TABLE, ",13-3-0+", ",13-5-0+")
    [problem] = problems_in(write_folder(tmp_path, design=design, table=table))
    assert places_of([problem]) == [("offsets.csv", "ends-not-on-transom")]
    assert says(problem, '"keel" 13-1-0+', '"chine" 13-5-0+', '"sheer" 13-5-4+')


def test_rows_that_no_line_uses_are_warned_of(tmp_path: Path) -> None:
    table = TABLE + "height,keel's underside,,,0-2-0,0-2-0,0-2-0,0-2-0,0-2-0,0-2-0\n"
    [warning] = warnings_in(write_folder(tmp_path, table=table))
    assert places_of([warning]) == [("offsets.csv, row 12", "unused-rows")]
    assert says(warning, '"keel\'s underside"')


def test_a_half_breadth_at_the_stem_other_than_half_its_siding_is_warned_of(tmp_path: Path) -> None:
    table = changed(TABLE, "half-breadth,sheer,0-0-6", "half-breadth,sheer,0-1-0")
    [warning] = warnings_in(write_folder(tmp_path, table=table))
    assert places_of([warning]) == [("offsets.csv, row 11, column C (bow)", "stem-siding")]
    assert says(warning, '"sheer"', "0-1-0", "0-1-4", "0-0-6")


JUNK = [
    '"',
    ",",
    ";",
    "\n",
    "-",
    "9",
    "=",
    "[",
    "]",
    "nan",
    "é",
    "\t",
    "#",
    "0-0-0",
    "999-11-7",
    "[[frame]]\n",
    "9" * 400,
]


@pytest.mark.slow
@given(
    which=st.sampled_from(["design", "table", "stem"]),
    where=st.floats(0.0, 1.0),
    length=st.integers(0, 30),
    junk=st.sampled_from(["", *JUNK]),
)
def test_damage_of_any_kind_is_told_or_does_no_harm(which: str, where: float, length: int, junk: str) -> None:
    """Never another error than the design's own, and never one without a place."""
    files = {"design": DESIGN, "table": TABLE, "stem": STEM}
    text = files[which]
    at = int(where * len(text))
    files[which] = text[:at] + junk + text[at + length :]
    with TemporaryDirectory() as folder:
        write_folder(Path(folder), **files)
        try:
            read_folder(Path(folder))
            return
        except DesignError as error:
            problems = error.problems
    assert problems
    assert all(re.match(r".+\.(toml|csv)\b", problem.place) for problem in problems)


def place(row: int) -> Place:
    return Place(file="stem.csv", row=row, column=1)


@pytest.mark.slow
@given(
    radius=st.floats(300.0, 3000.0),
    count=st.integers(5, 12),
    where=st.floats(0.0, 1.0),
    off=st.floats(-40.0, 40.0),
)
def test_the_distance_to_a_round_stem_is_that_of_its_circle(
    radius: float, count: int, where: float, off: float
) -> None:
    """Points on a quarter circle: a place at radius + off is |off| from it (closed form)."""
    angle = np.linspace(math.pi, 1.5 * math.pi, count)
    at = np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1)
    points = RabbetPoints(at=at, knuckle=(False,) * count, places=tuple(place(i) for i in range(count)))
    there = math.pi + 0.5 * math.pi * (0.02 + 0.96 * where)
    reach = points.reach((radius + off) * math.cos(there), (radius + off) * math.sin(there))
    # Each piece is an arc to 1e-6 of its radius, looked at in 24 chords (their sagitta: r a^2 / 8).
    chord = 0.5 * math.pi / (count - 1) / 24
    assert reach.distance == pytest.approx(abs(off), abs=radius * (1e-6 + chord**2 / 8))


def test_the_keels_heights_take_their_place_among_the_stems_points() -> None:
    stem = StemPoints(
        file="stem.csv",
        x=np.array([0.0, 100.0, 400.0, 900.0]),
        z=np.array([900.0, 500.0, 200.0, 100.0]),
        measured=("aft",) * 4,
        knuckle=(False,) * 4,
        places=tuple(place(i) for i in range(4)),
    )
    cells = tuple(Place(file="offsets.csv", row=6, column=i) for i in range(5))
    keel = LineOffsets(
        name="keel",
        labels=("bow", "1", "2", "3", "stern"),
        x=np.array([np.nan, 50.0, 600.0, 900.0, 1500.0]),
        y=np.full(5, 20.0),
        z=np.array([np.nan, 700.0, 150.0, 100.0, 80.0]),
        x_places=cells,
        y_places=cells,
        z_places=cells,
    )
    points = rabbet_points(stem, keel, ("3",))
    assert points is not None
    np.testing.assert_array_equal(points.at[:, 0], [0.0, 50.0, 100.0, 400.0, 600.0, 900.0, 1500.0])
    assert points.knuckle == (False, False, False, False, False, True, False)
    assert points.places[1].file == "offsets.csv"


def test_a_station_whose_place_cannot_be_read_is_told_as_that_alone(tmp_path: Path) -> None:
    """The chine begins abaft station 1: its cells there are empty on purpose, and are not asked for."""
    folder = shutil.copytree(Path(__file__).parents[2] / "demo_design", tmp_path / "boat")
    table = folder / "offsets.csv"
    text = table.read_text(encoding="utf-8")
    table.write_text(changed(text, "position,,,0-9-0,", "position,,,3-Jan,"), encoding="utf-8")
    [problem] = problems_in(folder)
    assert problem.code == "cell-is-date"
    assert says(problem, '"3-Jan"')


def test_a_column_that_was_lost_is_told_at_the_table(tmp_path: Path) -> None:
    """Stations 1, 2 and 4 with none between: the design's frame at station 3 is not at fault."""
    rows = [line.split(",") for line in TABLE.splitlines()]
    column = next(row for row in rows if "bow" in row).index("3")
    table = "\n".join(",".join(cell for i, cell in enumerate(row) if i != column) for row in rows)
    found = problems_in(write_folder(tmp_path, table=table))
    assert "unknown-name" not in codes_of(found)
    (problem,) = (problem for problem in found if problem.code == "station-column-missing")
    assert problem.place == "offsets.csv, the row of headings"
    assert says(problem, "2", "3", "4", 'frame "3", key at')
