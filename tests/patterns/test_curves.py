"""Piecewise polynomials and lines in space, against numpy, scipy and closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import CubicHermiteSpline, CubicSpline

from patterns.fairing.batten import fair
from patterns.fairing.curves import FairCurve, Profile, hermite, rebased, space_line, unite
from patterns.hull.planes import FloatArray

X = np.array([0.0, 300.0, 900.0, 1400.0, 2200.0, 3000.0])
Y = np.array([20.0, 180.0, 420.0, 540.0, 610.0, 590.0])


def a_curve(x: FloatArray = X, y: FloatArray = Y) -> tuple[FairCurve, CubicSpline]:
    reference = CubicSpline(x, y)
    return FairCurve(knots=x, coefficients=reference.c.T.copy()), reference


@pytest.mark.parametrize("nu", [0, 1, 2, 3])
def test_values_and_derivatives_agree_with_scipy_within_and_beyond(nu: int) -> None:
    ours, theirs = a_curve()
    at = np.linspace(-200.0, 3300.0, 141).reshape(3, 47)
    assert ours(at, nu) == pytest.approx(theirs(at, nu), rel=1e-12, abs=1e-12)


def test_the_fourth_derivative_of_a_cubic_is_nought() -> None:
    assert (a_curve()[0](np.linspace(0, 3000, 7), 4) == 0.0).all()


@pytest.mark.slow
@given(st.lists(st.floats(-2.0, 2.0), min_size=2, max_size=7), st.floats(-3.0, 3.0), st.floats(-2.0, 2.0))
def test_a_rebased_polynomial_has_the_same_values(c: list[float], by: float, at: float) -> None:
    """Reference: numpy's polyval."""
    moved = rebased(np.array([c]), np.array([by]))[0]
    assert np.polyval(moved, at) == pytest.approx(np.polyval(c, at + by), abs=1e-7)


@pytest.mark.parametrize("start", [-150.0, 0.0, 120.0, 1000.0])
def test_a_curve_cut_or_run_on_is_the_same_curve(start: float) -> None:
    curve, _ = a_curve()
    moved = curve.starting(start)
    at = np.linspace(max(start, -150.0), 3100.0, 50)
    assert moved.knots[0] == start
    assert moved(at) == pytest.approx(curve(at), rel=1e-12)


def test_curves_are_brought_to_common_knots() -> None:
    one, _ = a_curve()
    two, _ = a_curve(np.array([0.0, 500.0, 1300.0, 3000.0]), np.array([5.0, 1.0, 4.0, 2.0]))
    knots, both = unite([one, two])
    at = np.linspace(0.0, 3000.0, 77)
    for k, curve in enumerate((one, two)):
        assert FairCurve(knots=knots, coefficients=both[..., k])(at) == pytest.approx(curve(at), rel=1e-11)


def test_hermite_pieces_agree_with_scipy() -> None:
    slope = np.array([0.5, 0.3, 0.2, 0.1, 0.0, -0.1])
    at = np.linspace(0, 3000, 50)
    ours = hermite(X, Y, slope[:-1], slope[1:])
    assert ours(at) == pytest.approx(CubicHermiteSpline(X, Y, slope)(at), rel=1e-12)


def test_a_plain_lines_parameter_is_the_distance_aft() -> None:
    y, z = a_curve()[0], a_curve(X[::2], np.array([900.0, 700.0, 650.0]))[0]
    line = space_line(
        "sheer", y=y, z=FairCurve(knots=np.array([0.0, 3000.0]), coefficients=z.coefficients[:1])
    )
    t = np.linspace(-50.0, 3050.0, 33)
    assert line.at(t)[:, 0] == pytest.approx(t)
    assert line.at(t)[:, 1] == pytest.approx(y(t))
    assert line.at(t, 1)[:, 0] == pytest.approx(np.ones(33))
    assert line.t_at_x(t) == pytest.approx(t)
    assert (line.x_fore, line.x_aft) == (0.0, 3000.0)
    assert line.at(np.zeros((2, 3))).shape == (2, 3, 3)
    assert line.at(5.0).shape == (3,)


