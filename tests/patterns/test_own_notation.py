"""Lengths in the user's own notation: as typed is letter by letter, and a metric boat gets no feet and inches."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from patterns.boat import Boat
from patterns.cli import main
from patterns.measure import Notation, format_typed
from patterns.shop.tables import moves_table, typed_words
from tests.demo import DEMO, demo_boat, round_demo
from tests.tiling.readback import read

FEET = re.compile(r"\d ?(?:ft|in)\b|feet|\b\d+-\d+-\d+[+-]?(?![\d-])")
RULER = {"inches"}  # the second side of every ruler, for whoever has a rule of inches


@pytest.mark.parametrize(
    ("notation", "typed", "mm"),
    [
        (Notation.MM, "600.50", 600.5),
        (Notation.FEET_INCHES_EIGHTHS, "2 7 3", 796.925),
        (Notation.FEET_INCHES_EIGHTHS, "0-9-0+", 230.1875),
    ],
)
def test_what_was_typed_is_given_letter_by_letter(notation: Notation, typed: str, mm: float) -> None:
    assert format_typed(mm, notation, typed) == typed
    assert format_typed(mm + 1.0, notation, typed) != typed


@pytest.mark.parametrize("boat", [demo_boat, round_demo], ids=["feet", "metric"])
def test_as_typed_is_what_stands_in_the_cells(boat: object) -> None:
    """Every offset of the table, and the moves' table, which gives them once more."""
    assert callable(boat)
    made: Boat = boat()
    looked_at = 0
    for row in made.lines.rows:
        if row.place is not None and row.place.typed:
            assert typed_words(made.design, made.offsets, row) == " ".join(row.place.typed.split())
            looked_at += 1
    assert looked_at > 40
    moves = list(csv.DictReader(moves_table(made).splitlines()))
    typed = {row.place.typed for row in made.lines.rows if row.place is not None}
    assert {row["offset"] for row in moves} <= typed | {
        typed_words(made.design, made.offsets, row) for row in made.lines.rows if row.place is None
    }


@pytest.mark.slow
def test_a_metric_boat_gets_no_feet_and_inches(tmp_path: Path) -> None:
    """Not in the tables, the book, the bevel board, the page for a screen, nor on the pages, but for the rulers."""
    out = tmp_path / "out"
    arguments = ["patterns", str(DEMO / "round_bilge"), "-o", str(out), "--paper", "a4", "--quick"]
    made = CliRunner().invoke(main, arguments)
    assert made.exit_code == 0, made.output
    assert not FEET.search(made.output)
    words = 0
    for path in out.glob("*.pdf"):
        for sheet in read(path):
            for said in sheet.said:
                words += 1
                assert said.text in RULER or not FEET.search(said.text), (path.name, sheet.label, said.text)
    assert words > 1000
    for name in ("set-up.csv", "moves.csv", "purchase.csv", "ordinates.csv", "timbers.csv", "cut-list.csv"):
        path = out / name
        assert not path.exists() or not FEET.search(path.read_text(encoding="utf-8")), name
    page = (out / "picture.html").read_text(encoding="utf-8")
    said = re.sub(r"<(style|script)\b.*?</\1>|<[^>]*>", " ", page, flags=re.DOTALL)
    assert not FEET.search(said)
