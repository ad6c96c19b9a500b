"""Notches against closed forms on a plane-sided hull."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from patterns.design.models import KeelSpec, LaidSpec
from patterns.errors import PatternsError
from patterns.hull.hull import Hull
from patterns.hull.planes import FloatArray, Plane, station_plane
from patterns.hull.sections import Section, cut_hull
from patterns.timbers.laying import cornered_run, keel_run
from patterns.timbers.notches import Notch, notch_in
from patterns.timbers.run import End, Run
from tests.patterns.analytic_boats import analytic_boat
from tests.patterns.exact_hulls import (
    BOTTOM_NORMAL,
    SIDE_NORMAL,
    bottom_inside,
    plane_sided,
    side_inside,
)

AFTER, FORE = End(plane=station_plane(3900.0), out=1.0), End(plane=station_plane(400.0), out=-1.0)


def _laid(hull: Hull, kind: str, follows: str, against: str) -> Run:
    spec = LaidSpec.model_validate(
        {"kind": kind, "follows": follows, "against": against, "off": "20 mm", "along": "45 mm"}
    )
    return cornered_run(hull, spec, (AFTER, FORE))


def _section(rake: float) -> tuple[Hull, Section]:
    hull = plane_sided()
    return hull, cut_hull(hull, station_plane(2000.0, rake=np.radians(rake)))


def _is_parallelogram(corners: FloatArray) -> bool:
    sides = np.roll(corners, -1, axis=0) - corners
    sides = sides / np.hypot(*sides.T)[:, None]
    return len(corners) == 4 and np.allclose(sides[:2], -sides[2:], atol=1e-9)


@pytest.mark.parametrize("rake", [0.0, 12.0])
@pytest.mark.parametrize("against", ["side", "bottom"])
def test_a_chine_log_s_space_has_its_true_section(against: str, rake: float) -> None:
    """The corner away from the planking lies `off` inside the planking and `along` from the corner line."""
    hull, section = _section(rake)
    notch = notch_in(section, _laid(hull, "chine log", "chine", against))
    assert notch is not None
    free, line = section.plane.space(notch.inner)
    inside, normal, t = (
        (side_inside, SIDE_NORMAL, 6.0) if against == "side" else (bottom_inside, BOTTOM_NORMAL, 9.0)
    )
    assert inside(free, t) == pytest.approx(-20.0, abs=1e-6)
    assert inside(line, t) == pytest.approx(-20.0, abs=1e-6)
    run = np.cross(SIDE_NORMAL, BOTTOM_NORMAL)
    run = run / np.linalg.norm(run)
    across = np.cross(run, normal)
    corner = section.plane.space(section.corners[0].at)
    assert abs((free - corner) @ across) == pytest.approx(45.0, abs=1e-6)
    other = bottom_inside if against == "side" else side_inside
    assert other(free, 9.0 if against == "side" else 6.0) < -20.0  # it lies inside of the other strake too


@pytest.mark.parametrize("rake", [0.0, 12.0])
def test_a_notch_is_a_parallelogram_of_the_published_breadth_and_depth(rake: float) -> None:
    """Depth in the plane d / sin(bevel); breadth along the edge w / sin(g), g the angle between timber and edge.

    Source: plane trigonometry of a prism cut by a plane (common practice, no source).
    """
    hull, section = _section(rake)
    notch = notch_in(section, _laid(hull, "clamp", "sheer", "side"))
    assert notch is not None
    edge = section.traces["side"].uv
    along = (edge[-1] - edge[0]) / np.hypot(*(edge[-1] - edge[0]))
    bevel = float(section.traces["side"].bevel(section.plane.normal)[0])
    top, free = notch.corners[1], notch.inner[0]
    assert np.allclose(top, free)
    assert np.allclose(notch.wood[2], free)
    square = abs((free - edge[-1]) @ np.array([-along[1], along[0]]))
    assert square == pytest.approx(20.0 / np.sin(bevel), abs=1e-6)
    corner, outer = notch.wood[:2]
    square_end = np.array([corner, outer, free, free + corner - outer])
    assert np.allclose(square_end[[0, 3]], [corner, notch.inner[1]], atol=1e-9)
    assert not _is_parallelogram(notch.wood)  # its top is bevelled to the deck
    in_edge = along[0] * section.plane.u + along[1] * section.plane.v
    g = float(np.arccos(abs(in_edge @ notch.run)))
    breadth = np.hypot(*(notch.inner[0] - notch.inner[1]))
    assert breadth == pytest.approx(45.0 / np.sin(g), abs=1e-6)


@pytest.mark.slow
def test_a_keel_s_space_is_half_its_siding_and_stands_square_to_its_run() -> None:
    hull, section = _section(0.0)
    spec = KeelSpec.model_validate(
        {"kind": "keel", "lies": "inside planking", "sided": "90 mm", "moulded": "30 mm"}
    )
    notch = notch_in(section, keel_run(hull, spec, AFTER, foot=600.0))
    assert notch is not None
    top = notch.corners[:, 1].max()
    assert notch.corners[:, 0].max() == pytest.approx(45.0)
    assert notch.corners[:, 0].min() == pytest.approx(0.0, abs=1e-9)
    slope = np.arctan(0.010)  # the keel of this hull falls 10 mm in the metre
    assert top - section.apex[1] == pytest.approx(30.0 / np.cos(slope), abs=1e-6)
    assert np.degrees(notch.in_profile) == pytest.approx(-np.degrees(slope), abs=1e-6)
    assert notch.in_plan == pytest.approx(0.0, abs=1e-9)


def _both(hull: Hull, run: Run, plane: Plane, siding: float) -> tuple[Notch, Notch]:
    near, far = (notch_in(cut_hull(hull, face), run) for face in (plane, plane.moved(siding)))
    assert near is not None
    assert far is not None
    return near, far


def test_the_two_faces_of_a_frame_have_two_different_notches() -> None:
    hull = plane_sided()
    near, far = _both(hull, _laid(hull, "chine log", "chine", "side"), station_plane(2000.0), 18.0)
    moved = far.inner - near.inner
    closed = 18.0 * np.array([np.tan(near.in_plan), np.tan(near.in_profile)])
    assert np.allclose(moved, closed, atol=1e-6)
    assert np.hypot(*closed) > 2.0


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 4, 7])
@pytest.mark.parametrize(("kind", "follows"), [("chine log", "chine"), ("clamp", "sheer")])
def test_a_straight_prism_between_the_two_notches_holds_the_timber(
    seed: int, kind: str, follows: str
) -> None:
    """A notch's corners run straight from one face to the other; the timber bends between them, by very little."""
    hull = analytic_boat(seed).hull()
    run = _laid(hull, kind, follows, "side")
    for x in (1100.0, 2000.0, 3000.0):
        plane, siding = station_plane(x), 30.0
        near, far = (face.space(cut) for face, cut in _cuts(run, plane, siding))
        for part in (0.25, 0.5, 0.75):
            face = plane.moved(part * siding)
            cut = run.cut(face)
            assert cut is not None
            straight = near + part * (far - near)
            off = np.linalg.norm(face.space(cut) - straight, axis=1)
            assert off[:3].max() < 0.05
            # The edge that is bevelled to the other surface runs out to a sharp point, which slides on that.
            assert abs(run.depth(straight[3:])[0]) < 0.1


