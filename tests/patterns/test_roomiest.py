"""Where the wood is broadest, by closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import affinity
from shapely.geometry import Point, Polygon, box

from patterns.flat.roomiest import roomiest


def test_of_a_strip_it_is_the_middle_wherever_its_outline_begins() -> None:
    corners = np.array([[0.0, 0.0], [900.0, 0.0], [900.0, 30.0], [0.0, 30.0]])
    for start in range(4):
        x, y, radius = roomiest(Polygon(np.roll(corners, start, axis=0)))
        assert (x, y) == pytest.approx((450.0, 15.0), abs=1e-6)
        assert radius == pytest.approx(15.0, abs=0.02)


def test_of_a_disc_it_is_the_centre_and_of_a_triangle_the_inscribed_circle_fits() -> None:
    x, y, radius = roomiest(Point(50.0, -20.0).buffer(40.0, quad_segs=64))
    assert (x, y, radius) == pytest.approx((50.0, -20.0, 40.0), abs=0.05)
    x, y, radius = roomiest(Polygon([(0.0, 0.0), (300.0, 0.0), (0.0, 400.0)]))
    assert radius == pytest.approx(100.0, abs=0.2)  # (a + b - c) / 2
    assert (x, y) == pytest.approx((100.0, 100.0), abs=15.0)


def test_it_lies_in_the_wood_of_a_bent_piece_with_nine_tenths_of_the_room() -> None:
    ring = (
        Point(0.0, 0.0)
        .buffer(500.0)
        .difference(Point(0.0, 0.0).buffer(450.0))
        .intersection(box(-600.0, -600.0, 600.0, 0.0))
    )
    x, y, radius = roomiest(ring)
    assert radius == pytest.approx(25.0, abs=1.0)
    assert ring.contains(Point(x, y))
    assert ring.exterior.distance(Point(x, y)) >= 0.89 * radius


def test_of_two_equal_ends_it_takes_the_same_whatever_the_last_figures_are() -> None:
    ends = (
        box(0.0, 0.0, 200.0, 200.0).union(box(800.0, 0.0, 1000.0, 200.0)).union(box(0.0, 80.0, 1000.0, 120.0))
    )
    chance = np.random.default_rng(1)
    found = [roomiest(ends)]
    for _ in range(10):
        shaken = np.array(ends.exterior.coords)[:-1] + chance.uniform(
            -1e-6, 1e-6, (len(ends.exterior.coords) - 1, 2)
        )
        found.append(roomiest(Polygon(shaken)))
    assert np.ptp(np.array(found), axis=0).max() < 1e-4
    mirrored = roomiest(affinity.scale(ends, -1.0, 1.0, origin=(500.0, 0.0)))
    assert mirrored == pytest.approx(found[0], abs=1e-6)
