"""Bent sheets laid flat, against closed forms."""

from __future__ import annotations

import numpy as np
import pytest

from patterns.flat.unroll import Unrolled, unroll
from patterns.hull.planes import FloatArray, station_plane


def _frustum(count: int, part: float = 1.0) -> tuple[FloatArray, FloatArray]:
    """The frustum of radii 100 and 200, height 240, from its wide end up."""
    turn = np.linspace(0.0, -2.0 * np.pi * part, count)
    ring = np.stack([np.cos(turn), np.sin(turn), 0.0 * turn], axis=-1)
    return 200.0 * ring, 100.0 * ring + [0.0, 0.0, 240.0]


def test_a_cone_frustum_unrolls_to_its_sector() -> None:
    """Slant hypot(100, 240) = 260, outer radius 260 * 200 / 100 = 520, sector 360 * 200 / 520 = 138.461538 deg."""
    low, high = unroll(*_frustum(2001))
    slant = np.hypot(*(high - low).T)
    assert slant == pytest.approx(np.full(2001, 260.0), abs=1e-9)
    first, last = high[0] - low[0], high[-1] - low[-1]
    sector = np.degrees(np.arctan2(last[1], last[0]) - np.arctan2(first[1], first[0])) % 360.0
    assert sector == pytest.approx(138.461538, abs=1e-4)
    apex = low[0] + first / 260.0 * 520.0
    assert np.hypot(*(low - apex).T) == pytest.approx(np.full(2001, 520.0), abs=1e-3)
    assert np.hypot(*np.diff(low, axis=0).T).sum() == pytest.approx(400.0 * np.pi, abs=0.1)
    assert np.hypot(*np.diff(high, axis=0).T).sum() == pytest.approx(200.0 * np.pi, abs=0.1)


def test_a_cylinder_cut_aslant_keeps_its_lengths() -> None:
    """On radius 300 a cut by a plane at 30 deg unrolls to the sine curve v = 300 tan 30 sin(s / 300)."""
    turn = np.linspace(0.0, 2.0, 801)
    low = np.stack([300.0 * np.cos(turn), -300.0 * np.sin(turn), 0.0 * turn], axis=-1)
    up = 500.0 + 300.0 * np.tan(np.radians(30.0)) * np.sin(turn)
    flat_low, flat_high = unroll(low, low + up[:, None] * [0.0, 0.0, 1.0])
    assert flat_low[:, 1] == pytest.approx(np.zeros(801), abs=1e-6)
    assert flat_low[:, 0] == pytest.approx(300.0 * turn, abs=0.01)
    assert flat_high == pytest.approx(np.stack([300.0 * turn, up], axis=-1), abs=0.01)


def test_a_plane_stays_as_it_is() -> None:
    rng = np.random.default_rng(2)
    x = np.linspace(0.0, 900.0, 40) + rng.uniform(-6.0, 6.0, 40)
    low = np.stack([x, 0.0 * x, rng.uniform(-20.0, 20.0, 40)], axis=-1)
    high = low + np.array([35.0, 0.0, 400.0])
    flat_low, flat_high = unroll(low, high)
    both, flat = np.vstack([low, high])[:, [0, 2]], np.vstack([flat_low, flat_high])
    apart = np.linalg.norm(both[:, None] - both[None], axis=-1)
    assert np.linalg.norm(flat[:, None] - flat[None], axis=-1) == pytest.approx(apart, abs=1e-9)
    # Seen with aft (x) to the right and up to the top: not turned over.
    (ax, ay), (bx, by) = flat[39] - flat[0], flat[40] - flat[0]
    assert ax * by - ay * bx > 0.0


def test_lines_and_points_are_laid_where_they_belong() -> None:
    turn = np.linspace(0.0, 1.0, 301)
    low = np.stack([400.0 * np.sin(turn), 400.0 * np.cos(turn), 0.0 * turn], axis=-1)
    high = low + np.array([0.0, 0.0, 250.0])
    outward = np.stack([np.sin(turn), np.cos(turn), 0.0 * turn], axis=-1)
    flat_low, flat_high = unroll(low, high)
    sheet = Unrolled(low=low, high=high, outward=outward, flat_low=flat_low, flat_high=flat_high)
    line = sheet.where(
        sheet.over(station_plane(120.0).height_over, np.array([0.0, 0.5, 1.0])), np.array([0.0, 0.5, 1.0])
    )
    assert line[:, 0] == pytest.approx(np.full(3, 400.0 * np.arcsin(0.3)), abs=0.01)
    assert line[:, 1] == pytest.approx([0.0, 125.0, 250.0], abs=1e-6)
    along = np.stack([np.cos(turn), -np.sin(turn), 0.0 * turn], axis=-1)
    beside = sheet.lay(high + 7.0 * along + [0.0, 0.0, 11.0] - 3.0 * outward)
    square = np.stack([flat_high[:, 0] + 7.0, flat_high[:, 1] + 11.0], axis=-1)
    assert beside == pytest.approx(square, abs=1e-6)
