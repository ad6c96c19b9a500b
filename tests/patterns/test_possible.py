"""Every possible line: against plain normal distributions, and against lines drawn as the model says."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.interpolate import make_smoothing_spline

from patterns.fairing.possible import GRID, _drift, _integrated, _kind, _stretched, possible
from patterns.hull.planes import FloatArray
from tests.bench.line_families import family_lines, places


def a_line(seed: int = 3) -> tuple[FloatArray, FloatArray]:
    rng = np.random.default_rng(seed)
    line = next(family_lines(rng))[1]
    x = places(line, 8, rng)
    return x, np.round(line.at(x))


def whole_covariance(
    x: FloatArray, noise: FloatArray, order: int, strength: float, wide: float
) -> FloatArray:
    """Of the offsets, their polynomial part being drawn from normal distributions of great width."""
    s = (x - x[0]) / (x[-1] - x[0])
    drift = np.polynomial.legendre.legvander(2 * s - 1, order - 1)
    return np.asarray(strength * _integrated(s, s, order) + wide**2 * drift @ drift.T + np.diag(noise**2))


@pytest.mark.parametrize("order", [3, 4])
def test_leaving_one_out_is_the_conditional_normal_distribution(order: int) -> None:
    """Reference: the textbook formula for a part of a normal vector given the rest, in plain matrices."""
    x, y = a_line()
    noise = np.linspace(0.4, 1.3, len(x))
    kind = _kind(x, y, noise, (), order, np.inf, 0.0)
    assert kind is not None
    g = len(kind.strength) // 2
    cov = whole_covariance(x, noise, order, float(kind.strength[g]), wide=1e6)
    for i in range(len(x)):
        rest = np.arange(len(x)) != i
        by = np.linalg.solve(cov[np.ix_(rest, rest)], cov[rest, i])
        assert kind.mean[g, i] == pytest.approx(by @ y[rest], abs=0.02)
        assert kind.spread[g, i] == pytest.approx(cov[i, i] - by @ cov[rest, i], rel=0.02)


@pytest.mark.parametrize("order", [3, 4])
def test_the_evidence_is_the_normal_density(order: int) -> None:
    """But for a constant, over strengths; the polynomial part being drawn from a wide normal distribution."""
    x, y = a_line()
    noise = np.full(len(x), 0.6)
    kind = _kind(x, y, noise, (), order, np.inf, 0.0)
    assert kind is not None
    ours = kind.evidence + 0.5 * GRID**2
    gaps = []
    for g in range(4, 21, 4):
        cov = whole_covariance(x, noise, order, float(kind.strength[g]), wide=2e4)
        root = np.linalg.cholesky(cov)
        part = np.linalg.solve(root, y - y.mean())
        gaps.append(ours[g] + np.log(np.diag(root)).sum() + 0.5 * part @ part)
    assert np.ptp(gaps) < 0.02


def test_noise_integrated_twice_makes_the_cubic_smoothing_spline() -> None:
    """Source: Wahba (1978): the mean given white second derivatives is the cubic smoothing spline; here scipy's."""
    x, y = a_line()
    noise, strength = np.full(len(x), 2.0), 9e6
    u = (x - x[0]) / (x[-1] - x[0])
    at = np.linspace(0.0, 1.0, 41)
    theirs = make_smoothing_spline(u, y, lam=noise[0] ** 2 / strength)(at)
    cov = _integrated(u, u, 2) * strength + np.diag(noise**2)
    drift = _drift(u, u[[]], u, 2)
    inverse = np.linalg.inv(cov)
    flat = np.linalg.solve(drift.T @ inverse @ drift, drift.T @ inverse @ y)
    there = _drift(at, u[[]], u, 2)
    ours = there @ flat + strength * _integrated(at, u, 2) @ inverse @ (y - drift @ flat)
    assert ours == pytest.approx(theirs, abs=1e-4)


def test_the_miss_of_a_curve_is_its_distance_from_the_mean_and_the_variance() -> None:
    """Against sampling: lines drawn from the plain normal distribution given the offsets."""
    x, y = a_line()
    noise = np.full(len(x), 1.0)
    lines = possible(x, y, noise=noise)
    at = np.linspace(x[0], x[-1], 23)
    base = lines.missed(at, np.zeros(23)) ** 2
    one = lines.missed(at, np.ones(23)) ** 2
    mean = 0.5 * (base - one + 1.0)  # E(f^2) - E((f - 1)^2) = 2 E(f) - 1
    variance = base - mean**2
    assert lines.missed(at, mean) ** 2 == pytest.approx(variance, rel=1e-3, abs=1e-4)
    assert lines.missed(at, mean + 7.0) ** 2 == pytest.approx(variance + 49.0, rel=1e-3)
    assert np.abs(mean - np.interp(at, x, y)).max() < 60.0


def test_a_line_is_known_less_between_offsets_than_at_them_and_least_in_a_long_span() -> None:
    x = np.array([0.0, 400.0, 800.0, 1200.0, 2400.0, 2800.0, 3200.0, 3600.0])
    y = np.round(600.0 * (1.0 - (1.0 - x / 3600.0) ** 2.5))
    lines = possible(x, y, noise=np.full(8, 0.3))
    at = 0.5 * (x[:-1] + x[1:])
    curve = 600.0 * (1.0 - (1.0 - at / 3600.0) ** 2.5)
    missed = lines.missed(at, curve)
    assert missed.argmax() == 3
    assert missed[3] > 2.0 * lines.missed(x, y).max()


@pytest.mark.parametrize("count", [2, 3, 4, 5])
def test_few_offsets_leave_a_line_little_known(count: int) -> None:
    x = np.linspace(0.0, 3000.0, count)
    y = 200.0 * np.sin(x / 1500.0)
    lines = possible(x, y, noise=np.full(count, 0.3))
    at = np.linspace(0.0, 3000.0, 31)
    missed = lines.missed(at, 200.0 * np.sin(at / 1500.0))
    assert np.isfinite(missed).all()
    assert missed.max() > {2: 50.0, 3: 5.0, 4: 1.0, 5: 0.3}[count]


def test_beyond_a_knuckle_the_line_begins_anew() -> None:
    x = np.linspace(0.0, 4000.0, 11)
    y = np.where(x < 2000.0, 0.2 * x, 400.0 - 0.1 * (x - 2000.0))
    at = np.linspace(0.0, 4000.0, 81)
    curve = np.where(at < 2000.0, 0.2 * at, 400.0 - 0.1 * (at - 2000.0))
    turned = possible(x, y, noise=np.full(11, 0.5), knuckles=(5,))
    whole = possible(x, y, noise=np.full(11, 0.5))
    assert turned.missed(at, curve).max() < 1.0
    assert float(turned.evidence.max()) > float(whole.evidence.max()) + 10.0


def test_counting_from_a_stretched_bow_runs_from_nought_to_one() -> None:
    x = np.array([100.0, 900.0, 3100.0])
    for stretch in (np.inf, 1.0, 0.01, 0.0):
        s = _stretched(x, x, stretch)
        assert s[[0, -1]] == pytest.approx([0.0, 1.0])
        assert 0.0 < s[1] < 1.0
    assert _stretched(x, x, 0.0)[1] == pytest.approx(np.sqrt(800.0 / 3000.0))
