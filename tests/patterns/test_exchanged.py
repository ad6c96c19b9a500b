"""A figure that puts one line beyond the next is looked for in the row whose own neighbours contradict it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from patterns.table.checks import table_problems
from patterns.table.exchanged import at_fault
from patterns.table.folder import read_folder
from patterns.table.values import Offsets
from tests.demo import DEMO

FOOT = 304.8
ROWS = {"height": "z", "half-breadth": "y"}


def with_figure(offsets: Offsets, line: str, block: str, label: str, by: float) -> Offsets:
    row = offsets.lines[line]
    values = getattr(row, ROWS[block]).copy()
    values[row.column(label)] += by
    return replace(offsets, lines={**offsets.lines, line: replace(row, **{ROWS[block]: values})})


@pytest.mark.parametrize("block", list(ROWS))
@pytest.mark.parametrize("label", ["4", "6", "8"])
def test_a_keel_figure_a_foot_too_large_is_sought_in_the_keels_own_row(block: str, label: str) -> None:
    design, offsets, _ = read_folder(DEMO)
    by = FOOT if block == "height" else 4 * FOOT
    [problem] = table_problems(with_figure(offsets, "keel", block, label, by), design)
    row = offsets.lines["keel"]
    places = row.z_places if block == "height" else row.y_places
    assert problem.place == str(places[row.column(label)])
    assert problem.code == ("height-above-next-line" if block == "height" else "keel-beyond-line")


@pytest.mark.parametrize(
    ("block", "code"), [("height", "height-below-line"), ("half-breadth", "line-within-keel")]
)
def test_a_chine_figure_too_small_is_sought_in_the_chines_row(block: str, code: str) -> None:
    design, offsets, _ = read_folder(DEMO)
    chine = offsets.lines["chine"]
    i = chine.column("6")
    by = -float(getattr(chine, ROWS[block])[i]) + 5.0
    [problem] = table_problems(with_figure(offsets, "chine", block, "6", by), design)
    places = chine.z_places if block == "height" else chine.y_places
    assert problem.place == str(places[i])
    assert problem.code == code


def test_the_value_that_the_neighbours_want_is_on_the_straight_line_between_them() -> None:
    _, offsets, _ = read_folder(DEMO)
    keel, sheer = offsets.lines["keel"], offsets.lines["sheer"]
    i = keel.column("5")
    wanted = at_fault(keel, np.where(np.arange(len(keel.z)) == i, keel.z + 900.0, keel.z), sheer, sheer.z, i)
    between = np.interp(keel.x[i], keel.x[[i - 1, i + 1]], keel.z[[i - 1, i + 1]])
    assert wanted == pytest.approx(between, abs=1e-9)
