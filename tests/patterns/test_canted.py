"""Canted frames on the boat of planes: every face against the planes themselves, point by point."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns.boat import load_boat
from patterns.errors import DesignError
from patterns.hull.planes import FloatArray
from patterns.members import all_patterns
from patterns.pattern import Pattern
from tests.patterns.plane_boat import (
    BOTTOM_NORMAL,
    BOTTOM_T,
    SIDE_NORMAL,
    SIDE_T,
    bottom_over,
    clear_of_timbers,
    sheer,
    side_over,
    write_plane_boat,
)

FRAME = """
[[frame]]
name = "{name}"
at = "{at}"
cant = "{cant}"
sided = "24 mm"
moulded_side = "70 mm"
moulded_bottom = "90 mm"
siding_runs = "{runs}"
stock = "oak"
"""
FRAMES = {
    "aft": {"at": "2500 mm", "cant": "22 deg", "runs": "aft"},
    "forward": {"at": "1500 mm", "cant": "-17 deg", "runs": "forward"},
    "against": {"at": "1430 mm", "cant": "9 deg", "runs": "forward"},
    "stem": {"at": "405 mm", "cant": "-12 deg", "runs": "forward"},
}
CANT = {"aft": 22.0, "forward": -17.0, "against": 9.0, "stem": -12.0}
BOTTOM_IN, SIDE_IN = -BOTTOM_T, -SIDE_T  # signed distances of the insides


def _design(folder: Path, frames: str) -> Path:
    write_plane_boat(folder, sided="40 mm")
    design = folder / "design.toml"
    design.write_text(design.read_text(encoding="utf-8") + frames, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def patterns(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Pattern]:
    frames = "".join(FRAME.format(name=name, **keys) for name, keys in FRAMES.items())
    boat = load_boat(_design(tmp_path_factory.mktemp("canted"), frames))
    return {p.name.removeprefix("frame "): p for p in all_patterns(boat) if p.member == "frame"}


@pytest.mark.slow
@pytest.mark.parametrize("name", FRAMES)
def test_the_plane_is_turned_about_the_vertical_on_the_centreline(
    patterns: dict[str, Pattern], name: str
) -> None:
    """Starboard ends go aft by y tan(cant), and so the plane's own breadths are y / cos(cant)."""
    plane, cant = patterns[name].plane, np.radians(CANT[name])
    assert plane is not None
    at = float(FRAMES[name]["at"].removesuffix(" mm"))
    point = np.array([at + 400.0 * np.tan(cant), 400.0, 312.0])
    assert plane.height_over(point) == pytest.approx(0.0, abs=1e-9)
    assert plane.flat(point) == pytest.approx([400.0 / np.cos(cant), 312.0], abs=1e-9)


@pytest.mark.slow
@pytest.mark.parametrize("name", FRAMES)
def test_bevels_are_those_of_the_planes(patterns: dict[str, Pattern], name: str) -> None:
    """Source: the angle through the wood between two planes is 180 degrees less the angle of their normals.

    The heel is cut by the centreline plane: the piece leaves its frame's plane by the cant.
    """
    pattern = patterns[name]
    assert pattern.plane is not None
    outward = {
        "bottom": BOTTOM_NORMAL, "side": SIDE_NORMAL, "heel": np.array([0.0, -1.0, 0.0])
    }  # fmt: skip
    seen = set()
    for readings, face_outward in (
        (pattern.readings, -pattern.siding * pattern.plane.normal),
        (pattern.behind_readings, pattern.siding * pattern.plane.normal),
    ):
        for reading in readings:
            if reading.edge in outward:
                closed = np.pi - np.arccos(face_outward @ outward[reading.edge])
                limit = 0.5 if reading.all_along else 0.02  # what is square to half a degree is read once
                assert np.degrees(abs(reading.bevel - closed)) < limit
                seen.add(reading.edge)
    assert seen >= {"side", "heel"}
    heel = next(r for r in pattern.readings if r.edge == "heel")
    assert np.degrees(heel.bevel) == pytest.approx(90.0 - pattern.siding * CANT[name], abs=1e-6)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["aft", "forward", "against"])
