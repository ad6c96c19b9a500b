"""Bevels in words and where they are read."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.flat.polylines import lengths
from patterns.hull.planes import FloatArray
from patterns.text.bevels import bevel_words, gauge_angle, reading_places, rounded_departure


@pytest.mark.parametrize(
    ("degrees", "words"),
    [
        (78.0, "78° under (saw tilt 12°)"),
        (102.0, "102° standing (saw tilt 12°)"),
        (90.0, "90° square"),
        (90.4, "90° square"),
        (78.3, "78.5° under (saw tilt 11.5°)"),
        (101.9, "101.5° standing (saw tilt 11.5°)"),
    ],
)
def test_the_words_give_the_angle_through_the_wood_and_the_saw_s_tilt(degrees: float, words: str) -> None:
    assert bevel_words(np.radians(degrees)) == words


@pytest.mark.parametrize(
    ("degrees", "words"),
    [
        (138.0, "138° through the wood"),
        (138.2, "138.5° through the wood"),
        (41.8, "41.5° through the wood"),
        (90.0, "90° through the wood"),
        (90.3, "90.5° through the wood"),
    ],
)
def test_a_land_is_rounded_to_the_flatter_side_so_that_less_is_planed_off(degrees: float, words: str) -> None:
    assert bevel_words(np.radians(degrees), land=True) == words


@given(st.floats(40.0, 140.0), st.booleans())
def test_the_angle_for_the_gauge_is_the_figure_that_the_words_give(degrees: float, land: bool) -> None:
    bevel = np.radians(degrees)
    angle = gauge_angle(bevel, land=land)
    assert abs(angle.degrees - degrees) < 0.5 + 1e-9
    assert bevel_words(bevel, land=land).startswith(f"{angle.degrees:g}°")
    assert angle.tilt == rounded_departure(bevel, land=land)
    assert (angle.kind == "land") == land
    off = {"under": angle.degrees < 90.0, "square": angle.degrees == 90.0, "standing": angle.degrees > 90.0}
    assert land or off[angle.kind]


@pytest.mark.slow
@given(st.floats(40.0, 140.0))
def test_figures_are_rounded_towards_leaving_wood(degrees: float) -> None:
    """Printed bevels are a cut before the plane: rounded towards square (common practice, no source)."""
    given_departure, exact = rounded_departure(np.radians(degrees)), abs(degrees - 90.0)
    assert given_departure <= exact + 1e-6
    assert exact - given_departure < 0.5 + 1e-6


@pytest.mark.slow
@given(st.floats(100.0, 1500.0), st.floats(-6.0, 6.0), st.floats(-3.0, 3.0))
def test_readings_are_never_far_apart_in_place_or_angle(length: float, twist: float, curl: float) -> None:
    """At most 150 mm apart and wherever the bevel changes by one degree (common practice, no source)."""
    t = np.linspace(0.0, 1.0, 401)
    points = np.stack([t * length, 0.0 * t], axis=-1)
    bevel = np.radians(80.0 + twist * t + curl * np.sin(5.0 * t))
    places = reading_places(points, bevel)
    run = lengths(points)
    assert places[0] == 0
    assert places[-1] == 400
    for a, b in pairwise(places):
        assert run[b] - run[a] <= 150.0 + 1e-9
        # Where the words would crowd each other (less than 25 mm apart) the change may be more.
        if run[b] - run[a] > 52.0:
            near_end = run[400] - run[a : b + 1] < 25.0
            turned = np.degrees(np.abs(bevel[a : b + 1] - bevel[a]))
            assert turned[~near_end].max() <= 1.0 + 0.1


def places_along(length: float, degrees: FloatArray) -> FloatArray:
    """How far along a straight edge the readings stand, mm; the bevel is given at even distances."""
    run = np.linspace(0.0, length, len(degrees))
    points = np.stack([run, np.zeros_like(run)], axis=-1)
    return np.asarray(run[reading_places(points, np.radians(degrees))])


@pytest.mark.parametrize(("length", "count"), [(100.0, 1), (150.0, 1), (151.0, 2), (1000.0, 7), (1500.0, 10)])
def test_an_edge_of_one_bevel_is_divided_evenly_and_no_finer_than_need_be(length: float, count: int) -> None:
    found = places_along(length, np.full(1501, 80.0))
    assert len(found) == count + 1
    assert np.diff(found) == pytest.approx(length / count, abs=2.0 * length / 1500)


@pytest.mark.parametrize("way", [1.0, -1.0])
def test_a_steady_twist_is_read_degree_by_degree(way: float) -> None:
    """One degree in 50 mm, over 400 mm."""
    found = places_along(400.0, 95.0 + way * np.linspace(0.0, 8.0, 4001))
    assert found == pytest.approx(np.arange(0.0, 401.0, 50.0), abs=0.2)


def test_where_it_turns_faster_readings_keep_clear_of_one_another() -> None:
    """Ten degrees in 100 mm: every 25 mm; in 40 mm there is room for the ends alone."""
    found = places_along(100.0, np.linspace(80.0, 90.0, 1001))
    assert np.diff(found) == pytest.approx(25.0, abs=0.2)
    assert places_along(40.0, np.linspace(80.0, 90.0, 1001)) == pytest.approx([0.0, 40.0])
