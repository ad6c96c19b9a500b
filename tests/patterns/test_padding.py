"""Inches with a nought before them: how a table is written, or what is left of a fraction."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from patterns.measure import Notation, format_length, parse_length
from patterns.repair.repair import load_repair
from patterns.table.offsets import TableDraft, TableFiles, TableStyle, draft_offsets

DEMO = Path(__file__).parents[2] / "demo_design"


def table(folder: Path, *cells: str, stem: str = "") -> TableDraft:
    names = ",".join(str(i + 1) for i in range(len(cells)))
    at = ",".join(f"{i + 1} ft" for i in range(len(cells)))
    (folder / "offsets.csv").write_text(
        f"block,line,bow,{names},stern\nposition,,,{at},\nheight,keel,,{','.join(cells)},\n", encoding="utf-8"
    )
    (folder / "stem.csv").write_text(stem, encoding="utf-8")
    path = folder / "stem.csv" if stem else None
    return draft_offsets(
        TableFiles(table=folder / "offsets.csv", stem=path), TableStyle(notation=Notation.FEET_INCHES)
    )


@pytest.mark.parametrize("odd", ["4' 01\"", "1' 01", "1 01", "2' 09"])
def test_a_nought_that_no_other_inches_have_is_a_doubt_at_its_cell(tmp_path: Path, odd: str) -> None:
    draft = table(tmp_path, "1' 8", "2' 7 1/4", odd, "3' 10")
    assert draft.problems == ()
    (doubt,) = draft.doubts
    assert doubt.code == "padded-inches"
    assert doubt.place == "offsets.csv, row 3, column F (station 3)"


def test_a_table_that_pads_its_inches_throughout_is_quiet(tmp_path: Path) -> None:
    draft = table(tmp_path, "1' 08\"", "2' 07 1/4\"", "4' 01\"", "3' 10\"", "3' 00\"")
    assert draft.problems == draft.doubts == ()


def test_one_cell_alone_is_no_habit(tmp_path: Path) -> None:
    draft = table(tmp_path, "1' 10\"", "2' 11 1/4\"", "4' 01\"", "3' 10\"")
    assert [doubt.code for doubt in draft.doubts] == ["padded-inches"]


def test_padded_inches_with_their_fraction_have_lost_nothing(tmp_path: Path) -> None:
    draft = table(tmp_path, "1' 8", "2' 07 1/4", "3' 10")
    assert draft.doubts == ()


def test_table_and_stem_are_one_plan(tmp_path: Path) -> None:
    stem = "measured,height,aft\naft,3' 01,0\naft,2' 02,1' 00\naft,1' 03,2' 04\n"
    assert table(tmp_path, "1' 08", "2' 07", stem=stem).doubts == ()
    doubts = table(tmp_path, "1' 8", "2' 7", stem=stem).doubts
    assert {doubt.place.partition(",")[0] for doubt in doubts} == {"stem.csv"}
    assert len(doubts) == 4  # 1' 00 is one foot whatever was lost


def test_eighths_are_padded_as_everybody_likes(tmp_path: Path) -> None:
    (tmp_path / "offsets.csv").write_text(
        "block,line,bow,1,2,stern\nposition,,,1-00-0,2-0-0,\nheight,keel,,1-09-4,0-8-2,\n", encoding="utf-8"
    )
    draft = draft_offsets(
        TableFiles(table=tmp_path / "offsets.csv"), TableStyle(notation=Notation.FEET_INCHES_EIGHTHS)
    )
    assert draft.problems == draft.doubts == ()


def test_a_stray_minus_is_refused_with_its_cell(tmp_path: Path) -> None:
    draft = table(tmp_path, "1' 8", "2' -7 1/4", "3' 10")
    (problem,) = draft.problems
    assert problem.code == "stray-minus"
    assert problem.place == "offsets.csv, row 3, column E (station 2)"


def test_one_cell_without_its_nought_does_not_make_all_others_doubtful(tmp_path: Path) -> None:
    draft = table(tmp_path, "1' 08", "2' 07", "2' 06", "2' 05", "2' 5 1/2")
    assert draft.doubts == ()


def in_feet_and_inches(folder: Path) -> None:
    """Write the demo repair's lengths in feet and inches."""
    for path in folder.glob("points*.csv"):
        rows = [line.split(",") for line in path.read_text(encoding="utf-8").splitlines()]
        for row in rows:
            for i, cell in enumerate(row):
                if re.fullmatch(r"\d+-\d+-\d\+?-?", cell):
                    row[i] = format_length(parse_length(cell), Notation.FEET_INCHES).replace('"', "")
                    row[i] = row[i] if "'" in row[i] else f"0' {row[i]}"
        path.write_text("\n".join(map(",".join, rows)) + "\n", encoding="utf-8")
    design = (folder / "design.toml").read_text(encoding="utf-8")
    design = design.replace('notation = "feet-inches-eighths"', 'notation = "feet-inches"')
    (folder / "design.toml").write_text(design, encoding="utf-8")


@pytest.mark.slow
def test_a_repairs_points_are_doubted_in_the_same_way(tmp_path: Path) -> None:
    folder = tmp_path / "repair"
    shutil.copytree(DEMO / "broken_frame", folder)
    in_feet_and_inches(folder)
    codes = [warning.code for warning in load_repair(folder).warnings]
    assert "padded-inches" not in codes
    text = (folder / "points.csv").read_text(encoding="utf-8")
    assert ",0' 1," in text
    (folder / "points.csv").write_text(text.replace(",0' 1,", ",0' 01,", 1), encoding="utf-8")
    (found,) = [warning for warning in load_repair(folder).warnings if warning.code == "padded-inches"]
    assert found.place == "points.csv, row 4, column F (a)"
