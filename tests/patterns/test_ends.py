"""A transom at the bow, a stem at the stern: a pram of planes and a double-ender alike fore and aft."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from click.testing import CliRunner

from patterns.boat import Boat, load_boat
from patterns.cli import main
from patterns.design.strake_models import StrakePatternSpec
from patterns.errors import DesignError, PatternsError
from patterns.hull.bending import most_bulge, most_twist
from patterns.hull.hull import Hull
from patterns.hull.planes import FloatArray, station_plane
from patterns.hull.sections import cut_hull
from patterns.hull.surfaces import moved
from patterns.joinery.strake_flat import lay_strake_flat
from patterns.members import all_patterns
from patterns.pattern import Body, Kind, Pattern
from patterns.shop.results import pattern_data
from patterns.shop.set_up import stands
from patterns.timbers import runs
from patterns.timbers.run import Run
from tests.patterns.end_boats import (
    BOTTOM_NORMAL,
    BOTTOM_T,
    BOW_KNEE,
    BOW_RAKE,
    BOW_X0,
    CHINE_END,
    MIDDLE,
    SHEER_END,
    SIDE_NORMAL,
    SIDE_T,
    STERN_KNEE,
    STERN_RAKE,
    STERN_X0,
    bottom_over,
    chine,
    sheer,
    side_over,
    stem_u,
    write_double_ender,
    write_pram,
)
from tests.patterns.folders import changed, places_of, says

KNEES = STERN_KNEE.format(at="bow") + STERN_KNEE.format(at="stern")
# The bow transom's outer face, its normal out of the boat.
BOW_OUT = np.array([-np.cos(BOW_RAKE), 0.0, -np.sin(BOW_RAKE)])


def made(folder: Path) -> tuple[Boat, dict[str, Pattern]]:
    boat = load_boat(folder)
    return boat, {pattern.name: pattern for pattern in all_patterns(boat)}


@pytest.fixture(scope="module")
def pram(tmp_path_factory: pytest.TempPathFactory) -> tuple[Boat, dict[str, Pattern]]:
    return made(write_pram(tmp_path_factory.mktemp("pram"), more=BOW_KNEE))


@pytest.fixture(scope="module")
def double_ender(tmp_path_factory: pytest.TempPathFactory) -> tuple[Boat, dict[str, Pattern]]:
    return made(write_double_ender(tmp_path_factory.mktemp("double-ender")))


@pytest.fixture(scope="module")
def low_chined(tmp_path_factory: pytest.TempPathFactory) -> tuple[Boat, dict[str, Pattern]]:
    return made(write_double_ender(tmp_path_factory.mktemp("low-chined"), low=True, more=KNEES))


def _over(strake: str, points: FloatArray) -> FloatArray:
    """How far points stand outside of the pram's inside face."""
    return bottom_over(points) + BOTTOM_T if strake == "bottom" else side_over(points) + SIDE_T


@pytest.mark.slow
@pytest.mark.parametrize("name", ["bow transom panel", "bow transom framing", "transom panel"])
def test_a_pram_s_transoms_are_cut_from_the_planes(pram: tuple[Boat, dict[str, Pattern]], name: str) -> None:
    pattern = pram[1][name]
    assert pattern.plane is not None
    faces = {
        "moulded face": pattern.plane,
        "other face": pattern.plane.moved(pattern.siding * pattern.thickness),
    }
    seen = set()
    for edge in pattern.edges:
        if edge.strake != "deck":
            face = faces[edge.face]
            points = face.space(edge.uv)
            assert np.abs(_over(edge.strake, points)).max() < 0.002
            seen.add((edge.face, edge.strake))
    assert len(seen) == 4
    # Source: the angle through the wood between two planes is 180 degrees less the angle of their normals.
    outward = -pattern.siding * pattern.plane.normal
    readings = [reading for reading in pattern.readings if reading.edge in ("bottom", "side")]
    assert len(readings) >= 4
    for reading in readings:
        normal = BOTTOM_NORMAL if reading.edge == "bottom" else SIDE_NORMAL
        assert np.degrees(abs(reading.bevel - np.pi + np.arccos(outward @ normal))) < 0.02


