"""Floor timbers across the keel: their outlines by closed forms, alone and against a face, and what they refuse."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import Point

from patterns.errors import DesignError, PatternsError
from patterns.pattern import Kind, Pattern
from patterns.repair.repair import load_repair
from patterns.repair.subject import RepairSubject
from tests.patterns.folders import codes_of
from tests.patterns.repair_boats import by_half_breadth, rows, section, write_repair
from tests.patterns.test_repair_pieces import _area, _piece, _straight

THROAT, MOULDED = 80.0, 40.0


def _floor(folder: Path, points: str, *, spec: str = 'moulded = "40 mm"', **keys: str) -> Pattern:
    given = {"kind": "floor", "name": "floor", "throat": "80 mm", "to_point": "3", **keys}
    repair = load_repair(write_repair(folder, points, _piece(**given), spec=spec))
    return next(one for one in RepairSubject(repair).patterns(only=["floor"]) if one.name == "floor")


def _corners(pattern: Pattern) -> set[tuple[float, float]]:
    area = _area(pattern, Kind.SAW).normalize().simplify(0.001)
    return {(round(x, 2) + 0.0, round(y, 2)) for x, y in area.exterior.coords}


@pytest.mark.slow
def test_both_sides_make_one_floor_with_a_straight_top_from_throat_to_arms(tmp_path: Path) -> None:
    """Level bottoms at 100 mm, heels 50 mm out; the arms end at 250 mm, 40 mm deep, the throat is 80 mm."""
    points = _straight()
    port = "\n".join(line.replace("starboard", "port") for line in points.splitlines()[1:])
    floor = _floor(tmp_path, points + "\n" + port)
    assert _corners(floor) == {(-250, 100), (250, 100), (250, 140), (0, 180), (-250, 140)}
    assert _area(floor, Kind.SAW).area == pytest.approx(500.0 * 0.5 * (THROAT + MOULDED), rel=1e-6)


@pytest.mark.slow
def test_one_shape_for_both_sides_makes_a_half_to_be_flipped(tmp_path: Path) -> None:
    floor = _floor(tmp_path, _straight(), spec='moulded = "40 mm"\nsides = "starboard"')
    assert _corners(floor) == {(0, 100), (250, 100), (250, 140), (0, 180)}


@pytest.mark.slow
def test_on_a_curved_bottom_its_edge_is_the_true_section(tmp_path: Path) -> None:
    gauged = rows(by_half_breadth, gauge=lambda edge, share: "93 deg" if edge == "bottom" else "86 deg")
    floor = _floor(tmp_path, gauged, to_point="4", throat="160 mm")
    line = _area(floor, Kind.FACE).exterior
    for at in section(0.0, "bottom", np.linspace(0.05, 0.45, 30)):
        assert max(line.distance(Point(at * [sign, 1.0])) for sign in (1.0, -1.0)) < 0.1


@pytest.mark.slow
def test_a_top_that_runs_into_the_planking_is_not_made(tmp_path: Path) -> None:
    """A deadwood that rises steeply from the keel: the straight line from throat to arm would cross it."""
    places = [(50, 100), (75, 200), (100, 300), (180, 305), (260, 310), (340, 315)]
    lines = ["side,edge,point,method,from,a,b,corner"]
    for i, (out, up) in enumerate(places):
        edge, corner = ("deadwood", "turn") if i == 2 else ("deadwood" if i < 2 else "bottom", "")
        lines.append(f"starboard,{edge},{i + 1},half-breadth,,{out} mm,{up} mm,{corner}")
    spec = 'sides = "starboard"\nmoulded = "40 mm"'
    more = _piece(kind="floor", name="floor", throat="60 mm", to_point="5")
    repair = load_repair(write_repair(tmp_path, "\n".join(lines), more, spec=spec))
    with pytest.raises(PatternsError):
        RepairSubject(repair).patterns(only=["floor"])


@pytest.mark.parametrize(
    ("keys", "codes"),
    [
        ({"to_point": ""}, ["needed-key"]),
        ({"side": "port"}, ["needless-key"]),
        ({"scarf": "8:1"}, ["needless-key"]),
        ({"to_point": "99"}, ["unknown-name"]),
    ],
)
def test_what_a_floor_needs_and_what_it_refuses(
    tmp_path: Path, keys: dict[str, str], codes: list[str]
) -> None:
    given = {"kind": "floor", "throat": "80 mm", "to_point": "3", **keys}
    given = {key: value for key, value in given.items() if value}
    more = _piece(**given)
    with pytest.raises(DesignError) as caught:
        load_repair(write_repair(tmp_path, _straight(), more, spec='sides = "starboard"'))
    assert codes_of(caught.value.problems) == codes


def test_one_side_alone_makes_no_floor(tmp_path: Path) -> None:
    more = _piece(kind="floor", throat="80 mm", to_point="3")
    with pytest.raises(DesignError) as caught:
        load_repair(write_repair(tmp_path, _straight(), more))
    assert codes_of(caught.value.problems) == ["one-side-measured"]
