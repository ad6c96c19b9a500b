"""How far fairing moved each line, as `check` reports it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from patterns.boat import Boat
from patterns.fairing.cells import FairedCell
from patterns.shop.report import report
from tests.demo import demo_boat


def _reported(rows: tuple[FairedCell, ...]) -> list[str]:
    boat = demo_boat()
    moved = Boat(
        design=boat.design, offsets=boat.offsets, lines=replace(boat.lines, rows=rows), hull=boat.hull
    )
    return [line.strip() for line in report(moved, verbose=True)]


@pytest.mark.parametrize(("move", "way"), [(-1.99, "1.99 mm forward"), (0.35, "0.35 mm aft")])
@pytest.mark.parametrize(("label", "end"), [("bow", "fore end"), ("stern", "after end")])
def test_an_end_s_move_along_the_boat_is_one_line_with_its_way(
    move: float, way: str, label: str, end: str
) -> None:
    cell = next(row for row in demo_boat().lines.rows if row.view == "position" and row.line == "chine")
    lines = _reported((replace(cell, label=label, move=move, faired=cell.offset + move),))
    (line,) = (line for line in lines if line.startswith("chine:"))
    assert line.startswith(f"chine: its {end} moved {way}")


def test_a_row_that_was_not_moved_has_no_figure() -> None:
    cell = next(row for row in demo_boat().lines.rows if row.view == "height")
    lines = _reported((replace(cell, move=0.001, faired=cell.offset + 0.001),))
    assert f"{cell.line}, height: nothing moved" in lines
