"""Small pieces on shared pages: nothing is lost, nothing overlaps, words stay with their piece, pages are saved."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path as FilePath

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import ndimage

from tests.bench.layout_bench import WITHOUT_STRIPS
from tests.bench.outlines import gussets as plates
from tests.tiling.samples import A4, SAW, plate, ring, small_job
from tiling.drawing import Drawing, Note, Path
from tiling.job import Piece, write_pdf
from tiling.layout.masks import bits_of, filled, grown, mask_of
from tiling.layout.nesting import Outline, nest
from tiling.layout.page_block import SQUARE, PageRaster, RasterShape
from tiling.paper import Page, parse_paper
from tiling.planning.plan import Plan, plan_pieces
from tiling.proof import prove


def gussets(count: int, *, seed: int = 4) -> tuple[Piece, ...]:
    """Plates with two arms of 200 to 300 mm at some angle."""
    rng = np.random.default_rng(seed)
    found = []
    for k in range(count):
        a, b = rng.uniform(200.0, 300.0, 2)
        breadth = rng.uniform(60.0, 90.0)
        angle = math.radians(rng.uniform(80.0, 130.0))
        way = np.array([math.cos(angle), math.sin(angle)])
        side = np.array([way[1], -way[0]])
        outline = shapely.union(
            shapely.box(0.0, 0.0, a, breadth),
            shapely.Polygon([(0, 0), way * b, way * b + side * breadth, side * breadth]),
        )
        points = (
            np.asarray(shapely.convex_hull(outline).exterior.coords)[:-1]
            if k % 3 == 0
            else np.asarray(outline.exterior.coords)[:-1]
        )
        name = f"gusset {k}"
        notes = (
            Note(text=f"{name.upper()}\n6 mm plywood", target=(50.0, 40.0), reach=100.0, rank=0),
            Note(text="88° under", target=(float(a), 0.5 * float(breadth)), leader=True),
        )
        drawing = Drawing(paths=(Path(points=points, stroke=SAW, closed=True),), notes=notes)
        found.append(Piece(made_from="formula", name=name, drawing=drawing))
    return tuple(found)


def triangles(count: int, *, seed: int) -> tuple[Piece, ...]:
    """Gussets for a square corner, with arms of 200 to 300 mm."""
    rng = np.random.default_rng(seed)
    found = []
    for k in range(count):
        a, b = rng.uniform(200.0, 300.0, 2)
        path = Path(points=np.array([[0.0, 0.0], [a, 0.0], [0.0, b]]), stroke=SAW, closed=True)
        notes = (
            Note(text=f"GUSSET {k}\n6 mm plywood", target=(0.25 * a, 0.25 * b), reach=100.0, rank=0),
            Note(text="88° under", target=(0.5 * a, 0.5 * b), leader=True),
        )
        found.append(
            Piece(made_from="formula", name=f"gusset {k}", drawing=Drawing(paths=(path,), notes=notes))
        )
    return tuple(found)


@pytest.fixture(scope="module")
def pieces() -> tuple[Piece, ...]:
    return gussets(20)


@pytest.fixture(scope="module")
def plans(pieces: tuple[Piece, ...]) -> tuple[Plan, ...]:
    return plan_pieces(pieces, A4, share="nested")


def outlines(plan: Plan) -> list[shapely.Polygon]:
    """What the plan's parts cover, grid coordinates; each has one path, and these come first."""
    count = len(plan.piece.parts) or 1
    return [shapely.Polygon(plan.layout.to_grid.apply(path.points)) for path in plan.drawing.paths[:count]]


def faults(plan: Plan) -> list[str]:
    """Pieces nearer to each other than the gap, words that reach out of pages or come near another piece."""
    found = []
    areas = outlines(plan)
    for i, area in enumerate(areas):
        found += [f"{i} and {j}" for j in range(i) if shapely.distance(area, areas[j]) < 8.0 - 1e-9]
    windows = [shapely.box(*tile.window).buffer(1e-5) for tile in plan.layout.tiles]
    for words in plan.words:
        said = shapely.box(*words.box)
        room = plan.drawing.notes[words.note].room
        if not any(window.contains(said) for window in windows):
            found.append(f"{words.lines[0].text} is whole on no page")
        for number, area in enumerate(areas):
            if 0 <= room != number and shapely.distance(said, area) < 2.0:
                found.append(f"{words.lines[0].text} comes near {number}")
    return found


