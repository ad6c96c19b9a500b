"""Two neighbouring cells of a row exchanged: seen as that, and nothing else is taken for it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from patterns.fairing.blame import Blame, blamed
from patterns.fairing.cell_exchange import exchange_of
from patterns.fairing.evenness import NOISE
from patterns.fairing.possible import possible
from patterns.hull.planes import FloatArray
from patterns.measure import Notation
from tests.bench.hull_lines import hull_lines, stations

STEP = 25.4 / 16  # mm; the table's least count
COUNT = 10
INCH = 25.4


def _seen(x: FloatArray, y: FloatArray) -> tuple[int | None, Sequence[Blame]]:
    def judged(offsets: FloatArray) -> Sequence[Blame]:
        return blamed(
            x, offsets, tolerance=0.5 * STEP, notation=Notation.FEET_INCHES_EIGHTHS,
            elsewhere=lambda index: {}, knuckles=(), blunt=False, hints=(),
        )  # fmt: skip

    found = judged(y)
    if not found:
        return None, found
    lines = possible(x, y, noise=np.full(len(x), 0.5 * STEP * NOISE))
    return exchange_of(lines, y, range(len(y)), found, judged, tolerance=0.5 * STEP), found


def _lines(seeds: range) -> list[FloatArray]:
    x = stations(COUNT)
    lines = (line.at(x) for seed in seeds for line in hull_lines(np.random.default_rng(seed)))
    return [np.round(y / STEP) * STEP for y in lines]


@pytest.mark.slow
def test_exchanged_neighbours_are_seen_as_that() -> None:
    x, tried, named = stations(COUNT), 0, 0
    for seed, y in enumerate(_lines(range(700, 708))):
        i = int(np.random.default_rng(seed).integers(1, COUNT - 2))
        if abs(y[i] - y[i + 1]) < INCH:
            continue
        order = np.arange(COUNT)
        order[[i, i + 1]] = i + 1, i
        first, found = _seen(x, y[order])
        tried += 1
        named += first == i
        assert found
    assert tried >= 15
    assert named >= 0.9 * tried


@pytest.mark.slow
@pytest.mark.parametrize("slip", [INCH, -INCH, 0.75 * INCH, 12.0 * INCH])
def test_a_slip_in_one_cell_is_no_exchange(slip: float) -> None:
    x = stations(COUNT)
    for seed, y in enumerate(_lines(range(720, 726))):
        spoiled = y.copy()
        spoiled[int(np.random.default_rng(seed).integers(1, COUNT - 1))] += slip
        assert _seen(x, spoiled)[0] is None
