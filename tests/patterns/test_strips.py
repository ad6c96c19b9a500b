"""Timbers beside a line: where they lie on planes and on a cylinder, and what is said of a wrong one."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns.boat import Boat, load_boat
from patterns.errors import DesignError, PatternsError
from patterns.hull.planes import FloatArray, cross, station_plane
from patterns.hull.sections import cut_hull
from patterns.joinery.passages import notches_in
from patterns.joinery.rings import section_area
from patterns.timbers.laying import laid_section
from patterns.timbers.notches import notch_in
from patterns.timbers.run import Run
from patterns.timbers.skins import Skin
from patterns.timbers.strips import beside_line
from tests.once import made_of
from tests.patterns.folders import places_of
from tests.patterns.plane_boat import (
    BOTTOM_NORMAL,
    BOTTOM_T,
    RAKE,
    SIDE_NORMAL,
    SIDE_T,
    TRANSOM_X0,
    bottom_over,
    chine,
    keel_z,
    sheer,
    side_over,
    write_plane_boat,
)

MORE = """
[[timber]]
kind = "batten"
follows = "chine"
against = "bottom"
part = 0.4
from = "frame A"
to = "3000 mm"
off = "18 mm"
along = "30 mm"
[[timber]]
kind = "stringer"
follows = "chine"
against = "side"
distance = "150 mm"
off = "15 mm"
along = "40 mm"
stock = "fir"
[[timber]]
kind = "rubbing rail"
follows = "sheer"
against = "side"
below = "10 mm"
off = "18 mm"
along = "35 mm"
[[timber]]
kind = "ribband"
follows = "sheer"
against = "side"
distance = "100 mm"
from = "station 2"
inset = "12 mm"
off = "10 mm"
along = "25 mm"
"""


def _folder(path: Path, more: str = MORE) -> Path:
    folder = write_plane_boat(path)
    with (folder / "design.toml").open("a", encoding="utf-8") as file:
        file.write(more)
    return folder


@pytest.fixture(scope="module")
def boat(tmp_path_factory: pytest.TempPathFactory) -> Boat:
    return load_boat(_folder(tmp_path_factory.mktemp("strips") / "boat"))


def _run(boat: Boat, kind: str) -> Run:
    return next(run for run in boat.runs if run.kind == kind)


def _up_the_side(line: object) -> FloatArray:
    """Unit vector on the side, square to a line of the boat, up."""
    ends = [np.array([x, *line(x)]) for x in (1000.0, 3000.0)]  # type: ignore[operator]
    up = np.cross(ends[1] - ends[0], SIDE_NORMAL)
    up = up / np.linalg.norm(up)
    return up * np.copysign(1.0, up[2])


@pytest.mark.slow
def test_a_stringer_s_middle_lies_at_its_distance_from_its_line(boat: Boat) -> None:
    run = _run(boat, "stringer")
    middle = 0.5 * (run.corners[:, 0] + run.corners[:, 1])
    chine_point = np.array([2000.0, *chine(2000.0)])
    assert (middle - chine_point) @ _up_the_side(chine) == pytest.approx(
        np.full(len(middle), 150.0), abs=0.02
    )
    assert np.abs(side_over(run.corners[:, :2]) + SIDE_T).max() < 1e-5
    assert np.abs(side_over(run.corners[:, 2:]) + SIDE_T + 15.0).max() < 1e-5
    assert run.corners[-1, :, 1] == pytest.approx([30.0] * 4, abs=1e-6)  # it ends on the stem's side
    assert run.let_in


@pytest.mark.slow
def test_a_batten_s_middle_lies_at_its_part_of_the_girth(boat: Boat) -> None:
    """On a flat bottom a part of the girth is a part of the half-breadth between the two lines."""
    run = _run(boat, "batten")
    middle = 0.5 * (run.corners[:, 0] + run.corners[:, 1])
    x = middle[:, 0]
    low = np.column_stack([x, np.full_like(x, 20.0), [keel_z(v) for v in x]])
    high = np.column_stack([x, *np.array([chine(v) for v in x]).T])
    # Inside of the planking the two ends of the girth stand square to the planking in the plane x = constant.
    inward = BOTTOM_NORMAL[[1, 2]] / (BOTTOM_NORMAL[[1, 2]] @ BOTTOM_NORMAL[[1, 2]]) * BOTTOM_T
    want = low + 0.6 * (high - low)
    want[:, 1:] -= inward
    assert np.abs(middle - want).max() < 0.01
    assert np.abs(bottom_over(run.corners[:, :2]) + BOTTOM_T).max() < 1e-5
    assert run.corners[0, :, 0] == pytest.approx([3000.0] * 4, abs=1e-6)
    # It passes through frame A, 18 mm sided forward from x = 1200.
    assert run.corners[-1, :, 0] == pytest.approx([1182.0] * 4, abs=1e-6)


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["batten", "stringer"])
@pytest.mark.parametrize("x", [1182.0, 1200.0, 2000.0])
def test_the_notch_of_a_strip_is_its_own_section_and_no_more(boat: Boat, kind: str, x: float) -> None:
    section = cut_hull(boat.hull, station_plane(x))
    notch = notch_in(section, _run(boat, kind))
    assert notch is not None
    inside = shapely.Polygon(notch.corners).intersection(section_area(section))
    assert inside.symmetric_difference(shapely.Polygon(notch.wood)).area < 0.01
    assert inside.area > 400.0


@pytest.mark.slow
def test_a_rubbing_rail_lies_outside_below_the_sheer_and_is_flush_with_the_transom(boat: Boat) -> None:
    run = _run(boat, "rubbing rail")
    sheer_point = np.array([2000.0, *sheer(2000.0)])
    up = _up_the_side(sheer)
    assert (run.corners[:, 1] - sheer_point) @ up == pytest.approx(np.full(len(run.corners), -10.0), abs=1e-4)
    assert (run.corners[:, 0] - sheer_point) @ up == pytest.approx(np.full(len(run.corners), -45.0), abs=1e-4)
    assert np.abs(side_over(run.corners[:, :2])).max() < 1e-5
    assert np.abs(side_over(run.corners[:, 2:]) - 18.0).max() < 1e-5
    transom = (run.corners[0] - [TRANSOM_X0, 0.0, 0.0]) @ [np.cos(RAKE), 0.0, -np.sin(RAKE)]
    assert np.abs(transom).max() < 1e-6
    assert not run.let_in


@pytest.mark.slow
def test_a_ribband_lies_inset_and_nothing_is_cut_for_it(boat: Boat) -> None:
    run = _run(boat, "ribband")
    assert np.abs(side_over(run.corners[:, :2]) + SIDE_T + 12.0).max() < 1e-5
    assert np.abs(side_over(run.corners[:, 2:]) + SIDE_T + 22.0).max() < 1e-5
    cut = {notch.timber for notch in notches_in(boat, cut_hull(boat.hull, station_plane(2000.0)))}
    assert cut == {"keel", "chine log", "clamp", "batten", "stringer"}


@dataclass(frozen=True)
class Cylinder:
    """A round side: its axis along x, ``r`` the angle from straight down, radians."""

    radius: float
    start: float = -500.0
    end: float = 3500.0

    def shape(self, p: FloatArray, r: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        p, r = np.broadcast_arrays(p, r)
        zero = np.zeros_like(p)
        return (
            np.stack([p, self.radius * np.sin(r), -self.radius * np.cos(r)], axis=-1),
            np.stack([zero + 1.0, zero, zero], axis=-1),
            np.stack([zero, self.radius * np.cos(r), self.radius * np.sin(r)], axis=-1),
        )

    def outward(self, by_p: FloatArray, by_r: FloatArray) -> FloatArray:
        out = cross(by_r, by_p)
        unit: FloatArray = out / np.linalg.norm(out, axis=-1, keepdims=True)
        return unit


def _level(radius: float, angle: float) -> FloatArray:
    x = np.linspace(3000.0, 0.0, 251)
    return np.column_stack(
        [x, np.full_like(x, radius * np.sin(angle)), np.full_like(x, -radius * np.cos(angle))]
    )


def test_a_distance_on_a_round_side_is_a_girth() -> None:
    """Beside a straight line on a cylinder of 400 mm, 300 mm of girth are an angle of 0.75."""
    skin = Skin(pieces=(Cylinder(400.0),), inset=0.0)
    track = beside_line(_level(400.0, 0.3), skin, 300.0)
    assert np.abs(track - _level(400.0, 0.3 + 0.75)).max() < 0.15
    back = beside_line(track, skin, -300.0)
    assert np.abs(back - _level(400.0, 0.3)).max() < 0.3


def test_a_flat_back_on_a_round_side_touches_at_both_edges_and_leaves_the_sagitta() -> None:
    """45 mm on a radius of 1000 leave r - sqrt(r^2 - (c/2)^2) = 0.253 mm in the middle."""
    skin = Skin(pieces=(Cylinder(1000.0),), inset=0.0)
    corners = laid_section(_level(1000.0, 0.7), skin, across=45.0, deep=20.0, upward=1.0)
    out = np.hypot(corners[..., 1], corners[..., 2])
    assert out[:, :2] == pytest.approx(np.full((len(out), 2), 1000.0), abs=1e-6)
    middle = 0.5 * (corners[:, 0] + corners[:, 1])
    gap = 1000.0 - np.hypot(middle[:, 1], middle[:, 2])
    assert gap == pytest.approx(np.full(len(gap), 1000.0 - np.sqrt(1000.0**2 - 22.5**2)), abs=1e-6)
    assert gap[0] == pytest.approx(0.25, abs=0.005)
    depth = np.linalg.norm(corners[:, 1] - corners[:, 2], axis=1)
    assert depth == pytest.approx(np.full(len(depth), 20.0), abs=1e-9)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("old", "new", "key", "code"),
    [
        ('part = 0.4', 'part = 1.4', "part", "invalid-value"),
        ('part = 0.4', 'part = 0.4\ndistance = "1 in"', "distance", "conflicting-keys"),
        ('distance = "150 mm"', "", "distance", "needed-key"),
        ('from = "frame A"', 'from = "frame Z"', "from", "unknown-name"),
        ('from = "station 2"', 'from = "station 22"', "from", "unknown-name"),
        ('"sheer"\nagainst = "side"\nbelow', '"chine"\nagainst = "side"\nbelow', "against", "strake-above-line"),
        ('"chine"\nagainst = "bottom"', '"sheer"\nagainst = "bottom"', "against", "strake-off-line"),
    ],
)  # fmt: skip
def test_a_wrong_timber_is_reported(tmp_path: Path, old: str, new: str, key: str, code: str) -> None:
    assert old in MORE
    with pytest.raises(DesignError) as caught:
        load_boat(_folder(tmp_path / "boat", MORE.replace(old, new)))
    [(place, found)] = places_of(caught.value)
    assert place.startswith('design.toml, timber "')
    assert place.endswith(f", key {key}")
    assert found == code


@pytest.mark.slow
@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('to = "3000 mm"', 'to = "1100 mm"', "nothing is left of it between its ends"),
        ('distance = "150 mm"', 'distance = "900 mm"', "its middle lies past the other edge of the side"),
    ],
)
def test_a_timber_that_cannot_be_laid_is_told_of(tmp_path: Path, old: str, new: str, said: str) -> None:
    boat = load_boat(_folder(tmp_path / "boat", MORE.replace(old, new)))
    with pytest.raises(PatternsError) as caught:
        _ = boat.runs
    assert said in str(caught.value)
    with pytest.raises(DesignError) as told:  # once, with its own place, not for every piece that it meets
        made_of(boat, "frame")
    [problem] = told.value.problems
    assert problem.place.startswith('design.toml, timber "')
    assert problem.code == "timber-not-laid"


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["keel", "chine log", "clamp"])
def test_every_timber_runs_from_where_to_where_the_design_says(tmp_path: Path, boat: Boat, kind: str) -> None:
    folder = write_plane_boat(tmp_path / "boat")
    file = folder / "design.toml"
    whole, before = _run(boat, kind), f'kind = "{kind}"'
    file.write_text(
        file.read_text("utf-8").replace(before, f'{before}\nfrom = "frame A"\nto = "3000 mm"'), "utf-8"
    )
    run = _run(load_boat(folder), kind)
    assert np.abs(run.corners[0, :, 0] - 3000.0).max() < 1e-6
    assert np.abs(run.corners[-1, :, 0] - 1182.0).max() < 1e-6  # through the frame that it ends in
    assert all(end.lands is None for end in run.ends)
    assert all(end.lands is not None for end in whole.ends)
    # Between its ends it lies where the whole one lies; beyond them it takes nothing of a frame.
    for x, there in ((1170.0, False), (1200.0, True), (2900.0, True), (3010.0, False)):
        section = cut_hull(boat.hull, station_plane(x))
        short, long = notch_in(section, run), notch_in(section, whole)
        assert long is not None
        assert (short is not None) == there
        if short is not None:
            assert np.abs(short.wood - long.wood).max() < 1e-6
