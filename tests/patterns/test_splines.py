"""The splines over breaks against scipy's."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.interpolate import BSpline, CubicSpline, PchipInterpolator

from patterns.hull.sheets import _rising_slopes
from patterns.hull.splines import Splines, through

BREAKS = np.array([0.0, 0.1, 0.3, 0.35, 0.6, 1.0])


def _theirs(nu: int, x: np.ndarray) -> np.ndarray:
    knots = np.concatenate([[0.0] * 3, BREAKS, [1.0] * 3])
    return np.column_stack([BSpline(knots, unit, 3)(x, nu=nu) for unit in np.eye(len(BREAKS) + 2)])


@pytest.mark.parametrize("nu", [0, 1, 2])
def test_values_and_derivatives_are_those_of_scipy(nu: int) -> None:
    x = np.linspace(-0.1, 1.1, 61)  # beyond the ends both run on
    ours = Splines(breaks=BREAKS).matrix(x, nu)
    assert np.abs(ours - _theirs(nu, x)).max() < 1e-9


def test_jumps_are_those_of_the_third_derivative_in_units_of_spacing() -> None:
    hair, unit = 1e-6, 0.2
    inner = BREAKS[1:-1]
    third = _theirs(3, inner + hair) - _theirs(3, inner - hair)
    share = (BREAKS[2:] - BREAKS[:-2]) / 2.0 / unit
    assert np.allclose(Splines(breaks=BREAKS).jumps(), unit**3 * third / np.sqrt(share)[:, None], rtol=1e-9)


def test_a_cubic_has_no_jumps() -> None:
    splines = Splines(breaks=BREAKS)
    x = np.linspace(0.0, 1.0, 40)
    points = np.linalg.lstsq(splines.matrix(x), 3.0 * x**3 - x**2 + 4.0, rcond=None)[0]
    assert np.abs(splines.jumps() @ points).max() < 1e-9


def test_a_spline_through_points_is_scipys() -> None:
    """Reference: scipy's `CubicSpline`, whose ends are cubics without a knot at the next point."""
    rng = np.random.default_rng(3)
    for count in (4, 5, 9, 40):
        x = np.cumsum(rng.uniform(0.3, 2.0, count))
        values = rng.normal(size=(count, 3))
        at = np.linspace(x[0] - 0.2, x[-1] + 0.2, 50)
        assert np.allclose(through(x, values, at), CubicSpline(x, values)(at), rtol=0.0, atol=1e-9)


def test_slopes_that_keep_a_curve_rising_are_scipys() -> None:
    """Reference: scipy's `PchipInterpolator`."""
    rng = np.random.default_rng(4)
    for count in (2, 3, 8, 60):
        x = np.cumsum(rng.uniform(0.3, 2.0, count))
        for y in (np.cumsum(rng.uniform(0.0, 2.0, count)), rng.normal(size=count)):
            due = PchipInterpolator(x, y)(x, 1)
            assert np.allclose(_rising_slopes(np.diff(x), np.diff(y) / np.diff(x)), due, rtol=0.0, atol=1e-12)
