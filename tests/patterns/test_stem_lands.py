"""The land's bevel on the stem from head to foot, against the planking's inside looked at point by point."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from patterns.boat import Boat, load_boat
from patterns.hull.planes import Plane
from patterns.hull.surfaces import moved
from patterns.joinery.stem_lands import landing_at, stem_run
from tests.demo import demo_boat

SKIFF = Path(__file__).parent / "designs" / "skiff"


@cache
def _skiff() -> Boat:
    return load_boat(SKIFF)


def _looked_at(boat: Boat, t: float, half: float) -> float | None:
    """The bevel by the surfaces' own points near to the stem's side; None where no strake comes there."""
    profile = boat.hull.profile
    way = profile.at(np.array(t), 1)[[0, 2]]
    way = way / np.linalg.norm(way)
    point = profile.at(np.array(t))
    plane = Plane(
        origin=np.array([point[0], 0.0, point[2]]),
        u=np.array([0.0, 1.0, 0.0]),
        v=np.array([-way[1], 0.0, way[0]]),
    )
    best: tuple[float, float] | None = None
    for strake in boat.hull.strakes:
        for patch in strake.patches:
            p = np.linspace(patch.start, min(patch.end, patch.start + 1500.0), 1200)[1:-1]
            points, normals = moved(patch, p[:, None], np.linspace(0.0, 1.0, 300)[None, :], strake.inset)
            uv = plane.flat(points)
            off = np.hypot(plane.height_over(points), uv[..., 0] - half)
            off = np.where((uv[..., 1] > -2.0) & (uv[..., 1] < 40.0), off, np.inf)
            i = np.unravel_index(int(off.argmin()), off.shape)
            if off[i] < 1.0 and (best is None or off[i] < best[0]):
                best = float(off[i]), float(np.arccos(-normals[i][1]))
    return None if best is None else best[1]


@pytest.mark.slow
@pytest.mark.parametrize("made", [_skiff, demo_boat])
def test_the_bevel_is_that_of_the_planking_from_head_to_foot(made: Callable[[], Boat]) -> None:
    boat = made()
    spec = boat.design.fore_end
    run = stem_run(boat.hull, spec.foot)  # type: ignore[union-attr]
    half = 0.5 * spec.sided  # type: ignore[union-attr]
    seen = 0
    for t in np.interp(np.linspace(0.04, 0.96, 24)[::2], np.linspace(0.0, 1.0, len(run)), run):
        landing = landing_at(boat.hull, float(t), half)
        assert 0.0 < landing.face < half
        assert landing.bearding > 0.0
        by_points = _looked_at(boat, float(t), half)
        if by_points is not None:
            seen += 1
            assert np.degrees(abs(landing.bevel - by_points)) < 1.0
    assert seen >= 9


@pytest.mark.slow
def test_where_one_strake_lands_the_bevel_runs_on_without_a_leap() -> None:
    """Straight sections, one strake from head to foot: neither the head's point nor the chine's end spoils it."""
    boat = _skiff()
    spec = boat.design.fore_end
    run = stem_run(boat.hull, spec.foot)  # type: ignore[union-attr]
    places = np.interp(np.linspace(0.04, 0.96, 60), np.linspace(0.0, 1.0, len(run)), run)
    bevels = [np.degrees(landing_at(boat.hull, float(t), 0.5 * spec.sided).bevel) for t in places]  # type: ignore[union-attr]
    # Abreast of the chine's end the side's lower edge turns from the stem to the chine: a crease of its own.
    assert np.abs(np.diff(bevels))[:-2].max() < 0.3
    assert np.abs(np.diff(bevels)).max() < 1.5
    assert min(bevels) > 140.0
    assert max(bevels) < 155.0
