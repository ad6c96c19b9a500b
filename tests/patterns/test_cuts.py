"""Where planes cut surfaces, against a bracketing root finder of scipy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq

from patterns.hull.cuts import cut_along
from patterns.hull.planes import FloatArray, Plane
from patterns.hull.surfaces import Patch

INSET = 9.0
RANGE = (-2.5, 3.9)


def straight(start: tuple[float, float, float], along: tuple[float, float, float]):  # type: ignore[no-untyped-def]
    """A straight edge: the point at p = 0 and its derivative."""

    def edge(p: FloatArray) -> tuple[FloatArray, FloatArray]:
        return np.array(start) + p[..., None] * np.array(along), np.broadcast_to(along, (*p.shape, 3))

    return edge


@pytest.mark.slow
@pytest.mark.parametrize("slope", [0.055, 0.03])
def test_a_plane_all_but_along_the_rulings_of_a_twisted_strake_cuts_every_one_that_it_meets(
    slope: float,
) -> None:
    """Two straight edges, and rulings square to x between them; the plane is square to the lower edge."""
    patch = Patch(
        lower=straight((0.0, 15.0, 85.0), (1.0, 0.0, -slope)),
        upper=straight((0.0, 145.0, 235.0), (1.0, 0.26, -0.10)),
        start=-400.0,
        end=400.0,
    )
    edge = np.array([1.0, 0.0, -slope]) / np.hypot(1.0, slope)
    plane = Plane(
        origin=np.array([0.0, 0.0, 85.0]), u=np.array([0.0, 1.0, 0.0]), v=np.array([-edge[2], 0.0, edge[0]])
    )

    def inside(p: float, r: float) -> FloatArray:
        lower, upper = (
            np.array([p, 15.0, 85.0 - slope * p]),
            np.array([p, 145.0 + 0.26 * p, 235.0 - 0.10 * p]),
        )
        across = upper - lower
        run = np.array([1.0, 0.26 * r, -slope + r * (slope - 0.10)])
        out = np.cross(across, run)
        return np.asarray(lower + r * across - INSET * out / np.linalg.norm(out))

    def over(r: float, p: float) -> float:
        return float((inside(p, r) - plane.origin) @ edge)

    at = np.linspace(-30.0, 30.0, 241)
    met = {
        p: brentq(over, *RANGE, args=(p,), xtol=1e-12)
        for p in at
        if over(RANGE[0], p) * over(RANGE[1], p) < 0.0
    }
    trace = cut_along(patch, plane, inset=INSET, p=at, r_range=RANGE)
    assert trace is not None
    assert len(met) > 40
    assert len(trace) == len(met)
    assert trace.r == pytest.approx(np.array(list(met.values())), abs=1e-6)
    points = np.array([inside(p, r) for p, r in met.items()]) - plane.origin
    assert trace.uv == pytest.approx(np.stack([points @ plane.u, points @ plane.v], axis=1), abs=1e-4)
