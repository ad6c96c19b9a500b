"""Where a line's end and its stem or transom disagree, the figure that all the others contradict is blamed."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from patterns.errors import DesignError, Problem
from patterns.table.end_blame import rabbet_at_fault
from patterns.table.folder import read_folder
from patterns.table.rabbet_points import RabbetPoints
from patterns.table.values import Place, column_letters
from tests.bench.keel_tables_bench import write

SEEDS = range(950, 954)
BY = 25.0


def an_arc(count: int = 9) -> RabbetPoints:
    """A quarter of a circle of 900 mm, from its head down: closed form."""
    turn = np.linspace(0.05, 1.45, count)
    at = np.stack([900.0 - 900.0 * np.cos(turn), 900.0 - 900.0 * np.sin(turn)], axis=1)
    places = tuple(Place(file="stem.csv", row=k, column=1, heading="aft") for k in range(count))
    return RabbetPoints(at=at, knuckle=(False,) * count, places=places)


@pytest.mark.parametrize("wrong", range(1, 7))
@pytest.mark.parametrize("by", [BY, -BY])
def test_a_point_off_an_arc_is_blamed_and_a_line_s_end_on_it_is_not(wrong: int, by: float) -> None:
    rabbet = an_arc()
    x, z = (float(v) for v in rabbet.at[wrong])
    assert rabbet_at_fault(rabbet, x + by, z, allowed=7.0) is None  # here the line's end is wrong
    across = rabbet.at[wrong] - (900.0, 900.0)
    rabbet.at[wrong] += by * across / np.hypot(*across)
    assert rabbet_at_fault(rabbet, x, z, allowed=7.0) == wrong


def _spoiled(
    folder: Path, seed: int, block: str, line: str, column: int, by: float
) -> tuple[str, list[Problem]]:
    """The place of one figure that is wrong, and what is found; ``column`` 0 or -1 of those that are filled."""
    write("well sampled", seed, "1/16 in", folder)
    path = folder / ("stem.csv" if block == "stem" else "offsets.csv")
    rows = [row.split(",") for row in path.read_text(encoding="utf-8").splitlines()]
    if block == "stem":
        i, j = 1, 2 if rows[1][0] == "aft" else 1
    else:
        i = next(k for k, row in enumerate(rows) if row[:2] == [block, line])
        j = [k for k in range(2, len(rows[i])) if rows[i][k]][column]
    rows[i][j] = f"{float(rows[i][j]) + by:.6f}"
    path.write_text("\n".join(map(",".join, rows)) + "\n", encoding="utf-8")
    found: list[Problem] = []
    try:
        read_folder(folder)
    except DesignError as error:
        found = list(error.problems)
    return f"{path.name}, row {i + 1}, column {column_letters(j)} ", found


@pytest.mark.slow
@pytest.mark.parametrize("by", [BY, -BY])
@pytest.mark.parametrize(
    ("block", "line", "column", "code"),
    [
        ("height", "chine", 0, "end-height-off"),
        ("height", "sheer", 0, "end-height-off"),
        ("height", "sheer", -1, "end-height-off"),
        ("position", "chine", 0, "end-off-stem"),
        ("position", "sheer", 0, "end-off-stem"),
        ("position", "chine", -1, "end-off-transom"),
        ("position", "sheer", -1, "end-off-transom"),
    ],
)
def test_a_wrong_end_is_blamed_on_its_height_or_its_position(
    tmp_path: Path, block: str, line: str, column: int, code: str, by: float
) -> None:
    refused = 0
    for seed in SEEDS:
        far = 4.0 * by if (block, column) == ("height", -1) else by
        place, found = _spoiled(tmp_path, seed, block, line, column, far)
        refused += bool(found)  # on a transom that is nearly plumb any height is possible
        if found:
            assert f"{found[0].place} ".startswith(place)
            assert found[0].code == code
    assert refused >= (2 if far != by else len(SEEDS))


@pytest.mark.slow
@pytest.mark.parametrize("by", [BY, -BY])
def test_a_stem_s_head_is_blamed_where_the_points_below_it_and_the_sheer_agree(
    tmp_path: Path, by: float
) -> None:
    """How a stem runs on to its head is a guess, so that some are left to the sheer's end, as before."""
    right = 0
    for seed in range(950, 958):
        place, found = _spoiled(tmp_path, seed, "stem", "", 0, by)
        right += bool(found) and (found[0].code, f"{found[0].place} "[: len(place)]) == (
            "rabbet-point-off",
            place,
        )
    assert right >= 5