@pytest.mark.slow
def test_a_pram_s_bow_transom_stands_on_its_own_rake(pram: tuple[Boat, dict[str, Pattern]]) -> None:
    boat, patterns = pram
    panel, framing = patterns["bow transom panel"], patterns["bow transom framing"]
    assert panel.plane is not None
    assert framing.plane is not None
    heights = np.array([[BOW_X0, 0.0, 0.0], [BOW_X0 - 300.0 * np.tan(BOW_RAKE), 0.0, 300.0]])
    assert np.abs(panel.plane.height_over(heights)).max() < 1e-4
    # The wood lies aft of the outer face, and the framing begins at the panel's inside.
    assert panel.siding * panel.plane.normal == pytest.approx(-BOW_OUT, abs=1e-9)
    assert panel.plane.height_over(framing.plane.origin) * panel.siding == pytest.approx(15.0, abs=1e-9)
    assert panel.face == "forward face (moulded), seen looking aft"
    assert panel.sides[:2] == ("PORT", "STARBOARD")  # who looks aft has the starboard side on the left
    assert boat.hull.transom.rake == pytest.approx(STERN_RAKE, abs=1e-9)
    assert boat.hull.transom.origin[0] == pytest.approx(STERN_X0, abs=1e-4)


@pytest.mark.slow
@pytest.mark.parametrize(("name", "off"), [("bow transom panel", 0.0), ("bow transom framing", 15.0)])
def test_a_curved_bow_transom_lies_on_its_cylinder(tmp_path: Path, name: str, off: float) -> None:
    """Every edge of its faces lies on the insides of the planks and at the face's own radius from the axis."""
    radius = 4000.0
    boat, patterns = made(write_pram(tmp_path, bow_radius=radius))
    pattern = patterns[name]
    assert pattern.plane is not None
    up = np.array([-np.sin(BOW_RAKE), 0.0, np.cos(BOW_RAKE)])
    axis = np.array([BOW_X0, 0.0, 0.0]) - radius * BOW_OUT
    seen = set()
    for edge in pattern.edges:
        deep = 0.0 if edge.face == "moulded face" else pattern.thickness
        face = pattern.plane.moved(pattern.siding * deep)
        points = face.space(edge.uv)
        away = points - axis
        square = away - np.outer(away @ up, up)
        assert np.linalg.norm(square, axis=1) == pytest.approx(radius - off - deep, abs=0.002)
        assert (square @ BOW_OUT).min() > 0.0
        assert np.abs(face.height_over(points)).max() < 1e-6
        if edge.strake != "deck":
            assert np.abs(_over(edge.strake, points)).max() < 0.003
            seen.add((edge.face, edge.strake))
    assert len(seen) == 4
    # The boat as she is, cut by that face, has the same corners as the boat turned end for end had.
    cut, drawn = cut_hull(boat.hull, pattern.plane), {mark.name: mark.at for mark in pattern.marks}
    for corner in cut.corners:
        assert corner.at == pytest.approx(drawn[f"{corner.name}, inside of planking"], abs=0.002)
    (stand,) = (each for each in stands(boat, list(patterns.values())) if each.name == "bow transom panel")
    assert (stand.aft, stand.rake) == pytest.approx((BOW_X0, -BOW_RAKE), abs=1e-3)
    assert stand.wood == "aft"
    data = pattern_data(pattern)["plane"]
    assert data["radius_mm"] == pytest.approx(radius - off, abs=0.01)
    assert data["rake_deg"] == pytest.approx(-np.degrees(BOW_RAKE), abs=1e-4)


@pytest.mark.slow
def test_a_bow_transom_s_half_laps_are_cut_off_the_same_face_on_both_papers(tmp_path: Path) -> None:
    """The rails keep the half against the panel, which is forward of them: their after faces are cut away."""
    patterns = made(write_pram(tmp_path, framing='framing_joints = "half lap"\n'))[1]
    for name, face in (("bottom rail", "after"), ("top rail", "after"), ("stile", "fore")):
        pattern = patterns[f"bow transom {name}"]
        papers = [
            [line.name for line in lines if "half lap" in line.name]
            for lines in (pattern.lines, pattern.behind_levels)
        ]
        assert papers[0] == papers[1] != []
        assert all(said.endswith(f"off the {face} face") for said in papers[0])
    stile = patterns["bow transom stile"]
    assert stile.sides[0] == "PORT"  # who looks aft has the port piece on the right, where its wood is drawn
    assert "port piece" in stile.face
    assert min(line.points[:, 0].min() for line in stile.of_kind(Kind.SAW)) > 0.0