def test_both_faces_are_wood_just_where_the_planes_leave_it(patterns: dict[str, Pattern], name: str) -> None:
    """Random points on both faces: in the wood of the pattern exactly where brute force says so."""
    body = patterns[name].body
    assert body is not None
    assert body.mirrored
    rng = np.random.default_rng(7)
    faces = (body.plane, body.moulded), (body.plane.moved(body.depth), body.other)

    def depths(uv: FloatArray, plane_normal: FloatArray, points: FloatArray) -> FloatArray:
        """Inside of both mouldings: in the plane, square to each trace."""
        side = (SIDE_IN - side_over(points)) / np.linalg.norm(np.cross(SIDE_NORMAL, plane_normal))
        bottom = (BOTTOM_IN - bottom_over(points)) / np.linalg.norm(np.cross(BOTTOM_NORMAL, plane_normal))
        return (side > 70.0) & (bottom > 90.0)

    for plane, area in faces:
        u0, v0, u1, v1 = area.bounds
        uv = rng.uniform((u0 - 20.0, v0 - 20.0), (u1 + 20.0, v1 + 20.0), (20_000, 2))
        clear = shapely.distance(area.boundary, shapely.points(uv)) > 0.05
        uv = uv[clear]
        void = np.ones(len(uv), dtype=bool)
        for other, _ in faces:
            void &= depths(uv, other.normal, other.space(uv))
        expected = clear_of_timbers(plane.space(uv)) & ~void
        found = shapely.contains_xy(area, uv[:, 0], uv[:, 1])
        assert found.sum() > 1000
        assert np.array_equal(found, expected)


@pytest.mark.slow
def test_the_heel_stands_on_the_centreline_on_both_faces(patterns: dict[str, Pattern]) -> None:
    """The cut along the centreline moves over the wood's thickness by siding x tan(cant)."""
    for name in FRAMES:
        body = patterns[name].body
        assert body is not None
        for plane, area in ((body.plane, body.moulded), (body.plane.moved(body.depth), body.other)):
            corners = plane.space(np.asarray(area.exterior.coords))
            assert corners[:, 1].min() == pytest.approx(0.0, abs=1e-6)
        shift = body.other.bounds[0] - body.moulded.bounds[0]
        assert shift == pytest.approx(body.depth * np.tan(np.radians(CANT[name])), abs=1e-6)


@pytest.mark.slow
def test_a_canted_frame_at_the_bow_stands_over_the_stem(patterns: dict[str, Pattern]) -> None:
    """The stem's after face lies 90 mm, square to it, inside of its straight rabbet line."""
    body = patterns["stem"].body
    assert body is not None
    aft = np.array([0.22, 0.0, 0.16]) / np.hypot(0.22, 0.16)
    for plane, area in ((body.plane, body.moulded), (body.plane.moved(body.depth), body.other)):
        corners = plane.space(np.asarray(area.exterior.coords))
        in_stem = corners[(corners[:, 1] < 19.99) & (corners[:, 2] < 640.0)]
        assert ((in_stem - np.array([250.0, 0.0, 300.0])) @ aft).min() > 89.9


@pytest.mark.slow
def test_the_breadths_for_setting_up_are_square_to_the_centreline(patterns: dict[str, Pattern]) -> None:
    """At the sheer of the frame that stands 22 degrees aft: deck and inside of planking meet there."""
    pattern = patterns["aft"]
    words = next(fact for fact in pattern.facts if fact.startswith("From the centreline"))
    low, high = 300.0, 1500.0
    for _ in range(80):  # the plane meets the inside of the side at the deck's height, found by halving
        y = 0.5 * (low + high)
        x = 2500.0 + y * np.tan(np.radians(22.0))
        inside = side_over(np.array([x, y, sheer(x)[1]])) + SIDE_T < 0.0
        low, high = (y, high) if inside else (low, y)
    assert f"sheer {y:.1f} mm" in words


@pytest.mark.slow
def test_the_piece_that_is_drawn_is_named(patterns: dict[str, Pattern]) -> None:
    """Looking forward starboard is on the right, looking aft port is."""
    assert patterns["forward"].face == "after face (moulded) of the starboard piece, seen looking forward"
    assert patterns["aft"].face == "forward face (moulded) of the port piece, seen looking aft"
    assert any(fact.startswith("The starboard piece: turn") for fact in patterns["aft"].facts)


def test_a_canted_frame_of_futtocks_is_refused(tmp_path: Path) -> None:
    keys = FRAMES["aft"] | {"cant": '3 deg"\npieces = "bottom across"\njoint = "butt"\nthrough = "lower'}
    with pytest.raises(DesignError, match="a canted frame's halves are one piece each"):
        load_boat(_design(tmp_path, FRAME.format(name="C", **keys)))


def test_a_frame_both_raked_and_canted_is_refused(tmp_path: Path) -> None:
    keys = FRAMES["aft"] | {"cant": '3 deg"\nrake = "2 deg'}
    with pytest.raises(DesignError, match="rake and cant are both given"):
        load_boat(_design(tmp_path, FRAME.format(name="C", **keys)))
