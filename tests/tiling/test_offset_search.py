"""Pages at any angle and on shifted rows: fewer, and as true as plain ones; shapely is the reference."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.bench.layout_bench import WITHOUT_STRIPS
from tests.bench.outlines import outlines
from tests.tiling.floor import groups_by_seams, hidden, ink, outside
from tests.tiling.readback import read
from tests.tiling.samples import ring, small_job
from tests.tiling.taped import record_of, taped
from tests.tiling.test_match_marks import curve
from tests.tiling.test_page_layout import DRAWINGS, PAGES, drawn
from tiling.drawing import Disc, Drawing
from tiling.job import Piece, write_pdf
from tiling.layout.coverage import ink_pieces
from tiling.layout.grid import PageLayout
from tiling.layout.offset_search import Outermost, fits_one_page
from tiling.layout.page_layout import lay_out
from tiling.layout.page_selection import CLEAR
from tiling.layout.seams import least_edge
from tiling.paper import LEAST_SEAM, MARK_RADIUS, Page, parse_paper
from tiling.planning.plan import plan_pieces
from tiling.proof import prove

A4 = Page(paper=parse_paper("A4"), overlap=10.0)
OUTLINES = outlines()
FLOAT = 1e-6  # mm


@cache
def searched(name: str, page: Page) -> PageLayout:
    """The layout with the search of one of the outlines."""
    return lay_out(OUTLINES[name], page, search=True)


def true_on_the_floor(drawing: Drawing, layout: PageLayout) -> None:
    """All that a taped pattern must be, whatever the placement."""
    assert hidden(drawing, layout) == 0.0
    assert outside(drawing, layout) == 0.0
    assert groups_by_seams(layout) == 1
    for seam in layout.seams:
        over, under = layout.tiles[seam.over], layout.tiles[seam.under]
        length, apart = math.dist(*seam.line), math.dist(*seam.marks)
        assert length >= least_edge(layout.page) - FLOAT
        # As far apart as the stretch allows, but for giving way to strokes by a third, and never nearer than what
        # holds a page straight.
        assert apart >= max((length - 2.0 * layout.page.mark_inset) / 3.0, LEAST_SEAM) - FLOAT
        for mark in seam.marks:
            spot = shapely.Point(mark).buffer(MARK_RADIUS - FLOAT)
            for tile in (over, under):
                assert shapely.box(*tile.window).contains(spot)
            others = [t for i, t in enumerate(layout.tiles) if i not in (seam.over, seam.under)]
            assert not any(shapely.box(*t.window).intersects(spot) for t in others)


@pytest.mark.slow
def test_marks_that_give_way_to_strokes_stay_as_far_apart_as_holds_a_page_straight() -> None:
    """A slender strip on edges hardly longer than they must be, with spots where its marks would stand."""
    x, step = A4.step
    lean = x + A4.overlap - least_edge(A4) - 1.0
    strip = drawn([(0.0, 0.0), (3.0 * lean, 3.0 * step)], [(50.0, 0.0), (50.0 + 3.0 * lean, 3.0 * step)])
    before = lay_out(strip, A4, search=True)
    back = before.to_grid.inverse()
    spots = [Disc(centre=back.at(mark), radius=3.0) for seam in before.seams for mark in seam.marks]
    spotted = strip.with_more(discs=spots)
    layout = lay_out(spotted, A4, search=True)
    assert [tile.window for tile in layout.tiles] == [tile.window for tile in before.tiles]
    assert min(math.dist(*seam.line) for seam in layout.seams) < least_edge(A4) + 15.0
    true_on_the_floor(spotted, layout)


@pytest.mark.slow
@given(drawing=DRAWINGS, page=st.sampled_from(PAGES))
@settings(max_examples=8)
def test_what_is_drawn_at_random_is_true_on_the_floor(drawing: Drawing, page: Page) -> None:
    layout = lay_out(drawing, page, search=True)
    true_on_the_floor(drawing, layout)
    assert len(layout.tiles) <= layout.plain == len(lay_out(drawing, page).tiles)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(2))
@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.paper.name)
def test_a_curve_that_wanders_is_true_on_the_floor(seed: int, page: Page) -> None:
    drawing = curve(seed)
    true_on_the_floor(drawing, lay_out(drawing, page, search=True))


@pytest.mark.slow
@pytest.mark.parametrize("name", OUTLINES)
def test_members_are_true_on_the_floor(name: str) -> None:
    true_on_the_floor(OUTLINES[name], searched(name, A4))


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "most", "shifted"),
    [("U frame 1.5 m", 14, False), ("closed ring", 20, True), ("curved stem 2 m", 13, True)],
)
def test_a_search_and_shifted_rows_save_pages(name: str, most: int, shifted: bool) -> None:
    layout = searched(name, A4)
    assert layout.shifted == shifted
    assert len(layout.tiles) <= most < layout.plain


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "most"),
    [("U frame 1.5 m", 14), ("closed ring", 18), ("curved stem 2 m", 12), ("deck beam 1.3 m", 5)],
)
def test_on_a_window_as_large_as_a_sheet_within_its_margins_members_take_few_pages(
    name: str, most: int
) -> None:
    layout = searched(name, WITHOUT_STRIPS)
    assert len(layout.tiles) <= most
    true_on_the_floor(OUTLINES[name], layout)


@pytest.mark.slow
def test_rows_lie_closer_than_their_step_where_that_saves_a_page() -> None:
    layout = searched("closed ring", WITHOUT_STRIPS)
    feet = sorted({tile.window[1] for tile in layout.tiles})
    steps = np.diff(feet)
    step = WITHOUT_STRIPS.step[1]
    assert layout.uneven
    assert steps.max() <= step + FLOAT
    assert 0.75 * step - FLOAT <= steps.min() < step - 1.0
    # what is seen of neighbours in a column still meets along one line, and where they overlap no mark stands
    for seam in layout.seams:
        over, under = layout.tiles[seam.over], layout.tiles[seam.under]
        if seam.side == "above":
            assert layout.visible(over)[3] == layout.visible(under)[1] == seam.line[0][1]


@pytest.mark.slow
def test_a_file_with_rows_that_lie_closer_is_proved_and_taped_shows_every_stroke(tmp_path: Path) -> None:
    piece = Piece(made_from="formula", name="closed ring", drawing=OUTLINES["closed ring"])
    job = small_job(page=WITHOUT_STRIPS, pieces=(piece,))
    path = tmp_path / "ring.pdf"
    write_pdf(replace(job, search=True, first_piece=None), path)
    assert prove(path).findings == []
    shows_every_stroke(path, piece, WITHOUT_STRIPS)
    maps = " ".join(sheet.text for sheet in read(path) if sheet.label.startswith("cards"))
    assert "lie farther over the row above" in maps


@pytest.mark.slow
def test_a_layout_that_is_spoiled_is_found_out() -> None:
    """Each test of truth fails where a page is lost, a row has moved, or a seam is missing."""
    drawing, layout = OUTLINES["closed ring"], searched("closed ring", A4)
    true_on_the_floor(drawing, layout)
    without = replace(layout, tiles=layout.tiles[1:], seams=())
    assert outside(drawing, without) > 1.0
    assert hidden(drawing, without) > 1.0
    moved = tuple(
        replace(
            tile, window=(tile.window[0] + 40.0, *tile.window[1:2], tile.window[2] + 40.0, tile.window[3])
        )
        if tile.row == 1
        else tile
        for tile in layout.tiles
    )
    assert outside(drawing, replace(layout, tiles=moved)) > 1.0
    assert (
        groups_by_seams(replace(layout, seams=tuple(s for s in layout.seams if 0 not in (s.over, s.under))))
        == 2
    )


@pytest.mark.slow
def test_a_drawing_is_turned_or_its_rows_are_shifted_only_to_save_a_page() -> None:
    lines = drawn([(0, 0), (300, 0)], [(0, 150), (300, 150)])
    laid = [(drawing, searched(name, A4)) for name, drawing in OUTLINES.items()]
    for drawing, layout in (*laid, (lines, lay_out(lines, A4, search=True))):
        if len(layout.tiles) == layout.plain:
            assert replace(layout, plain=0) == replace(lay_out(drawing, A4), plain=0)


@pytest.mark.slow
@given(
    points=st.lists(st.tuples(st.integers(0, 300), st.integers(0, 300)), min_size=3, max_size=6, unique=True),
)
@settings(max_examples=25)
def test_one_page_holds_what_the_turned_rectangle_around_it_says(points: list[tuple[int, int]]) -> None:
    """Reference: the rectangles around the hull along each of its edges (shapely)."""
    drawing = drawn(points)
    x0, y0, x1, y1 = A4.window
    room = (x1 - x0 - 2.0 * CLEAR, y1 - y0 - 2.0 * CLEAR)
    everything = ink(drawing, lay_out(drawing, A4)).convex_hull
    corners = np.array(everything.exterior.coords)
    ways = np.diff(corners, axis=0)
    sizes = []
    for way in ways / np.hypot(*ways.T)[:, None]:
        along, across = corners @ way, corners @ np.array([-way[1], way[0]])
        sizes.append((np.ptp(along), np.ptp(across)))
    fits = any(a <= room[i] and b <= room[1 - i] for a, b in sizes for i in (0, 1))
    if fits:
        assert fits_one_page(Outermost.of(ink_pieces(drawing)), A4)
    slack = 0.02 * max(max(size) for size in sizes)
    if not any(a <= room[i] + slack and b <= room[1 - i] + slack for a, b in sizes for i in (0, 1)):
        turns = np.radians(np.arange(0.0, 180.0, 0.25))
        boxes = [
            (np.ptp(corners @ [np.cos(t), np.sin(t)]), np.ptp(corners @ [-np.sin(t), np.cos(t)]))
            for t in turns
        ]
        if not any(a <= room[0] + slack and b <= room[1] + slack for a, b in boxes):
            assert not fits_one_page(Outermost.of(ink_pieces(drawing)), A4)


@pytest.mark.slow
def test_what_fits_one_page_aslant_is_turned_for_it() -> None:
    aslant = math.radians(37.0)
    c, s = math.cos(aslant), math.sin(aslant)
    corners = np.array([(0, 0), (160, 0), (160, 230), (0, 230)]) @ np.array([[c, s], [-s, c]])
    drawing = drawn(corners.tolist(), closed=True)
    assert len(lay_out(drawing, A4).tiles) > 1
    assert len(lay_out(drawing, A4, search=True).tiles) == 1


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, Piece]]:
    path = tmp_path_factory.mktemp("search") / "job.pdf"
    pieces = [
        Piece(made_from="formula", name=name.replace(".", "-"), drawing=drawing)
        for name, drawing in OUTLINES.items()
        if name in ("U frame 1.5 m", "curved stem 2 m")
    ]
    pieces.append(ring("oval ring"))
    job = replace(small_job(page=A4, pieces=tuple(pieces)), search=True, first_piece=None)
    write_pdf(job, path)
    return path, {piece.name: piece for piece in pieces}


@pytest.mark.slow
def test_the_file_is_proved(made: tuple[Path, dict[str, Piece]]) -> None:
    proof = prove(made[0])
    assert proof.findings == []
    assert proof.seams > 60


@pytest.mark.slow
def test_pages_taped_by_the_record_give_back_every_stroke(made: tuple[Path, dict[str, Piece]]) -> None:
    """Read back from the pages, put in place by the record, turned back: every vertex is one of the drawing, and
    every stroke is there whole."""
    path, pieces = made
    sheets = {sheet.label: sheet for sheet in read(path)}
    shifted = 0
    for name, piece in pieces.items():
        (plan,) = plan_pieces((piece,), A4, search=True)
        shifted += plan.layout.shifted
        back = plan.layout.to_grid.inverse()
        _, record = record_of(path, name)
        breadth = piece.drawing.paths[0].stroke.width
        runs = []
        for _, tag, tx, ty in record["pages"]:
            for line in sheets[f"{name} {tag}"].lines:
                if line.clip is not None and line.stroked and abs(line.width - breadth) < 1e-6:
                    points = np.vstack([line.points, line.points[:1]]) if line.closed else line.points
                    kept = shapely.LineString(points).intersection(shapely.box(*line.clip))
                    for part in getattr(kept, "geoms", [kept]):
                        if part.length > 0.0:
                            place = np.array(part.coords) - np.array([tx, ty]) / 1000.0
                            runs.append(back.apply(place))
        wanted = [
            np.vstack([path.points, path.points[:1]]) if path.closed else path.points
            for path in piece.drawing.paths
            if path.stroke.width == breadth and not path.filled
        ]
        drawn_curve, paper = shapely.MultiLineString(wanted), shapely.MultiLineString(runs)
        assert shapely.hausdorff_distance(drawn_curve, paper, densify=0.3) <= 0.01
    assert shifted >= 2


@pytest.mark.slow
def test_the_taped_pattern_shows_every_stroke(made: tuple[Path, dict[str, Piece]]) -> None:
    """Pages rendered apart, trimmed and laid over one another as the first pages say: ink wherever a stroke is."""
    path, pieces = made
    for piece in pieces.values():
        shows_every_stroke(path, piece, A4)


def shows_every_stroke(path: Path, piece: Piece, page: Page) -> None:
    (plan,) = plan_pieces((piece,), page, search=True)
    picture = taped(path, piece.name, dpi=100.0)
    heavy = [p for p in piece.drawing.paths if p.stroke.width >= 0.7 and not p.filled]
    for stroke in heavy:
        points = np.vstack([stroke.points, stroke.points[:1]]) if stroke.closed else stroke.points
        places = plan.layout.to_grid.apply(points)
        way = np.cumsum(np.hypot(*np.diff(places, axis=0, prepend=places[:1]).T))
        at = np.arange(0.0, way[-1], 3.0)
        spots = np.column_stack([np.interp(at, way, places[:, 0]), np.interp(at, way, places[:, 1])])
        dark = _dark(picture.dark, (spots - picture.corner) / picture.pixel)
        # A match mark that found no place off the strokes is white around its disc.
        marks = np.array([mark for seam in plan.layout.seams for mark in seam.marks])
        off = np.hypot(*(spots[:, None] - marks[None]).transpose(2, 0, 1)).min(axis=1) > MARK_RADIUS
        assert dark[off].min() > 0.3, piece.name
        assert off.mean() > 0.97


def _dark(picture: np.ndarray, places: np.ndarray) -> np.ndarray:
    """The darkest pixel within one of each place; y counted from the foot of the picture."""
    rows, columns = picture.shape
    found = np.zeros(len(places))
    for up in (-1, 0, 1):
        for across in (-1, 0, 1):
            row = np.clip(rows - 1 - np.floor(places[:, 1]).astype(int) + up, 0, rows - 1)
            column = np.clip(np.floor(places[:, 0]).astype(int) + across, 0, columns - 1)
            found = np.maximum(found, picture[row, column])
    return found


@pytest.mark.slow
def test_least_seam_is_what_two_marks_need() -> None:
    assert least_edge(A4) == pytest.approx(2.0 * A4.mark_inset + LEAST_SEAM)
