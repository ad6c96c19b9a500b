"""One fair curve: against beams, published splines, scipy, and its own laws."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.interpolate import CubicSpline
from scipy.optimize import lsq_linear, minimize

from patterns.fairing.batten import batten, fair, straight
from patterns.fairing.boxed import boxed_least
from patterns.hull.planes import FloatArray
from tests.bench.hull_lines import LENGTH, hull_lines, stations

DATA = Path(__file__).parents[1] / "data" / "spline_and_beam_values.csv"
EIGHTH = 25.4 / 8


def published() -> dict[str, float]:
    rows = [line for line in DATA.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return {row["key"]: float(row["value"]) for row in csv.DictReader(rows)}


PUBLISHED = published()


@st.composite
def ducks(draw: st.DrawFn, *, least: int = 5) -> tuple[FloatArray, FloatArray]:
    """Stations at uneven spacings and offsets, mm."""
    gaps = draw(st.lists(st.floats(100.0, 900.0), min_size=least - 1, max_size=13))
    x = np.concatenate([[0.0], np.cumsum(gaps)]) + draw(st.floats(-2000.0, 2000.0))
    y = draw(st.lists(st.floats(-800.0, 800.0), min_size=len(x), max_size=len(x)))
    return x, np.array(y)


# --- beams and published splines: natural ends ---


@pytest.mark.parametrize(("key", "load_at"), [("beam_point_a0.5", 0.5), ("beam_point_a0.25", 0.25)])
def test_a_batten_over_three_ducks_is_a_simply_supported_beam(key: str, load_at: float) -> None:
    """Source: Mott, Machine Elements in Mechanical Design, appendix A14-1(b); P = E = I = L = 1."""
    under = PUBLISHED[key]
    bent = fair(np.array([0.0, load_at, 1.0]), np.array([0.0, under, 0.0]), tolerance=0.0, ends="natural")
    assert bent.curve(0.1) == pytest.approx(PUBLISHED[f"{key}_q"], abs=1e-11)


def test_two_equal_loads_bend_a_batten_as_the_steel_manual_says() -> None:
    """Source: AISC Steel Construction Manual (2005), simple beam with two equal loads at L/3."""
    at_load = PUBLISHED["beam_2P_a"]
    bent = fair(
        np.array([0.0, 1 / 3, 2 / 3, 1.0]),
        np.array([0.0, at_load, at_load, 0.0]),
        tolerance=0.0,
        ends="natural",
    )
    assert bent.curve(0.5) == pytest.approx(PUBLISHED["beam_2P"], abs=1e-10)


def test_a_ducks_load_is_the_bend_that_it_gives_between_its_neighbours() -> None:
    """Three ducks with natural ends: the middle one alone bends the batten by its own offset."""
    for middle, lift in ((700.0, 12.0), (1500.0, -30.0)):
        bent = fair(
            np.array([0.0, middle, 2000.0]), np.array([5.0, 5.0 + lift, 5.0]), tolerance=0.0, ends="natural"
        )
        assert bent.loads[1] == pytest.approx(lift, rel=1e-12)
        assert np.isnan(bent.loads[[0, 2]]).all()


def test_loads_are_forces_that_balance() -> None:
    """The curve's third derivative jumps by the load over P a^2 b^2 / (3 (a + b)) (Mott, A14-1b)."""
    x = np.array([0.0, 400.0, 900.0, 1300.0, 2000.0, 2600.0])
    faired = fair(x, np.array([0.0, 90.0, 160.0, 200.0, 230.0, 220.0]), tolerance=0.0)
    third = 6.0 * faired.curve.coefficients[:, 0]
    a, b = np.diff(x)[:-1], np.diff(x)[1:]
    assert faired.loads[1:-1] == pytest.approx(np.diff(third) * (a * b) ** 2 / (3 * (a + b)), rel=1e-9)


@pytest.mark.parametrize(
    ("points", "checks"),
    [
        ([(0, 1), (1, 3), (2, 4)], {"spline_1a": 0.5, "spline_1b": 1.5}),
        ([(0, 1), (1, 1), (2, 0), (3, 10)], {"spline_2a": 0.5, "spline_2b": 1.5, "spline_2c": 2.5}),
        ([(1, 2), (2, 3), (3, 5)], {"spline_4a": 1.5}),
    ],
)
def test_published_natural_splines(points: list[tuple[float, float]], checks: dict[str, float]) -> None:
    """Sources: tests/data/spline_and_beam_values.csv."""
    x, y = np.array(points, dtype=float).T
    curve = fair(x, y, tolerance=0.0, ends="natural").curve
    for key, at in checks.items():
        assert curve(at) == pytest.approx(PUBLISHED[key], abs=1e-11)


