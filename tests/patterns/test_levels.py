"""Rows of a round-bilge table: their levels, and what is told of them."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from patterns.errors import DesignError
from patterns.table.folder import read_folder
from patterns.table.levels import levels_of
from tests.patterns.analytic_boats import ROUNDINGS
from tests.patterns.folders import codes_of
from tests.patterns.round_boats import round_boat, write_round_table


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write_round_table(round_boat(0), tmp_path, ROUNDINGS[0], np.random.default_rng(0), stations=7)
    return tmp_path


def _change(folder: Path, name: str, old: str, new: str) -> None:
    text = (folder / name).read_text(encoding="utf-8")
    assert old in text
    (folder / name).write_text(text.replace(old, new, 1), encoding="utf-8")


@pytest.mark.slow
def test_every_row_is_read_where_it_was_measured(folder: Path) -> None:
    """The exact boat's own surface passes through every point that its rows give."""
    design, offsets, warnings = read_folder(folder)
    assert not warnings
    levels = levels_of(offsets, design)
    assert [level.view for level in levels].count("half-breadth") == 6
    assert [level.view for level in levels].count("height") == 3
    assert [level.view for level in levels].count("diagonal") == 2
    for level in levels:
        points = level.points()
        points = points[np.isfinite(points).all(axis=1)]
        assert len(points) > 3
        assert np.abs(round_boat(0).off(points)).max() < 1e-3


@pytest.mark.slow
def test_heights_down_from_a_set_up_line_turn_every_level_over(folder: Path) -> None:
    design, offsets, _ = read_folder(folder)
    up = {level.name: level.points() for level in levels_of(offsets, design)}
    _change(folder, "design.toml", 'heights = "up from base"', 'heights = "down from set-up line"')
    for name, sign in (("design.toml", "height = "), ("design.toml", "through")):
        assert sign in (folder / name).read_text(encoding="utf-8")
    text = (folder / "design.toml").read_text(encoding="utf-8").replace('height = "', 'height = "-')
    (folder / "design.toml").write_text(text.replace('"--', '"'), encoding="utf-8")
    rows = (folder / "offsets.csv").read_text(encoding="utf-8").splitlines()
    turned = []
    for row in rows:
        cells = row.split(",")
        if cells[0] == "height":
            cells[2:] = [c and (c[1:] if c[0] == "-" else f"-{c}") for c in cells[2:]]
        turned.append(",".join(cells))
    (folder / "offsets.csv").write_text("\n".join(turned) + "\n", encoding="utf-8")
    stem = (folder / "stem.csv").read_text(encoding="utf-8").splitlines()
    flipped = [stem[0]]
    for row in stem[1:]:
        what, height, *rest = row.split(",")
        flipped.append(",".join([what, height[1:] if height[0] == "-" else f"-{height}", *rest]))
    (folder / "stem.csv").write_text("\n".join(flipped) + "\n", encoding="utf-8")
    design, offsets, _ = read_folder(folder)
    for level in levels_of(offsets, design):
        assert np.allclose(level.points(), up[level.name], equal_nan=True)


TROUBLES = [
    ("design.toml", 'sections = "round"', 'sections = "straight"', None),
    ("design.toml", '[[waterline]]\nname = "WL 2"', '[[waterline]]\nname = "WL 1"', None),
    ("design.toml", '[[waterline]]\nname = "WL 1"', '[[waterline]]\nname = "WL 9"', "missing-row"),
    ("design.toml", '[[waterline]]\nname = "WL 1"', '[[waterline]]\nname = "sheer"', None),
    ("offsets.csv", "diagonal,D 2", "half-breadth,D 2", "missing-row"),
    ("offsets.csv", "half-breadth,WL 2,", "half-breadth,WL 2,20", "missing-cell"),
    ("offsets.csv", "height,B 2,,", "height,B 2,,x", "length-unreadable"),
]  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize(("name", "old", "new", "code"), TROUBLES, ids=[t[2] for t in TROUBLES])
def test_troubles_are_reported(folder: Path, name: str, old: str, new: str, code: str | None) -> None:
    """With its code where it is found in the table; where it is found in the design alone, with its file."""
    _change(folder, name, old, new)
    with pytest.raises(DesignError) as caught:
        read_folder(folder)
    assert any(
        problem.place.startswith(name) if code is None else problem.code == code
        for problem in caught.value.problems
    )


