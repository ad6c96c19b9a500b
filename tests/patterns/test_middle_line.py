"""Planks laid flat along their middle line: exact where a sheet lies so, else with a known strain."""

from __future__ import annotations

import numpy as np
import pytest

from patterns.flat.middle_line import along_middle, strain_along
from patterns.vectors import FloatArray


def _lengths(points: FloatArray) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def test_a_band_round_a_cone_is_a_band_of_a_circle() -> None:
    """A cone of half angle a unrolls to a sector: an arc of radius s, angle phi * sin(a)."""
    a, near, far, turn = np.radians(25.0), 900.0, 1100.0, 1.2
    phi = np.linspace(0.0, turn, 400)
    ways = np.stack([np.cos(phi) * np.sin(a), np.sin(phi) * np.sin(a), np.full_like(phi, np.cos(a))], axis=-1)
    out = np.stack([np.cos(phi) * np.cos(a), np.sin(phi) * np.cos(a), np.full_like(phi, -np.sin(a))], axis=-1)
    for outward in (out, -out):  # seen from within, and from without
        low, high = along_middle(near * ways, far * ways, outward)
        for flat, radius in ((low, near), (high, far)):
            assert _lengths(flat) == pytest.approx(radius * turn * np.sin(a), rel=1e-4)
            chord = 2.0 * radius * np.sin(0.5 * turn * np.sin(a))
            assert np.hypot(*(flat[-1] - flat[0])) == pytest.approx(chord, rel=1e-4)
        # The tip lies where the first and the last ruling meet, at their own lengths from both.
        first, last = (high[i] - low[i] for i in (0, -1))
        tip = low[0] - near * first / np.hypot(*first)
        assert tip == pytest.approx(low[-1] - near * last / np.hypot(*last), abs=0.1)
        assert abs(strain_along(near * ways, low)) < 1e-4


def test_a_slanting_band_round_a_cylinder_keeps_every_distance() -> None:
    """On a cylinder of radius R places unroll to (R * angle, x); rulings that lean across stay straight."""
    radius, angle = 700.0, np.linspace(0.0, 1.5, 500)

    def on(x: FloatArray) -> FloatArray:
        return np.stack([radius * np.sin(angle), x, radius * (1.0 - np.cos(angle))], axis=-1)

    edges = 30.0 + 40.0 * angle, 150.0 + 60.0 * angle**2
    out = np.stack([np.sin(angle), 0.0 * angle, -np.cos(angle)], axis=-1)
    low, high = along_middle(on(edges[0]), on(edges[1]), out)
    true = [np.stack([radius * angle, edge], axis=-1) for edge in edges]
    flat, exact = np.vstack([low, high]), np.vstack(true)
    picked = np.linspace(0, len(flat) - 1, 40).astype(int)
    between = [np.linalg.norm(each[picked][:, None] - each[picked][None], axis=-1) for each in (flat, exact)]
    assert np.abs(between[0] - between[1]).max() < 0.05


def test_the_strain_of_a_twisted_plank_is_that_of_the_helicoid() -> None:
    """A straight middle line with square rulings that turn by k: edges at a are longer by sqrt(1 + (a k)^2)."""
    turn, half = 0.001, 60.0
    x = np.linspace(0.0, 1500.0, 600)
    across = np.stack([0.0 * x, np.cos(turn * x), np.sin(turn * x)], axis=-1)
    middle = np.stack([x, 0.0 * x, 0.0 * x], axis=-1)
    out = np.stack([0.0 * x, np.sin(turn * x), -np.cos(turn * x)], axis=-1)
    low, high = middle - half * across, middle + half * across
    flat_low, flat_high = along_middle(low, high, out)
    assert np.hypot(*(flat_high - flat_low).T) == pytest.approx(2.0 * half)
    assert np.abs(flat_low[:, 1] + half).max() < 1e-6
    wanted = 1.0 / np.hypot(1.0, half * turn) - 1.0
    assert strain_along(low, flat_low) == pytest.approx(wanted, rel=1e-3)
    assert strain_along(high, flat_high) == pytest.approx(wanted, rel=1e-3)
