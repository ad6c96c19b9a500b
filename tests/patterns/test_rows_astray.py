"""A row of a round bilge whose level is mistyped in the design: named, with the level at which the row fits."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest

from patterns.errors import Problem
from patterns.fairing.lines import fair_lines
from patterns.table.folder import read_folder
from tests.patterns.analytic_boats import ROUNDINGS
from tests.patterns.round_boats import ALL_ROWS, WATERLINES, round_boat, write_round_table

CODE = "row-off-its-level"


def _found(folder: Path) -> list[Problem]:
    design, offsets, _ = read_folder(folder)
    lines = fair_lines(offsets, design)
    return [*lines.warnings, *(suspect.problem() for suspect in lines.suspects)]


def _write(folder: Path, rows: Sequence[str], form: str) -> None:
    write_round_table(round_boat(3, form), folder, ROUNDINGS[1], np.random.default_rng(3), rows=rows)


def _mistype(folder: Path, table: str, name: str, change: float) -> float:
    """Change a level by so many mm; returns the true one, mm."""
    file = folder / "design.toml"
    text = file.read_text(encoding="utf-8")
    given = re.search(rf'\[\[{table}\]\]\nname = "{name}"\n(?:height|half_breadth) = "?([\d.]+)', text)
    assert given is not None
    true = float(given[1])
    file.write_text(text[: given.start(1)] + f"{true + change:g}" + text[given.end(1) :], encoding="utf-8")
    return true


@pytest.mark.slow
@pytest.mark.parametrize(
    ("rows", "form", "table", "name", "change"),
    [
        (ALL_ROWS, "plain", "waterline", "WL 3", 25.4),
        (ALL_ROWS, "hollow", "buttock", "B 2", -40.0),
        (ALL_ROWS, "firm", "diagonal", "D 1", 100.0),
        (WATERLINES, "soft", "waterline", "WL 4", -60.0),
    ],
)
def test_a_mistyped_level_is_named_with_the_one_that_fits(
    tmp_path: Path, rows: Sequence[str], form: str, table: str, name: str, change: float
) -> None:
    _write(tmp_path, rows, form)
    true = _mistype(tmp_path, table, name, change)
    found = [problem for problem in _found(tmp_path) if problem.code == CODE]
    assert len(found) == 1
    assert found[0].place.startswith(f'design.toml, {table} "{name}"')
    figures = [float(word) for word in re.findall(r"\d+(?:\.\d+)?", found[0].what)]
    assert any(abs(figure - true) < 3.0 for figure in figures), (true, found[0].what)


@pytest.mark.slow
def test_a_wrong_cell_does_not_move_its_row(tmp_path: Path) -> None:
    """Leaving the row out would cure that too, but no other level of it would."""
    _write(tmp_path, ALL_ROWS, "plain")
    table = tmp_path / "offsets.csv"
    lines = table.read_text(encoding="utf-8").splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith("half-breadth,WL 3,"))
    cells = lines[at].split(",")
    cells[8] = f"{float(cells[8]) + 60.0:g}"
    lines[at] = ",".join(cells)
    table.write_text("\n".join(lines) + "\n", encoding="utf-8")
    codes = {problem.code for problem in _found(tmp_path)}
    assert "suspect-offset" in codes
    assert CODE not in codes
