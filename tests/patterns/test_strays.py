"""Another cell's value is offered as what was meant only where the two cells may have been exchanged."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from patterns.fairing.strays import strays
from patterns.table.values import LineOffsets, Offsets
from tests.bench.exact_boats import exact_boat, table_of

STATIONS = ("3", "4", "5", "6")


def a_table(seed: int) -> Offsets:
    return table_of(exact_boat(np.random.default_rng(seed)), count=9)


def with_row(table: Offsets, row: LineOffsets) -> Offsets:
    return replace(table, lines={**table.lines, row.name: row})


@pytest.mark.parametrize("label", STATIONS)
def test_a_sound_neighbour_is_not_what_was_meant(label: str) -> None:
    """An inch in one cell: in midships its neighbours have nearly the value that was meant."""
    for seed in range(20, 26):
        table = a_table(seed)
        row = table.lines["sheer"]
        i = row.column(label)
        y = row.y.copy()
        y[i] += 25.4
        table = with_row(table, replace(row, y=y))
        assert strays(table, "sheer", "half-breadth", i) == {}


@pytest.mark.parametrize("label", STATIONS)
def test_two_neighbours_exchanged_are_each_what_was_meant_in_the_other(label: str) -> None:
    looked = 0
    for seed in range(20, 26):
        table = a_table(seed)
        row = table.lines["chine"]
        i = row.column(label)
        if abs(row.z[i] - row.z[i + 1]) < 6.0:
            continue
        looked += 1
        z = row.z.copy()
        z[[i, i + 1]] = z[[i + 1, i]]
        wrong = with_row(table, replace(row, z=z))
        assert row.z[i] in strays(wrong, "chine", "height", i).values()
        assert row.z[i + 1] in strays(wrong, "chine", "height", i + 1).values()
    assert looked >= 2


@pytest.mark.parametrize("label", STATIONS)
def test_two_lines_exchanged_at_a_station_are_each_what_was_meant_in_the_other(label: str) -> None:
    table = a_table(21)
    chine, sheer = table.lines["chine"], table.lines["sheer"]
    i = chine.column(label)
    low, high = chine.z.copy(), sheer.z.copy()
    low[i], high[i] = high[i], low[i]
    wrong = with_row(with_row(table, replace(chine, z=low)), replace(sheer, z=high))
    assert chine.z[i] in strays(wrong, "chine", "height", i).values()
    assert sheer.z[i] in strays(wrong, "sheer", "height", i).values()


def test_at_a_stem_where_all_lines_have_one_half_breadth_no_two_are_exchanged() -> None:
    table = a_table(22)
    row = table.lines["sheer"]
    y = row.y.copy()
    y[0] += 25.4
    found = strays(with_row(table, replace(row, y=y)), "sheer", "half-breadth", 0)
    assert not any(value == pytest.approx(20.0, abs=2.0) for value in found.values())
