"""Stations listed from aft forward, and positions measured from the stern: the same boat comes out."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import numpy as np
import pytest

from patterns.boat import load_boat
from patterns.design.hydrostatics_models import HydrostaticsSpec
from patterns.design.timber_models import StripSpec
from patterns.errors import DesignError
from patterns.measure import Notation
from patterns.shop.tables import as_faired, as_faired_stem
from tests.patterns import plane_boat

LENGTH = 4000.0  # mm from the origin of the plain table to the perpendicular at the stern
KEY = 'breadths = "half"\n'


def turn(folder: Path, *, order: bool, forward: bool, declare: bool = True) -> Path:
    """Write a design's table from aft forward, and its distances forward from the stern."""
    rows = [line.split(",") for line in (folder / "offsets.csv").read_text(encoding="utf-8").splitlines()]
    out = []
    for row in rows:
        cells = row[2:]
        if row[0] == "position" and forward:
            cells = [f"{LENGTH - float(cell):.9f}" if cell else "" for cell in cells]
        out.append([*row[:2], *(cells[::-1] if order else cells)])
    (folder / "offsets.csv").write_text("\n".join(map(",".join, out)) + "\n", encoding="utf-8")
    text = (folder / "design.toml").read_text(encoding="utf-8")
    if declare:
        text = text.replace(KEY, KEY + ('stations = "from aft forward"\n' if order else ""))
        text = text.replace(KEY, KEY + ('positions = "forward from stern"\n' if forward else ""))
    if forward:
        text = text.replace('foot = "440 mm"', f'foot = "{LENGTH - 440.0} mm"')
        text = text.replace('at = "2500 mm"', f'at = "{LENGTH - 2500.0} mm"')
        stem = list(csv.reader(io.StringIO((folder / "stem.csv").read_text(encoding="utf-8"))))
        points = [
            ["forward" if row[0] == "aft" else row[0], row[1], f"{LENGTH - float(row[2]):.9f}", *row[3:]]
            for row in stem[1:]
        ]
        (folder / "stem.csv").write_text(
            "\n".join(map(",".join, [["measured", "height", "forward", "knuckle"], *points])) + "\n",
            encoding="utf-8",
        )
    (folder / "design.toml").write_text(text, encoding="utf-8")
    return folder


def write_own(folder: Path, *, order: bool = False, forward: bool = False, declare: bool = True) -> Path:
    return turn(plane_boat.write_plane_boat(folder), order=order, forward=forward, declare=declare)


@pytest.mark.slow
@pytest.mark.parametrize(("order", "forward"), [(True, False), (False, True), (True, True)])
def test_the_same_boat_comes_out_however_its_stations_are_listed_and_measured(
    tmp_path: Path, order: bool, forward: bool
) -> None:
    plain = load_boat(plane_boat.write_plane_boat(tmp_path / "plain"))
    boat = load_boat(write_own(tmp_path / "turned", order=order, forward=forward))
    # Distances aft are counted from the greatest position: the sheer's end at the bow.
    moved = -plane_boat.SHEER_X if forward else 0.0
    assert boat.offsets.stations == plain.offsets.stations
    pairs = zip(
        (plain.lines.profile, *plain.lines.lines), (boat.lines.profile, *boat.lines.lines), strict=True
    )
    for one, other in pairs:
        t = np.linspace(0.0, 1.0, 30)
        want = one.at(one.start + t * (one.end - one.start)) + np.array([moved, 0.0, 0.0])
        assert other.at(other.start + t * (other.end - other.start)) == pytest.approx(want, abs=1e-6)
    for frame, same in zip(plain.design.frames, boat.design.frames, strict=True):
        assert boat.distance(same.at) == pytest.approx(plain.distance(frame.at) + moved, abs=1e-5)
    assert boat.design.bow.foot == pytest.approx(plain.design.bow.foot + moved, abs=1e-9)


@pytest.mark.slow
def test_the_cells_keep_their_places(tmp_path: Path) -> None:
    boat = load_boat(write_own(tmp_path / "boat", order=True, forward=True))
    chine = boat.offsets.lines["chine"]
    rows = (tmp_path / "boat" / "offsets.csv").read_text(encoding="utf-8").splitlines()
    seen = 0
    for places in (chine.x_places, chine.y_places, chine.z_places):
        for label, place in zip(chine.labels, places, strict=True):
            assert place is not None
            row = rows[place.row - 1].split(",")
            assert rows[0].split(",")[place.column] == label
            assert row[place.column] == place.typed
            assert (row[0], row[1]) in {
                ("position", ""),
                *((b, "chine") for b in ("position", "height", "half-breadth")),
            }
            seen += bool(place.typed)
    assert seen == 3 * len(chine.labels)