def test_a_published_second_derivative() -> None:
    """Source: tests/data/spline_and_beam_values.csv, spline_3."""
    curve = fair(np.array([0.0, 0.4, 1.0]), np.array([0.1, 0.6, 0.2]), tolerance=0.0, ends="natural").curve
    assert curve(0.4, 2) == pytest.approx(PUBLISHED["spline_3"], abs=1e-11)


@pytest.mark.slow
@given(ducks(least=3))
def test_natural_ends_agree_with_scipy(points: tuple[FloatArray, FloatArray]) -> None:
    x, y = points
    dense = np.linspace(x[0], x[-1], 101)
    ours = fair(x, y, tolerance=0.0, ends="natural").curve(dense)
    assert ours == pytest.approx(CubicSpline(x, y, bc_type="natural")(dense), abs=1e-8)


@pytest.mark.slow
@given(ducks(least=4))
def test_four_ducks_or_fewer_are_one_cubic_as_scipys_not_a_knot(
    points: tuple[FloatArray, FloatArray],
) -> None:
    x, y = points[0][:4], points[1][:4]
    dense = np.linspace(x[0], x[-1], 61)
    held = fair(x, y, tolerance=3.0)
    assert held.moves == pytest.approx(np.zeros(4))
    assert held.curve(dense) == pytest.approx(CubicSpline(x, y, bc_type="not-a-knot")(dense), abs=1e-7)


def test_three_ducks_are_a_parabola_and_two_a_straight_line() -> None:
    x = np.array([0.0, 300.0, 1000.0])
    curve = fair(x, 2 + 0.1 * x + 1e-4 * x**2, tolerance=1.0).curve
    assert curve(650.0) == pytest.approx(2 + 65 + 42.25, abs=1e-9)
    assert fair(x[:2], np.array([1.0, 4.0]), tolerance=1.0).curve(100.0) == pytest.approx(2.0)


# --- free ends ---


@pytest.mark.slow
@given(ducks(), st.floats(0.0, 5.0), st.tuples(*[st.floats(-1.0, 1.0)] * 4))
def test_free_ends_give_every_cubic_back_and_move_nothing(
    points: tuple[FloatArray, FloatArray], tolerance: float, cubic: tuple[float, ...]
) -> None:
    x = points[0]
    scale = np.array([1e-8, 1e-5, 0.1, 100.0])
    y = np.polyval(np.array(cubic) * scale, x)
    faired = fair(x, y, tolerance=tolerance)
    size = max(float(np.abs(y).max()), 1.0)
    assert faired.moves == pytest.approx(np.zeros(len(x)), abs=1e-9 * size)
    assert faired.loads[1:-1] == pytest.approx(np.zeros(len(x) - 2), abs=1e-9 * size)
    beyond = np.linspace(x[0] - 100, x[-1] + 100, 51)
    assert faired.curve(beyond) == pytest.approx(np.polyval(np.array(cubic) * scale, beyond), abs=1e-6 * size)


def test_the_end_moments_make_the_inner_loads_least() -> None:
    """Reference: scipy's minimiser over the two end second derivatives."""
    x = np.array([0.0, 400.0, 1000.0, 1500.0, 2100.0, 2500.0, 3000.0])
    y = np.array([0.0, 150.0, 310.0, 390.0, 430.0, 420.0, 390.0])
    mean = (x[2:] - x[:-2]) / 2

    def uneven(moments: FloatArray) -> float:
        start, end = moments * 1e-4
        third = CubicSpline(x, y, bc_type=((2, start), (2, end))).c[0] * 6
        return float(np.sum(np.diff(third) ** 2 / mean)) * 1e15

    best = minimize(
        uneven, np.array([-1.0, -1.0]), method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-12}
    )
    curve = fair(x, y, tolerance=0.0).curve
    assert float(curve(x[0], 2)) == pytest.approx(best.x[0] * 1e-4, rel=1e-4)
    assert float(curve(x[-1], 2)) == pytest.approx(best.x[1] * 1e-4, rel=1e-4)


@pytest.mark.slow
@given(ducks())
def test_the_null_space_is_the_cubics_and_no_more(points: tuple[FloatArray, FloatArray]) -> None:
    laid = batten(points[0])
    assert np.linalg.matrix_rank(laid.uneven, tol=1e-9 * np.abs(laid.uneven).max()) == len(points[0]) - 4
    assert laid.rank == len(points[0]) - 4


@pytest.mark.slow
@given(ducks(), st.floats(-3.0, 3.0))
def test_loads_are_linear_in_the_offsets(points: tuple[FloatArray, FloatArray], factor: float) -> None:
    x, y = points
    other = np.sin(x / 300.0) * 200.0
    laid = batten(x)
    both = laid.loads(y + factor * other)[1:-1]
    assert both == pytest.approx((laid.loads(y) + factor * laid.loads(other))[1:-1], abs=1e-7)


