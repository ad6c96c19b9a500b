"""The worksheet and its answers, read back from the finished pages: table, grid, line, values, angles, bevels."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from numpy.typing import NDArray

from patterns.boat import load_boat
from patterns.cli import main
from patterns.lesson.exercise import exercises
from patterns.lesson.grid import FEET, METRIC, lay_axis
from patterns.measure import Notation, parse_length
from tests.demo import DEMO
from tests.patterns.plane_boat import HALF, SIDE_NORMAL, STATIONS, write_plane_boat
from tests.tiling.readback import Sheet, read

FIRM, CURVE = 0.35, 0.7  # mm: a station's line, the line as faired
NAMED, FINE = 0.25, 0.13  # mm: the level lines of the grid
Array = NDArray[np.float64]


@dataclass(frozen=True)
class Case:
    """A design, the folder of its class set, and of its fairing."""

    design: Path
    made: Path
    faired: Path
    notation: Notation
    line: str


CASES = {
    "mm": (DEMO / "class", Notation.MM, "sheer"),
    "eighths": (DEMO, Notation.FEET_INCHES_EIGHTHS, "chine"),
    "round": (DEMO / "round_bilge", Notation.MM, "WL 3"),
}


@pytest.fixture(scope="module", params=list(CASES))
def case(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Case:
    design, notation, line = CASES[request.param]
    folder = tmp_path_factory.mktemp("lesson")
    names = folder / "names.csv"
    names.write_text("name\nAda Flint\nBo Orme\n", encoding="utf-8")
    only = {"mm": "frame 2", "eighths": "transom knee", "round": "mould 2"}[request.param]
    commands = (
        ["class", str(design), "--list", str(names), "--only", only, "--loft", line, "--paper", "a4"],
        ["fair", str(design)],
    )
    for command, into in zip(commands, ("made", "faired"), strict=True):
        result = CliRunner().invoke(main, [*command, "--output", str(folder / into)])
        assert result.exit_code == 0, result.output
    return Case(design, folder / "made", folder / "faired", notation, line)


def table(path: Path) -> dict[tuple[str, str, str], str]:
    """A table of offsets as typed, by block, line and column."""
    rows = [
        row
        for row in csv.reader(path.read_text(encoding="utf-8").splitlines())
        if row and not row[0].startswith("#")
    ]
    return {
        (row[0], row[1], head): cell
        for row in rows[1:]
        for head, cell in zip(rows[0][2:], row[2:], strict=False)
        if cell
    }


def cells_of(sheet: Sheet) -> list[list[str]]:
    """The rows of the table of a page by the places of its words, between its upright lines; blanks are empty."""
    upright = [
        line.points
        for line in sheet.lines
        if len(line.points) == 2
        and not line.form
        and abs(line.points[0, 0] - line.points[1, 0]) < 1e-6
        and line.width < 0.2
    ]
    low = min(float(p[:, 1].min()) for p in upright)
    walls = sorted({round(float(p[0, 0]), 2) for p in upright if abs(p[:, 1].min() - low) < 0.01})
    levels = sorted(
        {
            round(float(line.points[0, 1]), 2)
            for line in sheet.lines
            if len(line.points) == 2
            and abs(line.points[0, 1] - line.points[1, 1]) < 1e-6
            and abs(line.points[:, 0].min() - walls[0]) < 0.02
            and abs(line.points[:, 0].max() - walls[-1]) < 0.02
            and low - 0.01
            <= line.points[0, 1]
            <= max(p[:, 1].max() for p in upright if p[:, 1].min() - low < 0.01)
        },
        reverse=True,
    )
    rows = []
    for top, foot in pairwise(levels[1:]):
        row = [""] * (len(walls) - 1)
        for said in sheet.said:
            column = int(np.searchsorted(walls, said.at[0])) - 1
            if foot < said.at[1] < top and 0 <= column < len(row):
                row[column] = f"{row[column]} {said.text}".strip()
        rows.append(row)
    return rows


def grid_lines(sheet: Sheet, width: float, *, level: bool) -> list[Array]:
    """The grid's lines of a breadth: level ones or upright ones, dashed ones left out; those of the grid start
    well inside of the page's rulers."""
    axis = 1 if level else 0
    found = [
        line.points
        for line in sheet.lines
        if len(line.points) == 2
        and not line.form
        and abs(line.width - width) < 1e-6
        and not line.dash[0]
        and abs(line.points[0, axis] - line.points[1, axis]) < 1e-6
    ]
    return sorted(found, key=lambda p: float(p[0, axis]))


def scales(sheet: Sheet) -> tuple[float, float]:
    """The two scales that the page says: fore and aft, and across."""
    found = re.search(r"1:(\d+) fore and aft and 1:(\d+) across", sheet.text)
    assert found is not None
    return float(found[1]), float(found[2])


def views_of(case: Case) -> list[str]:
    typed = table(case.design / "offsets.csv")
    return [view for view in ("height", "half-breadth") if any(key[:2] == (view, case.line) for key in typed)]


