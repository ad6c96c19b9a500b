"""A piece's mark: made from what the piece is made from and how it lies, and kept while it lies as it did."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path as FilePath

import numpy as np
import pytest

from tests.tiling.samples import plate, ring, small_job
from tests.tiling.shaken import shaken
from tiling.drawing import Disc, Drawing, Note, Path, Stroke
from tiling.errors import TilingError
from tiling.job import write_pdf
from tiling.paper import Page, parse_paper
from tiling.paper.printers import Correction
from tiling.planning.piece_marks import LETTERS, mark_of, marked_plans
from tiling.planning.plan import Job, Piece, Plan, plan_pieces
from tiling.planning.previous_runs import PreviousRuns
from tiling.planning.request import Share
from tiling.planning.reuse import next_record
from tiling.proof import prove

pytestmark = pytest.mark.slow


def _marks(job: Job) -> dict[str, str]:
    return {plan.label: plan.mark for plan in marked_plans(job)}


def _with(piece: Piece, drawing: Drawing) -> Piece:
    return replace(piece, drawing=drawing)


def _moved(piece: Piece, by: float) -> Piece:
    """The first vertex of the first path moved, mm."""
    path = piece.drawing.paths[0]
    points = np.array(path.points)
    points[0] += by * math.sqrt(0.5)
    return _with(
        piece, replace(piece.drawing, paths=(replace(path, points=points), *piece.drawing.paths[1:]))
    )


def _after(job: Job, former: Job) -> Job:
    """The job as it is run where another has been run before."""
    return replace(job, former=PreviousRuns.parse(next_record(former, marked_plans(former))))


def _pages(plan: Plan) -> object:
    return plan.mark, plan.layout, plan.aids.distances


def test_a_mark_is_short_and_its_letters_are_not_taken_for_each_other() -> None:
    assert mark_of(bytes(8)) == LETTERS[0] * 5
    assert not set("01OISB58") & set(LETTERS)
    assert len(set(LETTERS)) == len(LETTERS)
    with_all = {mark_of(number.to_bytes(8, "big")) for number in range(3000)}
    assert len(with_all) == 3000


def test_one_piece_changes_and_the_other_keeps_its_mark() -> None:
    before = _marks(small_job(pieces=(ring(), plate())))
    after = _marks(small_job(pieces=(replace(ring(), made_from="wider"), plate())))
    assert before["knee"] == after["knee"]
    assert before["ring"] != after["ring"]
    assert _marks(small_job(pieces=(plate(), ring()))) == before  # other page numbers change no mark
    assert _marks(replace(small_job(), mark="AAAAA")) == before


def test_paper_printer_boat_and_name_change_every_mark() -> None:
    job = small_job(pieces=(plate(),))
    correction = Correction(printer="hall", paper="A4", short=(160.0, 159.2), long=(240.0, 241.1))
    every = [
        job,
        replace(job, page=Page(paper=parse_paper("letter"))),
        replace(job, page=replace(job.page, overlap=14.0)),
        replace(job, correction=correction),
        replace(job, title="Another boat"),
        replace(job, pieces=(plate("other knee"),)),
    ]
    assert len({mark for one in every for mark in _marks(one).values()}) == len(every)


def test_pages_laid_in_another_way_have_another_mark() -> None:
    """The same ring from the same figures, plain and with the search, and turned by a quarter."""
    plain = small_job(pieces=(ring(),), page=Page(paper=parse_paper("a5")))
    (one,), (other,) = marked_plans(plain), marked_plans(replace(plain, search=True))
    assert len(one.layout.tiles) > len(other.layout.tiles)
    assert one.mark != other.mark


@pytest.mark.parametrize(("by", "seed"), [(1e-9, 1), (1e-7, 2), (1e-6, 3)])
def test_the_last_figures_of_coordinates_change_no_mark_and_no_page(by: float, seed: int) -> None:
    pieces = (ring(), plate(), plate("chock", 120.0, 48.0), plate("square", 80.0, 80.0))
    job = replace(small_job(pieces=pieces), share="nested", search=True)
    noisy = replace(job, pieces=tuple(shaken(piece, by=by, seed=seed) for piece in pieces))
    before, after = marked_plans(job), marked_plans(noisy)
    assert any(plan.piece.parts for plan in before)  # some share pages
    assert [(plan.label, plan.mark) for plan in before] == [(plan.label, plan.mark) for plan in after]
    for one, other in zip(before, after, strict=True):
        assert [tile.name for tile in one.layout.tiles] == [tile.name for tile in other.layout.tiles]
        windows = (np.array([tile.window for tile in plan.layout.tiles]) for plan in (one, other))
        assert np.allclose(*windows, rtol=0.0, atol=10.0 * by)


@pytest.mark.parametrize("share", ["apart", "fenced", "nested"])
def test_a_piece_that_moved_by_less_than_anybody_sees_keeps_mark_and_pages(share: Share) -> None:
    pieces = (ring(), plate(), plate("chock", 120.0, 48.0))
    job = replace(small_job(pieces=pieces), share=share, search=True)
    noisy = replace(job, pieces=tuple(shaken(piece, by=0.013, seed=4) for piece in pieces))  # 0.0184 aslant
    before, after = marked_plans(job), marked_plans(_after(noisy, job))
    assert any(plan.piece.parts for plan in before) == (share != "apart")
    assert [_pages(plan) for plan in before] == [_pages(plan) for plan in after]
    # where the design is another, too
    other = replace(noisy, pieces=tuple(replace(piece, made_from="other") for piece in noisy.pieces))
    assert [_pages(plan) for plan in before] == [_pages(plan) for plan in marked_plans(_after(other, job))]
    assert {plan.mark for plan in before}.isdisjoint(plan.mark for plan in marked_plans(other))


def test_a_piece_that_moved_by_more_has_a_new_mark_though_it_is_made_from_the_same() -> None:
    job = small_job(pieces=(ring(), plate()))
    before = _marks(job)
    after = _marks(_after(replace(job, pieces=(_moved(ring(), 0.05), plate())), job))
    assert after["knee"] == before["knee"]
    assert after["ring"] != before["ring"]
    assert _marks(_after(replace(job, pieces=(_moved(ring(), 0.018), plate())), job)) == before


def test_a_piece_that_moves_a_little_in_every_run_does_not_keep_its_mark_for_ever() -> None:
    job = small_job(pieces=(plate(),))
    marks = []
    for step in range(6):
        job = _after(replace(job, pieces=(_moved(plate(), 0.008 * step),)), job) if step else job
        marks += _marks(job).values()
    # 0.016 mm from where the mark was given, then 0.024
    assert [mark == marks[0] for mark in marks] == [True, True, True, False, False, False]
    assert marks[3] == marks[4] == marks[5]


def test_what_comes_back_has_the_mark_and_the_pages_that_it_had() -> None:
    first = small_job(pieces=(ring(), plate()))
    second = _after(small_job(pieces=(replace(_moved(ring(), 1.0), made_from="wider"), plate())), first)
    again = _after(first, second)
    assert _marks(second)["ring"] != _marks(first)["ring"]
    assert [_pages(plan) for plan in marked_plans(again)] == [_pages(plan) for plan in marked_plans(first)]


def test_a_mark_that_was_given_is_given_to_no_other_state() -> None:
    """Out and in by 0.05 mm, always made from the same: three states, three marks; then back to the first."""
    job = small_job(pieces=(plate(),))
    marks = []
    for by in (0.0, 0.05, -0.05, 0.0):
        job = _after(replace(job, pieces=(_moved(plate(), by),)), job) if marks else job
        marks += _marks(job).values()
    assert len(set(marks[:3])) == 3
    assert marks[3] == marks[0]


@pytest.mark.parametrize(
    "change",
    [
        lambda piece: _with(piece, piece.drawing.with_more(discs=(Disc(centre=(60.0, 60.0), radius=1.0),))),
        lambda piece: _with(piece, piece.drawing.with_more(notes=(Note(text="78°", target=(70.0, 70.0)),))),
        lambda piece: _with(piece, replace(piece.drawing, paths=2 * piece.drawing.paths)),
        lambda piece: replace(piece, name="other knee"),
        lambda piece: _moved(piece, 0.03),
    ],
    ids=["a disc", "words", "a line", "the name", "a place"],
)
def test_whatever_is_drawn_otherwise_changes_the_mark(change) -> None:  # type: ignore[no-untyped-def]
    job = small_job(pieces=(plate(),))
    (before,) = _marks(job).values()
    other = replace(change(plate()), made_from="other")
    (after,) = _marks(_after(replace(job, pieces=(other,)), job)).values()
    assert before != after


def test_other_asides_are_another_program_where_the_design_is_the_same() -> None:
    """A line of the grid, words and a tick that another version of the program draws; then by another design."""
    more = plate().drawing.with_more(
        paths=(Path(points=np.array([[5.0, 5.0], [80.0, 5.0]]), stroke=Stroke(width=0.18), layer="grid"),),
        notes=(Note(text="78°", target=(70.0, 40.0)),),
    )
    job = replace(small_job(pieces=(plate(),)), asides=frozenset({"grid"}))
    other = _with(plate(), more)
    assert _marks(_after(replace(job, pieces=(other,)), job)) == _marks(job)
    assert _marks(_after(replace(job, pieces=(replace(other, made_from="other"),)), job)) != _marks(job)
    assert _marks(_after(replace(job, pieces=(other,), asides=frozenset()), job)) != _marks(job)


def test_an_outline_that_begins_at_another_vertex_or_has_more_of_them_is_the_same() -> None:
    job = small_job(pieces=(plate(),))
    path = plate().drawing.paths[0]
    points = np.roll(np.insert(path.points, 1, [[30.0, 0.0]], axis=0), 2, axis=0)
    piece = _with(plate(), replace(plate().drawing, paths=(replace(path, points=points),)))
    assert _marks(_after(replace(job, pieces=(piece,)), job)) == _marks(job)


def test_other_settings_keep_nothing() -> None:
    job = replace(small_job(pieces=(plate(), ring())), search=True)
    for other in (
        replace(job, page=replace(job.page, overlap=14.0)),
        replace(job, title="Another boat"),
        replace(job, search=False),
    ):
        assert all(plan.kept is None for plan in marked_plans(_after(other, job)))


def test_small_pieces_that_share_pages_are_kept_together_or_not_at_all() -> None:
    pieces = (plate("a"), plate("b", 60.0, 50.0), plate("c", 70.0, 40.0), plate("d", 100.0, 40.0))
    job = replace(small_job(pieces=pieces), share="nested", search=True)
    (before,) = marked_plans(job)
    assert len(before.piece.parts) == 4
    changed = _after(replace(job, pieces=(_moved(pieces[0], 3.0), *pieces[1:])), job)
    after = marked_plans(changed)
    assert before.mark not in {plan.mark for plan in after}
    alone = _after(replace(job, pieces=pieces[1:]), job)
    assert before.mark not in {plan.mark for plan in marked_plans(alone)}
    more = marked_plans(_after(replace(job, pieces=(*pieces, plate("e"), plate("f"))), job))
    assert [plan.mark for plan in more if plan.label == before.label] == [before.mark]
    assert len({plan.label for plan in more}) == len(more)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        "3",
        '{"form": 1}',
        '{"form": 2, "laid": [], "used": []}',
        '{"form": 1, "used": [], "laid": [3, {}, {"settings": 1}]}',
        "[" * 100_000,
    ],
)
def test_a_record_that_cannot_be_read_is_no_hindrance(text: str) -> None:
    job = small_job(pieces=(plate(),))
    assert _marks(replace(job, former=PreviousRuns.parse(text))) == _marks(job)


def test_a_record_that_was_spoiled_by_hand_is_no_hindrance() -> None:
    job = small_job(pieces=(plate(),))
    text = next_record(job, marked_plans(job))
    for old, new in (
        ('"lines":"', '"lines":"!'),
        ('"tiles":[', '"tiles":[[1],'),
        ('"distances":[', '"distances":[1,'),
        ('"to_grid":[', '"to_grid":["x",'),
    ):
        assert old in text
        (plan,) = marked_plans(replace(job, former=PreviousRuns.parse(text.replace(old, new, 1))))
        assert plan.kept is None


def test_a_run_on_its_own_record_writes_the_same_bytes(tmp_path: FilePath) -> None:
    job = replace(small_job(), share="nested", search=True)
    files = [tmp_path / "one.pdf", tmp_path / "two.pdf"]
    again = _after(job, job)
    for one, file in zip((job, again), files, strict=True):
        write_pdf(one, file)
    assert files[0].read_bytes() == files[1].read_bytes()
    assert next_record(job, marked_plans(job)) == next_record(again, marked_plans(again))


def test_prove_finds_a_page_that_carries_another_mark(
    tmp_path: FilePath, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "job.pdf"
    write_pdf(small_job(), path)
    assert prove(path).findings == []
    from tiling.pages.strips import Strips

    draw = Strips.draw_mark
    monkeypatch.setattr(Strips, "draw_mark", lambda strips, ink, mark="": draw(strips, ink, mark and "AAAAA"))
    write_pdf(small_job(), path)
    findings = prove(path).findings
    assert findings
    assert all("does not say mark" in finding for finding in findings)


def test_nothing_to_mark_is_no_error() -> None:
    job = replace(small_job(), mark="")
    assert set(_marks(job).values()) == {""}
    with pytest.raises(TilingError):
        plan_pieces((), job.page)
