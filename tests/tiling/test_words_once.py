"""Each label is found once by a search, though a page beyond a seam may go on with it; by two readers."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pypdfium2 as pdfium
import pytest

from tests.tiling.readback import read
from tests.tiling.samples import SAW, small_job
from tiling.drawing import Drawing, Note
from tiling.drawing import Path as Run
from tiling.job import Piece, write_pdf
from tiling.pages.pattern_page import tile_contents
from tiling.pdf.clipping import cut
from tiling.pdf.pdf_file import PdfFile
from tiling.planning.plan import plan_pieces

COLUMNS, ROWS = 20, 12  # of words, 40 mm and 60 mm apart


def crowded() -> Piece:
    """A rectangle of 780 by 660 mm full of words, so that many stand on seams whether they would or not."""
    notes = tuple(
        Note(text=f"place {i:02d} {j:02d}", target=(20.0 + 40.0 * i, 30.0 + 60.0 * j), height=5.0, reach=8.0)
        for i in range(COLUMNS)
        for j in range(ROWS)
    )
    corners = np.array([[0.0, 0.0], [800.0, 0.0], [800.0, 700.0], [0.0, 700.0]])
    return Piece(
        made_from="formula",
        name="crowded",
        drawing=Drawing(paths=(Run(points=corners, stroke=SAW, closed=True),), notes=notes),
    )


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("words") / "job.pdf"
    write_pdf(small_job(pieces=(crowded(),)), path)
    return path


@pytest.mark.slow
def test_the_words_that_are_searched_stand_once_in_the_file(made: Path) -> None:
    searched: Counter[str] = Counter()
    replaced = 0
    for sheet in read(made):
        for said in sheet.said:
            if said.text.startswith("place "):
                searched[said.text] += not said.replaced
                replaced += said.replaced
    assert len(searched) == COLUMNS * ROWS
    assert set(searched.values()) == {1}
    (plan,) = plan_pieces((crowded(),), small_job().page)
    assert bool(replaced) == any(words.straddles for words in plan.words)


def test_another_reader_finds_them_once_too(made: Path) -> None:
    document = pdfium.PdfDocument(made)
    try:
        text = " ".join(page.get_textpage().get_text_range() for page in document)
    finally:
        document.close()
    words = text.split()
    found = Counter(pairwise(words))
    for i in range(COLUMNS):
        for j in range(ROWS):
            assert found[f"{i:02d}", f"{j:02d}"] == 1


@pytest.mark.slow
def test_words_through_which_a_trim_line_runs_go_on_beyond_it(tmp_path: Path) -> None:
    """Words are laid over a seam on purpose, since lettering would rather not."""
    piece = crowded()
    (plan,) = plan_pieces((piece,), small_job().page)
    seam = plan.layout.seams[0]
    x, y = np.mean(seam.line, axis=0).tolist()
    held = replace(
        plan.words[0],
        lines=(replace(plan.words[0].lines[0], text="on the seam", at=(x - 10.0, y)),),
        box=(x - 10.0, y - 1.0, x + 20.0, y + 5.0),
        leader=None,
        tile=seam.over,
        straddles=True,
    )
    for straddles, seen_on in ((True, {seam.over, seam.under}), (False, {seam.over})):
        words = (replace(held, straddles=straddles), *plan.words[1:])
        path = tmp_path / f"{straddles}.pdf"
        with path.open("wb") as stream:
            pdf = PdfFile(stream, width=210.0, height=297.0, title="seam")
            laid = replace(plan, words=words)
            strokes = cut(plan.drawing.paths, plan.layout.to_grid)
            for tile, content in zip(plan.layout.tiles, tile_contents(laid, strokes, pdf), strict=True):
                pdf.add_page(content, label=tile.name)
            pdf.finish()
        said = {
            index: each.replaced
            for index, sheet in enumerate(read(path))
            for each in sheet.said
            if each.text == "on the seam"
        }
        assert set(said) == seen_on
        assert [index for index, replaced in said.items() if not replaced] == [seam.over]
