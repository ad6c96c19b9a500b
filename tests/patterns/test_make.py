"""What make adds to the shapes: paper by locale, the short mark, the lines to sight along."""

from __future__ import annotations

import locale
import os
from pathlib import Path

import numpy as np
import pytest

from patterns.boat import load_boat
from patterns.run.mark import short_mark
from patterns.run.page_request import paper_of_locale
from patterns.shop.lines_drawing import lines_drawing
from tests.demo import demo_boat
from tests.patterns.plane_boat import write_plane_boat
from tiling.planning.piece_marks import LETTERS


@pytest.mark.parametrize(
    ("named", "paper"),
    [
        ("en_US.UTF-8", "letter"),
        ("fr_CA", "letter"),
        ("de_DE.UTF-8", "a4"),
        ("C.UTF-8", "a4"),
        ("POSIX", "a4"),
    ],
)
def test_the_paper_is_that_of_the_locale(monkeypatch: pytest.MonkeyPatch, named: str, paper: str) -> None:
    monkeypatch.delenv("LC_ALL", raising=False)
    monkeypatch.delenv("LC_PAPER", raising=False)
    monkeypatch.setenv("LANG", named)
    assert paper_of_locale() == paper
    monkeypatch.setenv("LC_PAPER", "en_US")
    assert paper_of_locale() == "letter"


@pytest.mark.skipif(os.name == "nt", reason="Windows keeps its locale elsewhere")
def test_without_a_locale_the_paper_is_a4(monkeypatch: pytest.MonkeyPatch) -> None:
    """Python takes an unset locale for American English."""
    for name in ("LC_ALL", "LC_PAPER", "LANG"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(locale, "getlocale", lambda: ("en_US", "UTF-8"))
    assert paper_of_locale() == "a4"


def test_the_mark_changes_with_a_single_figure_and_with_the_paper() -> None:
    marks = {
        short_mark("2-7-3", "A4"),
        short_mark("2-7-4", "A4"),
        short_mark("2-7-3", "letter"),
        short_mark("2-7-3"),
        short_mark("2-7-3A4"),
    }
    assert len(marks) == 5
    assert short_mark("2-7-3", "A4") == short_mark("2-7-3", "A4")
    assert all(len(mark) == 5 and set(mark) <= set(LETTERS) for mark in marks)
    assert not set("01OISB58") & set(LETTERS)


@pytest.mark.slow
def test_the_lines_drawing_shows_every_offset_and_says_when_a_line_is_straight(tmp_path: Path) -> None:
    boat = demo_boat()
    drawing = lines_drawing(boat, scale=0.1)
    typed = [row for row in boat.lines.rows if row.view in ("height", "half-breadth")]
    assert len(drawing.discs) == len(typed)
    heights = sorted(0.1 * row.offset for row in typed if row.view == "height")
    low = sorted(disc.centre[1] for disc in drawing.discs)[: len(heights)]
    assert np.allclose(low, heights)
    straight = lines_drawing(load_boat(write_plane_boat(tmp_path)))
    assert any("straight" in note.text for note in straight.notes)
