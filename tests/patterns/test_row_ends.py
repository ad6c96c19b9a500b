"""Where waterlines, diagonals and buttocks end: an end that is off is found, whichever of its values is wrong."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from patterns.boat import load_boat
from patterns.errors import DesignError
from patterns.table.folder import read_folder
from tests.patterns.analytic_boats import ROUNDINGS
from tests.patterns.round_boats import RoundBoat, round_boat, write_round_table

FINDINGS = (
    "row-end-off-rabbet", "row-end-off-siding", "row-end-beyond-rabbet", "row-end-off-transom",
    "row-end-off-sheer",
)  # fmt: skip


def _write(folder: Path, rounding: int = 0, seed: int = 0) -> RoundBoat:
    true = round_boat(seed)
    write_round_table(true, folder, ROUNDINGS[rounding], np.random.default_rng(seed), bow_ends=True)
    return true


def _shift(folder: Path, block: str, line: str, column: int, by: float) -> None:
    path = folder / "offsets.csv"
    rows = [row.split(",") for row in path.read_text(encoding="utf-8").splitlines()]
    mine = next(row for row in rows if row[:2] == [block, line])
    mine[column] = f"{float(mine[column]) + by:.6f}"
    path.write_text("\n".join(map(",".join, rows)) + "\n", encoding="utf-8")


def _write_confirmed(folder: Path, design: str) -> None:
    """A design whose levels are confirmed: the row is kept, and its ends are looked at."""
    confirmed = design.replace("[boat]\n", '[boat]\nconfirmed = ["row-off-its-level"]\n', 1)
    assert confirmed != design
    (folder / "design.toml").write_text(confirmed, encoding="utf-8")


def _codes(folder: Path) -> list[tuple[str, str]]:
    """The findings on ends: code and, from its place, the row of the table."""
    found = [w for w in load_boat(folder).warnings if w.code in FINDINGS]
    rows = (folder / "offsets.csv").read_text(encoding="utf-8").splitlines()
    at = [int(w.place.split("row ")[1].split(",")[0]) - 1 for w in found]
    return [(w.code, rows[i].split(",")[1]) for w, i in zip(found, at, strict=True)]


@pytest.mark.slow
@pytest.mark.parametrize(("rounding", "seed"), [(r, 3 * (r % 2)) for r in range(len(ROUNDINGS))])
def test_sound_ends_pass(tmp_path: Path, rounding: int, seed: int) -> None:
    _write(tmp_path, rounding, seed)
    assert not _codes(tmp_path)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("line", "by"),
    [("WL 2", -153.0), ("WL 5", -60.0), ("WL 2", -12.7), ("WL 5", 12.7), ("WL 2", 304.8)],
)
def test_a_bow_end_off_the_rabbet_is_found(tmp_path: Path, line: str, by: float) -> None:
    """However far off it is; and the surface follows the rabbet all the same."""
    true = _write(tmp_path)
    _shift(tmp_path, "position", line, 2, by)
    assert _codes(tmp_path) == [("row-end-off-rabbet", line)]
    lines = load_boat(tmp_path).lines
    assert lines.girth is not None
    rabbet = lines.profile.at(np.linspace(lines.profile.start, lines.profile.end, 2001))
    first = int(np.argmax(rabbet[:, 2] < true.waterlines[int(line[-1]) - 1]))
    point = rabbet[first : first + 1]
    assert np.linalg.norm(lines.girth.shape(*lines.girth.nearest(point))[0] - point) < 0.2


@pytest.mark.slow
@pytest.mark.parametrize("by", [-10.0, 3.0, 25.4])
def test_a_half_breadth_at_the_bow_that_is_not_the_rabbets_is_found(tmp_path: Path, by: float) -> None:
    _write(tmp_path)
    _shift(tmp_path, "half-breadth", "WL 4", 2, by)
    assert _codes(tmp_path) == [("row-end-off-siding", "WL 4")]


@pytest.mark.slow
@pytest.mark.parametrize("by", [-40.0])
def test_a_waterline_whose_confirmed_height_is_wrong_is_found_at_its_ends(tmp_path: Path, by: float) -> None:
    """The stem rakes by 18 to 28 degrees: 40 mm of height are more than 12 mm aft."""
    true = _write(tmp_path)
    text = (tmp_path / "design.toml").read_text(encoding="utf-8")
    typed = f'height = "{true.waterlines[3]:.9f} mm"'
    assert typed in text
    wrong = text.replace(typed, f'height = "{true.waterlines[3] + by:.9f} mm"')
    _write_confirmed(tmp_path, wrong)
    assert ("row-end-off-rabbet", "WL 4") in _codes(tmp_path)


@pytest.mark.slow
def test_a_bow_end_at_a_height_that_the_rabbet_does_not_reach_is_found(tmp_path: Path) -> None:
    true = _write(tmp_path)
    text = (tmp_path / "design.toml").read_text(encoding="utf-8")
    typed = f'height = "{true.waterlines[0]:.9f} mm"'
    assert typed in text
    low = true.base.keel_z(2000.0) - 300.0
    _write_confirmed(tmp_path, text.replace(typed, f'height = "{low:.6f} mm"'))
    assert ("row-end-beyond-rabbet", "WL 1") in _codes(tmp_path)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("line", "by"),
    [("WL 4", -12.7), ("WL 4", 100.0), ("B 2", 12.7), ("D 1", -12.7)],
)
def test_a_stern_end_off_the_transom_is_found(tmp_path: Path, line: str, by: float) -> None:
    _write(tmp_path)
    _shift(tmp_path, "position", line, -1, by)
    assert _codes(tmp_path) == [("row-end-off-transom", line)]


@pytest.mark.slow
@pytest.mark.parametrize("rake", ["given", "from the table"])
@pytest.mark.parametrize(
    ("block", "line", "by", "code"),
    [
        ("position", "keel", 25.4, "end-off-transom"),
        ("position", "sheer", -25.4, "end-off-transom"),
        ("height", "keel", 100.0, "end-height-off"),
        ("height", "sheer", -100.0, "end-height-off"),
    ],
)
def test_a_stern_end_of_keel_or_sheer_is_named_where_the_rows_agree_on_the_transom(
    tmp_path: Path, block: str, line: str, by: float, code: str, rake: str
) -> None:
    """With keel and sheer alone any two ends lie on some plane: one that is wrong would be another rake."""
    _write(tmp_path, 1)
    design = tmp_path / "design.toml"
    text = design.read_text(encoding="utf-8")
    if rake != "given":
        text = re.sub(r'rake = "[0-9.]+ deg"', f'rake = "{rake}"', text)
        assert rake in text
    design.write_text(text, encoding="utf-8")
    read_folder(tmp_path)
    _shift(tmp_path, block, line, -1, by)
    with pytest.raises(DesignError) as caught:
        read_folder(tmp_path)
    rows = (tmp_path / "offsets.csv").read_text(encoding="utf-8").splitlines()
    at = next(i for i, row in enumerate(rows) if row.startswith(f"{block},{line},"))
    (problem,) = caught.value.problems
    assert (problem.code, problem.place.split(",")[1]) == (code, f" row {at + 1}")


@pytest.mark.slow
def test_all_ends_on_another_plane_are_another_rake(tmp_path: Path) -> None:
    _write(tmp_path, 1)
    design = tmp_path / "design.toml"
    text = design.read_text(encoding="utf-8")
    design.write_text(re.sub(r'rake = "[0-9.]+ deg"', 'rake = "19 deg"', text), encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        read_folder(tmp_path)
    assert [problem.code for problem in caught.value.problems] == ["transom-rake-differs"]


@pytest.mark.slow
@pytest.mark.parametrize(("line", "by"), [("WL 2", 100.0), ("WL 5", -100.0), ("D 1", 25.4)])
def test_where_the_position_is_wrong_the_offset_that_stands_there_is_not_doubted(
    tmp_path: Path, line: str, by: float
) -> None:
    _write(tmp_path, 1)
    _shift(tmp_path, "position", line, -1, by)
    assert _codes(tmp_path) == [("row-end-off-transom", line)]
    assert (line, "stern") not in {(s.line, s.label) for s in load_boat(tmp_path).lines.suspects}


@pytest.mark.slow
@pytest.mark.parametrize(("by", "wrong"), [(0.0, False), (25.4, True), (-60.0, True)])
def test_a_buttock_begins_at_the_sheer(tmp_path: Path, by: float, wrong: bool) -> None:
    """The end's distance aft and height are those of the exact sheer at the buttock's half-breadth."""
    true = _write(tmp_path)
    x = np.linspace(true.base.fore_x["sheer"], 2000.0, 20001)
    at = float(np.interp(true.buttocks[1], true.base.sheer_y(x), x))
    path = tmp_path / "offsets.csv"
    rows = [row.split(",") for row in path.read_text(encoding="utf-8").splitlines()]
    for row in rows:
        if row[1] == "B 2":
            row[2] = (
                f"{at + by:.6f}" if row[0] == "position" else f"{float(true.base.sheer_z(np.array(at))):.6f}"
            )
    path.write_text("\n".join(map(",".join, rows)) + "\n", encoding="utf-8")
    assert _codes(tmp_path) == ([("row-end-off-sheer", "B 2")] if wrong else [])
