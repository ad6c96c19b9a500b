"""Planking and deck as closed skins, on the boat of planes where every distance is a plane's."""

from __future__ import annotations

import numpy as np
import pytest

from patterns.assembly.shell import deck_shell, planking_shells
from patterns.boat import load_boat
from tests.patterns.plane_boat import (
    BOTTOM_T,
    SIDE_T,
    bottom_over,
    chine,
    keel_z,
    sheer,
    side_over,
    write_plane_boat,
)


@pytest.fixture(scope="module")
def hull(tmp_path_factory: pytest.TempPathFactory) -> object:
    return load_boat(write_plane_boat(tmp_path_factory.mktemp("planes"))).hull


@pytest.mark.slow
def test_the_distance_from_each_strake_is_the_distance_from_its_plane(hull) -> None:  # type: ignore[no-untyped-def]
    rng = np.random.default_rng(3)
    x = rng.uniform(1200.0, 3400.0, 300)
    part = rng.uniform(0.1, 0.9, 300)
    y = np.array([20.0 + q * (chine(v)[0] - 20.0) for v, q in zip(x, part, strict=True)])
    z = np.array([keel_z(v) + q * (chine(v)[1] - keel_z(v)) for v, q in zip(x, part, strict=True)])
    on_bottom = np.stack([x, y, z], axis=-1) + rng.uniform(-30.0, 30.0, (300, 1)) * [0.0, 0.0, 1.0]
    y = np.array([chine(v)[0] + q * (sheer(v)[0] - chine(v)[0]) for v, q in zip(x, part, strict=True)])
    z = np.array([chine(v)[1] + q * (sheer(v)[1] - chine(v)[1]) for v, q in zip(x, part, strict=True)])
    on_side = np.stack([x, y, z], axis=-1) + rng.uniform(-30.0, 30.0, (300, 1)) * [0.0, 1.0, 0.0]
    bottom, side = planking_shells(hull)
    for shell, points, over, thickness in (
        (bottom, on_bottom, bottom_over, BOTTOM_T),
        (side, on_side, side_over, SIDE_T),
    ):
        assert shell.depth(points) == pytest.approx(over(points) + thickness, abs=1e-3)
        assert shell.depth(points * [1.0, -1.0, 1.0]) == pytest.approx(over(points) + thickness, abs=1e-3)


@pytest.mark.slow
def test_places_off_a_strake_are_not_its_own(hull) -> None:  # type: ignore[no-untyped-def]
    bottom, side = planking_shells(hull)
    low = np.array([[2000.0, 100.0, keel_z(2000.0)]])
    assert bottom.depth(low)[0] > -50.0
    assert side.depth(low)[0] < -1e5


@pytest.mark.slow
def test_the_flat_deck_s_distance(hull) -> None:  # type: ignore[no-untyped-def]
    deck = deck_shell(hull)
    x = 2400.0
    y, z = sheer(x)
    points = np.array([[x, 0.5 * y, z], [x, 0.2 * y, z - 50.0]])
    up = 1.0 / np.hypot(1.0, 0.03)  # the sheer falls 0.03 in 1
    found = deck.depth(points)
    assert found[0] - found[1] == pytest.approx(50.0 * up, abs=1e-3)
