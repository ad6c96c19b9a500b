"""Stations as drawn: which one breaks an otherwise even spacing."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from patterns.fairing.spacing import uneven_station
from patterns.hull.planes import FloatArray


def even(count: int, pitch: float, *, start: float = 230.0, half: str = "") -> FloatArray:
    at = start + pitch * np.arange(count)
    if "bow" in half:
        at = np.insert(at, 1, at[0] + pitch / 2)
    if "stern" in half:
        at = np.insert(at, len(at) - 1, at[-1] - pitch / 2)
    return np.asarray(at, dtype=np.float64)


plans = st.builds(
    even,
    st.integers(7, 14),
    st.sampled_from([250.0, 300.0, 457.2, 500.0, 609.6]),
    start=st.floats(-300.0, 500.0).map(round),
    half=st.sampled_from(["", "bow", "stern", "bow and stern"]),
)


@settings(deadline=None)
@given(plans)
def test_an_even_plan_with_half_stations_at_its_ends_is_quiet(at: FloatArray) -> None:
    assert uneven_station(at, step=1.0) is None


@settings(deadline=None)
@given(plans, st.data())
def test_one_station_off_is_found_and_its_even_place_given(at: FloatArray, data: st.DataObject) -> None:
    i = data.draw(st.integers(3, len(at) - 4))
    by = data.draw(st.sampled_from([-50.0, -25.0, -12.0, 12.0, 25.0, 50.0]))
    typed = at.copy()
    typed[i] += by
    found = uneven_station(typed, step=1.0)
    assert found is not None
    assert found[0] == i
    assert found[1] == pytest.approx(at[i], abs=0.5)


@settings(deadline=None)
@given(plans, st.integers(0, 20))
def test_a_whole_plan_rounded_to_its_step_stays_quiet(at: FloatArray, seed: int) -> None:
    step = 25.4 / 8
    assert uneven_station(np.round((at + seed * 0.13) / step) * step, step=step) is None


def test_a_first_station_with_a_spacing_of_its_own_is_quiet() -> None:
    at = even(9, 450.0)
    at[0] += 70.0
    assert uneven_station(at, step=1.0) is None


def test_a_station_set_in_between_two_of_an_even_plan_is_quiet() -> None:
    at = even(9, 450.0)
    assert uneven_station(np.insert(at, 5, at[4] + 190.0), step=1.0) is None


def test_two_stations_off_are_a_plan_of_its_own() -> None:
    at = even(10, 450.0)
    at[[3, 6]] += 60.0, -45.0
    assert uneven_station(at, step=1.0) is None


@settings(deadline=None)
@given(st.integers(0, 10_000))
def test_stations_at_frames_of_any_spacing_are_quiet(seed: int) -> None:
    gaps = np.random.default_rng(seed).integers(28, 70, 9) * 10.0
    if len(set(gaps)) > 4:
        assert uneven_station(np.cumsum(gaps), step=1.0) is None


def test_too_few_stations_have_no_rule_to_break() -> None:
    at = even(5, 450.0)
    at[2] += 40.0
    assert uneven_station(at, step=1.0) is None