def test_free_ends_are_far_truer_than_natural_ones_on_hull_lines() -> None:
    """Exact offsets at nine stations; the fixed set of the fairing bench."""
    x, dense = stations(9), np.linspace(0.0, LENGTH, 201)
    worst: dict[str, list[float]] = {"free": [], "natural": []}
    for line in hull_lines(np.random.default_rng(7)):
        for ends in ("free", "natural"):
            curve = fair(x, line.at(x), tolerance=0.0, ends=ends).curve  # type: ignore[arg-type]
            worst[ends].append(float(np.abs(curve(dense) - line.at(dense)).max()))
    assert np.mean(worst["free"]) < 0.32
    assert np.mean(worst["natural"]) > 5 * np.mean(worst["free"])


# --- easing ---


@pytest.mark.slow
@given(ducks(), st.floats(0.01, 8.0))
@settings(max_examples=80)
def test_no_duck_is_moved_farther_than_allowed(
    points: tuple[FloatArray, FloatArray], tolerance: float
) -> None:
    x, y = points
    faired = fair(x, y, tolerance=tolerance)
    assert np.abs(faired.moves).max() <= tolerance * (1 + 1e-9)
    assert np.sqrt(np.mean((faired.moves / tolerance) ** 2)) <= 0.5 + 1e-3
    assert faired.values == pytest.approx(y + faired.moves)
    assert faired.curve(x) == pytest.approx(faired.values, abs=1e-7)


@pytest.mark.slow
@given(ducks())
def test_allowance_nought_holds_every_duck(points: tuple[FloatArray, FloatArray]) -> None:
    x, y = points
    assert (fair(x, y, tolerance=0.0).moves == 0.0).all()


@pytest.mark.slow
@given(ducks(), st.data())
def test_held_ducks_stay(points: tuple[FloatArray, FloatArray], data: st.DataObject) -> None:
    x, y = points
    held = data.draw(st.lists(st.booleans(), min_size=len(x), max_size=len(x)))
    moves = fair(x, y, tolerance=np.where(held, 0.0, 2.0)).moves
    assert (moves[np.array(held)] == 0.0).all()


@pytest.mark.slow
@given(ducks(), st.floats(0.2, 3.0))
def test_easing_lessens_the_loads(points: tuple[FloatArray, FloatArray], tolerance: float) -> None:
    x, y = points
    laid = batten(x)
    before = np.sum((laid.uneven @ y) ** 2)
    assume(before > 1e-6)
    after = np.sum((laid.uneven @ fair(x, y, tolerance=tolerance).values) ** 2)
    assert after <= before * (1 + 1e-9)


@pytest.mark.slow
@given(ducks(), st.floats(0.2, 3.0))
def test_a_line_seen_from_the_other_end_is_the_same_line(
    points: tuple[FloatArray, FloatArray], tolerance: float
) -> None:
    x, y = points
    there = fair(x, y, tolerance=tolerance).moves
    back = fair(-x[::-1], y[::-1], tolerance=tolerance).moves[::-1]
    assert there == pytest.approx(back, abs=2e-3 * tolerance)


@pytest.mark.slow
@given(ducks(), st.floats(0.2, 3.0), st.sampled_from([1 / 25.4, 10.0, 304.8]))
def test_the_unit_of_length_does_not_matter(
    points: tuple[FloatArray, FloatArray], tolerance: float, unit: float
) -> None:
    x, y = points
    one = fair(x, y, tolerance=tolerance).moves
    other = fair(x * unit, y * unit, tolerance=tolerance * unit).moves
    assert other == pytest.approx(one * unit, abs=2e-3 * tolerance * unit)


@pytest.mark.slow
@given(ducks(), st.floats(-300.0, 300.0), st.floats(-0.3, 0.3))
def test_a_tilted_set_up_line_does_not_matter(
    points: tuple[FloatArray, FloatArray], up: float, slope: float
) -> None:
    x, y = points
    laid = batten(x)
    assert laid.loads(y + up + slope * x)[1:-1] == pytest.approx(laid.loads(y)[1:-1], abs=1e-7)


def test_rounding_is_eased_out_of_hull_lines() -> None:
    """Rounded to 1/8 in at nine stations: a small fixed set; the bench has the figures over many lines."""
    x, dense = stations(9), np.linspace(0.0, LENGTH, 201)
    rms, most = [], []
    rng = np.random.default_rng(7)
    for _ in range(6):
        for line in hull_lines(rng):
            typed = np.round(line.at(x) / EIGHTH) * EIGHTH
            error = fair(x, typed, tolerance=EIGHTH / 2).curve(dense) - line.at(dense)
            rms.append(np.sqrt(np.mean(error**2)))
            most.append(np.abs(error).max())
    assert np.mean(rms) < 0.82
    assert np.mean(most) < 1.8
    assert np.percentile(most, 95) < 3.2


