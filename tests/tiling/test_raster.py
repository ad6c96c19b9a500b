"""The raster of ink, its sums and its collisions, against closed forms, square by square, and against shapely."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays
from shapely.geometry import Polygon, box

from tiling.layout.collisions import TakenSquares, runs_of
from tiling.layout.coverage import InkBoxes
from tiling.layout.masks import Mask, any_of_rows, bits_of, filled, grown, marked_blocks, mask_of
from tiling.layout.raster import Raster
from tiling.layout.summed_table import SummedTable

SIDES = st.integers(1, 9)
MASKS = st.tuples(SIDES, SIDES).flatmap(lambda shape: arrays.arrays(bool, shape))
COUNTS = st.tuples(SIDES, SIDES).flatmap(
    lambda shape: arrays.arrays(np.int32, shape, elements=st.integers(0, 100))
)
LENGTHS = st.integers(0, 400).map(lambda tenths: 0.1 * tenths)


def boxes(*corners: tuple[float, float, float, float]) -> InkBoxes:
    each = np.array(corners, dtype=float).reshape(-1, 4)
    return InkBoxes(low=each[:, :2], high=each[:, 2:])


@st.composite
def ink(draw: st.DrawFn) -> InkBoxes:
    """Up to eight boxes, some larger than many squares, in an area of 80 by 80 mm."""
    corners = draw(st.lists(st.tuples(LENGTHS, LENGTHS, LENGTHS, LENGTHS), min_size=1, max_size=8))
    return boxes(*((x, y, x + wide, y + tall) for x, y, wide, tall in corners))


# marks


def test_a_box_marks_the_squares_it_meets_and_no_square_that_it_only_touches() -> None:
    raster = Raster.over(boxes((10.0, 5.0, 20.0, 10.1)), low=(0.0, 0.0), square=(5.0, 5.0), shape=(4, 6))
    assert np.argwhere(raster.ink).tolist() == [[1, 2], [1, 3], [2, 2], [2, 3]]
    snug = Raster.around(boxes((10.0, 5.0, 20.0, 10.1)), 5.0)
    assert snug.ink.shape == (2, 2)
    assert snug.ink.all()
    assert snug.low.tolist() == [10.0, 5.0]


def test_a_point_marks_one_square_and_what_lies_beyond_marks_the_nearest() -> None:
    raster = Raster.over(
        boxes((10.0, 10.0, 10.0, 10.0), (-50.0, 99.0, -40.0, 99.0)),
        low=(0.0, 0.0),
        square=(5.0, 5.0),
        shape=(4, 6),
    )
    assert np.argwhere(raster.ink).tolist() == [[2, 2], [3, 0]]
    assert Raster.around(boxes((3.0, 3.0, 3.0, 3.0)), 5.0).ink.tolist() == [[True]]


@given(ink(), st.sampled_from([(3.0, 3.0), (4.0, 4.5), (2.9, 7.0)]))
def test_squares_are_marked_just_where_a_box_covers_some(
    found: InkBoxes, square: tuple[float, float]
) -> None:
    shape = math.ceil(80.0 / square[1]) + 1, math.ceil(80.0 / square[0]) + 1
    raster = Raster.over(found, low=(0.0, 0.0), square=square, shape=shape)
    y, x = (each.ravel() * side for each, side in zip(np.indices(shape), square[::-1], strict=True))
    cells = shapely.box(x, y, x + square[0], y + square[1])[:, None]
    shapes = shapely.box(*found.low.T, *found.high.T)
    marked = raster.ink.ravel()
    assert marked[
        (shapely.area(shapely.intersection(cells, shapes)) > 0.05).any(axis=1)
    ].all()  # more than noise
    assert not marked[(shapely.distance(cells, shapes) > 0.01).all(axis=1)].any()


@given(st.data())
def test_blocks_are_marked_square_by_square(data: st.DataObject) -> None:
    shape = data.draw(st.tuples(st.integers(1, 12), st.integers(1, 12)))
    corner = st.tuples(st.integers(0, shape[0] - 1), st.integers(0, shape[1] - 1))
    pairs = np.array(data.draw(st.lists(st.tuples(corner, corner), max_size=6)), dtype=np.intp).reshape(
        -1, 2, 2
    )
    first, last = pairs.min(axis=1), pairs.max(axis=1)
    due = np.zeros(shape, dtype=bool)
    for (row, column), (top, right) in zip(first.tolist(), last.tolist(), strict=True):
        due[row : top + 1, column : right + 1] = True
    assert (marked_blocks(first, last, shape) == due).all()


STAR = Polygon([(0, 0), (40, 6), (55, -3), (48, 30), (30, 18), (12, 41), (14, 20)])


@pytest.mark.parametrize("area", [box(3.0, 4.0, 31.0, 20.0), STAR, STAR.difference(box(18, 8, 28, 14))])
@pytest.mark.parametrize("gap", [0.0, 3.0])
def test_an_area_covers_every_square_it_comes_near_and_none_much_farther(area: Polygon, gap: float) -> None:
    square, low = 2.5, (-10.0, -12.5)
    raster = Raster.covered(area, low=low, square=square, shape=(28, 32), gap=gap)
    for (row, column), marked in np.ndenumerate(raster.ink):
        x, y = low[0] + column * square, low[1] + row * square
        away = area.distance(box(x, y, x + square, y + square))
        if away <= gap:
            assert marked
        # by the diagonal, as the middle of the square is asked, and by what rounded corners stand off
        elif away > gap + (math.sqrt(2.0) - 1.0 + 0.2) * 0.5 * square + 0.1 * gap:
            assert not marked


# sums


@given(COUNTS, st.data())
def test_sums_are_those_of_the_squares_added_one_by_one(values: np.ndarray, data: st.DataObject) -> None:
    table = SummedTable(values)
    rows, columns = (
        np.sort(data.draw(arrays.arrays(np.intp, (4, 2), elements=st.integers(0, side))), axis=1).T
        for side in values.shape
    )
    due = [
        [values[y0:y1, x0:x1].sum() for x0, x1 in zip(*columns, strict=True)]
        for y0, y1 in zip(*rows, strict=True)
    ]
    assert table.sums((rows[0], rows[1]), (columns[0], columns[1])).tolist() == np.diag(due).tolist()
    found = table.any_in((rows[0], rows[1]), (columns[0], columns[1]))
    assert (found == (np.array(due) > 0)).all()
    assert table.below_rows.tolist() == [values[:row].sum() for row in range(len(values) + 1)]
    assert table.before_columns.tolist() == [values[:, :x].sum() for x in range(values.shape[1] + 1)]


def test_ink_under_a_box_is_counted_in_whole_squares() -> None:
    raster = Raster.over(boxes((0.0, 0.0, 30.0, 20.0)), low=(-10.0, -10.0), square=(2.0, 2.0), shape=(25, 30))
    low = np.array([[4.0, 6.0], [4.5, 6.5], [-9.0, -9.0], [100.0, 100.0], [-10.0, -10.0]])
    high = np.array([[8.0, 10.0], [8.5, 10.5], [1.0, 1.0], [110.0, 110.0], [50.0, 40.0]])
    assert raster.under(low, high).tolist() == [4, 9, 1, 0, 150]


def test_heavy_ink_counts_for_many_and_is_ink_once() -> None:
    raster = Raster.over(boxes((0.0, 0.0, 4.0, 4.0)), low=(0.0, 0.0), square=(2.0, 2.0), shape=(3, 3))
    heavy = raster.weighed(boxes((2.0, 2.0, 6.0, 4.0)), 100)
    assert heavy.under(np.zeros((1, 2)), np.full((1, 2), 6.0)).tolist() == [3 + 200]
    assert int(heavy.ink.sum()) == 5
    assert int(raster.ink.sum()) == 4
    both = Raster.total([raster, heavy])
    assert both.under(np.zeros((1, 2)), np.full((1, 2), 6.0)).tolist() == [9]


# collisions


def collisions_one_by_one(taken: Mask, shape: Mask) -> Mask:
    rows, columns = (big - small + 1 for big, small in zip(taken.shape, shape.shape, strict=True))
    return np.array(
        [
            [(taken[y : y + shape.shape[0], x : x + shape.shape[1]] & shape).any() for x in range(columns)]
            for y in range(rows)
        ],
        dtype=bool,
    ).reshape(max(rows, 0), max(columns, 0))


@given(MASKS, MASKS)
def test_a_shape_is_free_just_where_it_meets_no_taken_square(taken: Mask, shape: Mask) -> None:
    if any(small > big for small, big in zip(shape.shape, taken.shape, strict=True)):
        assert not TakenSquares(taken).free(runs_of(shape), shape.shape).any()
    else:
        free = TakenSquares(taken).free(runs_of(shape), shape.shape)
        assert (free == ~collisions_one_by_one(taken, shape)).all()


@given(MASKS, MASKS, st.integers(2, 4))
def test_with_rows_taken_together_no_place_is_free_that_is_not(taken: Mask, shape: Mask, rows: int) -> None:
    """And a place that is free, with so many rows below and above it, is found free."""
    padded = np.pad(taken, ((rows, rows), (0, 0)))
    if any(small > big for small, big in zip(shape.shape, padded.shape, strict=True)):
        return
    free = TakenSquares(padded, rows=rows).free(runs_of(shape, rows=rows), shape.shape)
    assert not (free & collisions_one_by_one(padded, shape)).any()
    tall = np.pad(shape, ((rows - 1, rows - 1), (0, 0)))
    roomy = grown_up(tall, rows - 1)
    if roomy.shape[0] <= padded.shape[0]:
        clear = ~collisions_one_by_one(padded, roomy)
        assert free[rows - 1 : rows - 1 + len(clear)][clear].all()


def grown_up(mask: Mask, by: int) -> Mask:
    """A mask with what is above and below each square, so many deep."""
    out = mask.copy()
    for _ in range(by):
        more = out.copy()
        more[1:] |= out[:-1]
        more[:-1] |= out[1:]
        out = more
    return out


# masks


@given(MASKS)
def test_squares_become_a_number_and_again_squares(mask: Mask) -> None:
    assert (mask_of(bits_of(mask), (mask.shape[0], mask.shape[1])) == mask).all()
    assert bits_of(mask).bit_count() == int(mask.sum())


@pytest.mark.slow
@given(MASKS, st.integers(1, 9))
def test_any_of_so_many_rows_is_asked_from_each_row_on(mask: Mask, run: int) -> None:
    run = min(run, len(mask))
    found = any_of_rows(mask, run)
    assert found.tolist() == [
        mask[row : row + run].any(axis=0).tolist() for row in range(len(mask) - run + 1)
    ]


@given(MASKS)
def test_what_a_shape_encloses_is_what_shapely_finds_enclosed(mask: Mask) -> None:
    squares = [box(x, y, x + 1, y + 1) for y, x in np.argwhere(mask).tolist()]
    whole = shapely.union_all(squares)
    outer = shapely.union_all(
        [Polygon(each.exterior) for each in getattr(whole, "geoms", [whole]) if each.area]
    )
    found = filled(mask)
    assert (found >= mask).all()
    for (y, x), within in np.ndenumerate(found):
        if outer.contains(shapely.Point(x + 0.5, y + 0.5)):
            assert within  # what only corners join may be enclosed besides


@given(MASKS, st.integers(0, 3))
def test_grown_reaches_so_many_squares_every_way(mask: Mask, by: int) -> None:
    found = grown(mask, by)
    for (y, x), there in np.ndenumerate(found):
        near = mask[max(y - by, 0) : y + by + 1, max(x - by, 0) : x + by + 1].any()
        assert there == near
