"""A class of simulated pupils lofts the exercises: a careful hand's readings are accepted, a slip's are not."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from patterns.boat import Boat, load_boat
from patterns.lesson.exercise import Exercise, exercises
from patterns.lesson.pencil import PENCIL, batten_bias, least_radius
from tests.demo import DEMO, demo_boat, round_demo

PUPILS = 400
Array = NDArray[np.float64]


def lofted(exercise: Exercise, *, hand: float, lifted: bool = True, seed: int = 1) -> Array:
    """What each pupil reads at each cross, true mm, (pupils, crosses).

    Crosses are set with an error; the batten is a natural spline by length along the crosses that hold it, another
    batten than the exercise is judged by; its line is drawn beside it and read off with errors.
    """
    rng = np.random.default_rng(seed)
    x = np.array([exercise.along.at(cross.x) for cross in exercise.crosses])
    y = np.array([exercise.across.at(cross.printed) for cross in exercise.crosses])
    held = ~np.array([cross.planted and lifted for cross in exercise.crosses])
    read = np.empty((PUPILS, len(x)))
    for pupil in range(PUPILS):
        points = np.column_stack([x, y + rng.normal(0.0, hand, len(x))])[held]
        along = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1)))
        line = CubicSpline(along, points, bc_type="natural")(np.linspace(0.0, along[-1], 1500))
        normal = np.gradient(line, axis=0)[:, ::-1] * (-1.0, 1.0)
        normal /= np.linalg.norm(normal, axis=1)[:, None]
        # A pencil's line leaves the batten slowly, over some 30 mm.
        beside = np.interp(
            along[-1] * np.linspace(0, 1, 1500), np.linspace(0, along[-1], 9), rng.normal(0, hand, 9)
        )
        drawn = line + normal * beside[:, None]
        order = np.maximum.accumulate(drawn[:, 0])
        read[pupil] = np.interp(x, order, drawn[:, 1]) + rng.normal(0.0, hand, len(x))
    return exercise.across.low + read * exercise.across.scale


CASES = [
    ("class", "sheer"),
    ("class", "chine"),
    ("demo", "chine"),
    ("demo", "sheer"),
    ("round_bilge", "WL 3"),
]


@cache
def found_in(name: str, line: str) -> tuple[Exercise, ...]:
    boats: dict[str, Callable[[], Boat]] = {
        "demo": demo_boat,
        "round_bilge": round_demo,
        "class": lambda: load_boat(DEMO / "class"),
    }
    return exercises(boats[name](), [line], room=222.0, tall=152.0)


def inside(exercise: Exercise, read: Array) -> Array:
    """The share of pupils whose reading is accepted, at each cross."""
    true, band = (np.array([getattr(cross, name) for cross in exercise.crosses]) for name in ("true", "band"))
    share: Array = (np.abs(read - true) <= band).mean(axis=0)
    return share


@pytest.mark.slow
@pytest.mark.parametrize(("name", "line"), CASES)
def test_a_careful_pupils_spline_passes(name: str, line: str) -> None:
    for exercise in found_in(name, line):
        share = inside(exercise, lofted(exercise, hand=PENCIL))
        assert share.mean() > 0.95
        assert share.min() > 0.90, (exercise.view, share)


@pytest.mark.slow
@pytest.mark.parametrize(("name", "line"), CASES)
def test_the_bands_are_not_wider_than_a_pencil_needs(name: str, line: str) -> None:
    for exercise in found_in(name, line):
        careless = inside(exercise, lofted(exercise, hand=4.0 * PENCIL))
        assert careless.mean() < 0.75


@pytest.mark.slow
@pytest.mark.parametrize(("name", "line"), CASES)
def test_who_bends_the_batten_to_a_wrong_cross_fails_there(name: str, line: str) -> None:
    for exercise in found_in(name, line):
        share = inside(exercise, lofted(exercise, hand=PENCIL, lifted=False))
        planted = np.array([cross.planted for cross in exercise.crosses])
        assert planted.any()
        assert share[planted].max() < 0.02
        moves = [abs(c.printed - c.true) / exercise.across.scale for c in exercise.crosses if c.planted]
        assert all(2.0 <= move <= 5.5 for move in moves)


def test_the_sharpest_bend_of_an_arc_is_its_radius() -> None:
    turn = np.linspace(0.0, 1.0, 200)
    for radius in (40.0, 150.0):
        arc = radius * np.column_stack([np.cos(turn), np.sin(turn)])
        assert least_radius(arc)[0] == pytest.approx(radius, rel=0.01)
    assert least_radius(np.array([[0.0, 0.0], [100.0, 30.0]]))[0] == np.inf


def test_a_batten_on_a_cubic_is_the_cubic() -> None:
    """A spline whose end pieces are their neighbours' is exact on one cubic; a gentle one is not steep either."""
    x = np.linspace(0.0, 200.0, 8)
    y = 1e-6 * (x - 60.0) ** 2 * (x - 150.0)
    held = np.arange(8) != 4
    assert batten_bias(x, y + 3.0 * ~held, held, y).max() < 0.02
