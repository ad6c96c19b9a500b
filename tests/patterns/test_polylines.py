"""Small plane geometry against closed forms."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from patterns.flat.polylines import conic, crossings, meet, parallel


@pytest.mark.parametrize("turn", [30.0, 78.0, 102.0])
def test_a_conic_of_the_right_weight_is_a_circle(turn: float) -> None:
    """Equal legs and the cosine of half the turn for weight give an arc of a circle (rational quadratic form)."""
    half = np.radians(0.5 * turn)
    radius = 300.0
    start, end = (
        radius * np.array([-np.sin(half), np.cos(half)]),
        radius * np.array([np.sin(half), np.cos(half)]),
    )
    control = np.array([0.0, radius / np.cos(half)])
    arc = conic(start, control, end, weight=float(np.cos(half)))
    assert np.abs(np.hypot(*arc.T) - radius).max() < 1e-9
    assert np.abs(np.hypot(*(0.5 * (arc[1:] + arc[:-1])).T) - radius).max() < 0.01


@pytest.mark.parametrize("weight", [0.1, 1.0, 5.0])
def test_a_conic_leaves_along_its_legs_and_stays_in_its_triangle(weight: float) -> None:
    start, control, end = np.array([0.0, 300.0]), np.array([10.0, 5.0]), np.array([250.0, 0.0])
    curve = conic(start, control, end, weight=weight)
    assert np.allclose(curve[[0, -1]], [start, end])
    for step, leg in ((curve[1] - curve[0], control - start), (curve[-1] - curve[-2], end - control)):
        cosine = step @ leg / np.hypot(*step) / np.hypot(*leg)
        assert cosine > 0.998
    assert shapely.Polygon([start, control, end]).buffer(1e-9).covers(shapely.MultiPoint(curve))


def test_crossings_are_where_two_lines_cross_and_nowhere_else() -> None:
    zigzag = np.array([[0.0, -1.0], [1.0, 1.0], [2.0, -1.0], [3.0, 1.0]])
    level = np.array([[-1.0, 0.0], [4.0, 0.0]])
    found = crossings(zigzag, level)
    assert [round(a, 12) for a, _ in found] == [0.5, 1.5, 2.5]
    assert meet(zigzag, level, near=np.array([1.6, 0.0])) == pytest.approx((1.5, 0.5))
    assert meet(zigzag, level + np.array([0.0, 5.0]), near=np.zeros(2)) is None


def test_the_parallel_of_an_arc_is_an_arc() -> None:
    angle = np.linspace(0.0, 1.2, 200)
    arc = 500.0 * np.stack([np.cos(angle), np.sin(angle)], axis=-1)
    inside = parallel(arc, 70.0)  # anticlockwise: the centre lies to the left
    assert np.abs(np.hypot(*inside.T) - 430.0).max() < 0.01