@pytest.mark.slow
def test_a_pram_s_bow_transom_has_the_size_of_its_planes(pram: tuple[Boat, dict[str, Pattern]]) -> None:
    """Corners where the insides of bottom and side, and of side and deck, meet the transom's outer face."""
    panel = pram[1]["bow transom panel"]
    assert panel.plane is not None
    deck_normal = np.array([0.02, 0.0, 1.0]) / np.hypot(0.02, 1.0)
    rows = {
        "chine": np.stack([BOTTOM_NORMAL, SIDE_NORMAL, BOW_OUT]),
        "sheer": np.stack([deck_normal, SIDE_NORMAL, BOW_OUT]),
    }
    on_face = np.array([BOW_X0, 0.0, 0.0]) @ BOW_OUT
    side = np.array([300.0, 300.0, 300.0]) @ SIDE_NORMAL - SIDE_T
    wanted = {
        "chine": (np.array([0.0, 20.0, 40.0]) @ BOTTOM_NORMAL - BOTTOM_T, side, on_face),
        "sheer": (np.array([0.0, 0.0, 460.0]) @ deck_normal, side, on_face),
    }
    for name, normals in rows.items():
        corner = np.linalg.solve(normals, np.array(wanted[name]))
        mark = next(mark for mark in panel.marks if mark.name.startswith(name))
        assert panel.plane.flat(corner) == pytest.approx(mark.at, abs=0.01)


@pytest.mark.slow
def test_a_knee_at_the_bow_transom_fits_keel_and_transom(pram: tuple[Boat, dict[str, Pattern]]) -> None:
    knee = pram[1]["bow knee"]
    points = knee.of_kind(Kind.SAW)[0].points
    space = np.stack([points[:, 0], np.zeros(len(points)), points[:, 1]], axis=-1)
    inside = -(space - np.array([BOW_X0, 0.0, 0.0])) @ BOW_OUT  # aft of the outer face
    top = -(bottom_over(space) + BOTTOM_T) / np.hypot(BOTTOM_NORMAL[0], BOTTOM_NORMAL[2])
    assert inside.min() == pytest.approx(35.0, abs=0.01)  # panel and framing
    assert top.min() == pytest.approx(30.0, abs=0.01)  # the keel's moulding
    on_keel, on_transom = np.abs(top - 30.0) < 0.02, np.abs(inside - 35.0) < 0.02
    corner = points[on_keel & on_transom][0]
    assert np.hypot(*(points[on_keel] - corner).T).max() == pytest.approx(200.0, abs=1e-6)
    assert np.hypot(*(points[on_transom] - corner).T).max() == pytest.approx(150.0, abs=1e-6)
    assert points[on_keel][:, 0].max() > corner[0]
    closed = 90.0 + np.degrees(BOW_RAKE) + np.degrees(np.arctan(0.010))
    assert f"{round(2.0 * closed) / 2.0:g}°" in knee.facts[1]
    assert knee.body is not None
    assert knee.body.moulded.symmetric_difference(shapely.Polygon(points)).area < 1e-6