def test_a_blunt_bow_has_finite_derivatives_and_keeps_its_heights() -> None:
    """y = 400 sqrt(u) - 90 u over u = (x - 100) / 3000: its slope at the bow has no bound, but not over t."""
    fore = 100.0
    x = fore + np.linspace(0.0, 3000.0, 9)
    root = np.sqrt(x - fore)

    def breadth(at: FloatArray) -> FloatArray:
        u = (at - fore) / 3000.0
        return np.asarray(400.0 * np.sqrt(u) - 90.0 * u)

    y = fair(root, breadth(x), tolerance=0.0).curve
    z = fair(x, 500.0 + 2e-5 * (x - 2000.0) ** 2, tolerance=0.0).curve
    line = space_line("waterline", y=y, z=z, root_from=fore)
    at = fore + np.linspace(0.0, 3000.0, 101)
    on = line.at(line.t_at_x(at))
    assert on[:, 0] == pytest.approx(at, abs=1e-8)
    assert on[:, 1] == pytest.approx(breadth(at), abs=1e-6)
    assert on[:, 2] == pytest.approx(500.0 + 2e-5 * (at - 2000.0) ** 2, abs=1e-6)
    assert np.isfinite(line.at(0.0, 1)).all()
    assert line.at(0.0, 1)[1] == pytest.approx(400.0 / np.sqrt(3000.0), rel=1e-6)
    assert line.at(0.0, 1)[0] == pytest.approx(0.0, abs=1e-12)


def plumb_profile() -> Profile:
    """A stem that stands plumb for 400 mm, a quarter circle of 300 mm, a level keel."""
    turn = np.linspace(0.0, np.pi / 2, 13)
    points = np.vstack([
        [[0.0, 700.0], [0.0, 500.0]],
        np.stack([300 - 300 * np.cos(turn), 300 - 300 * np.sin(turn)], axis=1),
        [[1200.0, 0.0], [2400.0, 0.0], [3600.0, 0.0]],
    ])  # fmt: skip
    t = np.concatenate([[0.0, 200.0], 400.0 + 300.0 * turn])
    t = np.concatenate([t, t[-1] + np.array([900.0, 2100.0, 3300.0])])
    slope = np.vstack([[[0, -1], [0, -1]], np.stack([np.sin(turn), -np.cos(turn)], axis=1), [[1, 0]] * 3])
    x, z = (hermite(t, points[:, k], slope[:-1, k], slope[1:, k]) for k in (0, 1))
    knots, c = unite([x, hermite(t, np.full(len(t), 20.0), 0 * t[1:], 0 * t[1:]), z])
    return Profile(name="keel", knots=knots, coefficients=c, joint=float(t[14]))


def test_a_plumb_stem_is_found_by_height_and_by_distance() -> None:
    """Closed form: a circle of radius 300."""
    profile = plumb_profile()
    heights = np.linspace(10.0, 690.0, 69)
    on = profile.at(profile.t_at_height(heights))
    assert on[:, 2] == pytest.approx(heights, abs=1e-8)
    low = heights < 300.0
    assert on[low, 0] == pytest.approx(300 - np.sqrt(300**2 - (300 - heights[low]) ** 2), abs=0.05)
    assert on[~low, 0] == pytest.approx(np.zeros((~low).sum()), abs=1e-6)
    x = np.linspace(1.0, 3600.0, 200)
    assert profile.at(profile.t_at_x(x))[:, 0] == pytest.approx(x, abs=1e-8)
    assert float(profile.t_at_x(0.0)) == pytest.approx(400.0, abs=1.0)  # the lowest place that stands there


def test_a_height_that_the_stem_does_not_reach_is_nan() -> None:
    assert np.isnan(plumb_profile().t_at_height(np.array([-30.0, 720.0]))).all()


def test_a_profile_runs_on_beyond_its_stern_and_above_its_head() -> None:
    profile = plumb_profile()
    assert profile.at(profile.t_at_x(np.array([3650.0])))[0] == pytest.approx([3650.0, 20.0, 0.0], abs=1e-6)
    longer = profile.extended(-15.0)
    t = np.linspace(-15.0, profile.end, 60)
    assert longer.start == -15.0
    assert longer.at(t) == pytest.approx(profile.at(t), abs=1e-8)
