"""Bevels in words and where they are read."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.bevels import bevel_words, reading_places, rounded_departure
from patterns.flat.polylines import lengths


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


@given(st.floats(40.0, 140.0))
def test_figures_are_rounded_towards_leaving_wood(degrees: float) -> None:
    """Printed bevels are a cut before the plane: rounded towards square (common practice, no source)."""
    given_departure, exact = rounded_departure(np.radians(degrees)), abs(degrees - 90.0)
    assert given_departure <= exact + 1e-6
    assert exact - given_departure < 0.5 + 1e-6


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
