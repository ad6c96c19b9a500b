"""A piece's mark: kept while the piece comes out the same, another with anything that is drawn of it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tests.tiling.samples import plate, ring, small_job
from tiling.drawing import Disc, Drawing, Note
from tiling.errors import TilingError
from tiling.job import write_pdf
from tiling.paper import Page, parse_paper
from tiling.piece_marks import LETTERS, mark_of, marked
from tiling.plan import Job, Piece, plan_pieces
from tiling.printers import Correction
from tiling.proof import prove


def _marks(job: Job) -> dict[str, str]:
    return {plan.label: plan.mark for plan in marked(job, plan_pieces(job.pieces, job.page))}


def _with(piece: Piece, drawing: Drawing) -> Piece:
    return replace(piece, drawing=drawing)


def _moved(piece: Piece, by: float) -> Piece:
    """The first vertex of the first path moved outward, mm."""
    path = piece.drawing.paths[0]
    points = np.array(path.points)
    points[0] += by
    return _with(
        piece, replace(piece.drawing, paths=(replace(path, points=points), *piece.drawing.paths[1:]))
    )


def test_a_mark_is_short_and_its_letters_are_not_taken_for_each_other() -> None:
    assert mark_of(bytes(8)) == LETTERS[0] * 5
    assert not set("01OISB58") & set(LETTERS)
    assert len(set(LETTERS)) == len(LETTERS)
    with_all = {mark_of(number.to_bytes(8, "big")) for number in range(3000)}
    assert len(with_all) == 3000


def test_one_piece_changes_and_the_other_keeps_its_mark() -> None:
    before = _marks(small_job(pieces=(ring(), plate())))
    after = _marks(small_job(pieces=(_moved(ring(), 0.5), plate())))
    assert before["knee"] == after["knee"]
    assert before["ring"] != after["ring"]
    assert _marks(small_job(pieces=(plate(), ring()))) == before  # other page numbers change no mark
    assert _marks(replace(small_job(), mark="AAAAA")) == before


@pytest.mark.parametrize(
    "change",
    [
        lambda piece: _moved(piece, 0.002),
        lambda piece: _with(piece, piece.drawing.with_more(discs=(Disc(centre=(60.0, 60.0), radius=1.0),))),
        lambda piece: _with(piece, piece.drawing.with_more(notes=(Note(text="78°", target=(70.0, 70.0)),))),
        lambda piece: replace(piece, name="other knee"),
    ],
    ids=["a line by 0.002 mm", "a disc", "words", "the name"],
)
def test_whatever_is_drawn_changes_the_mark(change) -> None:  # type: ignore[no-untyped-def]
    (before,) = _marks(small_job(pieces=(plate(),))).values()
    (after,) = _marks(small_job(pieces=(change(plate()),))).values()
    assert before != after


def test_paper_and_printer_and_boat_change_every_mark() -> None:
    job = small_job(pieces=(plate(),))
    correction = Correction(printer="hall", paper="A4", short=(160.0, 159.2), long=(240.0, 241.1))
    every = [
        job,
        replace(job, page=Page(paper=parse_paper("letter"))),
        replace(job, page=replace(job.page, overlap=14.0)),
        replace(job, correction=correction),
        replace(job, title="Another boat"),
    ]
    assert len({_marks(one)["knee"] for one in every}) == len(every)


def test_prove_finds_a_page_that_carries_another_mark(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "job.pdf"
    write_pdf(small_job(), path)
    assert prove(path).findings == []
    from tiling.strips import Strips

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
