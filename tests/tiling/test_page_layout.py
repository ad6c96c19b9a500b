"""Pages under a drawing: nothing is lost, pages hang together, marks agree; shapely is the reference."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.tiling.floor import hidden, ink
from tiling.drawing import Disc, Distance, Drawing, Path, Stroke
from tiling.errors import TilingError
from tiling.layout.page_layout import lay_out, row_letters
from tiling.paper import MARK_RADIUS, TARGET_RADIUS, Page, parse_paper

LINE = Stroke(width=0.35)
A4 = Page(paper=parse_paper("A4"))
PAGES = [
    Page(paper=parse_paper(name), landscape=landscape, overlap=overlap)
    for name, landscape, overlap in (("A4", False, 12.0), ("letter", True, 10.0), ("A5", False, 20.0))
]


def drawn(*runs, closed=False):
    return Drawing(
        paths=tuple(Path(points=np.array(run, dtype=float), stroke=LINE, closed=closed) for run in runs)
    )


def box_outline(width, height):
    return [(0, 0), (width, 0), (width, height), (0, height)]


COORDINATE = st.integers(-900, 900)
POINT = st.tuples(COORDINATE, COORDINATE)
DRAWINGS = st.builds(
    lambda runs, closed, discs: Drawing(
        paths=tuple(Path(points=np.array(run, dtype=float), stroke=LINE, closed=closed) for run in runs),
        discs=tuple(Disc(centre=centre, radius=4.0) for centre in discs),
    ),
    st.lists(st.lists(POINT, min_size=2, max_size=5), min_size=1, max_size=3),
    st.booleans(),
    st.lists(POINT, max_size=2),
)


def test_rows_are_lettered_as_columns_of_a_ledger_are():
    assert [row_letters(n) for n in (0, 1, 25, 26, 27, 51, 52, 701, 702)] == [
        "A", "B", "Z", "AA", "AB", "AZ", "BA", "ZZ", "AAA",
    ]  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.paper.name)
@given(drawing=DRAWINGS)
@settings(max_examples=15)
def test_all_ink_lies_in_the_windows_of_kept_pages_and_in_what_is_seen_of_them(page, drawing):
    layout = lay_out(drawing, page)
    everything = ink(drawing, layout)
    windows = shapely.union_all([shapely.box(*tile.window) for tile in layout.tiles])
    seen = shapely.union_all([shapely.box(*layout.visible(tile)) for tile in layout.tiles])
    assert everything.difference(windows.buffer(1e-6)).area == 0.0
    assert everything.difference(seen.buffer(1e-6)).area == 0.0


@pytest.mark.slow
@given(drawing=DRAWINGS, which=st.sampled_from(PAGES))
@settings(max_examples=25)
def test_on_the_taped_pattern_every_point_of_ink_is_seen_on_the_page_that_lies_on_top_of_it(drawing, which):
    """Pages as real sheets: the left over the right, the lower row over the upper, sides trimmed."""
    layout = lay_out(drawing, which)
    assert hidden(drawing, layout) == 0.0


@given(drawing=DRAWINGS)
@settings(max_examples=15)
def test_a_page_without_ink_is_kept_only_to_link_others(drawing):
    layout = lay_out(drawing, A4)
    everything = ink(drawing, layout)
    bare = [t for t in layout.tiles if not shapely.box(*t.window).intersects(everything)]
    inked = {(t.row, t.column) for t in layout.tiles} - {(t.row, t.column) for t in bare}
    if bare:
        assert len(groups(inked)) > 1
    for tile in bare:  # and would be missed
        assert len(groups({(t.row, t.column) for t in layout.tiles} - {(tile.row, tile.column)})) > 1


def groups(places):
    """Places joined by whole edges, by shapely: squares whose borders share a length."""
    if not places:
        return []
    union = shapely.union_all([shapely.box(c, r, c + 1, r + 1) for r, c in places])
    parts = list(getattr(union, "geoms", [union]))
    # A polygon that only touches itself in a corner falls apart when it is shrunk.
    shrunk = shapely.union_all([part.buffer(-1e-3, join_style="mitre") for part in parts])
    return list(getattr(shrunk, "geoms", [shrunk]))


def test_the_reference_tells_an_edge_from_a_corner():
    assert len(groups({(0, 0), (0, 1), (1, 1)})) == 1
    assert len(groups({(0, 0), (1, 1)})) == 2
    assert len(groups({(0, 0), (0, 2)})) == 2


@pytest.mark.slow
@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.paper.name)
@given(drawing=DRAWINGS)
@settings(max_examples=15)
def test_the_kept_pages_hang_together_by_whole_edges(page, drawing):
    layout = lay_out(drawing, page)
    assert len(groups({(tile.row, tile.column) for tile in layout.tiles})) == 1


def test_pages_that_would_meet_in_a_corner_only_get_one_more():
    # So far apart both ways that neither as drawn nor turned one row or one column holds both.
    apart = A4.window[3] - A4.window[1] + 10.0
    far = Drawing(discs=(Disc(centre=(0, 0), radius=3), Disc(centre=(apart, apart), radius=3)))
    layout = lay_out(far, A4)
    assert len(layout.tiles) == 3
    assert len(layout.seams) == 2


def test_two_groups_are_linked_by_a_shortest_path():
    step = A4.step[0]
    two = Drawing(discs=(Disc(centre=(0, 0), radius=3), Disc(centre=(4 * step, 0), radius=3)))
    layout = lay_out(two, A4)
    # Turned, 4 steps across are spanned by fewer of the longer sides.
    assert len(layout.tiles) == int(np.ceil((4 * step + 6 + 6 - A4.overlap) / A4.step[1]))
    assert len(layout.seams) == len(layout.tiles) - 1


@pytest.mark.slow
@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.paper.name)
@given(drawing=DRAWINGS)
@settings(max_examples=10)
def test_tiles_lie_at_equal_steps_and_edge_rows_and_columns_are_used(page, drawing):
    layout = lay_out(drawing, page)
    assert {t.row for t in layout.tiles} >= {0, layout.rows - 1}
    assert {t.column for t in layout.tiles} >= {0, layout.columns - 1}
    assert [(t.row, t.column) for t in layout.tiles] == sorted((t.row, t.column) for t in layout.tiles)
    wide, high = page.window[2] - page.window[0], page.window[3] - page.window[1]
    for tile in layout.tiles:
        x0, y0, x1, y1 = tile.window
        assert x0 == pytest.approx(tile.column * (wide - page.overlap), abs=1e-9)
        assert y0 == pytest.approx((layout.rows - 1 - tile.row) * (high - page.overlap), abs=1e-9)
        assert (x1 - x0, y1 - y0) == pytest.approx((wide, high), abs=1e-9)
        assert tile.name == f"{row_letters(tile.row)}{tile.column + 1}"


@pytest.mark.slow
@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.paper.name)
@given(drawing=DRAWINGS)
@settings(max_examples=10)
def test_match_marks_stand_at_the_same_true_place_on_both_pages(page, drawing):
    layout = lay_out(drawing, page)
    places = {(t.row, t.column): i for i, t in enumerate(layout.tiles)}
    pairs = {(places[r, c], places[r, c + 1]) for r, c in places if (r, c + 1) in places}
    pairs |= {(places[r, c], places[r - 1, c]) for r, c in places if (r - 1, c) in places}
    assert {(seam.over, seam.under) for seam in layout.seams} == pairs
    for seam in layout.seams:
        over, under = layout.tiles[seam.over], layout.tiles[seam.under]
        across = 0 if seam.side == "right" else 1
        trim = layout.trim_lines(over)[across]
        for mark in seam.marks:
            assert mark[across] == trim
            # Half of it is cut off with the overlap's outer half, the other half lies on its like.
            for tile in (over, under):
                assert shapely.box(*tile.window).contains(shapely.Point(mark).buffer(MARK_RADIUS - 1e-6))
                on_page = layout.to_page(tile).at(mark)
                back = layout.to_page(tile).inverse().at(on_page)
                assert back == pytest.approx(mark, abs=1e-9)
            # The overlap's middle: as far from the edge of one window as from that of the other.
            assert over.window[2 + across] - mark[across] == pytest.approx(
                mark[across] - under.window[across]
            )
            # Off the corners: no third page shows it.
            others = [t for i, t in enumerate(layout.tiles) if i not in (seam.over, seam.under)]
            assert not any(shapely.box(*t.window).intersects(shapely.Point(mark)) for t in others)
        length = np.hypot(*np.subtract(*seam.line))
        apart = np.hypot(*np.subtract(*seam.marks))
        assert apart >= (length - 2 * page.mark_inset) / 3 - 1e-9


def test_marks_are_as_far_apart_as_the_seam_allows_where_no_stroke_is_in_the_way():
    layout = lay_out(drawn([(0, 0), (300, 0)], [(0, 150), (300, 150)]), A4)
    for seam in layout.seams:
        apart = np.hypot(*np.subtract(*seam.marks))
        length = np.hypot(*np.subtract(*seam.line))
        assert apart == pytest.approx(length - 2 * A4.mark_inset, abs=1e-9)


@given(drawing=DRAWINGS)
@settings(max_examples=15)
def test_a_mark_meets_a_stroke_only_where_the_end_of_its_seam_has_no_free_place(drawing):
    layout = lay_out(drawing, A4)
    everything = ink(drawing, layout)
    for seam in layout.seams:
        way = np.subtract(seam.line[1], seam.line[0])
        length = np.hypot(*way)
        way = way / length
        for which, mark in enumerate(seam.marks):
            if not shapely.Point(mark).buffer(MARK_RADIUS).intersects(everything):
                continue
            along = np.arange(A4.mark_inset, A4.mark_inset + (length - 2 * A4.mark_inset) / 3, 2.0)
            along = length - along if which else along
            # Roomier than the mark by what the boxes around pieces of a slanting stroke may add.
            tried = [shapely.Point(np.add(seam.line[0], way * a)).buffer(MARK_RADIUS + 8.0) for a in along]
            assert all(place.intersects(everything) for place in tried)


@given(drawing=DRAWINGS)
@settings(max_examples=10)
def test_equal_input_gives_equal_pages(drawing):
    assert lay_out(drawing, A4) == lay_out(drawing, A4)


def test_what_fits_one_page_takes_one_and_a_little_more_takes_two():
    x0, y0, x1, y1 = A4.window
    room = 2 * 3.0 + LINE.width  # ink keeps 3 mm from the outer edges of windows
    fits = drawn(box_outline(x1 - x0 - room - 0.01, y1 - y0 - room - 0.01), closed=True)
    assert len(lay_out(fits, A4).tiles) == 1
    more = drawn(box_outline(x1 - x0 - room + 0.01, y1 - y0 - room - 0.01), closed=True)
    assert len(lay_out(more, A4).tiles) == 2


def test_a_piece_that_lies_across_is_turned_to_save_a_page_and_not_turned_without_need():
    x0, y0, x1, y1 = A4.window
    wide = drawn(box_outline(y1 - y0 - 10, x1 - x0 - 10), closed=True)
    layout = lay_out(wide, A4)
    assert layout.turned
    assert len(layout.tiles) == 1
    assert not lay_out(drawn(box_outline(100, 100), closed=True), A4).turned


def test_a_turned_drawing_is_the_drawing_turned_and_not_mirrored():
    layout = lay_out(drawn([(0, 0), (230, 0), (230, 20)]), A4)
    assert layout.turned
    a, b, c = layout.to_grid.apply(np.array([(0.0, 0.0), (230.0, 0.0), (230.0, 20.0)]))
    assert b - a == pytest.approx((0.0, 230.0))
    assert c - b == pytest.approx((-20.0, 0.0))


def test_never_more_pages_than_the_plain_grid_over_the_box_and_fewer_for_a_slanting_line():
    line = drawn([(0, 0), (900, 1200)])
    layout = lay_out(line, A4)
    plain = int(np.ceil(906 / A4.step[0])) * int(np.ceil(1206 / A4.step[1]))
    assert len(layout.tiles) < plain / 2


def test_discs_and_targets_are_whole_on_some_page():
    gap = Distance(name="a", start=(0, 0), end=(700, 400))
    drawing = Drawing(discs=(Disc(centre=(350, 200), radius=5, filled=False, width=0.5),), distances=(gap,))
    layout = lay_out(drawing, A4)
    rounds = [((350, 200), 5.25), (gap.start, TARGET_RADIUS), (gap.end, TARGET_RADIUS)]
    for centre, radius in rounds:
        spot = shapely.Point(layout.to_grid.at(centre)).buffer(radius)
        assert any(shapely.box(*tile.window).contains(spot) for tile in layout.tiles)


def test_neighbours_are_found_on_all_four_sides():
    layout = lay_out(drawn(box_outline(500, 700), [(250, 0), (250, 700)], [(0, 350), (500, 350)]), A4)
    at = {(t.row, t.column): t for t in layout.tiles}
    for (row, column), tile in at.items():
        assert layout.neighbour(tile, "left") == at.get((row, column - 1))
        assert layout.neighbour(tile, "right") == at.get((row, column + 1))
        assert layout.neighbour(tile, "above") == at.get((row - 1, column))
        assert layout.neighbour(tile, "below") == at.get((row + 1, column))


@pytest.mark.slow
def test_a_large_drawing_is_laid_out_in_little_memory():
    layout = lay_out(drawn([(0, 0), (60_000, 40_000)]), A4)
    assert len(layout.tiles) > 200


@pytest.mark.parametrize(
    ("drawing", "words"),
    [
        (Drawing(), "nothing is drawn"),
        (drawn([(0, 0), (float("nan"), 1)]), "not a finite number"),
        (drawn([(0, 0), (float("inf"), 1)]), "not a finite number"),
        (Drawing(discs=(Disc(centre=(float("nan"), 0), radius=1),)), "not a finite number"),
    ],
)
def test_what_cannot_be_laid_out_is_refused(drawing, words):
    with pytest.raises(TilingError, match=words):
        lay_out(drawing, A4)
