"""Timbers as solids: their corners, ends, cuts and depths against closed forms on the boat of planes."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from patterns.boat import Boat, load_boat
from patterns.errors import PatternsError
from patterns.hull.planes import FloatArray, station_plane
from patterns.timbers.run import CLOSE, End, Run, check_follows, clipped
from tests.patterns.plane_boat import (
    BOTTOM_NORMAL,
    BOTTOM_T,
    RAKE,
    SIDE_NORMAL,
    SIDE_T,
    bottom_over,
    side_over,
    write_plane_boat,
)

INNER_TRANSOM = 3900.0 * np.cos(RAKE) - 18.0  # its distance from the origin along its own normal, mm


@pytest.fixture(scope="module")
def boat(tmp_path_factory: pytest.TempPathFactory) -> Boat:
    return load_boat(write_plane_boat(tmp_path_factory.mktemp("runs") / "boat"))


def _run(boat: Boat, name: str) -> Run:
    return next(run for run in boat.runs if run.name == name)


def _transom_over(points: FloatArray) -> FloatArray:
    return points @ np.array([np.cos(RAKE), 0.0, -np.sin(RAKE)]) - INNER_TRANSOM


def _axes() -> tuple[FloatArray, FloatArray, FloatArray]:
    """Along the chine forward, up the side across it, and out of the side."""
    along = np.cross(SIDE_NORMAL, BOTTOM_NORMAL)
    along = along / np.linalg.norm(along) * np.copysign(1.0, -along[0])
    up = np.cross(along, SIDE_NORMAL)
    return along, up * np.copysign(1.0, up[2]), SIDE_NORMAL


@pytest.mark.slow
def test_a_chine_log_lies_on_the_side_and_its_edge_on_the_bottom(boat: Boat) -> None:
    corners = _run(boat, "chine log").corners
    corner, free, inner, bevelled = np.moveaxis(corners, 1, 0)
    for points in (corner, free):
        assert np.abs(side_over(points) + SIDE_T).max() < 1e-6
    for points in (inner, bevelled):
        assert np.abs(side_over(points) + SIDE_T + 20.0).max() < 1e-6
    for points in (corner, bevelled):
        assert np.abs(bottom_over(points) + BOTTOM_T).max() < 1e-5
    along, up, _ = _axes()
    assert (free @ up - corner @ up) == pytest.approx(np.full(len(free), 45.0), abs=1e-6)
    assert (inner - free)[len(free) // 2] @ along == pytest.approx(0.0, abs=1e-6)


@pytest.mark.slow
def test_a_chine_log_ends_on_the_transom_s_panel_and_on_the_stem_s_side(boat: Boat) -> None:
    """Between two planes a straight timber is as long as from its farthest piercing point to that at the other."""
    run = _run(boat, "chine log")
    assert np.abs(_transom_over(run.corners[0])).max() < 1e-6
    assert run.corners[-1, :, 1] == pytest.approx([30.0] * 4, abs=1e-6)
    along, up, out = _axes()
    # The inside corner at any one place, from the two planes and x = 2000.
    rows = np.array([BOTTOM_NORMAL, SIDE_NORMAL, [1.0, 0.0, 0.0]])
    right = np.array([
        BOTTOM_NORMAL @ [0.0, 20.0, 40.0] - BOTTOM_T, SIDE_NORMAL @ [250.0, 20.0, 300.0] - SIDE_T, 2000.0
    ])  # fmt: skip
    corner = np.linalg.solve(rows, right)
    aft, fore = [], []
    normal = np.array([np.cos(RAKE), 0.0, -np.sin(RAKE)])
    tip = np.tan(np.arccos(SIDE_NORMAL @ BOTTOM_NORMAL) - 0.5 * np.pi)
    for a, b in ((0.0, 0.0), (45.0, 0.0), (45.0, 20.0), (20.0 * tip, 20.0)):
        point = corner + a * up - b * out
        aft.append(_transom_over(point) / (normal @ along))
        fore.append((30.0 - point[1]) / along[1])
    assert run.length == pytest.approx(max(aft) + max(fore), abs=0.01)


@pytest.mark.slow
def test_a_clamp_s_top_lies_under_the_deck(boat: Boat) -> None:
    """The deck is flat athwartships here: its underside is at the sheer's height, z = 700 - 0.03 x."""
    corners = _run(boat, "clamp").corners
    for j in (0, 3):
        assert np.abs(corners[:, j, 2] - (700.0 - 0.03 * corners[:, j, 0])).max() < 1e-3
    assert np.abs(side_over(corners[:, :2]) + SIDE_T).max() < 1e-6
    assert np.abs(side_over(corners[:, 2:]) + SIDE_T + 20.0).max() < 1e-6


