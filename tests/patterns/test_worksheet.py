"""The worksheet and its answers, read back from the finished pages: table, grid, line, values, angles, bevels."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass, replace
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
from tests.patterns.plane_boat import HALF, SIDE_NORMAL, write_plane_boat
from tests.tiling.readback import Sheet, read

FIRM, CURVE = 0.25, 0.5  # mm: a station's line, the line as faired
NAMED, FINE = 0.18, 0.13  # mm: the level lines of the grid
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


def tables_of(sheet: Sheet) -> list[list[list[str]]]:
    """The tables of a page, the highest first, by the places of words between their upright lines."""
    upright = [
        line.points
        for line in sheet.lines
        if len(line.points) == 2 and not line.form and abs(line.points[0, 0] - line.points[1, 0]) < 1e-6
    ]
    groups: dict[tuple[float, float], set[float]] = {}
    for points in upright:
        group = (round(float(points[:, 1].min()), 1), round(float(points[:, 1].max()), 1))
        groups.setdefault(group, set()).add(round(float(points[0, 0]), 2))
    found = []
    for (low, high), at in sorted(groups.items(), reverse=True):
        walls = sorted(at)
        if len(walls) < 3:
            continue
        levels = sorted(
            {
                round(float(line.points[0, 1]), 2)
                for line in sheet.lines
                if len(line.points) == 2
                and abs(line.points[0, 1] - line.points[1, 1]) < 1e-6
                and abs(line.points[:, 0].min() - walls[0]) < 0.02
                and low - 0.1 <= line.points[0, 1] <= high + 0.1
            },
            reverse=True,
        )
        rows = []
        for top, foot in pairwise(levels):
            row = [""] * (len(walls) - 1)
            for said in sheet.said:
                column = int(np.searchsorted(walls, said.at[0])) - 1
                if foot < said.at[1] < top and 0 <= column < len(row):
                    row[column] = f"{row[column]} {said.text}".strip()
            rows.append(row)
        found.append(rows)
    return found


def unturned(sheet: Sheet) -> Sheet:
    """A page whose grid runs up it, turned back by a quarter, so that the grid's level lines are level."""
    words = [replace(said, at=(said.at[1], -said.at[0]), turn=0.0) for said in sheet.said if said.turn]
    lines = [
        replace(line, points=np.column_stack([line.points[:, 1], -line.points[:, 0]])) for line in sheet.lines
    ]
    return replace(sheet, lines=lines, said=words)


def grid_lines(sheet: Sheet, width: float, *, level: bool) -> list[Array]:
    """The grid's lines of a breadth: level ones or upright ones; dashed ones are left out."""
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
    """The two scales that the grid's axes say: along the boat, and across the grid."""
    along, across = (
        re.search(r"scale 1:(\d+) along", sheet.text),
        re.search(r" in \S+, scale 1:(\d+)", sheet.text),
    )
    assert along is not None
    assert across is not None
    return float(along[1]), float(across[1])


def views_of(case: Case) -> list[str]:
    typed = table(case.design / "offsets.csv")
    return [view for view in ("height", "half-breadth") if any(key[:2] == (view, case.line) for key in typed)]


def in_mm(case: Case, text: str) -> float:
    return parse_length(text, notation=case.notation)


@pytest.mark.slow
def test_the_sheets_offsets_are_those_of_fairing_but_for_the_planted_ones(case: Case) -> None:
    """Right ones to the table's own step; wrong ones by 2 to 5.5 mm of the grid's paper; the answers name them."""
    faired = table(case.faired / "as-faired-mm.csv")
    sheets, answers = read(case.made / "worksheets.pdf"), read(case.made / "answers.pdf")
    assert len(sheets) == 4 * len(views_of(case))
    for number, view in enumerate(views_of(case)):
        _, across = scales(unturned(sheets[2 * number + 1]))
        (rows,) = tables_of(sheets[2 * number])
        wrong = set()
        assert len(rows) - 1 >= 8
        for row in rows[1:]:
            due = faired.get((view, case.line, row[0]))
            if due is not None:
                off = abs(in_mm(case, row[2]) - float(due))
                if off > 1.7:
                    wrong.add(row[0])
                    assert 2.0 < off / across < 5.5
            blanks = row[4:] if case.notation is Notation.FEET_INCHES_EIGHTHS else row[3:]
            assert len(blanks) == (3 if view == "half-breadth" else 2)
            assert set(blanks) == {""}
        readings = tables_of(answers[2 * number])[0]
        named = {row[0] for row in readings[1:] if row[-2]}
        assert wrong <= named
        assert 1 <= len(named) <= 2


