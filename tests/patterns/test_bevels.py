"""Bevels in words and where they are read."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.flat.polylines import lengths
from patterns.hull.planes import FloatArray
from patterns.text.bevels import (
    MOST_OUT,
    bevel_figures,
    bevel_words,
    gauge_angle,
    reading_places,
    rolled_out,
    rounded_departure,
)


@pytest.mark.parametrize(
    ("degrees", "through", "from_square"),
    [
        (78.0, "78° under", "12° under"),
        (102.0, "102° standing", "12° standing"),
        (90.0, "square", "square"),
        (90.4, "square", "square"),
        (78.3, "78.5° under", "11.5° under"),
        (101.9, "101.5° standing", "11.5° standing"),
    ],
)
def test_a_bevel_is_one_figure_with_its_sense(degrees: float, through: str, from_square: str) -> None:
    assert bevel_words(np.radians(degrees)) == through
    with bevel_figures("from square"):
        assert bevel_words(np.radians(degrees)) == from_square
    assert bevel_words(np.radians(degrees)) == through


@pytest.mark.parametrize(
    ("degrees", "words"),
    [
        (138.0, "138° standing"),
        (138.2, "138.5° standing"),
        (41.8, "41.5° under"),
        (90.0, "square"),
        (90.3, "90.5° standing"),
    ],
)
def test_a_land_is_rounded_to_the_flatter_side_so_that_less_is_planed_off(degrees: float, words: str) -> None:
    assert bevel_words(np.radians(degrees), land=True) == words


@given(st.floats(40.0, 140.0), st.booleans())
def test_the_angle_for_the_gauge_is_the_figure_that_the_words_give(degrees: float, land: bool) -> None:
    bevel = np.radians(degrees)
    angle = gauge_angle(bevel, land=land)
    assert abs(angle.degrees - degrees) < 0.5 + 1e-9
    assert angle.tilt == rounded_departure(bevel, land=land)
    assert (angle.kind == "land") == land
    off = {"under": angle.degrees < 90.0, "square": angle.degrees == 90.0, "standing": angle.degrees > 90.0}
    assert land or off[angle.kind]
    words = bevel_words(bevel, land=land)
    assert words == "square" if angle.tilt == 0.0 else words.startswith(f"{angle.degrees:g}° ")


@pytest.mark.slow
@given(st.floats(40.0, 140.0))
def test_figures_are_rounded_towards_leaving_wood(degrees: float) -> None:
    """Printed bevels are a cut before the plane: rounded towards square (common practice, no source)."""
    given_departure, exact = rounded_departure(np.radians(degrees)), abs(degrees - 90.0)
    assert given_departure <= exact + 1e-6
    assert exact - given_departure < 0.5 + 1e-6


def rolled_apart(run: FloatArray, bevel: FloatArray, places: list[int], thickness: float) -> float:
    """How far the other face's edge comes out of its place, made of points in space: independent of the product.

    At each place the edge is a straight line down through the wood at the bevel; its foot on the other face is
    compared with that of the line at the rolled bevel.
    """
    rolled = np.interp(run, run[places], bevel[places])
    feet = [
        np.stack([np.cos(each), np.sin(each)], axis=-1) * (thickness / np.sin(each))[:, None]
        for each in (bevel, rolled)
    ]
    assert np.allclose(feet[0][:, 1], thickness)
    return float(np.abs(feet[0][:, 0] - feet[1][:, 0]).max())


@pytest.mark.slow
@given(
    st.floats(100.0, 3000.0),
    st.floats(6.0, 80.0),
    st.floats(65.0, 115.0),
    st.floats(-20.0, 20.0),
    st.floats(-4.0, 4.0),
    st.floats(0.5, 12.0),
)
def test_rolled_straight_between_readings_the_edge_is_nowhere_out_by_more_than_half_a_millimetre(
    length: float, thickness: float, start: float, twist: float, curl: float, waves: float
) -> None:
    t = np.linspace(0.0, 1.0, 401)
    points = np.stack([t * length, 0.0 * t], axis=-1)
    bevel = np.radians(start + twist * t + curl * np.sin(waves * t))
    places = reading_places(points, bevel, thickness)
    assert places[0] == 0
    assert places[-1] == 400
    assert rolled_apart(lengths(points), bevel, places, thickness) <= MOST_OUT + 1e-9


@pytest.mark.slow
@given(st.floats(0.5, 12.0), st.floats(1.0, 12.0))
def test_no_set_that_goes_as_far_as_it_may_each_time_is_smaller(waves: float, curl: float) -> None:
    """From each reading on the farthest that can be rolled to, with every place tried."""
    t = np.linspace(0.0, 1.0, 201)
    points = np.stack([t * 900.0, 0.0 * t], axis=-1)
    bevel = np.radians(80.0 + curl * np.sin(waves * t))
    places = reading_places(points, bevel, 18.0)
    reached = [0]
    while reached[-1] < 200:
        start = reached[-1]
        fits = [
            stop
            for stop in range(start + 1, 201)
            if rolled_apart(t[start : stop + 1], bevel[start : stop + 1], [0, stop - start], 18.0) <= MOST_OUT
        ]
        reached.append(max(fits))
    assert len(places) <= len(reached)


def places_along(length: float, degrees: FloatArray, thickness: float = 18.0) -> FloatArray:
    """How far along a straight edge the readings are, mm; the bevel is given at even distances."""
    run = np.linspace(0.0, length, len(degrees))
    points = np.stack([run, np.zeros_like(run)], axis=-1)
    return np.asarray(run[reading_places(points, np.radians(degrees), thickness)])


@pytest.mark.parametrize("length", [100.0, 1500.0, 9000.0])
def test_an_edge_of_one_bevel_is_read_at_its_ends_alone(length: float) -> None:
    assert places_along(length, np.full(1501, 80.0)) == pytest.approx([0.0, length])


def test_the_edge_of_a_bevel_that_turns_as_a_parabola_is_out_by_the_sagitta_of_each_step() -> None:
    """Closed form near square: off square by c x^2, the edge is out by t c s^2 / 4 in the middle of a step s.

    The fewest even steps are those for which that is 0.5 mm at most.
    """
    length, most, thickness = 1000.0, np.radians(6.0), 18.0
    run = np.linspace(-length / 2.0, length / 2.0, 1001)
    c = most / (length / 2.0) ** 2
    found = places_along(length, 90.0 - 3.0 + np.degrees(c * run**2), thickness)
    steps = int(np.ceil(length / np.sqrt(4.0 * MOST_OUT / (thickness * c))))
    assert len(found) == steps + 1
    assert np.diff(found) == pytest.approx(length / steps, rel=0.05)


def test_a_twist_that_the_other_face_would_show_is_read_the_closer_the_thicker_the_wood() -> None:
    degrees = 80.0 + 8.0 * np.sin(np.linspace(0.0, 3.0, 1001))
    counts = [len(places_along(800.0, degrees, thickness)) for thickness in (6.0, 18.0, 60.0)]
    assert counts == sorted(counts)
    assert counts[0] < counts[-1]


def test_joints_and_notches_are_always_read() -> None:
    points = np.stack([np.linspace(0.0, 500.0, 501), np.zeros(501)], axis=-1)
    assert reading_places(points, np.full(501, 1.3), 18.0, also=(120.0, 300.2)) == [0, 120, 300, 500]


def test_how_far_a_rolled_edge_is_out_is_what_its_points_in_space_show() -> None:
    run = np.linspace(0.0, 400.0, 401)
    bevel = np.radians(75.0 + 10.0 * np.tanh((run - 200.0) / 60.0))
    places = reading_places(np.stack([run, 0.0 * run], axis=-1), bevel, 36.0)
    parts = [rolled_out(run[a : b + 1], bevel[a : b + 1], 36.0) for a, b in pairwise(places)]
    assert max(parts) == pytest.approx(rolled_apart(run, bevel, places, 36.0), abs=1e-9)
    assert 0.0 < max(parts) <= MOST_OUT
