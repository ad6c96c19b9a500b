"""Every member of a boat of planes, from its typed table to its pattern, against closed forms."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns.boat import Boat, load_boat
from patterns.errors import DesignError
from patterns.hull.planes import FloatArray
from patterns.members import all_patterns
from patterns.members.stem import landing_at
from patterns.pattern import Kind, Line, Pattern
from tests.demo import demo_patterns
from tests.patterns.plane_boat import (
    BOTTOM_NORMAL,
    BOTTOM_T,
    HALF,
    RAKE,
    SIDE_NORMAL,
    SIDE_T,
    TRANSOM_X0,
    bottom_over,
    keel_z,
    side_over,
    stem_x,
    write_plane_boat,
)


@pytest.fixture(scope="module")
def boat(tmp_path_factory: pytest.TempPathFactory) -> Boat:
    return load_boat(write_plane_boat(tmp_path_factory.mktemp("plane")))


@pytest.fixture(scope="module")
def patterns(boat: Boat) -> dict[str, Pattern]:
    return {pattern.name: pattern for pattern in all_patterns(boat)}


def _normal(strake: str) -> FloatArray:
    return BOTTOM_NORMAL if strake == "bottom" else SIDE_NORMAL


def _over(strake: str, points: FloatArray) -> FloatArray:
    """How far points stand outside of the strake's inside face."""
    return bottom_over(points) + BOTTOM_T if strake == "bottom" else side_over(points) + SIDE_T


def _area(pattern: Pattern, kind: Kind) -> shapely.Polygon:
    """A half's wood as an area: its runs from centreline to centreline, less the holes in it."""
    lines = pattern.of_kind(kind)
    runs = [line.points for line in lines if not line.closed]
    return shapely.Polygon(np.vstack(runs), [line.points for line in lines if line.closed])


@pytest.mark.slow
def test_all_members_are_made(patterns: dict[str, Pattern]) -> None:
    assert list(patterns) == [
        "frame A",
        "frame B",
        "transom panel",
        "transom framing",
        "inner stem",
        "outer stem",
        "transom knee",
        "breasthook",
        "keel, ends",
        "chine log, ends",
        "clamp, ends",
    ]


@pytest.mark.slow
@pytest.mark.parametrize("name", ["frame A", "frame B", "transom panel", "transom framing"])
def test_hull_edges_lie_on_the_inside_of_planking_on_both_faces(
    patterns: dict[str, Pattern], name: str
) -> None:
    pattern = patterns[name]
    assert pattern.plane is not None
    plane = {
        "moulded face": pattern.plane,
        "other face": pattern.plane.moved(pattern.siding * pattern.thickness),
    }
    seen = set()
    for edge in pattern.edges:
        if edge.strake == "deck":
            continue
        face = plane[edge.face]
        points = face.space(edge.uv)
        assert np.abs(_over(edge.strake, points)).max() < 0.002
        seen.add((edge.face, edge.strake))
    assert len(seen) == 4


@pytest.mark.slow
@pytest.mark.parametrize("name", ["frame A", "frame B", "transom panel", "transom framing"])
def test_bevels_are_those_of_the_planes(patterns: dict[str, Pattern], name: str) -> None:
    """Source: the angle through the wood between two planes is 180 degrees less the angle of their normals."""
    pattern = patterns[name]
    assert pattern.plane is not None
    face_outward = -pattern.siding * pattern.plane.normal
    readings = [reading for reading in pattern.readings if reading.edge != "deck"]
    assert len(readings) >= 4
    for reading in readings:
        closed = np.pi - np.arccos(face_outward @ _normal(reading.edge))
        assert np.degrees(abs(reading.bevel - closed)) < 0.02


@pytest.mark.slow
def test_siding_runs_away_from_the_greatest_breadth_and_most_bevels_are_under(
    patterns: dict[str, Pattern],
) -> None:
    """Frames drawn on the face towards amidships have under bevels.

    Source: essay on the frames of La Belle, tangencypress.com/essay/1, citing Chapelle 1969:135-136.
    """
    frame = patterns["frame A"]
    assert frame.siding == -1.0
    assert all(reading.bevel < np.pi / 2 for reading in frame.readings if reading.edge == "side")


