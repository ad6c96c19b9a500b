"""A design that asks for thousands of pages is asked about before any is laid; a boat in the wrong unit is told."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

from patterns.cli import main
from patterns.commands import options
from patterns.measure import parse_length
from patterns.run import job
from tests.patterns.folders import DESIGN, STEM, TABLE, changed, write_folder
from tests.tiling.samples import A4, ring
from tiling.drawing import Drawing, Stroke
from tiling.drawing import Path as Run
from tiling.layout.page_estimate import about_pages
from tiling.planning.plan import plan_piece

SAW = Stroke(width=0.7)


def _line(length: float, *, up: float = 0.0) -> Drawing:
    return Drawing(paths=(Run(points=np.array([[0.0, 0.0], [length, up]]), stroke=SAW),))


@pytest.mark.parametrize("pages", [1, 2, 7, 400])
def test_a_straight_line_takes_as_many_pages_as_it_is_long(pages: int) -> None:
    assert about_pages([_line((pages - 0.5) * A4.step[0])], A4) == pages


def test_a_million_pages_are_counted_without_being_laid() -> None:
    assert about_pages([_line(1e6 * A4.step[0])], A4) == pytest.approx(1e6, rel=0.01)
    assert about_pages([_line(1e12)], A4) > 1e9


def test_the_count_is_near_to_what_is_laid_out() -> None:
    piece = ring()
    laid = len(plan_piece(piece, A4, label="ring").layout.tiles)
    assert 0.8 * laid <= about_pages([piece.drawing], A4) <= 1.6 * laid
    assert about_pages([], A4) == 0


def _run(folder: Path, *more: str, answer: str | None = None) -> Result:
    arguments = ["patterns", str(folder), "--quick", "--output", str(folder / "out"), *more]
    return CliRunner().invoke(main, arguments, input=answer)


@pytest.mark.slow
def test_too_many_pages_are_refused_in_a_pipe_with_the_option_that_says_yes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(job, "MANY_PAGES", 5)
    folder = write_folder(tmp_path)
    result = _run(folder)
    assert result.exit_code == 2
    assert "pages" in result.output
    assert "--yes" in result.output
    assert not (tmp_path / "out").exists()
    assert _run(folder, "--only", "frame 3", "--yes").exit_code == 0


@pytest.mark.slow
@pytest.mark.parametrize(("answer", "status"), [("n\n", 1), ("\n", 1), ("y\n", 0)])
def test_on_a_terminal_one_is_asked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, answer: str, status: int
) -> None:
    monkeypatch.setattr(job, "MANY_PAGES", 2)
    monkeypatch.setattr(options, "_on_terminal", lambda: True)
    result = _run(write_folder(tmp_path), "--only", "frame 3", answer=answer)
    assert "Go on?" in result.output
    assert result.exit_code == status
    assert (tmp_path / "out").exists() == (status == 0)


@pytest.mark.slow
def test_a_boat_in_the_wrong_unit_is_told_with_what_she_would_measure(tmp_path: Path) -> None:
    rows = [line.split(",") for line in TABLE.splitlines()]
    for row in rows[1:]:
        for column, cell in enumerate(row[2:], start=2):
            if cell:  # in mm, as the table might have been written
                row[column] = f"{parse_length(cell):.0f}"
    big = "\n".join(",".join(row) for row in rows)
    design = DESIGN.replace('"feet-inches-eighths"', '"m"')
    result = CliRunner().invoke(main, ["check", str(write_folder(tmp_path, design=design, table=big))])
    assert result.exit_code == 1
    assert "offsets.csv, row 2, column I (station 6): from her first station" in result.output
    assert "3048 m long" in result.output
    assert "notation" in result.output


@pytest.mark.slow
@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ("0-11-3+,1-5-4", "5000 m,1-5-4", "offsets.csv, row 10, column E (station 2): 5000 m is too long"),
        ("0-4-2+,0-3-3+", "0-4-2+,123-3-3+", "offsets.csv, row 6, column F (station 3): 37.5"),
        (",13-5-4+", ",130-5-4+", "offsets.csv, row 5, column J (stern): 39.7"),
    ],
)
def test_one_cell_far_beyond_the_boat_is_told_at_once(tmp_path: Path, old: str, new: str, place: str) -> None:
    result = CliRunner().invoke(main, ["check", str(write_folder(tmp_path, table=changed(TABLE, old, new)))])
    assert result.exit_code == 1
    assert place in result.output
    assert "3.05 m between her end stations" in result.output


@pytest.mark.slow
def test_a_stem_point_far_beyond_the_boat_is_told(tmp_path: Path) -> None:
    stem = changed(STEM, "aft,1-10-0,0-4-3+", "aft,1-10-0,400-4-3+")
    result = CliRunner().invoke(main, ["check", str(write_folder(tmp_path, stem=stem))])
    assert result.exit_code == 1
    assert "stem.csv, row 4, column C (aft)" in result.output
