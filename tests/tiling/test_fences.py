"""Pieces on common pages in boxes of their own, places that are moved to pages, and pages that nothing wants."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations
from pathlib import Path as FilePath

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.tiling.samples import A4, CENTRE, SAW, plate, ring, small_job
from tiling.drawing import Disc, Distance, Drawing, Note, Path, Slide
from tiling.drawing.affine import Affine
from tiling.job import Piece, write_pdf
from tiling.layout.coverage import ink_boxes
from tiling.layout.fences import ROWS, Fenced, FencedSheet, columns_of
from tiling.layout.slides import CLEAR, slid
from tiling.paper import TARGET_RADIUS, Page, parse_paper
from tiling.planning.plan import Plan, plan_piece, plan_pieces
from tiling.proof import prove
from tiling.text.figures import compass, directed

ROUND = 1e-6  # mm


def small(name: str, wide: float, tall: float) -> Piece:
    """A plate with what a builder reads on it."""
    piece = plate(name, wide, tall)
    notes = (
        Note(text=name.upper(), target=(0.5 * wide, 0.5 * tall), reach=100.0, rank=0),
        Note(
            text=f"{name}\nQuantity: 2\n18 mm plywood", target=(0.5 * wide, 0.5 * tall), reach=250.0, rank=2
        ),
        Note(text="88° under", target=(wide, 0.5 * tall), leader=True),
    )
    return replace(piece, drawing=replace(piece.drawing, notes=notes))


def some(count: int, *, seed: int = 1) -> tuple[Piece, ...]:
    rng = np.random.default_rng(seed)
    return tuple(small(f"plate {seed}.{k}", *rng.uniform(40.0, 130.0, 2).tolist()) for k in range(count))


@pytest.fixture(scope="module")
def fenced() -> tuple[Plan, ...]:
    beam = small("beam", 300.0, 60.0)  # on two pages side by side
    return plan_pieces((ring(), *some(4), beam, *some(3, seed=2), ring("last")), A4, share="fenced")


def sheets(plans: tuple[Plan, ...]) -> list[Plan]:
    return [plan for plan in plans if plan.piece.parts]


def test_what_shares_pages_lies_in_a_box_of_its_own_with_all_that_is_said_of_it(
    fenced: tuple[Plan, ...],
) -> None:
    assert len(sheets(fenced)) >= 2
    held = 0
    for plan in sheets(fenced):
        assert len(plan.layout.tiles) <= 2
        boxes = [shapely.box(*box) for box in plan.piece.drawing.fences]
        assert all(one.intersection(other).area < ROUND for one, other in combinations(boxes, 2))
        pages = shapely.union_all([shapely.box(*tile.window) for tile in plan.layout.tiles])
        assert plan.shared is not None
        for number, (part, box) in enumerate(zip(plan.piece.parts, boxes, strict=True)):
            ink = ink_boxes(part.drawing, place=plan.shared.places[number].then(plan.layout.to_grid))
            assert box.buffer(ROUND).contains(shapely.box(*ink.low.min(axis=0), *ink.high.max(axis=0)))
            assert pages.contains(box)
            said = [words for words in plan.words if plan.drawing.notes[words.note].room == number]
            assert all(box.contains(shapely.box(*words.box)) for words in said)
            texts = "\n".join(line.text for words in said for line in words.lines)
            assert part.name.upper() in texts
            assert "Quantity: 2" in texts
            held += 1
        assert len(plan.words) == len(plan.drawing.notes)
        assert not any(words.crosses for words in plan.words)
    assert held >= 6


def test_pieces_in_boxes_are_drawn_as_they_are_and_none_is_lost(fenced: tuple[Plan, ...]) -> None:
    found = {}
    for plan in sheets(fenced):
        assert plan.shared is not None
        for part, place in zip(plan.piece.parts, plan.shared.places, strict=True):
            assert (place.a, place.b, place.c, place.d) in ((1, 0, 0, 1), (0, -1, 1, 0))  # a motion
            moved = place.apply(part.drawing.paths[0].points)
            assert any(
                path.points.shape == moved.shape and np.allclose(path.points, moved)
                for path in plan.drawing.paths
            )
            found[part.name] = 1
    found.update({plan.piece.name: 1 for plan in fenced if not plan.piece.parts})
    assert len(found) == 10


def test_sharing_saves_pages_and_every_sheet_lies_where_its_first_piece_would(
    fenced: tuple[Plan, ...],
) -> None:
    order = ["ring", *(f"plate 1.{k}" for k in range(4)), "beam"]
    pieces = [piece for plan in fenced for piece in (plan.piece.parts or (plan.piece,))]
    firsts = [(plan.piece.parts or (plan.piece,))[0].name for plan in fenced]
    known = [name for name in order if name in firsts]
    assert [name for name in firsts if name in order] == known
    assert firsts[0] == "ring"
    assert firsts[-1] == "last"
    for plan in sheets(fenced):
        alone = sum(len(plan_piece(part, A4, label="x").layout.tiles) for part in plan.piece.parts)
        assert len(plan.layout.tiles) < alone
    assert len(pieces) == 10


def test_a_sheet_is_named_after_its_pieces_and_its_file_is_proved(tmp_path: FilePath) -> None:
    job = replace(small_job(pieces=(*some(3), ring())), share="fenced")
    path = tmp_path / "fenced.pdf"
    summary = write_pdf(job, path)
    assert prove(path).findings == []
    (sheet,) = sheets(summary.plans)
    assert sheet.label.split("; ") == [part.name for part in sheet.piece.parts]
    places = {piece.name: (first, last) for piece, first, last in summary.places}
    assert len({places[part.name] for part in sheet.piece.parts}) == 1


@settings(max_examples=40, deadline=None)
@given(
    st.sampled_from(["a4", "letter", "330 x 480 mm"]),
    st.lists(st.tuples(st.integers(1, 2), st.integers(1, ROWS), st.booleans()), min_size=2, max_size=12),
)
def test_boxes_on_a_sheet_keep_apart_clear_of_joints_and_edges(
    paper: str, wanted: list[tuple[int, int, bool]]
) -> None:
    page = Page(paper=parse_paper(paper))
    most = columns_of(page)
    for kind in ((1, 1), (1, 2), (2, 1)):
        sheet = FencedSheet(kind=kind, columns=most)
        for number, (columns, rows, whole) in enumerate(wanted):
            columns = min(columns, most)
            if whole and kind != (1, 1):
                columns, rows = (most, rows) if kind == (1, 2) else (columns, ROWS)
            sheet.add(
                number, Fenced(kind=kind if whole and kind != (1, 1) else (1, 1), columns=columns, rows=rows)
            )
        boxes = [size.box(page, at, kind) for _, size, at in sheet.lies]
        assert boxes
        for one, other in combinations([shapely.box(*box) for box in boxes], 2):
            assert one.intersection(other).area < 1e-3
        high = page.step[0] * kind[1] + page.overlap, page.step[1] * kind[0] + page.overlap
        for (_, size, _), (x0, y0, x1, y1) in zip(sheet.lies, boxes, strict=True):
            assert min(x0, y0) > 0.0
            assert x1 < high[0]
            assert y1 < high[1]
            if size.kind == (1, 1):  # it keeps off the overlap of two pages
                for low, top, step in ((x0, x1, page.step[0]), (y0, y1, page.step[1])):
                    assert top <= step + ROUND or low >= step + page.overlap - ROUND


def test_no_page_is_printed_for_what_is_aside() -> None:
    corners = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 80.0], [0.0, 80.0]])
    far = np.array([[0.0, -700.0], [0.0, 700.0]])
    drawing = Drawing(
        paths=(Path(points=corners, stroke=SAW, closed=True), Path(points=far, stroke=CENTRE, aside=True)),
        discs=(Disc(centre=(0.0, 600.0), radius=3.0, aside=True),),
        notes=(
            Note(text="there", target=(0.0, 600.0), leader=True),
            Note(text="here", target=(100.0, 40.0), leader=True),
        ),
    )
    piece = Piece(made_from="formula", name="plate", drawing=drawing)
    plan = plan_piece(piece, A4, label="plate")
    assert len(plan.layout.tiles) == 1
    assert [note.text for note in plan.drawing.notes] == ["here"]  # its place is on no page
    whole = replace(
        piece, drawing=replace(drawing, paths=tuple(replace(p, aside=False) for p in drawing.paths))
    )
    assert len(plan_piece(whole, A4, label="plate").layout.tiles) >= 6


@settings(max_examples=30, deadline=None)
@given(st.floats(-900.0, 900.0), st.floats(0.0, math.pi), st.booleans())
def test_a_place_slides_along_its_line_to_the_nearest_page(off: float, angle: float, search: bool) -> None:
    """With its disc, its word and the distance that ends there; where a page shows it already it stays."""
    along = (math.cos(angle), math.sin(angle))
    at = (60.0 + off * along[0], 40.0 + off * along[1])
    drawing = plate("plate", 120.0, 80.0).drawing.with_more(
        discs=(Disc(centre=at, radius=3.0, aside=True),),
        notes=(Note(text="prick", target=at, leader=True),),
        distances=(Distance(name="to the corner", start=at, end=(0.0, 0.0)),),
    )
    drawing = replace(drawing, slides=(Slide(at=at, along=along),))
    piece = Piece(made_from="formula", name="plate", drawing=drawing)
    plan = plan_piece(piece, A4, label="plate", search=search)
    assert len(plan.layout.tiles) == 1
    (disc,) = (each for each in plan.drawing.discs if each.radius == 3.0)
    moved = np.subtract(disc.centre, at)
    assert abs(moved[0] * along[1] - moved[1] * along[0]) < 1e-6  # along its line
    x0, y0, x1, y1 = plan.layout.visible(plan.layout.tiles[0])
    x, y = plan.layout.to_grid.at(disc.centre)
    reach = CLEAR - ROUND
    assert x0 + reach <= x <= x1 - reach
    assert y0 + reach <= y <= y1 - reach
    here = plan.layout.to_grid.at(at)
    inside = x0 + CLEAR <= here[0] <= x1 - CLEAR and y0 + CLEAR <= here[1] <= y1 - CLEAR
    assert inside == (np.hypot(*moved) < 1e-5)
    assert slid(drawing, plan.layout).distances[0].start == pytest.approx(disc.centre)
    assert next(note for note in plan.drawing.notes if note.text == "prick").target == disc.centre
    assert CLEAR > TARGET_RADIUS


@given(st.floats(-math.pi, math.pi))
def test_arrows_turn_with_the_drawing_and_their_words_stay_level_beyond_the_tips(angle: float) -> None:
    tips = {"UP": (0.0, 20.0), "STARBOARD": (20.0, 0.0)}
    arrows = [Path(points=np.array([(0.0, 0.0), tip]), stroke=SAW) for tip in tips.values()]
    figure = compass(arrows, list(tips.items()), height=3.5)
    note = Note(text="", target=(0.0, 0.0), figure=figure)
    (turned,) = directed([note], Affine.turn(angle))
    assert turned.figure is not None
    assert turned.figure.hub is not None
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    for path, (word, tip) in zip(turned.figure.paths, tips.items(), strict=True):
        assert path.points[1] - turned.figure.hub == pytest.approx(turn @ tip, abs=1e-6)
        at = next(place for text, place in turned.figure.words if text == word)
        assert ((np.array(at) - path.points[1]) @ (turn @ tip)) > -30.0 * 20.0
        assert (np.array(at) >= -ROUND).all()
        assert at[0] <= turned.figure.width
        assert at[1] + 3.5 <= turned.figure.height + ROUND