def _cuts(run: Run, plane: Plane, siding: float) -> list[tuple[Plane, FloatArray]]:
    found = []
    for face in (plane, plane.moved(siding)):
        cut = run.cut(face)
        assert cut is not None
        found.append((face, cut))
    return found


@pytest.mark.slow
@pytest.mark.parametrize("seed", [2, 5])
def test_a_curved_timber_s_depth_in_the_plane_is_its_own_over_the_sine_of_the_bevel(seed: int) -> None:
    """Depth in the plane d / sin(bevel) within 0.1 mm, breadth along the edge w / sin(g) within 0.1 mm."""
    hull = analytic_boat(seed).hull()
    run = _laid(hull, "clamp", "sheer", "side")
    for x in (1000.0, 1800.0, 2600.0, 3400.0):
        section = cut_hull(hull, station_plane(x))
        notch = notch_in(section, run)
        assert notch is not None
        trace = section.traces["side"]
        bevel = float(trace.bevel(section.plane.normal)[-1])
        corner, outer, free, _ = notch.wood
        edge = (corner - outer) / np.hypot(*(corner - outer))
        square = abs(float((free - outer) @ np.array([-edge[1], edge[0]])))
        assert square == pytest.approx(20.0 / np.sin(bevel), abs=0.1)
        in_edge = section.plane.space(corner) - section.plane.space(outer)
        g = float(np.arccos(abs(in_edge @ notch.run) / np.linalg.norm(in_edge)))
        assert np.hypot(*(corner - outer)) == pytest.approx(45.0 / np.sin(g), abs=0.1)


@pytest.mark.slow
def test_a_space_ends_where_its_timber_ends() -> None:
    """An end that slopes through the face leaves the part on the timber's side of it, and no more."""
    hull, section = _section(0.0)
    whole = notch_in(section, _laid(hull, "chine log", "chine", "side"))
    assert whole is not None
    plane = section.plane
    middle = plane.space(whole.inner.mean(axis=0)[None])[0]
    slope = np.radians(60.0)
    foot = float(middle[0] - middle[2] * np.tan(slope))
    end = End(plane=station_plane(foot, rake=slope), out=1.0)
    assert abs(float(end.over(middle[None])[0])) < 1e-9
    spec = LaidSpec.model_validate(
        {"kind": "chine log", "follows": "chine", "against": "side", "off": "20 mm", "along": "45 mm"}
    )
    cut = notch_in(section, cornered_run(hull, spec, (end, FORE)))
    assert cut is not None
    assert float(end.over(plane.space(cut.corners)).max()) < 0.01
    assert float(end.over(plane.space(whole.corners)).max()) > 1.0
    left, all_of_it = (shapely.Polygon(notch.corners).area for notch in (cut, whole))
    assert 0.1 * all_of_it < left < 0.9 * all_of_it


@pytest.mark.slow
def test_a_timber_that_is_wider_than_its_strake_is_refused() -> None:
    hull, section = _section(0.0)
    wide = LaidSpec.model_validate(
        {"kind": "chine log", "follows": "chine", "against": "side", "off": "20 mm", "along": "1000 mm"}
    )
    with pytest.raises(PatternsError, match="wider than the side is here"):
        notch_in(section, cornered_run(hull, wide, (AFTER, FORE)))
