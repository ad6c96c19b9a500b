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

from tests.tiling.samples import A4, SAW, ring, small_job
from tiling.drawing import Drawing, Figure, Note, Path
from tiling.job import Piece, write_pdf
from tiling.nesting import Outline, nest
from tiling.paper import Page, parse_paper
from tiling.plan import plan_pieces
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
        found.append(Piece(name=name, facts=("Quantity: 2",), drawing=drawing))
    return tuple(found)


@pytest.fixture(scope="module")
def pieces() -> tuple[Piece, ...]:
    return gussets(20)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_twenty_gussets_need_fewer_pages_together_and_none_is_lost(
    pieces: tuple[Piece, ...], paper: str
) -> None:
    page = Page(paper=parse_paper(paper))
    alone, together = plan_pieces(pieces, page), plan_pieces(pieces, page, share=True)
    count = [sum(len(plan.layout.tiles) for plan in plans) for plans in (alone, together)]
    assert count[1] <= 0.75 * count[0]
    names = sorted(part.name for plan in together for part in plan.piece.parts or (plan.piece,))
    assert names == sorted(piece.name for piece in pieces)


def test_shapes_are_moved_as_they_are_and_keep_clear_of_each_other(pieces: tuple[Piece, ...]) -> None:
    drawings = {piece.name: piece.drawing for piece in pieces}
    for plan in plan_pieces(pieces, A4, share=True):
        if not plan.piece.parts:
            continue
        areas = []
        for part, path in zip(plan.piece.parts, plan.piece.drawing.paths, strict=True):
            before = drawings[part.name].paths[0].points
            after = path.points
            turn = np.array([after[1] - after[0], before[1] - before[0]])
            angle = math.atan2(*turn[0, ::-1]) - math.atan2(*turn[1, ::-1])
            assert math.cos(4.0 * angle) == pytest.approx(1.0)
            c, s = math.cos(angle), math.sin(angle)
            moved = before @ np.array([[c, s], [-s, c]])
            assert (
                np.abs(moved - moved[0] - after + after[0]).max() < 1e-9
            )  # turned and shifted, never mirrored
            areas.append(shapely.Polygon(after))
        for i, area in enumerate(areas):
            for other in areas[:i]:
                assert shapely.distance(area, other) > 7.9


def test_words_stay_out_of_other_pieces(pieces: tuple[Piece, ...]) -> None:
    for plan in plan_pieces(pieces, A4, share=True):
        if not plan.piece.parts:
            continue
        areas = [
            shapely.Polygon(plan.layout.to_grid.apply(path.points))
            for path in plan.drawing.paths[: len(plan.piece.parts)]
        ]
        for words in plan.words:
            room = plan.drawing.notes[words.note].room
            for number, area in enumerate(areas):
                if room >= 0 and number != room:
                    assert not shapely.intersects(shapely.box(*words.box), area), words


def test_a_shared_file_is_proved_and_the_places_of_all_pieces_are_told(
    pieces: tuple[Piece, ...], tmp_path: FilePath
) -> None:
    job = small_job(pieces=(ring(), *pieces))
    summary = write_pdf(job, tmp_path / "shared.pdf")
    assert prove(tmp_path / "shared.pdf").findings == []
    assert {piece.name for piece, _, _ in summary.places} == {piece.name for piece in job.pieces}
    assert summary.pages < write_pdf(replace(job, share=False), tmp_path / "alone.pdf").pages


@given(st.integers(0, 2**32 - 1), st.integers(2, 9))
@settings(max_examples=15, deadline=None)
def test_nested_masks_never_meet_nor_leave_the_block(seed: int, count: int) -> None:
    rng = np.random.default_rng(seed)
    outlines = {}
    for index in range(count):
        shape = tuple(rng.integers(10, 60, 2))
        room = rng.random(shape) < 0.9
        outlines[index] = Outline(
            ink=room & (rng.random(shape) < 0.2), room=room, alone=int(rng.integers(2, 6))
        )
    for block in nest(outlines, A4):
        taken = np.zeros((400, 400), dtype=int)
        for nested in block:
            room = outlines[nested.piece].turned(nested.quarters).room
            r, c = room.shape
            taken[nested.row : nested.row + r, nested.column : nested.column + c] += room
        assert taken.max() == 1
        rows, columns = np.nonzero(taken)
        assert rows.max() * 4.0 < 4 * A4.step[1] + A4.overlap
        assert columns.max() * 4.0 < 4 * A4.step[0] + A4.overlap


def test_a_small_piece_with_many_words_is_printed_with_the_few_that_do() -> None:
    small = Path(
        points=np.array([[0.0, 0.0], [40.0, 0.0], [40.0, 30.0], [0.0, 30.0]]), stroke=SAW, closed=True
    )
    figure = Figure(paths=(replace(small, points=small.points * 0.5),), width=74.0, height=60.0)
    many = "\n".join(f"a line of words that takes its room, number {k}" for k in range(33))
    notes = (
        Note(text=many, short="few words", target=(20.0, 15.0), rank=0),
        Note(text="Key.", target=(20.0, 15.0), figure=figure, rank=1),
        *(Note(text=f"{k}° under", target=(float(k), 0.0), leader=True) for k in range(40)),
    )
    piece = Piece(name="chock", facts=("Quantity: 1",), drawing=Drawing(paths=(small,), notes=notes))
    (plan,) = plan_pieces([piece], A4)
    said = [line.text for words in plan.words for line in words.lines]
    assert len(plan.layout.tiles) == 1
    assert "few words" in said
    assert "39° under" in said
    assert not any("number 3" in text for text in said)
