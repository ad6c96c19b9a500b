"""Distances across gaps, and the straight line over all rows; shapely is the reference."""

from __future__ import annotations

import math
from collections import deque
from itertools import pairwise

import numpy as np
import pytest
import shapely

from tests.bench.outlines import outlines
from tests.tiling.samples import A4, plate, ring
from tests.tiling.test_page_layout import box_outline, drawn
from tiling.distances.gaps import across_gaps
from tiling.distances.straight_lines import STRAIGHT, straight_lines
from tiling.drawing import Drawing
from tiling.job import Piece
from tiling.layout.page_layout import PageLayout, lay_out
from tiling.paper import TARGET_RADIUS
from tiling.planning.plan import Plan, plan_piece

OUTLINES = outlines()


def planned(drawing: Drawing, *, search: bool = True) -> Plan:
    return plan_piece(
        Piece(made_from="formula", name="member", drawing=drawing),
        A4,
        label="member",
        search=search,
    )


def paper(layout: PageLayout) -> shapely.Geometry:
    return shapely.union_all([shapely.box(*layout.visible(tile)) for tile in layout.tiles])


def page_of(layout: PageLayout, place: tuple[float, float]) -> int:
    return min(
        range(len(layout.tiles)),
        key=lambda i: shapely.box(*layout.visible(layout.tiles[i])).distance(shapely.Point(place)),
    )


def steps(layout: PageLayout, start: int, end: int, braces: list[tuple[int, int]]) -> int:
    """Seams from page to page, where a distance that is measured joins its two pages as well as one sheet would."""
    edges = [(seam.over, seam.under, 1) for seam in layout.seams] + [(a, b, 0) for a, b in braces]
    least = {start: 0}
    queue = deque([start])
    while queue:
        here = queue.popleft()
        for a, b, cost in edges + [(b, a, cost) for a, b, cost in edges]:
            if a == here and least[here] + cost < least.get(b, 10**6):
                least[b] = least[here] + cost
                queue.append(b)
    return least[end]


@pytest.mark.slow
@pytest.mark.parametrize("search", [False, True])
@pytest.mark.parametrize("name", ["U frame 1.5 m", "closed ring"])
def test_arms_are_measured_against_one_another(name: str, search: bool) -> None:
    plan = planned(OUTLINES[name], search=search)
    layout = plan.layout
    ends = [[layout.to_grid.at(end) for end in (c.distance.start, c.distance.end)] for c in plan.checks]
    assert any(not paper(layout).buffer(1.0).contains(shapely.LineString(end)) for end in ends)
    braces = [(page_of(layout, a), page_of(layout, b)) for a, b in ends]
    # the pages that face one another over a gap in a row, and the loosest of them
    loose = [
        (steps(layout, i, i + 1, []), steps(layout, i, i + 1, braces))
        for i, (left, right) in enumerate(zip(layout.tiles, layout.tiles[1:], strict=False))
        if left.row == right.row and right.column > left.column + 1
    ]
    assert loose
    assert max(without for without, _ in loose) >= 5
    assert max(braced for _, braced in loose) <= max(without for without, _ in loose) - 3


@pytest.mark.slow
def test_the_distances_that_are_there_are_enough_where_they_cross_the_gap() -> None:
    drawing = OUTLINES["U frame 1.5 m"]
    layout = lay_out(drawing, A4)
    (found,) = across_gaps(drawing, layout, ())
    assert across_gaps(drawing, layout, (found,)) == ()


@pytest.mark.slow
def test_no_distance_is_added_where_there_is_no_gap() -> None:
    for drawing in (OUTLINES["deck beam 1.3 m"], drawn(box_outline(160, 220), closed=True), plate().drawing):
        assert across_gaps(drawing, lay_out(drawing, A4, search=True), ()) == ()


@pytest.mark.slow
@pytest.mark.parametrize("name", OUTLINES)
def test_every_target_is_whole_on_what_is_seen_of_a_page_or_on_its_window(name: str) -> None:
    plan = planned(OUTLINES[name])
    assert plan.checks
    for check in plan.checks:
        for end in (check.distance.start, check.distance.end):
            spot = shapely.Point(plan.layout.to_grid.at(end)).buffer(TARGET_RADIUS - 1e-6)
            assert any(shapely.box(*tile.window).contains(spot) for tile in plan.layout.tiles)


def straight_runs(plan: Plan) -> list[shapely.Geometry]:
    """The straight lines over rows, each with all of its pieces, and the drawing's own straight segments."""
    pieces = [plan.layout.to_grid.apply(p.points) for p in plan.drawing.paths if p.stroke == STRAIGHT]
    runs: list[list[np.ndarray]] = []
    for piece in pieces:
        for run in runs:
            start, end = run[0]
            way = (end - start) / math.dist(start, end)
            if np.abs((piece - start) @ np.array([-way[1], way[0]])).max() < 1e-6:
                run.append(piece)
                break
        else:
            runs.append([piece])
    own = [
        plan.layout.to_grid.apply(np.vstack([p.points, p.points[:1]]) if p.closed else p.points)
        for p in plan.drawing.paths
        if p.stroke != STRAIGHT
    ]
    assert not shapely.MultiLineString(pieces).difference(paper(plan.layout).buffer(1e-6)).length
    return [shapely.MultiLineString(run) for run in runs] + [
        shapely.LineString(segment) for run in own for segment in pairwise(run)
        if math.dist(*segment) > 100.0
    ]  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("name", OUTLINES)
@pytest.mark.parametrize("search", [False, True])
def test_straight_lines_cross_every_row(name: str, search: bool) -> None:
    """One crosses all where pages of all rows stand in a line; else each seam between rows is crossed by one."""
    plan = planned(OUTLINES[name], search=search)
    layout = plan.layout
    rows = [
        shapely.union_all([shapely.box(*layout.visible(t)) for t in layout.tiles if t.row == row])
        for row in range(layout.rows)
    ]
    crossed = [
        {row for row in range(layout.rows) if line.intersection(rows[row]).length >= 20.0}
        for line in straight_runs(plan)
    ]
    for row in range(layout.rows - 1):
        assert any({row, row + 1} <= each for each in crossed)
    if name not in ("closed ring", "curved stem 2 m") and layout.rows > 1:
        assert any(len(each) == layout.rows for each in crossed)


@pytest.mark.slow
def test_a_straight_stroke_of_the_drawing_itself_is_line_enough() -> None:
    sample = ring().drawing  # its centreline runs from top to bottom
    layout = lay_out(sample, A4)
    assert layout.rows > 1
    assert straight_lines(sample, layout) == ()
    bent = drawn([(0, 0), (60, 350), (0, 700)])  # not straight over all rows
    assert straight_lines(bent, lay_out(bent, A4))


@pytest.mark.slow
def test_one_page_needs_no_line() -> None:
    small = plate().drawing
    assert straight_lines(small, lay_out(small, A4)) == ()