@pytest.mark.slow
@pytest.mark.parametrize("name", ["frame A", "frame B", "transom framing"])
def test_moulding_is_the_least_depth_on_both_faces(patterns: dict[str, Pattern], name: str) -> None:
    pattern = patterns[name]
    side, bottom = (70.0, 70.0) if name == "transom framing" else (70.0, 90.0)
    inner = shapely.MultiLineString([line.points for line in _inner_edges(pattern)])
    least = {"side": np.inf, "bottom": np.inf}
    for edge in pattern.edges:
        if edge.strake == "deck":
            continue
        middle = shapely.MultiPoint(edge.uv[len(edge.uv) // 5 : -len(edge.uv) // 5])
        least[edge.strake] = min(least[edge.strake], float(shapely.distance(middle, inner)))
    assert least["side"] == pytest.approx(side, abs=0.02)
    assert least["bottom"] == pytest.approx(bottom, abs=0.02)


def _inner_edges(pattern: Pattern) -> list[Line]:
    """The stretches of the moulded face's outline that lie well inside of the planking."""
    found = []
    hull = shapely.MultiLineString([e.uv for e in pattern.edges if e.face == "moulded face"])
    for line in pattern.of_kind(Kind.FACE):
        far = np.array([shapely.distance(shapely.Point(p), hull) for p in line.points]) > 55.0
        if far.any():
            inside = np.nonzero(far)[0]
            found.append(replace(line, points=line.points[inside.min() : inside.max() + 1]))
    return found


@pytest.mark.slow
@pytest.mark.parametrize("name", ["frame A", "frame B", "transom panel", "transom framing"])
def test_the_saw_line_is_the_outer_of_the_two_faces(patterns: dict[str, Pattern], name: str) -> None:
    pattern = patterns[name]
    saw = _area(pattern, Kind.SAW).buffer(1e-6)
    for kind in (Kind.FACE, Kind.OTHER):
        for line in pattern.of_kind(kind):
            assert saw.covers(shapely.MultiPoint(line.points))


@pytest.mark.slow
def test_the_transom_panel_s_after_face_lies_on_the_raked_plane(patterns: dict[str, Pattern]) -> None:
    panel = patterns["transom panel"]
    assert panel.plane is not None
    assert panel.plane.rake == pytest.approx(RAKE, abs=1e-9)
    assert panel.plane.origin[0] == pytest.approx(TRANSOM_X0, abs=1e-4)
    # The hull widens forward of it, so its edges stand; the framing behind is larger than the panel's face.
    assert all(r.bevel > np.pi / 2 for r in panel.readings if r.edge == "bottom")
    framing = patterns["transom framing"]
    assert framing.plane is not None
    assert framing.plane.origin[0] - panel.plane.origin[0] == pytest.approx(-18.0 * np.cos(RAKE), abs=1e-6)


@pytest.mark.parametrize("height", [150.0, 350.0, 600.0])
def test_planking_lands_on_the_stem_as_its_planes_say(boat: Boat, height: float) -> None:
    """Bearding and face at a half siding of 30 mm, in the plane square to the stem's rabbet line."""
    profile = boat.hull.profile
    t = float(profile.t_at_height(height))  # type: ignore[attr-defined]
    landing = landing_at(boat.hull, t, 30.0)
    assert landing.at == pytest.approx((stem_x(height), height), abs=1e-6)
    into = np.array([0.22, 0.0, 0.16]) / np.hypot(0.22, 0.16)  # square to the stem, into the boat
    here = np.array([stem_x(height), 0.0, height])
    # The inside face: (point - outer point) . n = -t, on the line here + y outboard + v into the boat.
    outboard = np.array([0.0, 1.0, 0.0])
    at_zero = side_over(here[None, :])[0] + SIDE_T
    face = -at_zero / float(outboard @ SIDE_NORMAL)
    assert landing.face == pytest.approx(face, abs=0.01)
    bearding = -(at_zero + 30.0 * float(outboard @ SIDE_NORMAL)) / float(into @ SIDE_NORMAL)
    assert landing.bearding == pytest.approx(bearding, abs=0.01)
    assert landing.bevel == pytest.approx(np.pi - np.arccos(outboard @ SIDE_NORMAL), abs=1e-6)


@pytest.mark.parametrize("x", [700.0, 1200.0, 3000.0])
def test_planking_lands_on_the_stem_s_foot_where_the_keel_runs_nearly_level(boat: Boat, x: float) -> None:
    """The keel rises 1 in 100: the plane square to it runs all but along the straight sections of the bottom."""
    profile = boat.hull.profile
    landing = landing_at(boat.hull, float(profile.t_at_x(x)), 30.0)  # type: ignore[attr-defined]
    up = np.array([0.010, 0.0, 1.0]) / np.hypot(0.010, 1.0)  # square to the keel, into the boat
    outboard = np.array([0.0, 1.0, 0.0])
    at_zero = bottom_over(np.array([[x, 0.0, keel_z(x)]]))[0] + BOTTOM_T
    bearding = -(at_zero + 30.0 * float(outboard @ BOTTOM_NORMAL)) / float(up @ BOTTOM_NORMAL)
    assert landing.at == pytest.approx((x, keel_z(x)), abs=1e-6)
    assert landing.bearding == pytest.approx(bearding, abs=0.01)
    assert landing.face == pytest.approx(-at_zero / float(outboard @ BOTTOM_NORMAL), abs=0.01)
    assert landing.bevel == pytest.approx(np.pi - np.arccos(outboard @ BOTTOM_NORMAL), abs=1e-6)


def test_bearding_is_thickness_over_the_sine_of_the_angle_to_the_stem_s_side(boat: Boat) -> None:
    """At the rabbet's own half siding the bearding lies t / sin a from it, a the angle of plank and stem's side.

    Source: Chapelle, Boatbuilding, p. 107 (rabbet and bearding line), as quoted; trigonometry of the plank.
    """
    t = float(boat.hull.profile.t_at_height(400.0))  # type: ignore[attr-defined]
    landing = landing_at(boat.hull, t, HALF)
    angle = np.arccos(np.array([0.0, 1.0, 0.0]) @ SIDE_NORMAL)
    assert landing.bearding == pytest.approx(SIDE_T / np.sin(angle), abs=0.01)


@pytest.mark.slow
def test_a_rabbeted_stem_has_its_apex_square_to_the_plank_s_edge(tmp_path: Path) -> None:
    """The apex lies the plank's thickness from its outer face, square to it, at the rabbet.

    Source: from the shipyard of the Maryland Dove, marylanddove.org (rabbet, apex and bearding line).
    """
    made = load_boat(write_plane_boat(tmp_path, construction="rabbeted", sided="40 mm"))
    stem = next(pattern for pattern in all_patterns(made) if pattern.name == "stem")
    apex = np.vstack([line.points for line in stem.of_kind(Kind.APEX)])
    rabbet = np.vstack([line.points for line in stem.of_kind(Kind.RABBET)])
    straight = apex[apex[:, 1] > 80.0]
    moved_by = -SIDE_T * SIDE_NORMAL[[0, 2]]
    line = shapely.LineString(rabbet + moved_by)
    assert max(line.distance(shapely.Point(p)) for p in straight) < 0.01
    assert len(straight) > 50
    assert np.abs(rabbet[:, 0] - stem_x(rabbet[:, 1])).max() < 1e-4  # type: ignore[arg-type]


@pytest.mark.slow
def test_the_transom_knee_fits_the_angle_of_its_two_members(patterns: dict[str, Pattern]) -> None:
    """Keel top parallel to the line in which the bottom's insides meet; transom raked 12 degrees."""
    knee = patterns["transom knee"]
    outline = knee.of_kind(Kind.SAW)[0].points
    slope = np.arctan(0.010)
    closed = 90.0 - np.degrees(slope) + 12.0
    assert f"{round(2.0 * closed) / 2.0:g}°" in knee.facts[1]
    over = outline[:2]
    # The foot stands 30 mm, square to the keel's run, above the apex: where the inside of the bottom has y = 0.
    inside = bottom_over(np.array([[x, 0.0, z] for x, z in over])) + BOTTOM_T
    normal_in_profile = np.hypot(BOTTOM_NORMAL[0], BOTTOM_NORMAL[2])
    assert np.allclose(-inside / normal_in_profile, 30.0, atol=0.01)
    # The other leg lies on the forward face of the centre post: panel and framing inside the after face.
    ahead = (outline[:, 0] - TRANSOM_X0) * np.cos(RAKE) - outline[:, 1] * np.sin(RAKE)
    assert ahead.max() == pytest.approx(-38.0, abs=0.01)
    assert (np.abs(ahead + 38.0) < 0.01).sum() >= 2
    toe_to_toe = next(span for span in knee.spans if span.name == "toe to toe")
    chord = np.hypot(toe_to_toe.end[0] - toe_to_toe.start[0], toe_to_toe.end[1] - toe_to_toe.start[1])
    law_of_cosines = np.sqrt(300**2 + 250**2 - 2 * 300 * 250 * np.cos(np.radians(closed)))
    assert chord == pytest.approx(law_of_cosines, abs=0.05)


@pytest.mark.slow
def test_the_breasthook_fits_the_clamps_inner_faces(patterns: dict[str, Pattern]) -> None:
    """Its edges lie on the plane of the side moved in by planking and clamp, on top and underneath."""
    hook = patterns["breasthook"]
    assert hook.plane is not None
    for edge in hook.edges:
        face = hook.plane
        if edge.face == "other face":
            face = face.moved(36.0 if face.normal[2] < 0 else -36.0)
        assert np.abs(side_over(face.space(edge.uv)) + SIDE_T + 20.0).max() < 0.01
    down = hook.plane.normal if hook.plane.normal[2] < 0 else -hook.plane.normal
    for reading in hook.readings:
        if reading.edge == "side":
            assert np.degrees(abs(reading.bevel - np.arccos(down @ SIDE_NORMAL))) < 0.02
    assert hook.plane.v[1] == 0.0  # square to the centreline plane


@pytest.mark.slow
def test_register_holes_go_through_wood_on_both_faces(patterns: dict[str, Pattern]) -> None:
    for name in ("frame A", "frame B", "transom panel", "transom framing", "breasthook"):
        pattern = patterns[name]
        holes = [hole for hole in pattern.holes if hole.purpose == "register hole"]
        assert len(holes) == 2
        for kind in (Kind.FACE, Kind.OTHER):
            wood = _area(pattern, kind)
            for hole in holes:
                spot = shapely.Point(hole.at).buffer(0.5 * hole.diameter)
                assert wood.covers(spot)


def test_keel_line_is_where_the_table_says(boat: Boat) -> None:
    x = np.array([700.0, 2000.0, 3500.0])
    points = boat.hull.profile.at(boat.hull.profile.t_at_x(x))
    assert np.allclose(points[:, 2], [keel_z(v) for v in x], atol=1e-6)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("sided", "words"),
    [("20 mm", "nothing to land on"), ("400 mm", "the planking does not land on the stem")],
)
def test_a_stem_that_the_planking_cannot_land_on_is_refused(tmp_path: Path, sided: str, words: str) -> None:
    made = load_boat(write_plane_boat(tmp_path, sided=sided))
    with pytest.raises(DesignError, match=words):
        all_patterns(made)


@pytest.mark.slow
def test_the_transom_knee_has_the_throat_that_was_asked_for(patterns: dict[str, Pattern]) -> None:
    knee = patterns["transom knee"]
    outline = shapely.Polygon(knee.of_kind(Kind.SAW)[0].points)
    throat = next(mark for mark in knee.marks if mark.name.startswith("throat"))
    assert outline.exterior.distance(shapely.Point(throat.at)) < 0.02
    along = next(span for span in knee.spans if span.name == "along the keel")
    corner = np.array(along.start)
    assert np.hypot(*(np.array(throat.at) - corner)) == pytest.approx(110.0, abs=1e-9)


@pytest.mark.slow
def test_the_demo_s_bearding_line_is_one_line() -> None:
    stem = next(pattern for pattern in demo_patterns() if pattern.name == "inner stem")
    [line] = stem.of_kind(Kind.BEARDING)
    assert shapely.LineString(line.points).is_simple
