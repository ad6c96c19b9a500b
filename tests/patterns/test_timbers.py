"""Notches against closed forms on a plane-sided hull."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from patterns.hull.planes import station_plane
from patterns.hull.sections import Section, cut_hull
from patterns.timbers.notches import keel_notch, laid_notch
from tests.patterns.exact_hulls import (
    BOTTOM_NORMAL,
    SIDE_NORMAL,
    bottom_inside,
    plane_sided,
    side_inside,
)


@dataclass(frozen=True)
class Laid:
    kind: str
    name: str
    follows: str
    against: str
    off: float = 20.0
    along: float = 45.0


@dataclass(frozen=True)
class Keel:
    name: str = "keel"
    sided: float = 90.0
    moulded: float = 30.0


def _section(rake: float) -> Section:
    return cut_hull(plane_sided(), station_plane(2000.0, rake=np.radians(rake)))


@pytest.mark.parametrize("rake", [0.0, 12.0])
@pytest.mark.parametrize("against", ["side", "bottom"])
def test_a_chine_log_s_space_has_its_true_section(against: str, rake: float) -> None:
    """The corner away from the planking lies `off` inside the planking and `along` from the corner line."""
    section = _section(rake)
    notch = laid_notch(section, Laid("chine log", "chine log", "chine", against))
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
    section = _section(rake)
    notch = laid_notch(section, Laid("clamp", "clamp", "sheer", "side"))
    assert notch is not None
    edge = section.traces["side"].uv
    along = (edge[-1] - edge[0]) / np.hypot(*(edge[-1] - edge[0]))
    bevel = float(section.traces["side"].bevel(section.plane.normal)[0])
    top, free = notch.corners[1], notch.inner[0]
    assert np.allclose(top, free)
    square = abs((free - edge[-1]) @ np.array([-along[1], along[0]]))
    assert square == pytest.approx(20.0 / np.sin(bevel), abs=1e-6)
    # Both edges across the notch: from its outer to its inner side, in the plane.
    sides = np.roll(notch.corners, -1, axis=0) - notch.corners
    assert np.allclose(sides[0] / np.hypot(*sides[0]), -sides[2] / np.hypot(*sides[2]), atol=1e-9)
    assert np.allclose(sides[1] / np.hypot(*sides[1]), -sides[3] / np.hypot(*sides[3]), atol=1e-9)
    in_edge = along[0] * section.plane.u + along[1] * section.plane.v
    g = float(np.arccos(abs(in_edge @ notch.run)))
    breadth = np.hypot(*(notch.inner[0] - notch.inner[1]))
    assert breadth == pytest.approx(45.0 / np.sin(g), abs=1e-6)


def test_a_keel_s_space_is_half_its_siding_and_stands_square_to_its_run() -> None:
    section = _section(0.0)
    notch = keel_notch(section, Keel())
    assert notch.corners[1, 0] == pytest.approx(45.0)
    slope = np.arctan(0.010)  # the keel of this hull falls 10 mm in the metre
    assert notch.corners[1, 1] - section.apex[1] == pytest.approx(30.0 / np.cos(slope), abs=1e-6)
    assert np.degrees(notch.in_profile) == pytest.approx(-np.degrees(slope), abs=1e-9)
    assert notch.in_plan == pytest.approx(0.0, abs=1e-12)


def test_the_two_faces_of_a_frame_have_two_different_notches() -> None:
    hull = plane_sided()
    plane = station_plane(2000.0)
    near, far = (
        laid_notch(cut_hull(hull, face), Laid("chine log", "chine log", "chine", "side"))
        for face in (plane, plane.moved(18.0))
    )
    assert near is not None
    assert far is not None
    moved = far.inner - near.inner
    closed = 18.0 * np.array([np.tan(near.in_plan), np.tan(near.in_profile)])
    assert np.allclose(moved, closed, atol=1e-6)
    assert np.hypot(*closed) > 2.0