@pytest.mark.slow
def test_the_worksheets_table_is_the_designs_table(case: Case) -> None:
    typed = table(case.design / "offsets.csv")
    sheets = read(case.made / "worksheets.pdf")
    assert len(sheets) == 2 * len(views_of(case))
    for sheet, view in zip(sheets, views_of(case), strict=False):
        rows = cells_of(sheet)
        own = {
            head: cell for (block, line, head), cell in typed.items() if (block, line) == (view, case.line)
        }
        assert {row[0]: parse_length(row[2], notation=case.notation) for row in rows} == pytest.approx(
            {head: parse_length(cell, notation=case.notation) for head, cell in own.items()}
        )
        for row in rows:
            at = typed.get(("position", case.line, row[0])) or typed.get(("position", "", row[0]))
            if at:  # a waterline ends where the surface does, which no cell says
                assert parse_length(row[1], notation=case.notation) == pytest.approx(
                    parse_length(at, notation=case.notation)
                )
            blanks = row[4:] if case.notation is Notation.FEET_INCHES_EIGHTHS else row[3:]
            assert len(blanks) >= 2
            assert set(blanks) == {""}


@pytest.mark.slow
def test_the_answers_are_what_fairing_gives(case: Case) -> None:
    faired = table(case.faired / "as-faired-mm.csv")
    for sheet, view in zip(read(case.made / "answers.pdf"), views_of(case), strict=True):
        for row in cells_of(sheet):
            mm = case.notation is Notation.MM
            value, move = (row[3], row[4]) if mm else (row[5], row[6])
            due = float(faired[view, case.line, row[0]])
            assert float(value) == pytest.approx(due, abs=0.0501)
            typed = float(row[2]) if mm else parse_length(row[2], notation=case.notation)
            assert float(move) == pytest.approx(due - typed, abs=0.11)


@pytest.mark.slow
def test_the_grids_lines_stand_as_far_apart_as_they_say(case: Case) -> None:
    """Measured on the finished page: level lines at one step, stations at the table's own distances."""
    typed = table(case.design / "offsets.csv")
    for name in ("worksheets.pdf", "answers.pdf"):
        for sheet in read(case.made / name)[: len(views_of(case))]:
            along, across = scales(sheet)
            named = [float(p[0, 1]) for p in grid_lines(sheet, NAMED, level=True)]
            labels = [_label_of(sheet, y) for y in named]
            true = [parse_length(label, notation=case.notation) for label in labels]
            assert len(named) >= 2
            assert np.diff(named) == pytest.approx(np.diff(true) / across, abs=0.002)
            left, right = grid_lines(sheet, NAMED, level=True)[0][:, 0]
            fine = [
                float(p[0, 1])
                for p in grid_lines(sheet, FINE, level=True)
                if abs(p[:, 0].min() - left) < 0.01 and abs(p[:, 0].max() - right) < 0.01
            ]
            every = np.diff(sorted([*named, *fine]))
            assert every == pytest.approx(np.full(len(every), every[0]), abs=0.002)
            assert every[0] >= 4.0
            stations = [
                float(p[0, 0])
                for p in grid_lines(sheet, FIRM, level=False)
                if p[:, 1].min() < min(named) + 0.01 + every[0]
            ]
            x = {key[2]: parse_length(cell, notation=case.notation) for key, cell in typed.items()
                 if key[:2] == ("position", "")}  # fmt: skip
            names = [_name_under(sheet, at) for at in stations]
            assert np.diff(stations) == pytest.approx(np.diff([x[name] for name in names]) / along, abs=0.002)


def _label_of(sheet: Sheet, y: float) -> str:
    """The words beside a level line: the nearest to its height, at the grid's left."""
    near = [
        said
        for said in sheet.said
        if not said.turn and abs(said.at[1] + 1.25 - y) < 0.3 and re.fullmatch(r"[-\d+]+", said.text)
    ]
    assert len(near) == 1, (y, near)
    return near[0].text


def _name_under(sheet: Sheet, x: float) -> str:
    lines = grid_lines(sheet, FIRM, level=False)
    foot = min(float(p[:, 1].min()) for p in lines if abs(p[0, 0] - x) < 0.01)
    near = [
        said
        for said in sheet.said
        if 0.0 < foot - said.at[1] < 6.0 and abs(said.at[0] - x) < 4.0 and re.fullmatch(r"\d+", said.text)
    ]
    assert near
    return min(near, key=lambda said: abs(said.at[0] - x)).text