@pytest.mark.slow
def test_a_keel_stands_on_the_bottom_s_inside_with_its_top_square_to_its_run(boat: Boat) -> None:
    run = _run(boat, "keel")
    apex, low, top, port_top, port_low = np.moveaxis(run.corners, 1, 0)
    assert np.abs(bottom_over(apex) + BOTTOM_T).max() < 1e-6
    assert np.abs(bottom_over(low) + BOTTOM_T).max() < 1e-6
    broad = top[:, 0] > 640.0
    assert np.allclose(top[broad, 1], 45.0)
    # Farther forward the sides stand nearer together than the keel is sided: it is planed to them.
    narrow = (top[:, 0] < 540.0) & (top[:, 1] < 45.0)
    assert narrow.sum() > 3
    assert np.abs(side_over(top[narrow]) + SIDE_T).max() < 0.01
    assert np.allclose(port_top * [1, -1, 1], top)
    assert np.allclose(port_low * [1, -1, 1], low)
    middle = len(apex) // 2
    assert np.linalg.norm((top - apex)[middle] * [1, 0, 1]) == pytest.approx(30.0, abs=1e-6)
    assert np.abs(_transom_over(apex[:1])).max() < 1e-6


@pytest.mark.slow
def test_depths_are_those_of_the_prism(boat: Boat) -> None:
    """Random points of the chine log and round it, against the distances from its planes."""
    run = _run(boat, "chine log")
    along, up, out = _axes()
    rng = np.random.default_rng(5)
    base = run.corners[len(run.corners) // 2, 0]
    s, a, b = rng.uniform(-800.0, 800.0, 400), rng.uniform(2.0, 43.0, 400), rng.uniform(-15.0, 35.0, 400)
    points = base + s[:, None] * along + a[:, None] * up - b[:, None] * out
    bottom = -(bottom_over(points) + BOTTOM_T)
    want = np.minimum.reduce([b, 20.0 - b, 45.0 - a, bottom])
    got = run.depth(points)
    inside = want > 0.0
    assert inside.sum() > 100
    assert got[inside] == pytest.approx(want[inside], abs=1e-6)
    assert (got[~inside] < 0.0).all()
    square = ~inside & (bottom > 0.0)
    assert got[square] == pytest.approx(want[square], abs=1e-6)


@pytest.mark.slow
def test_a_plane_cuts_the_polygon_of_the_prism(boat: Boat) -> None:
    run = _run(boat, "clamp")
    plane = station_plane(2000.0, rake=np.radians(7.0))
    cut = run.cut(plane)
    assert cut is not None
    points = plane.space(cut)
    assert np.abs(side_over(points[:2]) + SIDE_T).max() < 1e-6
    assert np.abs(side_over(points[2:]) + SIDE_T + 20.0).max() < 1e-6
    assert run.depth(points) == pytest.approx(np.zeros(4), abs=1e-6)
    assert run.depth(plane.space(cut.mean(axis=0)[None]))[0] > 5.0


@pytest.mark.slow
def test_a_plane_beyond_the_end_cuts_nothing_and_one_across_it_a_part(boat: Boat) -> None:
    run = _run(boat, "clamp")
    assert run.cut(boat.hull.transom) is None
    assert run.cut(station_plane(-300.0)) is None
    across = station_plane(
        90.0
    )  # the clamp's outer face reaches the stem's side at x = 34, its inner one at 160
    part, whole = run.cut(across), run.cut_long(across)
    assert part is not None
    assert whole is not None
    assert 0.2 < shapely.Polygon(part).area / shapely.Polygon(whole).area < 0.8
    assert part[:, 0].min() == pytest.approx(30.0, abs=1e-6)


@pytest.mark.slow
def test_samples_lie_on_the_surface_with_their_normals_out(boat: Boat) -> None:
    for run in boat.runs:
        points, normals = run.samples(5.0)
        # A keel that tapers has sides that wind; between two of its places they are taken as flat.
        straight = (points[:, 0] > 640.0) | (run.kind != "keel")
        assert np.abs(run.depth(points))[straight].max() < 0.02
        assert np.abs(run.depth(points)).max() < 0.4
        some = slice(None, None, 7)
        assert np.quantile(run.depth(points[some] + 0.5 * normals[some]), 0.99) < 0.0


def test_a_square_is_clipped_to_its_half() -> None:
    square = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]])
    half = clipped(square, square[:, 0] - 1.0)
    assert shapely.Polygon(half).area == pytest.approx(2.0)
    assert half[:, 0].max() == pytest.approx(1.0)


def test_a_timber_whose_places_leap_is_refused_and_says_where() -> None:
    """A straight line along x from 2400 to 0 whose rails leave it at one place; past its ends they may."""
    x = np.arange(2400.0, -1.0, -CLOSE)
    line = np.stack([x, 0.0 * x, 0.0 * x], axis=1)
    rails = np.stack([line + np.array([0.0, y, 0.0]) for y in (0.0, 40.0, 40.0, 0.0)], axis=1)
    ends = End(plane=station_plane(2100.0), out=1.0), End(plane=station_plane(300.0), out=-1.0)
    check_follows(rails, line, ends, "side")
    outside = rails.copy()
    outside[10] += [0.0, 500.0, 0.0]  # at 2280 mm
    check_follows(outside, line, ends, "side")
    leaping = rails.copy()
    leaping[150, 0] += [0.0, 3.0 * CLOSE, 0.0]  # at 600 mm
    with pytest.raises(PatternsError, match="cannot be laid on the side from 588 to 612 mm aft"):
        check_follows(leaping, line, ends, "side")