@pytest.mark.slow
def test_a_pram_s_timbers_end_on_the_panels(pram: tuple[Boat, dict[str, Pattern]]) -> None:
    for run in pram[0].runs:
        aft, fore = run.corners[0], run.corners[-1]
        assert -(fore - np.array([BOW_X0, 0.0, 0.0])) @ BOW_OUT == pytest.approx(15.0, abs=0.01)
        stern_out = np.array([np.cos(STERN_RAKE), 0.0, -np.sin(STERN_RAKE)])
        assert (aft - np.array([STERN_X0, 0.0, 0.0])) @ stern_out == pytest.approx(-18.0, abs=0.01)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("more", "frame", "place", "code"),
    [
        (
            '[breasthook]\nlength = "200 mm"\nsided = "20 mm"\nthroat = "90 mm"\ntoe = "30 mm"\nstock = "fir"\n',
            "3",
            "design.toml, [breasthook]",
            "piece-not-made",
        ),
        ("", "1", 'design.toml, frame "A"', "piece-not-made"),
        (STERN_KNEE.format(at="bow"), "3", 'design.toml, knee "bow knee", key at', "knee-at-other-end"),
    ],
)
def test_what_a_pram_cannot_have_is_reported(
    tmp_path: Path, more: str, frame: str, place: str, code: str
) -> None:
    folder = write_pram(tmp_path, more=more, frame=frame)
    if frame == "1":
        file = folder / "design.toml"
        text = changed(file.read_text(encoding="utf-8"), 'siding_runs = "forward"', 'siding_runs = "aft"')
        file.write_text(changed(text, 'at = "station 1"', 'at = "330 mm"'), encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        all_patterns(load_boat(folder))
    assert places_of(caught.value) == [(place, code)]


def test_an_end_off_the_bow_transom_is_told_in_its_own_words(tmp_path: Path) -> None:
    folder = write_pram(tmp_path)
    file = folder / "design.toml"
    file.write_text(changed(file.read_text(encoding="utf-8"), "25 deg", "12 deg"), encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        load_boat(folder)
    (problem,) = (each for each in caught.value.problems if each.code == "transom-rake-differs")
    assert problem.place == 'design.toml, end "bow", key rake'
    keel_x = BOW_X0 - np.tan(BOW_RAKE) * (40.0 - 0.010 * BOW_X0)  # to a tenth or so
    assert says(problem, "bow transom", "25.0 deg", f'"keel" {keel_x:.0f}')
    assert "stern" not in problem.what


def _mirrored(points: FloatArray) -> FloatArray:
    return np.array([2.0 * MIDDLE, 0.0]) + points * np.array([-1.0, 1.0])


@pytest.mark.slow
@pytest.mark.parametrize(
    ("boat", "bow", "stern"),
    [
        ("double_ender", "inner stem", "inner sternpost"),
        ("double_ender", "outer stem", "outer sternpost"),
        ("low_chined", "inner stem", "inner sternpost"),
        ("low_chined", "bow knee", "stern knee"),
    ],
)
def test_a_boat_alike_fore_and_aft_has_her_stem_mirrored(
    request: pytest.FixtureRequest, boat: str, bow: str, stern: str
) -> None:
    patterns = request.getfixturevalue(boat)[1]
    one, two = patterns[bow], patterns[stern]
    for kind in (Kind.SAW, Kind.BEARDING, Kind.CENTRE):
        lines, others = one.of_kind(kind), two.of_kind(kind)
        assert len(lines) == len(others)
        for line, other in zip(lines, others, strict=True):
            a, b = shapely.LineString(line.points), shapely.LineString(_mirrored(other.points))
            assert shapely.hausdorff_distance(a, b, densify=0.1) < 0.02
    assert [r.bevel for r in one.readings] == pytest.approx([r.bevel for r in two.readings], abs=1e-5)
    assert two.sides == one.sides == ("AFT", "FORWARD", "UP")
    assert one.body is not None
    assert two.body is not None
    for a_body, b_body in zip((one.body, *one.slabs), (two.body, *two.slabs), strict=True):
        assert _flipped(b_body).symmetric_difference(a_body.moulded).area < 2.0
        assert (a_body.depth, a_body.mirrored) == (pytest.approx(b_body.depth, abs=1e-4), b_body.mirrored)


def _flipped(body: Body) -> shapely.Polygon:
    return shapely.transform(body.moulded, _mirrored)


@pytest.mark.slow
def test_a_boat_alike_fore_and_aft_has_like_frames(double_ender: tuple[Boat, dict[str, Pattern]]) -> None:
    one, two = double_ender[1]["frame F"], double_ender[1]["frame A"]
    assert len(one.edges) == len(two.edges) == 6
    for edge, other in zip(one.edges, two.edges, strict=True):
        assert (edge.face, edge.strake) == (other.face, other.strake)
        a, b = shapely.LineString(edge.uv), shapely.LineString(other.uv)
        assert shapely.hausdorff_distance(a, b, densify=0.1) < 0.005
        assert edge.bevel[[0, -1]] == pytest.approx(other.bevel[[0, -1]], abs=2e-5)
    for kind in (Kind.SAW, Kind.FACE, Kind.OTHER):
        for line, twin in zip(one.of_kind(kind), two.of_kind(kind), strict=True):
            a, b = shapely.LineString(line.points), shapely.LineString(twin.points)
            assert shapely.hausdorff_distance(a, b, densify=0.1) < 0.02


@pytest.mark.slow
def test_a_breasthook_is_made_at_both_ends_of_a_double_ender(tmp_path: Path) -> None:
    hook = (
        '[breasthook]\nlength = "260 mm"\nsided = "20 mm"\nthroat = "150 mm"\ntoe = "30 mm"\n'
        'stock = "bow-shed fir"\n'
    )
    patterns = made(write_double_ender(tmp_path, more=hook))[1]
    one, two = patterns["breasthook"], patterns["breasthook at the sternpost"]
    assert (one.sides[2], two.sides[2]) == ("FORWARD", "AFT")
    assert one.facts[0] == two.facts[0] == "bow-shed fir, sided 20 mm"
    assert "going forward" in two.facts[1]
    assert {reading.where for reading in two.readings} == {"", "nose on the sternpost"}
    assert "sternpost's side" in {mark.name for mark in two.marks}
    for line, twin in zip(one.of_kind(Kind.SAW), two.of_kind(Kind.SAW), strict=True):
        a, b = shapely.LineString(line.points), shapely.LineString(twin.points)
        assert shapely.hausdorff_distance(a, b, densify=0.1) < 0.02


@pytest.mark.slow
def test_a_sternpost_and_its_knee_stand_on_the_keel_s_top(
    low_chined: tuple[Boat, dict[str, Pattern]],
) -> None:
    """The bottom rises 90 in 440, so its insides meet on a level line and the keel's top lies 30 mm above."""
    patterns = low_chined[1]
    slope = 90.0 / 440.0
    top = 40.0 - 20.0 * slope + BOTTOM_T * np.hypot(1.0, slope) + 30.0
    for name in ("inner sternpost", "stern knee", "inner stem", "bow knee"):
        points = patterns[name].of_kind(Kind.SAW)[0].points
        landed = points[np.abs(points[:, 1] - top) < 0.02]
        assert np.ptp(landed[:, 0]) > 20.0, name
        away = np.abs(points[:, 0] - MIDDLE) < stem_u(40.0) - 5.0
        assert points[away, 1].min() > top - 0.02


@pytest.mark.slow
def test_the_lines_of_a_double_ender_run_from_stem_to_stem(
    double_ender: tuple[Boat, dict[str, Pattern]],
) -> None:
    hull = double_ender[0].hull
    for name, line, reach in (("chine", chine, CHINE_END), ("sheer", sheer, SHEER_END)):
        curve = hull.lines[name]
        x = np.linspace(MIDDLE - reach, MIDDLE + reach, 41)
        points = curve.at(curve.t_at_x(x))
        assert points[:, 1] == pytest.approx([line(v)[0] for v in x], abs=0.01)
        assert points[:, 2] == pytest.approx([line(v)[1] for v in x], abs=0.01)
        assert curve.at(np.array(curve.end))[0] == pytest.approx(MIDDLE + reach, abs=0.01)
    profile = hull.profile.at(np.linspace(hull.profile.start, hull.profile.end, 500))
    high = profile[profile[:, 2] > 41.0]
    away = np.array([stem_u(z) for z in high[:, 2]])
    assert np.abs(np.abs(high[:, 0] - MIDDLE) - away).max() < 0.01
    assert np.abs(profile[:, 1] - 20.0).max() < 1e-6


@pytest.mark.slow
def test_timbers_of_a_double_ender_end_alike(double_ender: tuple[Boat, dict[str, Pattern]]) -> None:
    for run in double_ender[0].runs:
        aft, fore = run.corners[0], run.corners[-1]
        mirrored = np.array([2.0 * MIDDLE, 0.0, 0.0]) + fore * np.array([-1.0, 1.0, 1.0])
        assert np.abs(aft - mirrored).max() < 0.05, run.name


@pytest.mark.slow
def test_a_rounded_table_of_a_boat_alike_fore_and_aft_gives_her_alike(tmp_path: Path) -> None:
    """Rounded to whole mm the table is still alike; so the stern comes out as good as the bow, and near true."""
    boat, patterns = made(write_double_ender(tmp_path, step=1.0))
    one, two = patterns["inner stem"].of_kind(Kind.SAW)[0], patterns["inner sternpost"].of_kind(Kind.SAW)[0]
    a, b = shapely.LineString(one.points), shapely.LineString(_mirrored(two.points))
    assert shapely.hausdorff_distance(a, b, densify=0.1) < 0.05
    for name, line, reach in (("chine", chine, CHINE_END), ("sheer", sheer, SHEER_END)):
        curve = boat.hull.lines[name]
        x = np.linspace(MIDDLE - reach + 30.0, MIDDLE + reach - 30.0, 41)
        points = curve.at(curve.t_at_x(x))
        off = np.abs(points[:, 1:] - np.array([line(v) for v in x]))
        assert off.max() < 0.8
        assert np.abs(off - off[::-1]).max() < 0.05


@pytest.mark.slow
@pytest.mark.parametrize("construction", ["inner and outer", "rabbeted"])
def test_the_whole_job_is_done_for_a_double_ender(tmp_path: Path, construction: str) -> None:
    folder = write_double_ender(tmp_path / "boat", construction=construction, low=True)
    result = CliRunner().invoke(main, ["patterns", str(folder), "--output", str(tmp_path / "out")])
    assert result.exit_code == 0, result.output
    faired = (tmp_path / "out" / "as-faired-sternpost.csv").read_text(encoding="utf-8").splitlines()
    assert len(faired) == 7


@pytest.mark.slow
def test_the_whole_job_is_done_for_a_pram(tmp_path: Path) -> None:
    result = CliRunner().invoke(
        main, ["patterns", str(write_pram(tmp_path / "boat")), "--output", str(tmp_path / "out")]
    )
    assert result.exit_code == 0, result.output
    assert not (tmp_path / "out" / "as-faired-stem.csv").exists()


@pytest.mark.parametrize(
    ("old", "new", "place", "code"),
    [
        (
            'profile = "stern.csv"',
            'profile = "bow.csv"',
            'design.toml, end "stern", key profile',
            "same-file",
        ),
        ('profile = "stern.csv"', 'profile = "astern.csv"', "astern.csv", "missing-file"),
        (
            'allow = "0"',
            'allow = "0"\n' + BOW_KNEE,
            'design.toml, knee "bow knee", key at',
            "knee-at-other-end",
        ),
        ('foot = "3634', 'foot = "9634', 'design.toml, end "stern", key foot', "foot-off-profile"),
    ],
)
def test_a_sternpost_s_slips_are_reported(tmp_path: Path, old: str, new: str, place: str, code: str) -> None:
    folder = write_double_ender(tmp_path)
    file = folder / "design.toml"
    file.write_text(changed(file.read_text(encoding="utf-8"), old, new), encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        load_boat(folder)
    assert (place, code) in places_of(caught.value)


@pytest.mark.slow
@pytest.mark.parametrize("turned_alone", [False, True])
def test_a_timber_that_cannot_be_laid_is_reported_once_in_the_boat_s_own_places(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, turned_alone: bool
) -> None:
    """What is wrong with it in the turned boat, where distances aft run the other way, is not shown."""
    boat = load_boat(write_double_ender(tmp_path, low=True, more=KNEES))
    lay = runs.keel_run

    def keel_run(hull: Hull, *args: Any, **keys: Any) -> Run:
        if hull is boat.hull and turned_alone:
            return lay(hull, *args, **keys)
        stern = hull.profile.at(np.array(hull.profile.end))[0]
        raise PatternsError(f"it cannot be laid {stern:.0f} mm aft")

    monkeypatch.setattr(runs, "keel_run", keel_run)
    with pytest.raises(DesignError) as caught:
        all_patterns(replace(boat))
    assert places_of(caught.value) == [('design.toml, timber "keel"', "timber-not-laid")]
    (problem,) = caught.value.problems
    assert (" mm aft" in problem.what) is not turned_alone
    assert "-" not in problem.what


@pytest.mark.slow
def test_a_prams_strakes_of_sheet_lie_on_her_planes(tmp_path: Path) -> None:
    """No stem: the sheet begins on the bow transom, forward of the first ruling that both lines share."""
    folder = write_pram(tmp_path)
    file = folder / "design.toml"
    text = file.read_text(encoding="utf-8").replace('sections = "straight"', 'sections = "developable"')
    file.write_text(text, encoding="utf-8")
    hull = load_boat(folder).hull
    for strake in hull.strakes:
        assert most_twist(strake).much < 1e-5
        assert abs(most_bulge(strake, hull).much) < 1e-3
        for plane in (station_plane(700.0), station_plane(2200.0), hull.transom, hull.bow_transom):
            assert plane is not None
            trace = strake.across(plane, inset=strake.inset)
            assert trace is not None
            inner = trace.uv[(trace.r >= 0.0) & (trace.r <= 1.0)]
            assert len(inner) > 60
            assert np.abs(_over(strake.name, plane.space(inner))).max() < 0.002


@pytest.mark.slow
@pytest.mark.parametrize("write", [write_pram, write_double_ender])
def test_a_strake_is_laid_flat_between_any_two_ends(tmp_path: Path, write: Callable[[Path], Path]) -> None:
    """The outline encloses what the strake's own rulings measure in the boat, and is as long as her line."""
    folder = write(tmp_path)
    file = folder / "design.toml"
    text = file.read_text(encoding="utf-8").replace('sections = "straight"', 'sections = "developable"')
    wanted = '[[strake_pattern]]\nstrake = "side"\nstock = "ply"\ntrim = "0"\nlaps = ["side over bottom"]\n'
    file.write_text(f"{text}\n{wanted}", encoding="utf-8")
    boat = load_boat(folder)
    side = boat.hull.strakes[-1]
    (spec,) = boat.design.all(StrakePatternSpec)
    flat = lay_strake_flat(boat, spec, side)
    area = 0.0
    for patch in side.patches:
        p, r = np.linspace(patch.start, patch.end, 801)[:, None], np.linspace(0.0, 1.0, 41)[None, :]
        at = moved(patch, *np.broadcast_arrays(p, r), side.inset)[0]
        cells = np.linalg.norm(np.cross(at[1:, 1:] - at[:-1, :-1], at[1:, :-1] - at[:-1, 1:]), axis=-1) / 2.0
        middle = (at[1:, 1:] + at[:-1, :-1]) / 2.0
        inside = boat.hull.transom.height_over(middle) <= 0.0
        if boat.hull.bow_transom is not None:
            inside &= boat.hull.bow_transom.height_over(middle) >= 0.0
        area += float(cells[inside].sum())
    sheer = list(boat.hull.lines.values())[-1]
    line = sheer.at(np.linspace(sheer.start, sheer.end, 2001))
    run = float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())
    assert flat.faces[0].area.area == pytest.approx(area, rel=0.01)
    x0, _, x1, _ = flat.faces[0].area.bounds
    assert x1 - x0 == pytest.approx(run, rel=0.02)
    assert flat.faces[0].area.is_valid


@pytest.mark.slow
def test_the_builder_s_own_words_are_never_turned(tmp_path: Path) -> None:
    """A stock, a timber and a line whose names hold words of the tool's own come out as they were written."""
    folder = write_double_ender(tmp_path)
    design = folder / "design.toml"
    text = re.sub(r'stock = "[^"]*"', 'stock = "bow-shed oak, aft rack"', design.read_text(encoding="utf-8"))
    design.write_text(text.replace('name = "chine log"', 'name = "stem batten"'), encoding="utf-8")
    boat = load_boat(folder)
    patterns = all_patterns(boat)
    after = [pattern for pattern in patterns if "sternpost" in pattern.name]
    assert after
    for pattern in after:
        assert "bow-shed oak, aft rack" in pattern.stock + " ".join(pattern.facts)
        said = " ".join((pattern.stock, *pattern.facts, *(mark.name for mark in pattern.marks)))
        for wrong in ("stern-shed", "forward rack", "sternpost batten"):
            assert wrong not in said


@pytest.mark.slow
def test_a_sternpost_that_fills_the_room_has_nothing_to_notch(tmp_path: Path) -> None:
    hook = (
        '[breasthook]\nlength = "260 mm"\nsided = "20 mm"\nthroat = "150 mm"\ntoe = "30 mm"\n'
        'stock = "fir"\nstem = "notched"\n'
    )
    folder = write_double_ender(tmp_path, more=hook)
    file = folder / "design.toml"
    file.write_text(file.read_text(encoding="utf-8").replace('"44 mm"', '"170 mm"'), encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        all_patterns(load_boat(folder))
    found = [problem for problem in caught.value.problems if problem.place == "design.toml, [breasthook]"]
    assert [("sternpost" in problem.what) for problem in found] == [False, True]
    assert all('stem = "butted"' in str(problem) for problem in found)