@pytest.mark.slow
def test_the_line_on_the_answers_passes_through_the_faired_values(case: Case) -> None:
    """Where the heavy line crosses a station it stands at the value of the table beside it, on the grid's scale."""
    for sheet in read(case.made / "answers.pdf"):
        _, across = scales(sheet)
        (curve,) = [line.points for line in sheet.lines if abs(line.width - CURVE) < 1e-6]
        curve = curve[np.argsort(curve[:, 0])]
        level = grid_lines(sheet, NAMED, level=True)[0]
        zero = float(level[0, 1])
        base = parse_length(_label_of(sheet, zero), notation=case.notation)
        rows = {row[0]: row for row in cells_of(sheet)}
        met = 0
        for upright in grid_lines(sheet, FIRM, level=False):
            x = float(upright[0, 0])
            name = _name_under(sheet, x)
            if name not in rows or not curve[0, 0] < x < curve[-1, 0]:
                continue
            value = float(rows[name][3 if case.notation is Notation.MM else 5])
            read_off = base + (float(np.interp(x, *curve.T)) - zero) * across
            assert read_off == pytest.approx(value, abs=0.05 + 0.02 * across)
            met += 1
        assert met > 3


@pytest.mark.slow
def test_bevels_are_those_of_the_frames_patterns(case: Case) -> None:
    """At a station where a frame stands, as the frame's own pattern gives it beside the sheer."""
    if case.line != "sheer":
        pytest.skip("another line")
    result = CliRunner().invoke(
        main, ["patterns", str(case.design), "--output", str(case.made / "p"), "--quick"]
    )
    assert result.exit_code == 0, result.output
    with (case.made / "p" / "bevels.csv").open(encoding="utf-8") as stream:
        readings = [row for row in csv.DictReader(stream) if row["edge"] == "side"]
    heights = {row[0]: row for row in cells_of(read(case.made / "answers.pdf")[0])}
    rows = {row[0]: row for row in cells_of(read(case.made / "answers.pdf")[1])}
    for frame in ("2", "4"):
        own = [row for row in readings if row["pattern"] == f"frame {frame}"]
        y, bevel = np.array(sorted((float(row["y_mm"]), float(row["bevel_deg"])) for row in own))[-2:].T
        # The highest reading stands below the clamp's notch; from there on straight up to the sheer.
        sheer = float(heights[frame][3])
        due = bevel[1] + (bevel[1] - bevel[0]) / (y[1] - y[0]) * (sheer - y[1])
        assert y[1] < sheer < y[1] + 45.0
        found = re.fullmatch(r"([\d.]+)° under", rows[frame][-1])
        assert found is not None
        # for the gauge half degrees are rounded towards square
        assert -0.1 < float(found[1]) - due < 0.6


@pytest.mark.slow
def test_angles_and_bevels_of_a_boat_of_planes_are_the_planes_own(tmp_path: Path) -> None:
    """Her side is one plane and her sheer straight: dy/dx = 0.22 - 0.16 x 0.03, and one bevel along it all."""
    boat = load_boat(write_plane_boat(tmp_path))
    found = exercises(boat, ["sheer"], room=150.0, tall=120.0)
    half = next(exercise for exercise in found if exercise.view == "half-breadth")
    slope = np.arctan(0.22 - 0.16 * 0.03)
    inner = [s for s, cell in zip(half.slopes, half.cells, strict=True) if cell.label not in ("bow", "stern")]
    assert inner == pytest.approx([slope] * len(inner), abs=2e-4)
    widest = boat.hull.widest
    for label, ((strake, bevel),) in half.bevels.items():
        siding = np.array([-1.0 if STATIONS[int(label) - 1] < widest else 1.0, 0.0, 0.0])
        assert strake == "side"
        assert bevel == pytest.approx(np.arccos(SIDE_NORMAL @ siding), abs=1e-4)
    assert len(half.bevels) >= 4
    assert HALF == 20.0


@pytest.mark.slow
@pytest.mark.parametrize("steps", [FEET, METRIC])
@pytest.mark.parametrize(
    ("low", "high"), [(0.0, 813.0), (409.0, 543.7), (-40.0, 35.0), (684.0, 905.0), (2.0, 9000.0)]
)
def test_an_axis_fits_its_room_and_holds_what_must_lie_on_it(
    steps: tuple[float, ...], low: float, high: float
) -> None:
    for room in (80.0, 110.0, 170.0):
        axis = lay_axis(low, high, room, steps)
        assert axis.length <= room
        assert axis.low <= low + 1e-6
        assert axis.high >= high - 1e-6
        lines = [value for value, _ in axis.lines()]
        assert np.diff(lines) == pytest.approx(np.full(len(lines) - 1, axis.step))
        assert lines[0] == pytest.approx(axis.low)
        assert lines[-1] == pytest.approx(axis.high)
        assert axis.step / axis.scale >= 4.0
        assert axis.at(axis.high) == pytest.approx(axis.length)


@pytest.mark.slow
def test_a_spoiled_grid_would_be_found(case: Case) -> None:
    """A grid printed at 0.99 stands off by far more than the test of its lines allows."""
    sheet = read(case.made / "worksheets.pdf")[0]
    _, across = scales(sheet)
    named = [float(p[0, 1]) for p in grid_lines(sheet, NAMED, level=True)]
    true = [parse_length(_label_of(sheet, y), notation=case.notation) for y in named]
    assert np.abs(0.99 * np.diff(named) - np.diff(true) / across).max() > 0.05
