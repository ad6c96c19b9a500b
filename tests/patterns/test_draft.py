"""A folder while it is being filled in: what is known is faired as in a whole table, the rest is listed."""

from __future__ import annotations

import random
import tempfile
from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from patterns.boat import load_boat
from patterns.cli import main
from patterns.draft import Draft, draft_boat
from patterns.errors import DesignError
from patterns.picture.draft import draft_parts, draft_plates
from patterns.run.starter import SORTS
from patterns.table.values import column_letters
from tests.demo import DEMO
from tests.patterns.analytic_boats import ROUNDINGS
from tests.patterns.folders import DESIGN, STEM, TABLE, changed, write_folder
from tests.patterns.round_boats import round_boat, write_round_table

ROWS = [row.split(",") for row in TABLE.splitlines()]
FILLED = [(r, c) for r, row in enumerate(ROWS) for c, cell in enumerate(row) if r and c > 1 and cell]


def _with(cells: dict[tuple[int, int], str]) -> str:
    """The table with other words in some cells, counted from 0."""
    rows = [[cells.get((r, c), cell) for c, cell in enumerate(row)] for r, row in enumerate(ROWS)]
    return "\n".join(",".join(row) for row in rows) + "\n"


def _place(r: int, c: int) -> str:
    """A cell's place as a spreadsheet counts, without its heading."""
    return f"offsets.csv, row {r + 1}, column {column_letters(c)}"


@lru_cache(maxsize=4)
def _drafted(table: str = TABLE, *, design: str = DESIGN, stem: str = STEM) -> Draft:
    with tempfile.TemporaryDirectory() as folder:
        draft = draft_boat(write_folder(Path(folder), design=design, table=table, stem=stem))
    draft_parts(draft)  # whatever there is can be drawn
    return draft


def _where(draft: Draft, *, missing: bool) -> list[str]:
    return [p.place.partition(" (")[0] for p in (draft.missing if missing else draft.wrong)]


def _values(draft: Draft, line: str, view: str) -> dict[str, float]:
    assert draft.lines is not None
    return {row.label: row.faired for row in draft.lines.rows if (row.line, row.view) == (line, view)}


@pytest.mark.slow
def test_a_whole_table_is_faired_as_the_boat_is() -> None:
    with tempfile.TemporaryDirectory() as folder:
        boat = load_boat(write_folder(Path(folder)))
    draft = _drafted()
    assert draft.problems == ()
    assert draft.lines is not None
    assert [(row.line, row.view, row.label, row.faired) for row in draft.lines.rows] == [
        (row.line, row.view, row.label, row.faired) for row in boat.lines.rows
    ]
    assert draft.lines.suspects == boat.lines.suspects


@pytest.mark.slow
@pytest.mark.parametrize("cell", FILLED[::4], ids=lambda cell: f"{cell[0]}-{cell[1]}")
def test_a_blank_cell_is_listed_by_its_place_and_nothing_is_called_wrong(cell: tuple[int, int]) -> None:
    draft = _drafted(_with({cell: ""}))
    assert draft.wrong == ()
    assert _where(draft, missing=True) == [_place(*cell)]