@pytest.mark.slow
def test_the_answers_are_what_fairing_gives(case: Case) -> None:
    faired = table(case.faired / "as-faired-mm.csv")
    answers = read(case.made / "answers.pdf")
    met = 0
    for number, view in enumerate(views_of(case)):
        for row in tables_of(answers[2 * number])[0][1:]:
            low, high = (float(bound) for bound in row[-1].split(" to "))
            due = faired.get((view, case.line, row[0]))
            if due is None:
                assert "½" in row[0]
                continue
            value = float(row[3 if case.notation is Notation.MM else 5])
            assert value == pytest.approx(float(due), abs=0.0501)
            assert low < float(due) < high
            if row[-2]:
                assert float(row[-2]) == pytest.approx(in_mm(case, row[2]) - float(due), abs=0.51)
            met += 1
    assert met >= 11


@pytest.mark.slow
def test_the_grids_lines_are_as_far_apart_as_they_say(case: Case) -> None:
    """Measured on the finished page: level lines at one step, stations at the table's own distances."""
    typed = table(case.design / "offsets.csv")
    for name in ("worksheets.pdf", "answers.pdf"):
        for page in read(case.made / name)[1 : 2 * len(views_of(case)) : 2]:
            sheet = unturned(page)
            along, across = scales(sheet)
            named = [float(p[0, 1]) for p in grid_lines(sheet, NAMED, level=True)]
            true = [in_mm(case, _label_of(sheet, y)) for y in named]
            assert len(named) >= 2
            assert np.diff(named) == pytest.approx(np.diff(true) / across, abs=0.002)
            left, right = sorted(grid_lines(sheet, NAMED, level=True)[0][:, 0])
            fine = [
                float(p[0, 1])
                for p in grid_lines(sheet, FINE, level=True)
                if abs(p[:, 0].min() - left) < 0.01 and abs(p[:, 0].max() - right) < 0.01
            ]
            every = np.diff(sorted([*named, *fine]))
            assert every == pytest.approx(np.full(len(every), every[0]), abs=0.002)
            assert every[0] >= 4.0
            # It fills its page: no common scale larger by a half would have room.
            assert right - left > 0.6 * 0.8 * page.height or np.ptp(named) > 0.6 * 0.7 * page.width
            x = {
                key[2]: in_mm(case, cell)
                for key, cell in typed.items()
                if key[:2] == ("position", "")
            }  # fmt: skip
            stations = [float(p[0, 0]) for p in grid_lines(sheet, FIRM, level=False)]
            names = {_name_under(sheet, at): at for at in stations}
            own = [station for station in x if station in names]
            assert len(own) >= 4
            assert np.diff([names[station] for station in own]) == pytest.approx(
                np.diff([x[station] for station in own]) / along, abs=0.002
            )


def _label_of(sheet: Sheet, y: float) -> str:
    """The words beside a level line: the nearest to its height, at the grid's left."""
    near = [
        said
        for said in sheet.said
        if abs(said.at[1] + 1.25 - y) < 0.3 and re.fullmatch(r"[-\d+]+", said.text)
    ]
    assert len(near) == 1, (y, near)
    return near[0].text


def _name_under(sheet: Sheet, x: float) -> str:
    lines = grid_lines(sheet, FIRM, level=False)
    foot = min(float(p[:, 1].min()) for p in lines if abs(p[0, 0] - x) < 0.01)
    near = [
        said
        for said in sheet.said
        if 0.0 < foot - said.at[1] < 6.0 and abs(said.at[0] - x) < 4.0 and re.fullmatch(r"\d+½?", said.text)
    ]
    assert near
    return min(near, key=lambda said: abs(said.at[0] - x)).text