def _keep(folder: Path, *names: str) -> None:
    """Leave design and table nothing but these rows between keel and sheer."""
    text = (folder / "design.toml").read_text(encoding="utf-8")
    head, *levels = re.split(r"(?=\[\[(?:waterline|buttock|diagonal)\]\])", text)
    kept = [level for level in levels if any(f'name = "{name}"' in level for name in names)]
    assert len(kept) == len(names)
    (folder / "design.toml").write_text(head + "".join(kept), encoding="utf-8")
    path = folder / "offsets.csv"
    rows = path.read_text(encoding="utf-8").splitlines()
    rows = [row for row in rows if row.split(",")[1] in ("line", "", "keel", "sheer", *names)]
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")


@pytest.mark.slow
def test_less_than_one_offset_at_a_station_is_refused(folder: Path) -> None:
    """The lowest waterline alone misses the stations forward of the forefoot."""
    _keep(folder, "WL 1")
    with pytest.raises(DesignError) as caught:
        read_folder(folder)
    assert codes_of(caught.value.problems) == ["missing-offsets"]


@pytest.mark.slow
@pytest.mark.parametrize("names", [("WL 3", "D 1"), ("WL 2", "WL 5"), ("D 1", "D 2")])
def test_two_rows_are_accepted(folder: Path, names: tuple[str, str]) -> None:
    _keep(folder, *names)
    design, offsets, warnings = read_folder(folder)
    assert {level.name for level in levels_of(offsets, design)} == set(names)
    assert set(codes_of(warnings)) <= {"station-few-offsets"}


@pytest.mark.slow
def test_a_row_may_run_out_after_one_station_but_not_be_empty(folder: Path) -> None:
    path = folder / "offsets.csv"
    rows = [row.split(",") for row in path.read_text(encoding="utf-8").splitlines()]
    mine = next(row for row in rows if row[:2] == ["half-breadth", "WL 1"])
    last = max(i for i, cell in enumerate(mine) if i > 2 and cell)
    mine[2:] = [cell if i == last else "" for i, cell in enumerate(mine)][2:]
    path.write_text("\n".join(map(",".join, rows)) + "\n", encoding="utf-8")
    design, offsets, _ = read_folder(folder)
    level = next(level for level in levels_of(offsets, design) if level.name == "WL 1")
    assert int(np.isfinite(level.values).sum()) == 1
    mine[last] = ""
    path.write_text("\n".join(map(",".join, rows)) + "\n", encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        read_folder(folder)
    assert "missing-row-offsets" in codes_of(caught.value.problems)


def test_stations_with_hardly_an_offset_are_named_in_one_line(folder: Path) -> None:
    rows = [row.split(",") for row in (folder / "offsets.csv").read_text(encoding="utf-8").splitlines()]
    for row in rows:
        if row[1][:2] in ("WL", "B ", "D ") and row[0] != "position":
            row[6] = row[7] = ""
    (folder / "offsets.csv").write_text("\n".join(map(",".join, rows)) + "\n", encoding="utf-8")
    (warning,) = read_folder(folder)[2]
    assert warning.code == "station-few-offsets"
    assert "4, 5" in warning.what


def test_a_round_strake_needs_rows(folder: Path) -> None:
    text = (folder / "design.toml").read_text(encoding="utf-8")
    (folder / "design.toml").write_text(text[: text.index("[[waterline]]")], encoding="utf-8")
    with pytest.raises(DesignError, match="nothing says how round she is"):
        read_folder(folder)