@pytest.mark.slow
@pytest.mark.parametrize(("row", "other"), [("height", "half-breadth"), ("half-breadth", "height")])
def test_a_blank_cell_is_listed_before_the_line_s_other_row_is_typed(row: str, other: str) -> None:
    typed, blank = (
        next(r for r, cells in enumerate(ROWS) if cells[:2] == [b, "sheer"]) for b in (row, other)
    )
    cells = [c for r, c in FILLED if r == typed]
    gap = cells[len(cells) // 2]
    draft = _drafted(_with({(typed, gap): "", **{(blank, c): "" for r, c in FILLED if r == blank}}))
    assert draft.wrong == ()
    assert _where(draft, missing=True) == [f"offsets.csv, row {blank + 1}", _place(typed, gap)]


@pytest.mark.slow
@pytest.mark.parametrize("cell", FILLED[1::8], ids=lambda cell: f"{cell[0]}-{cell[1]}")
def test_a_cell_that_cannot_be_read_is_wrong_and_nothing_is_called_missing(cell: tuple[int, int]) -> None:
    draft = _drafted(_with({cell: "1-15-3"}))
    assert draft.missing == ()
    assert _where(draft, missing=False) == [_place(*cell)]


@pytest.mark.slow
@settings(max_examples=20)
@given(
    cells=st.sets(st.sampled_from(FILLED), max_size=len(FILLED)),
    rows=st.sets(st.integers(1, len(ROWS) - 1), max_size=4),
    stem=st.integers(0, 9),
)
def test_whatever_is_blank_nothing_else_is_blamed_and_the_rest_is_faired(
    cells: set[tuple[int, int]], rows: set[int], stem: int
) -> None:
    """No figure of a sound table is called wrong because others are not typed yet."""
    blank = cells | {(r, c) for r, c in FILLED if r in rows}
    draft = _drafted(_with(dict.fromkeys(blank, "")), stem="\n".join(STEM.splitlines()[: stem + 1]) + "\n")
    assert draft.wrong == ()
    own = {name: {r for r, row in enumerate(ROWS) if row[1] == name} for name in ("keel", "chine", "sheer")}
    for place in _where(draft, missing=True):
        if place.startswith("stem.csv"):
            assert stem < 3
            continue
        row = int(place.split("row ")[1].split(",")[0]) - 1
        if "column" in place:
            assert place in {_place(*cell) for cell in blank}
        else:  # of a line with too few points or an empty row, or the row of all stations
            near = own.get(ROWS[row][1], {row})
            assert any(r in near or r == 1 for r, _ in blank)
    assert draft.lines is not None
    for name in ("chine", "sheer"):
        for view, block in (("height", "height"), ("half-breadth", "half-breadth")):
            r = next(i for i, row in enumerate(ROWS) if row[:2] == [block, name])
            kept = {
                ROWS[0][c]
                for rr, c in FILLED
                if rr == r and (r, c) not in blank and (_x_cell(name, c)) not in blank
            }
            known = _values(draft, name, view)
            assert set(known) == (kept if len(kept) >= 4 else set())


def _x_cell(name: str, c: int) -> tuple[int, int]:
    """The cell of a column's distance aft: the stations' own, or at an end the line's."""
    if ROWS[0][c] in ("bow", "stern"):
        return next(i for i, row in enumerate(ROWS) if row[:2] == ["position", name]), c
    return 1, c


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4))
def test_a_complete_line_beside_half_typed_ones_is_faired_as_in_the_whole_table(seed: int) -> None:
    """The sheer is complete; whatever lacks in the chine, its cells come out the same."""
    chance = random.Random(seed)
    chine = [cell for cell in FILLED if ROWS[cell[0]][1] == "chine"]
    blank = chance.sample(chine, chance.randrange(1, len(chine)))
    draft, whole = _drafted(_with(dict.fromkeys(blank, ""))), _drafted()
    for view in ("height", "half-breadth", "position"):
        assert _values(draft, "sheer", view) == pytest.approx(_values(whole, "sheer", view), abs=1e-9)


def test_a_slip_in_a_half_typed_table_is_doubted() -> None:
    """A whole foot in the chine's half-breadth, while the sheer is not typed yet."""
    row = next(i for i, row in enumerate(ROWS) if row[:2] == ["half-breadth", "chine"])
    sheer = {cell: "" for cell in FILLED if ROWS[cell[0]][1] == "sheer"}
    draft = _drafted(_with({**sheer, (row, 6): "2-5-4"}))
    assert draft.lines is not None
    assert ("chine", "half-breadth", "4") in {(s.line, s.view, s.label) for s in draft.lines.suspects}


@pytest.mark.slow
def test_stations_that_do_not_rise_are_wrong_and_the_others_carry_the_lines() -> None:
    draft = _drafted(_with({(1, 6): "2-0-0"}))
    assert [problem.place for problem in draft.wrong if "row 2," in problem.place] != []
    assert "4" not in _values(draft, "sheer", "height")
    assert {"1", "2", "3", "5", "6"} <= set(_values(draft, "sheer", "height"))


@pytest.mark.slow
@pytest.mark.parametrize("typed", ["99999-0-0", "1e300", "-0-6-0", "nan", "=A1", "2007-03-02"])
def test_a_wild_figure_is_left_out_of_the_picture(typed: str) -> None:
    for cell in FILLED[::20]:
        draft = _drafted(_with({cell: typed}))
        plates = draft_plates(draft)
        assert len(plates) == 3
        assert all(np.isfinite(plate.bounds()).all() for plate in plates)


@pytest.mark.slow
def test_stations_of_another_boat_do_not_stop_the_draft() -> None:
    """The last station is ten times as far aft as it should be, and the sheer's bow end lies abaft the stem."""
    table = changed(
        _with({(1, 7): "1e-320", (1, 8): "51-0-0"}), "position,sheer,0-1-5+,", "position,sheer,2-1-5+,"
    )
    draft = _drafted(table)
    assert draft.wrong != ()
    assert _values(draft, "chine", "height") != {}


# Each key once: in which table it lies makes no difference to how the lines are read.
KEYS_OF_DESIGN = {line.partition("=")[0].strip(): line for line in DESIGN.splitlines() if "=" in line}
AS_TYPED = ("file", "notation", "heights", "breadths")
OTHERS = [key for key in KEYS_OF_DESIGN if key not in AS_TYPED]


def _without(keys: Iterable[str]) -> Draft:
    """What is drawn where these keys are empty."""
    design = DESIGN
    for key in keys:
        design = design.replace(KEYS_OF_DESIGN[key], f'{key} = ""', 1)
    return _drafted(design=design)


@pytest.mark.parametrize("key", AS_TYPED)
def test_without_how_the_table_is_written_nothing_is_drawn(key: str) -> None:
    draft = _without([key])
    assert draft.problems != ()
    assert draft_plates(draft) == ()