def test_a_slip_is_not_faired_away() -> None:
    """One inch wrong amidships: the batten goes on holding the typed offset within the tolerance."""
    x = stations(9)
    y = hull_lines(np.random.default_rng(1))[0].at(x)
    y[4] += 25.4
    assert np.abs(fair(x, y, tolerance=1.5).moves).max() <= 1.5


# --- knuckles and straight lines ---


def test_a_batten_stops_at_a_knuckle() -> None:
    x = np.linspace(0.0, 4000.0, 9)
    y = np.where(x < 2000.0, 0.2 * x, 400.0 - 0.1 * (x - 2000.0))
    broken = fair(x, y, tolerance=1.0, knuckles=[4]).curve
    assert float(broken(1999.999, 1)) == pytest.approx(0.2, abs=1e-6)
    assert float(broken(2000.001, 1)) == pytest.approx(-0.1, abs=1e-6)
    assert broken(np.array([500.0, 1750.0, 2250.0])) == pytest.approx([100.0, 350.0, 375.0], abs=1e-8)
    bent = fair(x, y, tolerance=1.0).curve
    assert abs(float(bent(1999.999, 1)) - float(bent(2000.001, 1))) < 1e-4


@pytest.mark.parametrize("at", [1, 2, 6, 7])
def test_straight_runs_that_meet_in_a_knuckle_bear_no_load(at: int) -> None:
    """Wherever it stands, the second and the last duck but one included: two straight battens need no holding."""
    x = np.array([0.0, 310.0, 590.0, 1000.0, 1400.0, 1720.0, 2100.0, 2500.0, 2900.0])
    y = 200.0 + np.where(x < x[at], 0.3, -0.1) * (x - x[at])
    assert np.nanmax(np.abs(batten(x, knuckles=[at]).loads(y))) < 1e-6
    assert np.nanmax(np.abs(batten(x).loads(y))) > 1.0
    faired = fair(x, y, tolerance=1.0, knuckles=[at])
    assert faired.values == pytest.approx(y, abs=1e-9)


def test_a_knuckle_is_held_by_both_battens() -> None:
    rng = np.random.default_rng(3)
    x = np.linspace(0.0, 6000.0, 13)
    y = np.where(x < 3000.0, 0.1 * x, 300.0) + rng.uniform(-1.0, 1.0, 13)
    faired = fair(x, y, tolerance=1.5, knuckles=[6])
    assert float(faired.curve(3000.0 - 1e-7)) == pytest.approx(float(faired.curve(3000.0 + 1e-7)), abs=1e-6)
    assert np.isnan(faired.loads[[0, 6, 12]]).all()
    assert np.isfinite(faired.loads[[1, 5, 7, 11]]).all()


def test_a_straight_line_is_straight() -> None:
    x = np.array([0.0, 500.0, 1200.0, 2000.0])
    y = 10 + 0.3 * x + np.array([0.5, -0.5, 0.4, -0.4])
    faired = straight(x, y, tolerance=np.full(4, 1.0))
    assert faired.values == pytest.approx(
        np.polyval(np.polyfit(x, y, 1), x), abs=1e-9
    )  # numpy's least squares
    assert np.ptp(faired.curve(np.linspace(0, 2000, 9), 1)) == pytest.approx(0.0, abs=1e-12)


def test_a_held_end_stays_on_a_straight_line() -> None:
    faired = straight(
        np.array([0.0, 1000.0, 2000.0]), np.array([0.0, 101.0, 200.0]), tolerance=np.array([0.0, 1.0, 1.0])
    )
    assert faired.values[0] == pytest.approx(0.0, abs=1e-4)


def test_ducks_must_rise() -> None:
    with pytest.raises(ValueError, match="farther on"):
        batten(np.array([0.0, 500.0, 400.0]))


# --- least squares in a box ---


@given(st.integers(0, 10_000))
def test_the_box_is_solved_as_scipy_solves_it(seed: int) -> None:
    rng = np.random.default_rng(seed)
    n, m = int(rng.integers(1, 20)), int(rng.integers(1, 25))
    a, weight = rng.normal(size=(m, n)) * 10 ** rng.uniform(-1, 1.5), 10 ** rng.uniform(-3, 2)
    loads = rng.normal(size=m) * 10 ** rng.uniform(-1, 2)
    ours = boxed_least(a.T @ a + weight * np.eye(n), a.T @ loads)
    stacked = np.vstack([a, np.sqrt(weight) * np.eye(n)])
    target = np.concatenate([-loads, np.zeros(n)])
    theirs = lsq_linear(stacked, target, bounds=(-1, 1), method="bvls", max_iter=1000).x
    cost = [float(np.sum((stacked @ u - target) ** 2)) for u in (ours, theirs)]
    assert np.abs(ours).max() <= 1.0
    assert cost[0] <= cost[1] * (1 + 1e-7) + 1e-12
