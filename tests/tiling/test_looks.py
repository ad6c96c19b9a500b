"""Every kind of page keeps to the series of breadths and heights, in black alone; and a spoiled one is found."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.looks import hold_to_the_series
from tests.tiling.readback import read
from tests.tiling.samples import small_job
from tiling.drawing import Drawing, Note, Stroke
from tiling.drawing import Path as Run
from tiling.job import Piece, write_pdf
from tiling.pages.ruler_page import write_ruler_page
from tiling.paper import Page, parse_paper

CORNERS = np.array([[0.0, 0.0], [90.0, 0.0], [90.0, 70.0]])


@pytest.mark.slow
@pytest.mark.parametrize("paper", ["A4", "A5", "letter", "A2"])
def test_a_job_keeps_to_the_series(tmp_path: Path, paper: str) -> None:
    path = tmp_path / "job.pdf"
    write_pdf(small_job(page=Page(paper=parse_paper(paper))), path)
    hold_to_the_series(read(path))


def test_the_ruler_page_keeps_to_the_series(tmp_path: Path) -> None:
    path = tmp_path / "ruler.pdf"
    write_ruler_page(Page(paper=parse_paper("A4")), path)
    hold_to_the_series(read(path))


@pytest.mark.slow
@pytest.mark.parametrize(
    ("stroke", "height"),
    [
        (Stroke(width=0.3), 3.5),  # between two members
        (Stroke(width=0.25), 3.0),  # no member
        (Stroke(width=0.25), 1.8),  # a member that is too small to be read
        (Stroke(width=0.25, grey=0.7), 3.5),  # lost on a copier
    ],
)
def test_what_does_not_keep_to_them_is_found(tmp_path: Path, stroke: Stroke, height: float) -> None:
    drawing = Drawing(
        paths=(Run(points=CORNERS, stroke=stroke),),
        notes=(Note(text="H", target=(40.0, 30.0), height=height),),
    )
    path = tmp_path / "spoiled.pdf"
    write_pdf(
        small_job(pieces=(Piece(made_from="formula", name="spoiled", drawing=drawing),)),
        path,
    )
    with pytest.raises(AssertionError):
        hold_to_the_series(read(path))
