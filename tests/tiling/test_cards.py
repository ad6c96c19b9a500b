"""The cards: one for each piece, in the order of work, whole on its page, with its facts and a box to tick."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path as FilePath
from typing import cast

import numpy as np
import pytest

from tests.tiling.readback import Sheet, read
from tests.tiling.samples import A4, plate, small_job
from tiling.distances.checks import Check
from tiling.drawing import Distance
from tiling.job import Job, write_pdf
from tiling.pages.card_tables import Measures
from tiling.pdf.shapes import Ink
from tiling.planning.card import Card, Site, Whole

TICK = 5.0  # mm; the side of the box to tick
AROUND = (np.array([[0.0, 0.0], [40.0, 0.0], [40.0, 20.0], [0.0, 20.0]]),)


def site(x: float) -> Site:
    part = np.array([[x, 2.0], [x + 3.0, 2.0], [x + 3.0, 9.0], [x, 9.0]])
    return Site(around=AROUND, part=(part,), size=(40.0, 20.0))


def job_of_cards() -> Job:
    """A whole of two pieces, one of which needs two pages, and a line on a third one's card."""
    whole = Whole(
        name="frame",
        card=Card(
            tick="put together",
            rows=(("Station", "1143 mm aft"),),
            table=(("corner", "across"), ("chine", "718.7 mm")),
        ),
    )
    pieces = [
        replace(plate(name, *size), card=Card(quantity="2", rows=((label, words),), site=site(x)), whole=own)
        for name, size, label, words, x, own in (
            ("bottom", (300.0, 120.0), "Notches", "keel: going aft 5.5° down", 5.0, whole),
            ("gusset", (90.0, 70.0), "Wood left", "keel 57 mm", 12.0, whole),
            ("plank", (120.0, 80.0), "Stock", "18 mm fir", 20.0, None),
        )
    ]
    line = replace(plate("plank, fore end", 60.0, 50.0), of="plank")
    return replace(small_job(pieces=(*pieces, line)), first_piece=None, share="apart")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> list[Sheet]:
    path = tmp_path_factory.mktemp("cards") / "job.pdf"
    write_pdf(job_of_cards(), path)
    return [sheet for sheet in read(path) if sheet.label.startswith("cards")]


def below(sheet: Sheet, heading: str) -> float:
    (at,) = [said.at[1] for said in sheet.said if said.text == heading]
    return at


def test_cards_come_in_the_pieces_order_that_of_the_whole_first(made: list[Sheet]) -> None:
    (sheet,) = made
    heights = [below(sheet, name) for name in ("frame", "bottom", "gusset", "plank")]
    assert heights == sorted(heights, reverse=True)
    assert "plank, fore end" not in [said.text for said in sheet.said]  # it is a line on the plank's card
    assert "fore end: page" in sheet.text


def test_every_card_holds_its_own_rows_and_its_box(made: list[Sheet]) -> None:
    (sheet,) = made
    edges = [*(below(sheet, name) for name in ("frame", "bottom", "gusset", "plank")), 0.0]
    rows = ("718.7 mm", "keel: going aft 5.5° down", "keel 57 mm", "18 mm fir")
    for words, high, low in zip(rows, edges, edges[1:], strict=False):
        assert low < below(sheet, words) < high
    boxes = [
        line
        for line in sheet.lines
        if np.allclose(np.ptp(line.points, axis=0), TICK, atol=0.01) and line.stroked
    ]
    assert len(boxes) == 4
    assert [said.text for said in sheet.said].count("cut") == 3


def test_only_a_piece_on_several_pages_has_a_map_and_distances(made: list[Sheet]) -> None:
    (sheet,) = made
    said = [said.text for said in sheet.said]
    assert said.count("A1") == 1
    assert said.count("measure") == 1
    assert below(sheet, "gusset") < below(sheet, "measure") < below(sheet, "bottom")


def test_the_lines_around_a_part_are_in_the_file_once(tmp_path: FilePath) -> None:
    job = job_of_cards()
    write_pdf(job, tmp_path / "job.pdf")
    data = (tmp_path / "job.pdf").read_bytes()
    assert b"/Site1" in data
    assert b"/Site2" not in data


def test_facts_that_fill_more_than_a_page_go_on(tmp_path: FilePath) -> None:
    rows = tuple((f"Fact {number}", f"words of number {number} " * 6) for number in range(60))
    long = replace(plate("long"), card=Card(rows=rows))
    write_pdf(
        replace(small_job(page=A4, pieces=(long, plate("short"))), first_piece=None), tmp_path / "job.pdf"
    )
    cards = [sheet for sheet in read(tmp_path / "job.pdf") if sheet.label.startswith("cards")]
    assert len(cards) > 1
    text = " ".join(sheet.text for sheet in cards)
    assert all(f"Fact {number} " in text for number in range(60))
    for sheet in cards:
        foot = min((said.at[1] for said in sheet.said if said.text.startswith("words")), default=np.inf)
        assert foot > A4.window[1]


class _Said:
    """Keeps the words that are drawn."""

    def __init__(self) -> None:
        self.texts: list[str] = []

    def words(self, text: str, *_: object, **__: object) -> None:
        self.texts.append(text)

    def line(self, *_: object) -> None:
        pass

    box = line


@pytest.mark.parametrize("wide", [82.0, 100.0, 112.0, 150.0])
@pytest.mark.parametrize("metric", [True, False])
def test_no_word_of_the_distances_is_cut_short(wide: float, metric: bool) -> None:
    gap = Distance(name="", start=(0.0, 0.0), end=(1010.6, 0.0))
    check = Check(name="", distance=gap, letters=("P", "Q"), seams=3, true=1010.6)
    ink = _Said()
    Measures([check], full=True, metric=metric).draw(cast(Ink, ink), (0.0, 0.0, wide, 60.0))
    assert len(ink.texts) >= 8
    assert not any("…" in text for text in ink.texts)