@pytest.mark.slow
@pytest.mark.parametrize("first", range(8))
def test_the_lines_are_drawn_whatever_other_keys_of_the_design_are_empty(first: int) -> None:
    keys = OTHERS[first::8]
    assert len(keys) > 3
    draft = _without(keys)
    assert len(draft.problems) >= len(keys)
    assert len(draft_plates(draft)) == 3


def test_lines_that_are_not_named_in_the_design_yet_have_the_names_of_the_table() -> None:
    design = DESIGN.replace("[[line]]\n", "").replace('name = "keel"\nname = "chine"\nname = "sheer"\n', "")
    draft = _drafted(design=design)
    assert draft.lines is not None
    assert {run.line for run in draft.lines.runs} == {"keel", "chine", "sheer"}


@pytest.mark.slow
@pytest.mark.parametrize("sort", SORTS)
def test_a_new_folder_is_all_missing_and_draws_from_the_fourth_offset_of_a_line_on(
    tmp_path: Path, sort: str
) -> None:
    folder = tmp_path / "boat"
    assert CliRunner().invoke(main, ["start", str(folder), "--type", sort]).exit_code == 0
    fresh = draft_boat(folder)
    assert fresh.wrong == ()
    assert fresh.missing != ()
    assert draft_plates(fresh) == ()
    table = folder / "offsets.csv"
    for count, drawn in ((3, 0), (4, 1)):
        rows = []
        for row in table.read_text(encoding="utf-8").splitlines():
            cells = row.split(",")
            for k in range(count):
                if cells[:2] == ["position", ""]:
                    cells[3 + k] = f"{2 + 2 * k} 0 0"
                if cells[:2] == ["height", "sheer"]:
                    cells[3 + k] = f"2 {9 - k} 0"
            rows.append(",".join(cells))
        table.write_text("\n".join(rows) + "\n", encoding="utf-8")
        draft = draft_boat(folder)
        assert draft.wrong == ()
        assert draft.lines is not None
        assert [(run.line, run.view) for run in draft.lines.runs] == [("sheer", "height")] * drawn
    picture = tmp_path / "picture.html"
    result = CliRunner().invoke(main, ["check", str(folder), "--picture", str(picture)])
    assert result.exit_code == 1
    assert "<svg" in picture.read_text(encoding="utf-8")


@pytest.mark.slow
def test_rows_of_a_round_bilge_are_faired_one_by_one_until_all_are_typed(tmp_path: Path) -> None:
    """No sound offset is doubted, and a slip in a waterline is."""
    write_round_table(round_boat(2), tmp_path, ROUNDINGS[1], np.random.default_rng(2))
    table = tmp_path / "offsets.csv"
    rows = [row.split(",") for row in table.read_text(encoding="utf-8").splitlines()]
    sheer = next(row for row in rows if row[:2] == ["half-breadth", "sheer"])
    sheer[8] = ""
    table.write_text("\n".join(",".join(row) for row in rows) + "\n", encoding="utf-8")
    draft = draft_boat(tmp_path)
    assert draft.wrong == ()
    assert len(draft.missing) == 1
    assert draft.lines is not None
    assert draft.lines.suspects == ()
    assert {run.view for run in draft.lines.runs} == {"height", "half-breadth", "diagonal"}
    water = next(row for row in rows if row[:2] == ["half-breadth", "WL 4"])
    water[9] = f"{float(water[9]) + 60.0:.0f}"
    table.write_text("\n".join(",".join(row) for row in rows) + "\n", encoding="utf-8")
    slipped = draft_boat(tmp_path).lines
    assert slipped is not None
    assert [(s.line, s.view, s.label) for s in slipped.suspects] == [("WL 4", "half-breadth", rows[0][9])]


@pytest.mark.slow
def test_patterns_are_refused_with_the_same_list_and_nothing_is_written(tmp_path: Path) -> None:
    folder = tmp_path / "boat"
    folder.mkdir()
    write_folder(folder, table=_with({FILLED[20]: "", FILLED[30]: "1-15-3"}))
    out = tmp_path / "out"
    asked = CliRunner().invoke(main, ["patterns", str(folder), "--output", str(out)])
    checked = CliRunner().invoke(main, ["check", str(folder)])
    assert asked.exit_code == checked.exit_code == 1
    assert asked.stderr == checked.stderr
    assert not out.exists()
    with pytest.raises(DesignError) as caught:
        load_boat(folder)
    assert caught.value.problems == draft_boat(folder).problems
    assert {problem.missing for problem in caught.value.problems} == {True, False}


def test_ends_off_the_rabbet_are_wrong_and_drawn_all_the_same() -> None:
    """Everything is typed, and the chine's bow end lies a foot off the stem."""
    draft = _drafted(changed(TABLE, "position,chine,0-6-6,", "position,chine,1-6-6,"))
    assert draft.missing == ()
    assert draft.wrong != ()
    assert len(draft_plates(draft)) == 3


def test_a_folder_without_files_is_a_draft_too(tmp_path: Path) -> None:
    draft = draft_boat(tmp_path)
    assert draft.problems != ()
    assert draft_parts(draft)[0].key == "lines"


def test_the_demo_is_no_draft() -> None:
    assert draft_boat(DEMO).problems == ()