@pytest.mark.slow
def test_twenty_gussets_need_fewer_pages_together_and_none_is_lost(
    pieces: tuple[Piece, ...], plans: tuple[Plan, ...]
) -> None:
    alone, together = plan_pieces(pieces, A4), plans
    count = [sum(len(plan.layout.tiles) for plan in made) for made in (alone, together)]
    assert count[1] <= 0.67 * count[0]
    names = sorted(part.name for plan in together for part in plan.piece.parts or (plan.piece,))
    assert names == sorted(piece.name for piece in pieces)
    assert sum(plan.saved for plan in together) == count[0] - count[1]


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1])
def test_twenty_gussets_for_square_corners_need_half_the_pages(seed: int) -> None:
    page = Page(paper=parse_paper("a4"), overlap=10.0)
    pieces = triangles(20, seed=seed)
    alone, together = plan_pieces(pieces, page), plan_pieces(pieces, page, share="nested")
    assert sum(len(plan.layout.tiles) for plan in alone) >= 42
    assert sum(len(plan.layout.tiles) for plan in together) <= 24
    bound = sum(outlines(plan)[0].area for plan in alone) / math.prod(page.step)
    assert sum(len(plan.layout.tiles) for plan in together) > bound  # else the pages overlap
    assert [fault for plan in together for fault in faults(plan)] == []


@pytest.mark.slow
def test_plates_of_three_to_five_corners_share_a_page_each_on_a_window_as_large_as_a_sheet() -> None:
    pieces = [
        Piece(made_from="formula", name=f"gusset {i}", drawing=plate) for i, plate in enumerate(plates())
    ]
    together = plan_pieces(pieces, WITHOUT_STRIPS, search=True, share="nested")
    assert sum(len(plan.piece.parts) or 1 for plan in together) == 20
    assert sum(len(plan.layout.tiles) for plan in together) <= 21
    assert [fault for plan in together for fault in faults(plan)] == []


@pytest.mark.slow
def test_shapes_are_moved_as_they_are(pieces: tuple[Piece, ...], plans: tuple[Plan, ...]) -> None:
    drawings = {piece.name: piece.drawing for piece in pieces}
    moved = [
        pair
        for plan in plans
        if plan.piece.parts
        for pair in zip(plan.piece.parts, plan.piece.drawing.paths, strict=True)  # each has one path
    ]
    assert len(moved) >= 18
    for part, path in moved:
        before, after = drawings[part.name].paths[0].points, path.points
        # turned and shifted, never mirrored nor stretched: one complex factor of size one
        was, now = ((points - points[0]) @ (1.0, 1j) for points in (before, after))
        factor = now[1] / was[1]
        assert abs(factor) == pytest.approx(1.0, abs=1e-12)
        assert np.abs(now - factor * was).max() < 1e-9


@pytest.mark.slow
def test_pieces_keep_the_gap_and_words_stay_with_their_own(plans: tuple[Plan, ...]) -> None:
    assert sum(len(plan.piece.parts) for plan in plans) >= 18
    for plan in plans:
        assert faults(plan) == []
        assert not any(words.crosses for words in plan.words)


@pytest.mark.slow
def test_a_spoiled_nesting_is_found(plans: tuple[Plan, ...]) -> None:
    plan = next(plan for plan in plans if len(plan.piece.parts) > 3)
    first, second = outlines(plan)[:2]
    way = np.subtract(second.centroid.coords[0], first.centroid.coords[0])
    back = plan.layout.to_grid.inverse()
    nearer = replace(
        plan.drawing.paths[0], points=back.apply(np.array(first.exterior.coords[:-1]) + 0.6 * way)
    )
    drawing = replace(plan.drawing, paths=(nearer, *plan.drawing.paths[1:]))
    assert any(" and " in fault for fault in faults(replace(plan, drawing=drawing)))
    notes = tuple(replace(note, room=(note.room + 1) % 3) for note in plan.drawing.notes)
    assert any(
        "comes near" in fault for fault in faults(replace(plan, drawing=replace(plan.drawing, notes=notes)))
    )


@pytest.mark.slow
def test_a_piece_that_needs_one_page_keeps_to_one(pieces: tuple[Piece, ...]) -> None:
    small = tuple(plate(f"chock {k}", 60.0 + 3.0 * k, 40.0 + 2.0 * k) for k in range(12))
    plans = plan_pieces((*pieces[:5], *small), A4, share="nested")
    assert sum(part.name.startswith("chock") for plan in plans for part in plan.piece.parts) == 12
    chocks = 0
    for plan in plans:
        if plan.piece.parts:
            for part, area in zip(plan.piece.parts, outlines(plan), strict=True):
                if part.name.startswith("chock"):
                    chocks += 1
                    assert any(shapely.box(*tile.window).contains(area) for tile in plan.layout.tiles)
    assert chocks == 12


@pytest.mark.slow
def test_no_sheet_is_larger_than_a_dozen_pages_and_its_pages_hang_together(plans: tuple[Plan, ...]) -> None:
    for plan in plans:
        assert len(plan.layout.tiles) <= 12
        seen = shapely.union_all([shapely.box(*plan.layout.visible(tile)) for tile in plan.layout.tiles])
        assert seen.buffer(-1.0).geom_type == "Polygon"


