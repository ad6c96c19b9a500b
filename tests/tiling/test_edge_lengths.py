"""Edge lengths of a taped pattern: along its rows and up its columns, measured on rendered pages."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from tests.tiling.readback import read
from tests.tiling.rendering import render
from tests.tiling.samples import plate, ring, small_job
from tiling.distances.checks import Check, band
from tiling.job import write_pdf
from tiling.paper import TARGET_RADIUS, Page, parse_paper
from tiling.planning.plan import Plan, plan_pieces

SHEET = plate("sheet", 620.0, 510.0)  # its longest distances are its two diagonals
WAYS = {"along the rows": 0, "up the columns": 1}


def edges(plan: Plan) -> dict[str, Check]:
    return {check.name: check for check in plan.checks if check.name in WAYS}


@pytest.fixture(scope="module", params=[False, True], ids=["overlap", "butt"])
def made(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Plan]:
    page = Page(paper=parse_paper("A4"), butt=request.param)
    path = tmp_path_factory.mktemp("edges") / "job.pdf"
    write_pdf(small_job(page=page, pieces=(SHEET,)), path)
    (plan,) = plan_pieces([SHEET], page)
    return path, plan


def test_one_edge_runs_along_the_rows_and_one_up_the_columns(made: tuple[Path, Plan]) -> None:
    plan = made[1]
    found = edges(plan)
    assert set(found) == set(WAYS)
    for name, axis in WAYS.items():
        check = found[name]
        ends = np.array([plan.layout.to_grid.at(end) for end in (check.distance.start, check.distance.end)])
        along = np.abs(ends[1] - ends[0])
        assert along[axis] > 4.0 * along[1 - axis]
        # from one side of the taped pattern to the other, within a hand's breadth at either end
        windows = np.array([tile.window for tile in plan.layout.tiles])
        whole = windows[:, 2 + axis].max() - windows[:, axis].min()
        assert whole - 170.0 < check.distance.length < whole
        assert check.seams >= 1
        assert check.allowed == pytest.approx(band(check.distance.length, seams=check.seams))


def test_targets_stand_clear_of_all_strokes(made: tuple[Path, Plan]) -> None:
    strokes = []
    for path in SHEET.drawing.paths:
        run = np.vstack([path.points, path.points[:1]]) if path.closed else path.points
        way = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(run, axis=0).T))])
        at = np.arange(0.0, way[-1], 0.5)
        strokes.append(np.column_stack([np.interp(at, way, run[:, 0]), np.interp(at, way, run[:, 1])]))
    found = edges(made[1])
    assert set(found) == set(WAYS)
    for check in found.values():
        for end in (check.distance.start, check.distance.end):
            assert np.hypot(*(np.vstack(strokes) - end).T).min() > TARGET_RADIUS


@pytest.mark.slow
def test_an_edge_measures_true_over_rendered_pages(made: tuple[Path, Plan]) -> None:
    """Each target's middle as the renderer shows it, put where its page lies in the taped pattern."""
    path, plan = made
    first = len(read(path)) - len(plan.layout.tiles)
    found = edges(plan)
    assert set(found) == set(WAYS)
    for check in found.values():
        seen = []
        for end in (check.distance.start, check.distance.end):
            place = plan.layout.to_grid.at(end)
            index = next(
                index
                for index, tile in enumerate(plan.layout.tiles)
                if all(a <= b for a, b in zip(plan.layout.visible(tile)[:2], place, strict=True))
                and all(a >= b for a, b in zip(plan.layout.visible(tile)[2:], place, strict=True))
            )
            shift = plan.layout.to_page(plan.layout.tiles[index])
            x, y = render(path, first + index, dpi=300.0).centre(*shift.at(place), reach=1.2)
            seen.append((x - shift.tx, y - shift.ty))
        assert math.dist(*seen) == pytest.approx(check.distance.length, abs=0.03)


def test_a_distance_of_the_pattern_s_own_does_for_an_edge_and_small_patterns_have_none() -> None:
    page = Page(paper=parse_paper("A4"))
    across, alone = plan_pieces([ring(), plate()], page)
    assert "along the rows" not in edges(across)  # the ring's own runs across it
    assert "up the columns" in edges(across)
    assert not edges(alone)
