"""Areas laid over one another: hairs beside an area, and areas that only touch, do no harm."""

from __future__ import annotations

import pytest
import shapely
from shapely.geometry import GeometryCollection, LineString, Polygon

from patterns.flat import overlays

HAIRY = GeometryCollection([shapely.box(0.0, 0.0, 10.0, 10.0), LineString([(10.0, 5.0), (30.0, 5.0)])])
BESIDE = shapely.box(10.0, 0.0, 20.0, 10.0)


def test_an_area_with_a_hair_is_the_area() -> None:
    """As an outline that runs back on itself is mended."""
    mended = shapely.make_valid(Polygon([(0, 0), (10, 0), (10, 5), (30, 5), (10, 5), (10, 10), (0, 10)]))
    for hairy in (HAIRY, mended):
        assert overlays.union(hairy, BESIDE).area == pytest.approx(200.0)
        assert overlays.difference(hairy, shapely.box(5.0, 0.0, 50.0, 10.0)).area == pytest.approx(50.0)
        assert overlays.difference(shapely.box(5.0, 0.0, 50.0, 10.0), hairy).area == pytest.approx(400.0)
        assert overlays.intersection(hairy, shapely.box(5.0, 0.0, 50.0, 10.0)).area == pytest.approx(50.0)


def test_areas_that_touch_share_nothing() -> None:
    touching = shapely.union(BESIDE, shapely.box(5.0, 20.0, 8.0, 30.0))
    shared = overlays.intersection(shapely.box(0.0, 0.0, 10.0, 25.0), touching)
    assert shared.area == pytest.approx(15.0)
    assert {part.geom_type for part in shapely.get_parts(shared)} == {"Polygon"}
    assert overlays.intersection(shapely.box(0.0, 0.0, 10.0, 10.0), BESIDE).area == 0.0


def test_a_line_keeps_its_length() -> None:
    line = LineString([(-5.0, 5.0), (25.0, 5.0)])
    assert overlays.intersection(line, BESIDE).length == pytest.approx(10.0)
    assert overlays.difference(line, BESIDE).length == pytest.approx(20.0)