@pytest.mark.slow
def test_a_shared_file_is_proved_and_the_places_of_all_pieces_are_told(
    pieces: tuple[Piece, ...], tmp_path: FilePath
) -> None:
    job = replace(small_job(pieces=(ring(), *pieces[:8])), share="nested")
    summary = write_pdf(job, tmp_path / "shared.pdf")
    assert prove(tmp_path / "shared.pdf").findings == []
    assert {piece.name for piece, _, _ in summary.places} == {piece.name for piece in job.pieces}
    assert summary.pages < write_pdf(replace(job, share="apart"), tmp_path / "alone.pdf").pages


@pytest.mark.slow
@given(st.integers(0, 2**32 - 1), st.integers(2, 9))
@settings(max_examples=5)
def test_nested_masks_keep_their_distance_and_stay_in_the_block(seed: int, count: int) -> None:
    rng = np.random.default_rng(seed)
    outlines = {}
    for index in range(count):
        size = tuple(rng.integers(10, 60, 2))
        body = rng.random(size) < 0.9
        ink = body & (rng.random(size) < 0.2)
        shapes = tuple(RasterShape(ink=np.rot90(ink, k), body=np.rot90(body, k)) for k in range(4))
        outlines[index] = Outline(shapes=shapes, alone=int(rng.integers(1, 6)))
    groups = nest(outlines, PageRaster(A4))
    assert nest(outlines, PageRaster(A4)) == groups
    for group in groups:
        taken = np.zeros((300, 300), dtype=int)
        for lie in group:
            body = outlines[lie.piece].shapes[lie.turn].body
            part = taken[lie.row : lie.row + body.shape[0], lie.column : lie.column + body.shape[1]]
            near = np.zeros_like(taken)
            near[lie.row : lie.row + body.shape[0], lie.column : lie.column + body.shape[1]] = body
            assert not (grown(near > 0, 2) & (taken > 0)).any()
            part += body
        assert taken.max() == 1
        rows, columns = np.nonzero(taken)
        assert (rows.max() + 1) * SQUARE <= 4 * A4.step[1] + A4.overlap
        assert (columns.max() + 1) * SQUARE <= 4 * A4.step[0] + A4.overlap


@pytest.mark.slow
@given(st.integers(0, 2**32 - 1))
def test_a_shape_is_filled_as_a_library_fills_it(seed: int) -> None:
    """Against scipy's filling of holes; a raster as a number and back is the same raster."""
    rng = np.random.default_rng(seed)
    mask = rng.random(tuple(rng.integers(1, 40, 2))) < rng.uniform(0.3, 0.9)
    assert (filled(mask) == ndimage.binary_fill_holes(mask)).all()
    assert (mask_of(bits_of(mask), mask.shape) == mask).all()
    square = np.ones((3, 3), dtype=bool)
    assert (grown(mask, 2) == ndimage.binary_dilation(mask, square, iterations=2)).all()


@pytest.mark.slow
def test_the_few_words_are_printed_where_all_of_them_would_lie_across_the_lines() -> None:
    """A sheet ruled 40 mm apart has room for two words between its lines, and none for ten lines of words."""
    rim = np.array([[0.0, 0.0], [150.0, 0.0], [150.0, 240.0], [0.0, 240.0]])
    ruled = [np.array([[0.0, y], [150.0, y]]) for y in np.arange(40.0, 240.0, 40.0)]
    paths = (
        Path(points=rim, stroke=SAW, closed=True),
        *(Path(points=points, stroke=SAW, closed=False) for points in ruled),
    )
    many = "\n".join(f"a line of many words, number {k}" for k in range(10))
    for short, said in (("few words", "few words"), (many, "a line of many words, number 0")):
        note = Note(text=many, short=short, target=(75.0, 120.0), rank=0)
        piece = Piece(made_from="formula", name="sheet", drawing=Drawing(paths=paths, notes=(note,)))
        (plan,) = plan_pieces([piece], A4)
        (words,) = plan.words
        assert words.lines[0].text == said
        assert words.crosses == (said != "few words")


@pytest.mark.slow
def test_a_small_piece_with_many_words_is_printed_with_the_few_that_do() -> None:
    small = Path(
        points=np.array([[0.0, 0.0], [40.0, 0.0], [40.0, 30.0], [0.0, 30.0]]), stroke=SAW, closed=True
    )
    many = "\n".join(f"a line of words that takes its room, number {k}" for k in range(45))
    notes = (
        Note(text=many, short="few words", target=(20.0, 15.0), rank=0),
        *(Note(text=f"{k}° under", target=(float(k), 0.0), leader=True) for k in range(40)),
    )
    piece = Piece(
        made_from="formula",
        name="chock",
        drawing=Drawing(paths=(small,), notes=notes),
    )
    (plan,) = plan_pieces([piece], A4)
    said = [line.text for words in plan.words for line in words.lines]
    assert len(plan.layout.tiles) == 1
    assert "few words" in said
    assert "39° under" in said
    assert not any("number 3" in text for text in said)
