"""Whole boats, typed in with rounded figures, read, faired and cut: how far the frames may be out.

The goals are our own; no published fairing tolerance for small wooden boats was found.  The bench
``python -m tests.bench.boats_bench`` does the same for many boats.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from patterns.hull.planes import station_plane
from patterns.hull.sections import cut_hull
from tests.patterns.analytic_boats import ROUNDINGS, Rounding, analytic_boat
from tests.patterns.whole_boats import departure, simulate

# Outline in mm, bevel in degrees; our own.  A figure to 1/16 in is itself up to 0.8 mm off.
LIMITS = {
    "exact": (0.2, 0.1),
    "whole mm": (0.8, 0.25),
    "1/16 in": (0.9, 0.25),
    "1/8 in": (2.0, 0.7),
    "noise 1/8 in": (3.5, 1.5),
}


@pytest.mark.slow
@pytest.mark.parametrize(("seed", "rounding"), list(zip([2, 3, 4, 2, 3], ROUNDINGS, strict=True)))
def test_frames_from_a_typed_table_are_true(tmp_path: Path, seed: int, rounding: Rounding) -> None:
    outline, bevel = simulate(seed, rounding, tmp_path).max(axis=0)
    assert outline <= LIMITS[rounding.name][0]
    assert bevel <= LIMITS[rounding.name][1]


@pytest.mark.slow
def test_the_comparison_sees_a_boat_that_is_another() -> None:
    """Two boats of the family are far apart, so the limits above say something."""
    one, two = analytic_boat(2), analytic_boat(3)
    outline, bevel = departure(one.hull(), two.hull(), station_plane(2000.0))
    assert outline > 20.0
    assert bevel > 0.5


@pytest.mark.slow
def test_sections_of_exact_lines_agree_with_the_surface_itself() -> None:
    """Every point of a section's edge, moved out by the planking, lies on the straight line from chine to sheer.

    The closed form of a strake with straight sections: at equal x its points are (1 - v) chine + v sheer.
    """
    boat = analytic_boat(5)
    for x in (900.0, 2000.0, 3600.0):
        plane = station_plane(x)
        trace = cut_hull(boat.hull(), plane).traces["side"]
        outside = plane.space(trace.uv) + 6.0 * trace.normal
        at = outside[:, 0]
        low = np.stack([boat.chine_y(at), boat.chine_z(at)], axis=-1)
        high = np.stack([boat.sheer_y(at), boat.sheer_z(at)], axis=-1)
        run = (high - low) / np.linalg.norm(high - low, axis=1, keepdims=True)
        gap = outside[:, 1:] - low
        off = gap[:, 0] * run[:, 1] - gap[:, 1] * run[:, 0]
        assert np.abs(off).max() < 0.01
