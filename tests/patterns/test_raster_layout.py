"""Pieces on sheets: none leaves its sheet, no two come nearer than the gap, no fewer sheets than the area needs."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import rotate, scale
from shapely.geometry import Polygon, box

from patterns.shop.raster_layout import Nesting, PieceToLay, nested

LENGTH, BREADTH, GAP = 2400.0, 1200.0, 8.0
QUARTERS = tuple(0.5 * math.pi * k for k in range(4))


@st.composite
def outlines(draw: st.DrawFn) -> Polygon:
    """A star-shaped outline of 3 to 9 corners, or a right-angled hook."""
    size = draw(st.floats(20.0, 900.0))
    if draw(st.booleans()):
        deep = draw(st.floats(0.1, 0.9)) * size
        return Polygon([(0, 0), (size, 0), (size, size - deep), (deep, size - deep), (deep, size), (0, size)])
    radii = draw(st.lists(st.floats(0.2, 1.0), min_size=3, max_size=9))
    angles = np.linspace(0.0, 2.0 * math.pi, len(radii), endpoint=False)
    return Polygon(
        [(size * r * math.cos(a), size * r * math.sin(a)) for r, a in zip(radii, angles, strict=True)]
    )


def check(shapes: list[PieceToLay], found: Nesting) -> None:
    assert sorted([one.shape for one in found.laid] + list(found.over)) == list(range(len(shapes)))
    sheet = box(0.0, 0.0, LENGTH, BREADTH)
    for one in found.laid:
        assert sheet.buffer(1e-6).contains(one.area)
        # It is the very shape, turned as is said and turned over where that was asked.
        shape = shapes[one.shape]
        given_area = scale(shape.area, -1.0, 1.0, origin=(0.0, 0.0)) if shape.mirrored else shape.area
        turned = rotate(given_area, one.turn, origin=(0.0, 0.0), use_radians=True)
        assert one.turn in shape.turns
        assert one.area.area == pytest.approx(shape.area.area, rel=1e-9)
        assert np.subtract(one.area.bounds[2:], one.area.bounds[:2]) == pytest.approx(
            np.subtract(turned.bounds[2:], turned.bounds[:2]), abs=1e-6
        )
    for i, a in enumerate(found.laid):
        for b in found.laid[i + 1 :]:
            if a.sheet == b.sheet:
                assert a.area.distance(b.area) >= GAP - 1e-6
    area = sum(shapes[one.shape].area.area for one in found.laid)
    assert found.sheets >= area / (LENGTH * BREADTH) - 1e-9
    assert {one.sheet for one in found.laid} == set(range(found.sheets))


@pytest.mark.slow
@settings(max_examples=15)
@given(
    st.lists(
        st.tuples(outlines(), st.sampled_from([QUARTERS, (0.3, 0.3 + math.pi)]), st.booleans()), max_size=12
    )
)
def test_pieces_keep_apart_and_on_their_sheet(given: list[tuple[Polygon, tuple[float, ...], bool]]) -> None:
    shapes = [PieceToLay(area=area, turns=turns, mirrored=over) for area, turns, over in given]
    check(shapes, nested(shapes, length=LENGTH, breadth=BREADTH, gap=GAP))


def test_the_same_pieces_are_laid_the_same_each_time() -> None:
    shapes = [PieceToLay(area=box(0, 0, 100 + 30 * k, 700 - 40 * k), turns=QUARTERS) for k in range(12)]
    one, two = (nested(shapes, length=LENGTH, breadth=BREADTH, gap=GAP) for _ in range(2))
    assert [(a.shape, a.sheet, a.turn, a.area.bounds) for a in one.laid] == [
        (a.shape, a.sheet, a.turn, a.area.bounds) for a in two.laid
    ]


def test_squares_fill_a_sheet_and_what_is_larger_than_one_is_named() -> None:
    """Two by one squares of 1150 fit with the gap; a third needs another sheet; a board of 2500 fits none."""
    square = box(0.0, 0.0, 1150.0, 1150.0)
    for count, sheets in ((2, 1), (3, 2)):
        shapes = [PieceToLay(area=square, turns=QUARTERS)] * count
        assert nested(shapes, length=LENGTH, breadth=BREADTH, gap=GAP).sheets == sheets
    shapes = [PieceToLay(area=square, turns=QUARTERS), PieceToLay(area=box(0, 0, 2500, 20), turns=QUARTERS)]
    found = nested(shapes, length=LENGTH, breadth=BREADTH, gap=GAP)
    assert found.over == (1,)
    check(shapes, found)


def test_small_pieces_go_into_the_openings_of_large_ones() -> None:
    ring = box(0.0, 0.0, 2300.0, 1100.0).difference(box(200.0, 200.0, 2100.0, 900.0))
    shapes = [
        PieceToLay(area=ring, turns=(0.0,)),
        PieceToLay(area=box(0.0, 0.0, 600.0, 500.0), turns=(0.0,)),
    ]
    found = nested(shapes, length=LENGTH, breadth=BREADTH, gap=GAP)
    assert found.sheets == 1
    check(shapes, found)
