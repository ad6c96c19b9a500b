"""A piece's own coordinates and the boat's: closed forms, and back again to 0.001 mm for each kind of placement."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from patterns.hull.curved import curved_face
from patterns.hull.planes import FloatArray, station_plane
from patterns.joinery.strake_pieces import flat_pieces
from patterns.timbers.measured import measured
from patterns.wood.placement import OnFace, OnRulings, Placement, along_run, mirrored, on_sheet, on_sheets
from tests.demo import demo_boat

BACK = 0.001  # mm


def _back(placement: Placement, own: FloatArray) -> float:
    """How far places move on their way into the boat and back, mm; the mirror's too."""
    other = mirrored(placement)
    assert np.allclose(other.boat(own), placement.boat(own) * [1.0, -1.0, 1.0])
    assert mirrored(other) is placement
    return max(float(np.abs(way.own(way.boat(own)) - own).max()) for way in (placement, other))


def _places(seed: int, low: FloatArray, high: FloatArray) -> FloatArray:
    rng = np.random.default_rng(seed)
    found: FloatArray = low + rng.uniform(size=(50, 3)) * (high - low)
    return found


@given(st.integers(0, 10**6), st.floats(-0.4, 0.4), st.sampled_from([-1.0, 1.0]))
def test_a_plane_gives_its_places_back(seed: int, lean: float, sense: float) -> None:
    for plane in (station_plane(1200.0, rake=lean), station_plane(1200.0, cant=lean)):
        places = _places(seed, np.array([0.0, -300.0, 0.0]), np.array([900.0, 700.0, 40.0]))
        assert _back(OnFace(plane, sense), places) < BACK
    up = OnFace(station_plane(1200.0, rake=lean), sense)
    [point] = up.boat(np.array([[0.0, 100.0, 0.0]]))
    assert point == pytest.approx([1200.0 + 100.0 * np.sin(lean), 0.0, 100.0 * np.cos(lean)])


@given(st.integers(0, 10**6), st.floats(400.0, 4000.0), st.sampled_from([-1.0, 1.0]))
def test_an_unrolled_cylinder_gives_its_places_back(seed: int, radius: float, sense: float) -> None:
    placement = OnFace(curved_face(station_plane(3600.0, rake=0.2), radius), sense)
    places = _places(seed, np.array([0.0, 0.0, 0.0]), np.array([0.9 * radius, 500.0, 30.0]))
    assert _back(placement, places) < BACK


def _barrel(radius: float, count: int) -> OnRulings:
    """Rulings along a cylinder's elements, aft to the right, by the closed form."""
    angle = np.linspace(0.0, 1.2, count)
    out = np.stack([np.sin(angle), np.zeros(count), -np.cos(angle)], axis=-1)
    low = radius * out
    flat = np.column_stack([radius * angle, np.zeros(count)])
    return OnRulings(low, low + np.array([0.0, 200.0, 0.0]), -out, flat, flat + np.array([0.0, 200.0]))


@given(st.integers(0, 10**6), st.floats(300.0, 3000.0))
def test_rulings_give_a_cylinders_places_by_the_closed_form(seed: int, radius: float) -> None:
    barrel = _barrel(radius, 400)
    places = _places(seed, np.array([0.1 * radius, -20.0, 0.0]), np.array([1.1 * radius, 220.0, 20.0]))
    assert _back(barrel, places) < BACK
    angle, inside = places[:, 0] / radius, radius - places[:, 2]
    true = np.stack([inside * np.sin(angle), places[:, 1], -inside * np.cos(angle)], axis=-1)
    sagitta = radius * (1.2 / 399) ** 2 / 8.0
    assert np.abs(barrel.boat(places) - true).max() < 2.0 * sagitta


@cache
def _sheets() -> tuple[OnRulings, ...]:
    hull = demo_boat().hull
    pieces = [flat_pieces(hull, strake) for strake in hull.strakes]
    whole = tuple(on_sheets([piece.flat for piece in strake]) for strake in pieces)
    assert max(len(strake) for strake in pieces) > 1
    return tuple(on_sheet(piece.flat) for strake in pieces for piece in strake) + whole


@settings(max_examples=8)
@given(st.integers(0, 10**6))
def test_a_developed_strake_gives_its_places_back(seed: int) -> None:
    for sheet in _sheets():
        rng = np.random.default_rng(seed)
        number = rng.uniform(2.0, len(sheet.low) - 3.0, 40)
        part = rng.uniform(0.05, 0.95, 40)[:, None]
        i, s = number.astype(int), (number % 1.0)[:, None]
        low = sheet.flat_low[i] + s * (sheet.flat_low[i + 1] - sheet.flat_low[i])
        high = sheet.flat_high[i] + s * (sheet.flat_high[i + 1] - sheet.flat_high[i])
        places = np.column_stack([low + part * (high - low), rng.uniform(0.0, 9.0, 40)])
        assert _back(sheet, places) < BACK


@settings(max_examples=8)
@given(st.integers(0, 10**6))
def test_a_timbers_run_gives_its_places_back(seed: int) -> None:
    runs = demo_boat().runs
    assert runs
    for run in runs:
        sizes = measured(run)
        _, across, off = sizes.axes
        placement = along_run(sizes.rails.mean(axis=1), across, off)
        long = float(placement.flat_low[-1, 0])
        places = _places(seed, np.array([20.0, -25.0, -25.0]), np.array([long - 20.0, 25.0, 25.0]))
        assert _back(placement, places) < BACK
        # A place on the curve itself: u is the length along it.
        middle = len(sizes.rails) // 2
        [own] = placement.own(sizes.rails[middle : middle + 1].mean(axis=1))
        steps = np.linalg.norm(np.diff(sizes.rails.mean(axis=1)[: middle + 1], axis=0), axis=1)
        assert own == pytest.approx([steps.sum(), 0.0, 0.0], abs=BACK)