@pytest.mark.slow
def test_the_line_on_the_answers_passes_through_the_faired_values(case: Case) -> None:
    """Where the heavy line crosses a station it is at the value of the table, on the grid's scale."""
    answers = read(case.made / "answers.pdf")
    for number in range(len(views_of(case))):
        sheet = unturned(answers[2 * number + 1])
        _, across = scales(sheet)
        (curve,) = [
            line.points for line in sheet.lines if abs(line.width - CURVE) < 1e-6 and len(line.points) > 9
        ]
        curve = curve[np.argsort(curve[:, 0])]
        zero = float(grid_lines(sheet, NAMED, level=True)[0][0, 1])
        base = in_mm(case, _label_of(sheet, zero))
        rows = {row[0]: row for row in tables_of(answers[2 * number])[0][1:]}
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
def test_nothing_is_cut_off(case: Case) -> None:
    for name in ("worksheets.pdf", "answers.pdf"):
        for sheet in read(case.made / name):
            assert "…" not in sheet.text


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
    answers = read(case.made / "answers.pdf")
    heights = {row[0]: row for row in tables_of(answers[0])[0]}
    rows = {row[0]: row for row in tables_of(answers[2])[1]}
    for frame in ("2", "4"):
        own = [row for row in readings if row["pattern"] == f"frame {frame}"]
        y, bevel = np.array(sorted((float(row["y_mm"]), float(row["bevel_deg"])) for row in own))[-2:].T
        # The highest reading is below the clamp's notch; from there on straight up to the sheer.
        sheer = float(heights[frame][3])
        due = bevel[1] + (bevel[1] - bevel[0]) / (y[1] - y[0]) * (sheer - y[1])
        assert y[1] < sheer < y[1] + 45.0
        found = re.fullmatch(r"([\d.]+)° under", rows[frame][-1])
        assert found is not None
        # for the gauge half degrees are rounded towards square
        assert -0.1 < float(found[1]) - due < 0.6


@pytest.mark.slow
def test_the_recipe_printed_on_the_sheet_gives_the_answers_angles(case: Case) -> None:
    """Worked out by hand from the answers' own column of true values and the sheet's column of distances."""
    answers = read(case.made / "answers.pdf")
    if "half-breadth" not in views_of(case):
        pytest.skip("no line in plan")
    readings, angles = tables_of(answers[2 * views_of(case).index("half-breadth")])
    y = [float(row[3 if case.notation is Notation.MM else 5]) for row in readings[1:]]
    x = [in_mm(case, row[1]) for row in readings[1:]]
    for i, row in enumerate(angles[1:]):
        below, above = min(i + 1, len(y) - 1), max(i - 1, 0)
        due = np.degrees(np.arctan((y[below] - y[above]) / (x[below] - x[above])))
        low, high = (float(bound.rstrip("°")) for bound in row[2].split(" to "))
        assert float(row[1].rstrip("°")) == pytest.approx(due, abs=0.3)
        assert low <= due <= high


@pytest.mark.slow
def test_angles_and_bevels_of_a_boat_of_planes_are_the_planes_own(tmp_path: Path) -> None:
    """Her side is one plane and her sheer straight: dy/dx = 0.22 - 0.16 x 0.03, and one bevel along it all.

    On a straight line the recipe's chord and the line's own angle are one.
    """
    boat = load_boat(write_plane_boat(tmp_path))
    found = exercises(boat, ["sheer"], room=150.0, tall=120.0)
    half = next(exercise for exercise in found if exercise.view == "half-breadth")
    slope = np.arctan(0.22 - 0.16 * 0.03)
    inner = [cross.slope for cross in half.crosses if not cross.at_end]
    assert inner == pytest.approx([slope] * len(inner), abs=2e-4)
    assert [angle for angle, _ in half.recipe()] == pytest.approx([slope] * len(half.crosses), abs=2e-4)
    widest = boat.hull.widest
    at = {cross.label: cross.x for cross in half.crosses}
    for label, ((strake, bevel),) in half.bevels.items():
        siding = np.array([-1.0 if at[label] < widest else 1.0, 0.0, 0.0])
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
    """A grid printed at 0.99 is off by far more than the test of its lines allows."""
    sheet = unturned(read(case.made / "worksheets.pdf")[1])
    _, across = scales(sheet)
    named = [float(p[0, 1]) for p in grid_lines(sheet, NAMED, level=True)]
    true = [in_mm(case, _label_of(sheet, y)) for y in named]
    assert np.abs(0.99 * np.diff(named) - np.diff(true) / across).max() > 0.05
