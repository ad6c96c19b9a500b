"""Piece against piece: boxes and wedges whose overlaps and gaps are known."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from patterns.assembly.contacts import MEETS, OVERLAPS, contacts
from patterns.assembly.plate import CLEAR, Plate, plates
from patterns.assembly.stack import stacks
from patterns.hull.planes import Plane, station_plane
from patterns.pattern import Body


def box(name: str, x: float, y: float, z: float, dx: float, dy: float, dz: float) -> Plate:
    """A box with its corner at (x, y, z); its moulded face is the forward one."""
    area = shapely.box(y, z, y + dy, z + dz)
    return Plate(piece=name, body=Body(plane=station_plane(x), depth=dx, moulded=area, other=area))


def test_depth_in_a_box_is_the_distance_to_its_nearest_side() -> None:
    solid = box("a", 100.0, 0.0, 0.0, 20.0, 200.0, 300.0)
    points = np.array([
        [110.0, 100.0, 150.0], [103.0, 100.0, 150.0], [110.0, 4.0, 150.0], [110.0, 100.0, 298.0],
        [90.0, 100.0, 150.0], [110.0, 203.0, 150.0], [123.0, 204.0, 150.0],
    ])  # fmt: skip
    assert solid.depth(points) == pytest.approx([10.0, 3.0, 4.0, 2.0, -10.0, -3.0, -5.0])


def test_a_bevelled_edge_is_measured_square_to_itself() -> None:
    lean = np.radians(20.0)
    other = shapely.box(0.0, 0.0, 200.0 + 20.0 * np.tan(lean), 300.0)
    body = Body(
        plane=station_plane(0.0), depth=20.0, moulded=shapely.box(0.0, 0.0, 200.0, 300.0), other=other
    )
    solid = Plate(piece="a", body=body)
    at = np.array([10.0, 200.0 + 10.0 * np.tan(lean), 150.0])
    out = np.array([-np.sin(lean), np.cos(lean), 0.0])
    assert solid.depth(at + np.array([[0.0], [1.0], [-2.0]]) * out) == pytest.approx(
        [0.0, -1.0, 2.0], abs=1e-9
    )
    samples = solid.surface(5.0)
    right = samples.normals @ out > 0.9
    assert np.abs(solid.depth(samples.points[right])).max() < 1e-9
    assert right.sum() > 200
    assert np.abs(samples.normals[right] @ out - 1.0).max() < 1e-9


@pytest.mark.slow
@given(
    step=st.floats(2.0, 5.0),
    depth=st.sampled_from([-18.0, 18.0]),
    turn=st.floats(-0.4, 0.4),
    mirrored=st.booleans(),
    grow=st.sampled_from([0.0, -4.0, 5.0]),
)
@settings(max_examples=10)
def test_every_sample_lies_on_the_surface_and_looks_out(
    step: float, depth: float, turn: float, mirrored: bool, grow: float
) -> None:
    area = shapely.Polygon([(0, 0), (120, 10), (110, 60), (60, 40), (10, 80)])
    area = area.difference(shapely.Point(60, 25).buffer(6.0))
    body = Body(
        plane=station_plane(50.0, rake=turn),
        depth=depth,
        moulded=area,
        other=shapely.buffer(area, grow, join_style="mitre"),
        mirrored=mirrored,
    )
    for solid in plates("knee", body):
        samples = solid.surface(step)
        assert np.abs(solid.depth(samples.points)).max() < 0.011
        assert (solid.depth(samples.points + 0.03 * samples.normals) < 0.0).mean() > 0.97
        assert (solid.depth(samples.points - 0.03 * samples.normals) > -1e-3).mean() > 0.97


@pytest.mark.parametrize("gap", [0.0, 0.1, 0.7, 1.5])
def test_faces_across_a_gap(gap: float) -> None:
    a = box("a", 0.0, 0.0, 0.0, 20.0, 100.0, 100.0)
    b = box("b", 20.0 + gap, 20.0, 20.0, 20.0, 100.0, 100.0)
    (found,) = contacts([a, b])
    assert found.overlap < 1e-9
    assert (found.open > 0) == (gap > MEETS)
    assert (found.touching > 0) == (gap <= MEETS)
    assert found.gap == pytest.approx(gap if gap > MEETS else 0.0, abs=1e-9)


@pytest.mark.parametrize(("turn", "a_joint"), [(0.0, True), (10.0, True), (20.0, True), (39.0, False)])
def test_a_face_that_turns_away_is_no_joint(turn: float, a_joint: bool) -> None:
    """Two faces 0.3 mm apart at the foot, that open upward: a bad fit while they are near to parallel."""
    a = box("a", 0.0, 0.0, 0.0, 20.0, 100.0, 100.0)
    lean = 100.0 * np.tan(np.radians(turn))
    area = shapely.Polygon([(100.3, 0.0), (260.0, 0.0), (260.0, 100.0), (100.3 + lean, 100.0)])
    b = Plate(piece="b", body=Body(plane=station_plane(0.0), depth=20.0, moulded=area, other=area))
    found = list(contacts([a, b]))
    assert [contact.open > 0 for contact in found] == [True] * a_joint


def test_faces_side_by_side_in_one_plane_are_no_joint() -> None:
    a = box("a", 0.0, 0.0, 0.0, 20.0, 100.0, 100.0)
    assert list(contacts([a, box("b", 0.0, 101.0, 150.0, 20.0, 100.0, 100.0)])) == []
    assert list(contacts([a, box("b", 21.0, 101.0, 0.0, 20.0, 100.0, 100.0)])) == []


@pytest.mark.parametrize("deep", [0.05, 0.15, 3.0])
def test_an_overlap_is_as_deep_as_it_is(deep: float) -> None:
    a = box("a", 0.0, 0.0, 0.0, 20.0, 100.0, 100.0)
    b = box("b", 4.0, 100.0 - deep, 20.0, 12.0, 50.0, 50.0)
    (found,) = contacts([a, b])
    assert found.overlap == pytest.approx(deep, abs=0.011)
    assert (found.overlap > OVERLAPS) == (deep > OVERLAPS)
    x, y, z = found.overlap_at
    assert 4.0 <= x <= 16.0
    assert 100.0 - deep <= y <= 100.0 + 1e-9
    assert 20.0 <= z <= 70.0


def test_a_small_tenon_in_a_large_face_is_not_missed() -> None:
    a = box("a", 0.0, 0.0, 0.0, 200.0, 200.0, 200.0)
    peg = box("peg", 197.0, 98.0, 98.0, 50.0, 4.0, 4.0)
    (found,) = contacts([a, peg])
    assert found.overlap == pytest.approx(3.0, abs=0.02)


def test_port_is_the_mirror_of_starboard() -> None:
    area = shapely.box(10.0, 0.0, 60.0, 40.0)
    body = Body(
        plane=Plane(origin=np.zeros(3), u=np.array([0.0, 1.0, 0.0]), v=np.array([0.0, 0.0, 1.0])),
        depth=-12.0, moulded=area, other=area, mirrored=True,
    )  # fmt: skip
    starboard, port = plates("knee", body)
    inside = np.array([[-6.0, 30.0, 20.0]])
    assert starboard.depth(inside)[0] == pytest.approx(6.0)
    assert port.depth(inside)[0] <= -CLEAR
    assert port.depth(inside * [1.0, -1.0, 1.0])[0] == pytest.approx(6.0)
    assert port.box()[0][1] == pytest.approx(-60.0)


def test_a_stepped_piece_is_one_piece() -> None:
    """A half lap: 18 mm in all, the upper half of it cut back to 60 mm."""
    full, half = shapely.box(0.0, 0.0, 100.0, 40.0), shapely.box(0.0, 0.0, 60.0, 40.0)
    low = Body(plane=station_plane(0.0), depth=9.0, moulded=full, other=full)
    high = Body(plane=station_plane(9.0), depth=9.0, moulded=half, other=half)
    (piece,) = stacks("lapped", low, (high,))
    samples = piece.surface(5.0)
    on_glue = (np.abs(samples.points[:, 0] - 9.0) < 1e-6) & (samples.points[:, 1] < 59.0)
    assert not on_glue.any()
    assert np.abs(piece.depth(samples.points)).max() < 0.011
    other = Body(plane=station_plane(9.0), depth=9.0, moulded=shapely.box(60.0, 0.0, 150.0, 40.0),
                 other=shapely.box(60.0, 0.0, 150.0, 40.0))  # fmt: skip
    (found,) = contacts([piece, *stacks("mate", other, ())])
    assert found.overlap < 1e-6
    assert found.open == 0
    assert found.touching > 100
