"""Necks of areas, against shapes whose narrowest place is known."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from patterns.flat.necks import mean_width, narrowest


def dumb_bell(width: float, *, turned: float = 0.0) -> shapely.Polygon:
    """Two squares of 100 mm, 60 mm apart, joined by a strip of a width."""
    area = shapely.union_all(
        [
            shapely.box(-130.0, -50.0, -30.0, 50.0),
            shapely.box(30.0, -50.0, 130.0, 50.0),
            shapely.box(-31.0, -0.5 * width, 31.0, 0.5 * width),
        ]
    )
    return shapely.affinity.rotate(area, turned, origin=(0.0, 0.0))


@settings(deadline=None, max_examples=40)
@given(width=st.floats(1.0, 60.0), turned=st.floats(0.0, 180.0))
def test_the_strip_between_two_squares_is_the_neck(width: float, turned: float) -> None:
    neck = narrowest(dumb_bell(width, turned=turned), below=40.0)
    if width > 40.5:
        assert neck is None
    elif width < 39.5:
        assert neck is not None
        assert neck.width == pytest.approx(width, abs=0.4)
        assert np.hypot(*neck.at) < 32.0


@settings(deadline=None, max_examples=40)
@given(out=st.floats(0.0, 19.0), way=st.floats(0.0, 2.0 * np.pi))
def test_a_ring_is_narrowest_where_its_hole_lies_nearest_to_its_edge(out: float, way: float) -> None:
    """A disc of radius 100 with a hole of radius 80 whose middle lies ``out`` from its own: 20 - out is left."""
    hole = shapely.Point(out * np.cos(way), out * np.sin(way)).buffer(80.0, quad_segs=64)
    neck = narrowest(shapely.Point(0.0, 0.0).buffer(100.0, quad_segs=64).difference(hole), below=15.0)
    if out < 4.5:
        assert neck is None
    elif out > 5.5:
        assert neck is not None
        assert neck.width == pytest.approx(20.0 - out, abs=0.1)


def test_points_horns_and_bores_are_no_necks() -> None:
    wood = shapely.box(0.0, 0.0, 400.0, 60.0)
    assert narrowest(wood, below=15.0) is None
    assert narrowest(shapely.Polygon([(0.0, 0.0), (400.0, 0.0), (0.0, 60.0)]), below=15.0) is None
    horn = shapely.union(wood, shapely.box(400.0, 48.0, 425.0, 60.0))
    assert narrowest(horn, below=15.0) is None
    assert narrowest(wood.difference(shapely.Point(200.0, 6.0).buffer(3.0)), below=15.0) is None


def test_two_notches_abreast_leave_a_neck() -> None:
    wood = shapely.box(0.0, 0.0, 400.0, 60.0)
    cut = wood.difference(shapely.box(180.0, 0.0, 220.0, 30.0)).difference(
        shapely.box(200.0, 38.0, 240.0, 60.0)
    )
    neck = narrowest(cut, below=15.0)
    assert neck is not None
    assert neck.width == pytest.approx(8.0, abs=0.1)


@given(length=st.floats(10.0, 2000.0), width=st.floats(1.0, 50.0))
def test_the_mean_width_of_a_strip(length: float, width: float) -> None:
    """Twice its area over its outline's length."""
    wide = mean_width(shapely.box(0.0, 0.0, length, width))
    assert wide == pytest.approx(length * width / (length + width), rel=1e-9)
