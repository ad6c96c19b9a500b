"""The compressed lines plan: least radii by closed forms, and scales that fit the page."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.hull.planes import FloatArray
from patterns.shop.sighting import compressed, least_radius, sighting_scales
from tiling.drawing import Disc, Drawing, Note, Path, Stroke


@dataclass(frozen=True)
class Helix:
    """Radius a, rise b for each radian: the curvature is a / (a^2 + b^2) everywhere (any textbook; from memory)."""

    a: float
    b: float
    start: float = 0.0
    end: float = 2.0

    def at(self, t: FloatArray, order: int = 0) -> FloatArray:
        turn = t + 0.5 * np.pi * order
        rise = (self.b * t, np.full_like(t, self.b), np.zeros_like(t))[order]
        return np.stack([self.a * np.cos(turn), self.a * np.sin(turn), rise], axis=-1)


@dataclass(frozen=True)
class Parabola:
    """z = x^2 / (2 r): the least radius is r, at x = 0 (any textbook; from memory)."""

    r: float
    start: float = -1000.0
    end: float = 1000.0

    def at(self, t: FloatArray, order: int = 0) -> FloatArray:
        none = np.zeros_like(t)
        x, z = ((t, t**2 / (2.0 * self.r)), (none + 1.0, t / self.r), (none, none + 1.0 / self.r))[order]
        return np.stack([x, none, z], axis=-1)


@pytest.mark.parametrize(("a", "b"), [(1000.0, 0.0), (800.0, 600.0)])
def test_a_helix_has_one_radius(a: float, b: float) -> None:
    assert least_radius("line", Helix(a, b)).radius == pytest.approx((a**2 + b**2) / a)


def test_a_parabola_bends_most_at_its_foot() -> None:
    found = least_radius("line", Parabola(640.0))
    assert found.radius == pytest.approx(640.0)
    assert found.at == pytest.approx(0.0, abs=1.0)


def test_a_straight_line_has_none() -> None:
    assert math.isinf(least_radius("line", Parabola(1e12)).radius)


def test_a_view_is_shorter_and_as_high() -> None:
    view = Drawing(
        paths=(Path(points=np.array([[0.0, 0.0], [400.0, 30.0]]), stroke=Stroke(width=0.35)),),
        discs=(Disc(centre=(200.0, 10.0), radius=0.5),),
        notes=(Note(text="sheer", target=(400.0, 30.0)),),
    )
    short = compressed(view, 8.0)
    assert short.paths[0].points == pytest.approx(np.array([[0.0, 0.0], [50.0, 30.0]]))
    assert short.discs[0].centre == (25.0, 10.0)
    assert short.notes[0].target == (50.0, 30.0)


@given(
    length=st.floats(1500.0, 15000.0),
    slender=st.floats(2.5, 8.0),
    room=st.floats(100.0, 260.0),
    tall=st.floats(60.0, 260.0),
)
def test_the_scales_fit_and_lengths_are_five_to_ten_times_shorter(
    length: float, slender: float, room: float, tall: float
) -> None:
    points = np.array([[0.0, 0.0, 0.0], [length, length / slender, 0.2 * length / slender]])
    scale, times = sighting_scales(points, room, tall)
    assert 5 <= times <= 10
    assert length / (scale * times) <= room + 1e-6
    assert length / slender / scale <= tall + 1e-6
