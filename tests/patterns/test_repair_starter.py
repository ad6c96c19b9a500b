"""The repair's starter: nothing is asked, what is empty is told, and filled in as it says it checks."""

from __future__ import annotations

import csv
import re
from importlib import resources
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from patterns.cli import main
from patterns.repair.points import EXAMPLE, METHODS
from patterns.run.starter import KEYS, REPAIR, REPAIR_FILES
from patterns.table.spreadsheet import spoiled
from tests.patterns.repair_boats import section, to_sixteenths

ANSWERS = {
    "name": "Ten To Five",
    "frame": "4",
    "looking": "forward",
    "measured": "inside of planking",
    "sided": "1 in",
    "moulded": "2-1/2 in",
    "stock": "oak",
}
NAILS = {"A": (150.0, 450.0), "B": (150.0, 150.0)}
PLUMB = (300.0, 700.0)


def _filled(folder: Path) -> None:
    text = (folder / "design.toml").read_text(encoding="utf-8")
    for key, value in ANSWERS.items():
        text = re.sub(rf'^{key} = ""', f'{key} = "{value}"', text, count=1, flags=re.MULTILINE)
    for out, up in (*NAILS.values(), PLUMB):
        text = re.sub(r'^out = ""', f'out = "{out} mm"', text, count=1, flags=re.MULTILINE)
        text = re.sub(r'^up = ""', f'up = "{up} mm"', text, count=1, flags=re.MULTILINE)
    (folder / "design.toml").write_text(text, encoding="utf-8")
    lines = []
    for line in (folder / "points.csv").read_text(encoding="utf-8").splitlines():
        cells = line.split(",")
        if cells[0] in ("port", "starboard"):
            number = int(cells[2])
            edge = "bottom" if number <= 6 else "side"
            at = section(0.0, edge, (number - 1) / 5 if number <= 6 else (number - 6) / 5)
            if edge == "bottom":
                cells[3], cells[5:7] = "half-breadth", [to_sixteenths(v) for v in at]
            elif cells[0] == "port" and number < 11:
                far = [to_sixteenths(float(np.hypot(*(at - nail)))) for nail in NAILS.values()]
                cells[3:7], cells[8] = ["nails", "A B", *far], "outboard"
            else:
                cells[3:7] = [
                    "ordinate",
                    "plumb line",
                    to_sixteenths(PLUMB[1] - at[1]),
                    to_sixteenths(at[0] - PLUMB[0]),
                ]
        lines.append(",".join(cells))
    (folder / "points.csv").write_text("\n".join(lines), encoding="utf-8")


@pytest.mark.slow
def test_start_makes_a_repair_and_check_names_all_that_is_still_empty(tmp_path: Path) -> None:
    result = CliRunner().invoke(main, ["start", str(tmp_path / "mine"), "--type", REPAIR], input="")
    assert result.exit_code == 0, result.output
    assert sorted(path.name for path in (tmp_path / "mine").iterdir()) == sorted([*REPAIR_FILES, KEYS])
    checked = CliRunner().invoke(main, ["check", str(tmp_path / "mine")])
    assert checked.exit_code == 1
    text = (tmp_path / "mine" / "design.toml").read_text(encoding="utf-8")
    for key in re.findall(r'^(\w+) = ""', text, re.MULTILINE):
        assert f"key {key}" in checked.output, key


@pytest.mark.slow
def test_filled_in_as_it_says_it_is_drawn(tmp_path: Path) -> None:
    folder = tmp_path / "mine"
    CliRunner().invoke(main, ["start", str(folder), "--type", REPAIR])
    _filled(folder)
    checked = CliRunner().invoke(main, ["check", str(folder)])
    assert checked.exit_code == 0, checked.output
    assert "No reading is in doubt." in checked.output
    made = CliRunner().invoke(
        main, ["patterns", str(folder), "--output", str(tmp_path / "out"), "--quick", "-v"]
    )
    assert made.exit_code == 0, made.output
    assert "frame 4:" in made.output


@pytest.mark.slow
def test_its_points_are_safe_in_a_spreadsheet(tmp_path: Path) -> None:
    CliRunner().invoke(main, ["start", str(tmp_path), "--type", REPAIR])
    lines = (tmp_path / "points.csv").read_text(encoding="ascii").splitlines()
    comments = [line for line in lines if line.startswith("#")]
    assert comments
    assert not any(set(line) & set(',;\t"') for line in comments)
    rows = list(csv.reader(line for line in lines if not line.startswith("#")))
    assert len({len(row) for row in rows}) == 1
    assert not any(spoiled(cell) for row in rows for cell in row)


@pytest.mark.slow
def test_its_notches_and_gussets_are_ready_to_be_taken_in(tmp_path: Path) -> None:
    """What stands there as a remark is a table that is read: with the sign taken away it is made."""
    folder = tmp_path / "mine"
    CliRunner().invoke(main, ["start", str(folder), "--type", REPAIR])
    _filled(folder)
    text = (folder / "design.toml").read_text(encoding="utf-8")
    start, end = text.index("# [[notch]]"), text.index("[fairing]")
    taken = re.sub(r"^# (?!distance)", "", text[start:end], flags=re.MULTILINE)
    (folder / "design.toml").write_text(text[:start] + taken + text[end:], encoding="utf-8")
    checked = CliRunner().invoke(main, ["check", str(folder)])
    assert checked.exit_code == 0, checked.output
    assert "7 patterns can be made." in checked.output  # the frame, four gussets, two strips


def test_example_rows_are_not_read() -> None:
    """Every row that the starter fills in is an example, of each way of measuring one; without them it is empty."""
    text = (resources.files("patterns") / "starter" / "broken_frame" / "points.csv").read_text(
        encoding="utf-8"
    )
    rows = list(csv.reader(line for line in text.splitlines() if not line.startswith("#")))
    assert [row[3] for row in rows[1:] if any(row[3:9])] == [row[3] for row in rows[1:] if row[0] == EXAMPLE]
    assert {row[3] for row in rows[1:] if row[3]} == {*METHODS}
