"""Whole columns of the table that are wrong: found, named, and not confused with single wrong cells."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from patterns.boat import load_boat
from patterns.fairing.column_findings import column_findings, doubted_together, put_right
from patterns.fairing.column_words import CODES, SPACING
from patterns.fairing.columns import ColumnFault, column_faults
from patterns.fairing.evenness import NOISE
from patterns.fairing.lines import fair_lines
from patterns.fairing.possible import logsum, possible
from patterns.fairing.row_likelihood import judge
from patterns.fairing.suspects import Suspect
from patterns.fairing.table_rows import TableRow, rows_of
from patterns.hull.planes import FloatArray
from patterns.table.folder import read_folder
from patterns.table.values import Offsets
from tests.bench.column_boats import FAULTS, LEVELS, sound_table
from tests.bench.exact_boats import design_for, table_of
from tests.demo import DEMO


def a_row(seed: int = 3, count: int = 9) -> TableRow:
    rng = np.random.default_rng(seed)
    x = np.cumsum(rng.uniform(300.0, 600.0, count))
    y = 400.0 * np.sin(x / 2500.0) + rng.normal(0.0, 1.5, count)
    return TableRow(
        line="sheer", view="half-breadth", x=x, y=y, labels=tuple(map(str, range(count))), places=(None,) * count,
        tolerance=1.0,
    )  # fmt: skip


def test_an_offset_moved_and_two_exchanged_give_the_likelihood_of_the_row_typed_so() -> None:
    row = a_row()
    judged, i = judge(row), 4

    def whole(y: FloatArray) -> float:
        lines = possible(row.x, y, noise=np.full(len(y), row.tolerance * NOISE))
        return float(logsum(lines.evidence))

    for by in (-7.0, 0.0, 3.5):
        y = row.y.copy()
        y[i] -= by
        assert judged.moved(i, np.array([by]))[0] == pytest.approx(whole(y), abs=1e-6)
    y = row.y.copy()
    y[[i, i + 1]] = y[[i + 1, i]]
    assert judged.exchanged(i) == pytest.approx(whole(y), abs=1e-6)


def of_boat(seed: int, *, level: str = "1/16 in", lines: int = 3, even: bool = False) -> tuple[Offsets, Any]:
    boat, table = sound_table(seed, LEVELS[level], lines=lines, even=even)
    return table, design_for(boat, allow=LEVELS[level].allow)


def codes_of(table: Offsets, design: Any) -> list[str]:
    return [problem.code for problem in column_findings(table, design).problems]


@pytest.mark.slow
@pytest.mark.parametrize("level", list(LEVELS))
@pytest.mark.parametrize("even", [True, False])
def test_sound_tables_have_no_finding_on_a_column(level: str, even: bool) -> None:
    for seed in range(5):
        assert codes_of(*of_boat(900 + seed, level=level, lines=2 + seed % 3, even=even)) == []


@pytest.mark.slow
@pytest.mark.parametrize(
    "fault", ["and the keel's", "heights +-10 mm", "half-breadths x 1.03", "columns exchanged"]
)
@pytest.mark.parametrize(("seed", "sign"), [(911, 1.0), (912, -1.0)])
def test_a_wrong_column_is_named_at_its_station_and_no_sound_cell_is_doubted(
    fault: str, seed: int, sign: float
) -> None:
    wrong, code, _ = FAULTS[fault]
    table, design = of_boat(seed)
    label = table.stations[len(table.stations) // 2]
    typed = wrong(table, label, sign, LEVELS["1/16 in"].step)
    found = column_findings(typed, design)
    [problem] = found.problems
    assert problem.code == code
    assert f"({typed.station_places[typed.stations.index(label)].heading})" in problem.place
    lines = fair_lines(typed, design)
    assert problem in lines.warnings
    assert lines.suspects == ()


@pytest.mark.slow
@pytest.mark.parametrize("by", [25.0, 50.0, 100.0])
@pytest.mark.parametrize("seed", [921, 922])
def test_a_misplaced_station_forward_is_put_back_near_its_place(by: float, seed: int) -> None:
    table, design = of_boat(seed, lines=4)
    label = table.stations[2]
    k = table.stations.index(label)
    typed = FAULTS[f"position +-{by:.0f} mm"][0](table, label, 1.0, 0.0)
    found = column_findings(typed, design)
    assert [problem.code for problem in found.problems] == [CODES["position"]]
    assert found.table is not None
    assert found.table.station_x[k] == pytest.approx(table.station_x[k], abs=8.0)
    for name, line in table.lines.items():
        assert found.table.lines[name].x[line.column(label)] == found.table.station_x[k]


def test_the_amount_of_a_shift_is_found_and_the_table_put_right_is_the_sound_one() -> None:
    table, design = of_boat(931)
    label = table.stations[4]
    typed = FAULTS["heights +-10 mm"][0](table, label, 1.0, 0.0)
    first = column_faults(rows_of(typed, design), typed.stations, typed.station_x)[0][0]
    assert first.amount == pytest.approx(10.0, abs=1.5)
    right = put_right(
        typed, replace(first, cells=tuple((row, i, float(row.y[i]) - 10.0) for row, i, _ in first.cells))
    )
    for name, line in table.lines.items():
        assert right.lines[name].z == pytest.approx(line.z, nan_ok=True)
        assert right.lines[name].y == pytest.approx(line.y, nan_ok=True)


@pytest.mark.slow
@pytest.mark.parametrize("view", ["y", "z"])
@pytest.mark.parametrize("seed", [941, 942])
def test_one_wrong_cell_is_not_taken_for_a_wrong_column(view: str, seed: int) -> None:
    table, design = of_boat(seed)
    label = table.stations[len(table.stations) // 2]
    sheer = table.lines["sheer"]
    values = getattr(sheer, view).copy()
    values[sheer.column(label)] += 25.4
    typed = replace(table, lines={**table.lines, "sheer": replace(sheer, **{view: values})})
    assert codes_of(typed, design) == []
    assert [(s.line, s.label) for s in fair_lines(typed, design).suspects] == [("sheer", label)]


def test_exchanged_columns_of_one_block_are_named_in_the_demo() -> None:
    design, offsets, _ = read_folder(DEMO)
    assert column_findings(offsets, design).problems == ()
    lines = {}
    for name, line in offsets.lines.items():
        z = line.z.copy()
        z[[4, 5]] = z[[5, 4]]
        lines[name] = replace(line, z=z)
    [problem] = column_findings(replace(offsets, lines=lines), design).problems
    assert problem.code == CODES["exchanged"]


def moved_station(folder: Path, before: str, after: str, extra: str = "") -> Path:
    shutil.copytree(DEMO, folder)
    table = (folder / "offsets.csv").read_text(encoding="utf-8")
    assert table.count(before) == 1
    (folder / "offsets.csv").write_text(table.replace(before, after), encoding="utf-8")
    design = (folder / "design.toml").read_text(encoding="utf-8")
    (folder / "design.toml").write_text(design.replace("[boat]\n", f"[boat]\n{extra}", 1), encoding="utf-8")
    return folder


@pytest.mark.slow
def test_a_station_that_breaks_the_spacing_is_doubted_until_it_is_confirmed(tmp_path: Path) -> None:
    # Amidships no line has slope enough to show it: only the spacing does.
    doubted = load_boat(moved_station(tmp_path / "a", ",9-9-0,", ",9-10-0,"))
    assert [w.code for w in doubted.warnings].count(SPACING) == 1
    confirmed = load_boat(
        moved_station(tmp_path / "b", ",9-9-0,", ",9-10-0,", f'confirmed = ["{SPACING}"]\n')
    )
    assert SPACING not in [w.code for w in confirmed.warnings]


@pytest.mark.slow
def test_the_lines_confirm_a_station_that_really_breaks_the_spacing() -> None:
    """The table of a boat whose third station was drawn 60 mm off the even spacing, and rightly typed so."""
    quiet = 0
    for seed in range(951, 957):
        boat, table = sound_table(seed, LEVELS["whole mm"], lines=3, even=True)
        at = table.station_x.copy()
        at[2] += 60.0
        drawn = table_of(boat, at=at, step=1.0)
        quiet += codes_of(drawn, design_for(boat, allow=0.5)) == []
    assert quiet >= 5


def turned_over(offsets: Offsets) -> Offsets:
    """The table as read where its heights run down from a line above the boat."""
    return replace(
        offsets, lines={name: replace(line, z=line.z - 2000.0) for name, line in offsets.lines.items()}
    )


def test_heights_measured_downward_are_reported_as_they_are_typed() -> None:
    table, design = of_boat(961, level="whole mm")
    label = table.stations[4]
    typed = turned_over(FAULTS["heights +-10 mm"][0](table, label, 1.0, 1.0))
    [up] = column_findings(typed, design).problems
    design.table.heights = "down from set-up line"
    [down] = column_findings(typed, design).problems
    assert up.code == down.code == CODES["heights"]
    # 10 mm higher is 10 mm less where heights run down; the heights that are wanted are written without a minus.
    assert ("large" in up.what, "small" in down.what) == (True, True)
    assert " -" in up.want
    assert " -" not in down.want


def test_a_station_without_a_position_and_a_line_without_rows_are_passed_over() -> None:
    table, design = of_boat(971)
    label = table.stations[4]
    typed = FAULTS["heights +-10 mm"][0](table, label, 1.0, 0.0)
    at = typed.station_x.copy()
    at[-1] = np.nan
    lines = {}
    for name, line in typed.lines.items():
        x = line.x.copy()
        x[line.column(typed.stations[-1])] = np.nan
        lines[name] = replace(line, x=x)
    first = next(name for name in lines if name not in ("keel", "sheer"))
    del lines[first]
    assert codes_of(replace(typed, station_x=at, lines=lines), design) == [CODES["heights"]]


CLINKER = Path(__file__).parent / "designs" / "clinker"


@pytest.mark.slow
def test_lines_that_all_bend_at_one_station_are_one_doubt_of_that_station() -> None:
    """Three of the lands spring the same way at station 2: that is no three slips, each by itself."""
    lines = load_boat(CLINKER).lines
    assert lines.suspects == ()
    assert [w.code for w in lines.warnings if w.code in set(CODES.values())] == ["station-heights"]


def test_lines_that_disagree_on_the_amount_make_no_sure_fault_of_a_column() -> None:
    """The lands spring by 12 to 5 mm there and the sheer not at all; heights that are all 10 mm out agree."""
    design, table, _ = read_folder(CLINKER)
    [bend, *_], _ = column_faults(rows_of(table, design), table.stations, table.station_x)
    assert (bend.kind, bend.label, bend.agreed) == ("heights", "2", False)
    assert column_findings(table, design).problems == ()
    sound, wanted = of_boat(961, level="whole mm")
    wrong = FAULTS["heights +-10 mm"][0](sound, sound.stations[4], 1.0, 1.0)
    [shift, *_], _ = column_faults(rows_of(wrong, wanted), wrong.stations, wrong.station_x)
    assert (shift.kind, shift.label, shift.agreed) == ("heights", sound.stations[4], True)


@pytest.mark.slow
def test_beside_such_a_station_a_wrong_cell_is_found_all_the_same(tmp_path: Path) -> None:
    folder = tmp_path / "boat"
    shutil.copytree(CLINKER, folder)
    table = folder / "offsets.csv"
    rows = [row.split(",") for row in table.read_text(encoding="utf-8").splitlines()]
    i = next(k for k, row in enumerate(rows) if row[:2] == ["half-breadth", "land 4"])
    rows[i][8] = str(int(rows[i][8]) + 25)
    table.write_text("\n".join(map(",".join, rows)) + "\n", encoding="utf-8")
    (suspect,) = load_boat(folder).lines.suspects
    assert (suspect.line, suspect.view, suspect.label) == ("land 4", "half-breadth", rows[0][8])


def test_two_lines_that_spring_at_one_station_or_three_that_spring_apart_stay_suspects() -> None:
    fault = ColumnFault(kind="heights", label="2", amount=7.0, views=("height",))

    def at_2(line: str, deviation: float) -> Suspect:
        return Suspect(
            line=line, view="height", label="2", offset=100.0, wanted=100.0 - deviation, deviation=deviation,
            slip="",
        )  # fmt: skip

    alike = [at_2(line, 5.0) for line in ("a", "b", "c")]
    assert doubted_together(fault, alike) == tuple(alike)
    assert doubted_together(fault, alike[:2]) == ()
    assert doubted_together(fault, [*alike[:2], at_2("c", -5.0)]) == ()
    assert doubted_together(replace(fault, label="3"), alike) == ()
    assert doubted_together(replace(fault, kind="position"), alike) == ()
