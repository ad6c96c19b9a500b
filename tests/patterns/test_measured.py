"""Lengths, marks, end cuts, twist and bend of timbers against closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.boat import Boat, load_boat
from patterns.hull.planes import FloatArray, Plane, station_plane
from patterns.joinery.crossings import crossings
from patterns.timbers.laying import laid_section, run_on
from patterns.timbers.measured import TimberSizes, measured, off_square
from patterns.timbers.run import End, Run
from patterns.timbers.skins import Skin
from tests.patterns.plane_boat import BOTTOM_NORMAL, RAKE, SIDE_NORMAL, write_plane_boat
from tests.patterns.test_strips import Cylinder


@pytest.fixture(scope="module")
def boat(tmp_path_factory: pytest.TempPathFactory) -> Boat:
    return load_boat(write_plane_boat(tmp_path_factory.mktemp("measured") / "boat"))


def _of(boat: Boat, name: str) -> TimberSizes:
    return measured(next(run for run in boat.runs if run.name == name))


def _ended(rails: FloatArray, first: int, last: int) -> Run:
    """A timber made of rails from aft forward, cut square to its run at two of its places."""

    def square(place: int) -> Plane:
        middle = rails.mean(axis=1)
        along = middle[place + 1] - middle[place - 1]
        along = along / np.linalg.norm(along)
        beside = np.cross([0.0, 0.0, 1.0], along)
        beside = beside / np.linalg.norm(beside)
        return Plane(origin=middle[place], u=beside, v=np.cross(along, beside))

    return Run(
        name="stick",
        kind="stringer",
        mirrored=True,
        rails=run_on(rails),
        ends=tuple(End(plane=square(p), out=out) for p, out in ((first, -1.0), (last, 1.0))),  # type: ignore[arg-type]
        lies_on=("side", "", "", ""),
        across=30.0,
        deep=18.0,
    )


def _helix(radius: float, angle: float) -> FloatArray:
    """A helix on a cylinder about x, from aft forward, at an angle to its axis; 10 mm steps."""
    s = np.arange(0.0, 2000.0, 10.0)
    around = 0.3 + s * np.sin(angle) / radius
    return np.column_stack([2500.0 - s * np.cos(angle), radius * np.sin(around), -radius * np.cos(around)])


@pytest.mark.parametrize("degrees", [10.0, 30.0])
def test_a_batten_along_a_helix_bends_and_twists_as_the_helix_does(degrees: float) -> None:
    """On a cylinder of radius R at an angle a to its axis: bend sin(a)^2 / R, twist sin(a) cos(a) / R, no edge set.

    Source: normal curvature (Euler's theorem) and geodesic torsion of a curve on a cylinder, any book on the
    differential geometry of surfaces (from memory).
    """
    radius, angle = 900.0, np.radians(degrees)
    skin = Skin(pieces=(Cylinder(radius),), inset=0.0)
    rails = laid_section(_helix(radius, angle), skin, across=30.0, deep=18.0, upward=1.0)
    sizes = measured(_ended(rails, 20, 180))
    # The middle of the timber between its square edges lies 9 mm within the cylinder, and turns with it.
    within = radius - 9.0
    steeper = np.arctan(np.tan(angle) * within / radius)
    assert sizes.bend(edgewise=False).radius == pytest.approx(within / np.sin(steeper) ** 2, rel=0.01)
    assert sizes.bend(edgewise=True).radius > 50.0 * radius
    rate, _ = sizes.most_twist
    assert abs(rate) == pytest.approx(1000.0 * np.sin(angle) * np.cos(angle) / radius, rel=0.01)
    assert abs(sizes.twists[-1]) == pytest.approx(
        1.6 * np.sin(angle) * np.cos(angle) / radius * 1000.0, rel=0.02
    )
    assert sizes.run.length == pytest.approx(1600.0, rel=0.005)


def test_a_strip_that_turns_about_a_straight_line_twists_by_its_own_angle() -> None:
    """A helicoid: across turns evenly by 0.5 radians in a metre about a straight run."""
    s = np.arange(0.0, 2010.0, 10.0)
    turn = 0.5e-3 * s
    across = np.column_stack([np.zeros_like(s), np.cos(turn), np.sin(turn)])
    off = np.column_stack([np.zeros_like(s), -np.sin(turn), np.cos(turn)])
    line = np.column_stack([2500.0 - s, np.full_like(s, 400.0), np.zeros_like(s)])
    corners = [line + a * across + b * off for a, b in ((-15, 9), (15, 9), (15, -9), (-15, -9))]
    sizes = measured(_ended(np.stack(corners, axis=1), 10, 190))
    assert abs(sizes.twists[-1]) == pytest.approx(0.9, abs=0.006)
    assert abs(sizes.most_twist[0]) == pytest.approx(0.5, abs=1e-4)


def test_a_level_ring_bends_to_its_own_radius() -> None:
    """Bent flat round a circle of 1500 mm: its middle, 9 mm within, to 1491; its back is R times the angle long.

    Bent edgewise it is told by its inner edges.
    """
    turn = np.arange(0.0, 1.0, 0.008)

    def ring(radius: float, z: float) -> FloatArray:
        return np.column_stack([2000.0 - radius * np.sin(turn), radius * np.cos(turn), np.full_like(turn, z)])

    rails = np.stack([ring(1500.0, 0.0), ring(1500.0, 30.0), ring(1482.0, 30.0), ring(1482.0, 0.0)], axis=1)
    sizes = measured(_ended(rails, 10, 110))
    assert sizes.bend(edgewise=False).radius == pytest.approx(1491.0, abs=1.0)
    assert sizes.bend(edgewise=True).radius > 1e6
    assert sizes.run.length == pytest.approx(1500.0 * 0.8, abs=0.1)
    edge = measured(_ended(rails[:, [1, 2, 3, 0]], 10, 110))
    assert edge.bend(edgewise=True).radius == pytest.approx(1482.0, abs=1.0)
    assert edge.bend(edgewise=False).radius > 1e6


def test_a_straight_timber_neither_bends_nor_twists(boat: Boat) -> None:
    for name in ("chine log", "clamp", "keel"):
        sizes = _of(boat, name)
        assert sizes.bend(edgewise=False).radius > 1e8
        assert abs(np.degrees(sizes.twists[-1])) < 1e-4


def test_the_ends_of_a_chine_log_are_cut_to_the_angles_of_its_planes(boat: Boat) -> None:
    """On each face the cut runs where the end's plane meets the face: the vector product of their normals."""
    sizes = _of(boat, "chine log")
    along = np.cross(SIDE_NORMAL, BOTTOM_NORMAL)
    along = along / np.linalg.norm(along)
    up = np.cross(along, SIDE_NORMAL)
    for which, end in ((0, np.array([np.cos(RAKE), 0.0, -np.sin(RAKE)])), (1, np.array([0.0, 1.0, 0.0]))):
        cut = sizes.end_cut(which)
        for got, face in ((cut.on_back, SIDE_NORMAL), (cut.on_edge, up)):
            line = np.cross(face, end)
            want = np.arccos(abs(line @ along) / np.linalg.norm(line))
            assert np.degrees(got) == pytest.approx(np.degrees(want), abs=1e-4)
    after = sizes.end_cut(0)
    aft = along * np.copysign(1.0, along[0])
    assert after.in_plan == pytest.approx(np.arctan2(aft[1], aft[0]), abs=1e-6)
    assert after.in_profile == pytest.approx(np.arctan2(aft[2], aft[0]) + RAKE, abs=1e-6)


def test_frames_are_marked_where_the_square_edge_passes_them(boat: Boat) -> None:
    """Frame A stands at x = 1200: the mark lies as far from the after end as the straight edge is long to there."""
    sizes = _of(boat, "chine log")
    along = np.cross(SIDE_NORMAL, BOTTOM_NORMAL)
    along = along / np.linalg.norm(along)
    tip = sizes.run.corners[0, 1]
    marks = {mark.name: mark for mark in crossings(boat, sizes)}
    assert marks["frame A"].at == pytest.approx(abs((tip[0] - 1200.0) / along[0]), abs=1e-3)
    assert marks["frame A"].at == pytest.approx(marks["station 2"].at)
    lean = np.array([np.cos(np.radians(5.0)), 0.0, -np.sin(np.radians(5.0))])
    over = (tip - [2500.0, 0.0, 0.0]) @ lean
    assert marks["frame B"].at == pytest.approx(abs(over / (along @ lean)), abs=1e-3)
    assert [mark.at for mark in crossings(boat, sizes)] == sorted(mark.at for mark in marks.values())
    # The bevel of the edge that lies on the bottom: the angle between inner face (side) and bottom.
    want = np.pi - np.arccos(SIDE_NORMAL @ BOTTOM_NORMAL)
    assert marks["frame A"].bevel == pytest.approx(np.pi - want, abs=1e-6)


def test_the_stick_is_as_wide_as_its_bevelled_edge_stands_out(boat: Boat) -> None:
    lean = np.arccos(SIDE_NORMAL @ BOTTOM_NORMAL) - 0.5 * np.pi
    out = -20.0 * np.tan(lean)
    assert _of(boat, "chine log").widest[0] == pytest.approx(45.0 + max(out, 0.0), abs=1e-3)


def test_a_station_beyond_its_ends_is_no_mark(boat: Boat) -> None:
    assert _of(boat, "chine log").passing("far", station_plane(5000.0)) is None


@given(st.floats(-np.pi / 2 + 0.01, np.pi / 2 - 0.01), st.floats(-np.pi, np.pi), st.booleans())
def test_a_cut_is_off_square_by_the_same_angle_whichever_way_its_normal_points(
    off: float, heading: float, turned: bool
) -> None:
    run = np.array([np.cos(heading), np.sin(heading)])
    normal = np.array([np.cos(heading - off), np.sin(heading - off)]) * (-1.0 if turned else 1.0)
    assert off_square(run, normal) == pytest.approx(off, abs=1e-9)
