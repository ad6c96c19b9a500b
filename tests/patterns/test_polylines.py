"""Small plane geometry against closed forms."""

from __future__ import annotations

import numpy as np
import pytest

from patterns.polylines import arc_through, crossings, lengths, meet, parallel


def test_an_arc_stays_on_its_circle_and_passes_its_three_points() -> None:
    """Radius from chord and sagitta: R = (c^2/4 + h^2) / (2h); 48 in x 1.5 in gives 192.75 in (sagitta)."""
    inch = 25.4
    ends = np.array([[-24.0, 0.0], [24.0, 0.0]]) * inch
    crown = np.array([0.0, 1.5]) * inch
    arc = arc_through(ends[0], crown, ends[1])
    centre = np.array([0.0, 1.5 - 192.75]) * inch
    assert np.abs(np.hypot(*(arc - centre).T) - 192.75 * inch).max() < 1e-7
    middles = 0.5 * (arc[1:] + arc[:-1])
    assert np.abs(np.hypot(*(middles - centre).T) - 192.75 * inch).max() < 0.005
    quarter = float(np.interp(12.0 * inch, arc[:, 0], arc[:, 1]))
    assert quarter == pytest.approx(1.126096488 * inch, abs=0.006)


@pytest.mark.parametrize("middle", [(0.3, 0.9), (0.3, -0.9), (0.5, 0.1), (0.9, 0.4)])
def test_an_arc_turns_the_way_its_middle_point_lies(middle: tuple[float, float]) -> None:
    start, end, point = np.array([0.0, 0.0]), np.array([1.0, 0.0]), np.array(middle)
    arc = arc_through(start, point, end, chord=1e-5)
    assert np.allclose(arc[0], start)
    assert np.allclose(arc[-1], end)
    assert np.hypot(*(arc - point).T).min() < 0.01
    assert (np.sign(arc[1:-1, 1]) == np.sign(point[1])).mean() > 0.9


def test_three_points_in_line_give_the_straight_line() -> None:
    arc = arc_through(np.array([0.0, 0.0]), np.array([1.0, 1.0]), np.array([3.0, 3.0]))
    assert lengths(arc)[-1] == pytest.approx(np.hypot(3, 3))


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