@pytest.mark.slow
def test_a_timbers_ends_and_the_plans_centre_of_buoyancy_are_measured_like_the_table(tmp_path: Path) -> None:
    folder = write_own(tmp_path / "boat", forward=True)
    text = (folder / "design.toml").read_text(encoding="utf-8")
    text += (
        '[[timber]]\nkind = "stringer"\nfollows = "chine"\nagainst = "side"\noff = "20 mm"\nalong = "30 mm"\n'
    )
    text += f'distance = "120 mm"\nfrom = "station 1"\nto = "{LENGTH - 3300.0} mm"\n'
    text += f'[hydrostatics]\ndesigned_waterline = "200 mm"\ncentre_of_buoyancy = "{LENGTH - 2400.0} mm"\n'
    (folder / "design.toml").write_text(text, encoding="utf-8")
    boat = load_boat(folder)
    (stringer,) = boat.design.all(StripSpec)
    (water,) = boat.design.all(HydrostaticsSpec)
    assert stringer.start == "station 1"
    assert stringer.to is not None
    assert boat.distance(stringer.to) == pytest.approx(3300.0 - plane_boat.SHEER_X, abs=1e-5)
    assert water.centre_of_buoyancy == pytest.approx(2400.0 - plane_boat.SHEER_X, abs=1e-6)


@pytest.mark.slow
@pytest.mark.parametrize(("order", "forward"), [(True, False), (False, True), (True, True)])
def test_the_table_as_faired_is_read_again_as_the_same_boat(
    tmp_path: Path, order: bool, forward: bool
) -> None:
    folder = write_own(tmp_path / "boat", order=order, forward=forward)
    boat = load_boat(folder)
    (folder / "offsets.csv").write_text(as_faired(boat, Notation.MM), encoding="utf-8")
    (folder / "stem.csv").write_text(as_faired_stem(boat, Notation.MM), encoding="utf-8")
    text = (folder / "design.toml").read_text(encoding="utf-8").replace('allow = "0"', 'allow = "1 mm"')
    (folder / "design.toml").write_text(text, encoding="utf-8")
    again = load_boat(folder)
    for one, other in zip(boat.lines.lines, again.lines.lines, strict=True):
        t = np.linspace(0.0, 1.0, 9)
        want = one.at(one.start + t * (one.end - one.start))
        assert other.at(other.start + t * (other.end - other.start)) == pytest.approx(want, abs=0.5)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("order", "forward", "keys"),
    [
        (True, False, ["stations"]),
        (True, True, ["stations"]),
        (False, True, ["positions", "stations"]),
    ],
)
def test_what_is_not_declared_is_refused_once_and_the_key_is_named(
    tmp_path: Path, order: bool, forward: bool, keys: list[str]
) -> None:
    folder = plane_boat.write_plane_boat(tmp_path / "boat")
    turn(folder, order=order, forward=forward, declare=False)
    if forward:  # the stem's own file is not the question here
        stem = (folder / "stem.csv").read_text(encoding="utf-8").replace("forward", "aft")
        (folder / "stem.csv").write_text(stem, encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        load_boat(folder)
    (found,) = (problem for problem in caught.value.problems if problem.code == "stations-order")
    assert all(f"{key} = " in found.want for key in keys)
    others = [problem for problem in caught.value.problems if problem is not found]
    assert all(problem.place.startswith("stem.csv") for problem in others)


@pytest.mark.slow
def test_positions_that_rise_forward_from_bow_are_refused(tmp_path: Path) -> None:
    """Declared as measured from the stern, and measured from the bow."""
    folder = write_own(tmp_path / "boat")
    text = (folder / "design.toml").read_text(encoding="utf-8")
    (folder / "design.toml").write_text(
        text.replace(KEY, KEY + 'positions = "forward from stern"\n'), encoding="utf-8"
    )
    stem = (folder / "stem.csv").read_text(encoding="utf-8").replace("aft", "forward")
    (folder / "stem.csv").write_text(stem, encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        load_boat(folder)
    assert "stations-order" in [problem.code for problem in caught.value.problems]


@pytest.mark.slow
def test_two_stations_exchanged_are_told_at_the_cell(tmp_path: Path) -> None:
    folder = write_own(tmp_path / "boat", forward=True)
    table = (folder / "offsets.csv").read_text(encoding="utf-8")
    table = (
        table.replace("2200.000000000", "x").replace("1600.000000000", "2200.000000000").replace("x", "1600")
    )
    (folder / "offsets.csv").write_text(table, encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        load_boat(folder)
    (problem,) = [problem for problem in caught.value.problems if problem.code == "stations-order"]
    assert problem.place == "offsets.csv, row 2, column G (station 4)"


@pytest.mark.parametrize("forward", [False, True])
def test_a_stem_s_heading_of_the_other_way_is_one_problem_at_the_heading(
    tmp_path: Path, forward: bool
) -> None:
    """As the starter's stem.csv has it, whose distances are measured aft."""
    folder = write_own(tmp_path / "boat", forward=forward)
    stem = folder / "stem.csv"
    way, other = ("forward", "aft") if forward else ("aft", "forward")
    stem.write_text(stem.read_text(encoding="utf-8").replace(way, other), encoding="utf-8")
    with pytest.raises(DesignError) as refused:
        load_boat(folder)
    (problem,) = refused.value.problems
    assert problem.code == "stem-other-way"
    assert problem.place.startswith("stem.csv, row 1, column ")
