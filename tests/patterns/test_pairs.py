"""Every two choices that the design file allows end in a sound result or a finding, never in a fault."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.bench.pair_designs import HULLS, base_of, choices, drawn, pairs, write_pair
from tests.bench.pairs_bench import outcome

COUNT, SEED = 9, 12  # many more are tried by `pairs_bench`


@pytest.fixture(scope="module")
def bases(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    return {hull: base_of(hull, tmp_path_factory.mktemp(hull) / "base") for hull in HULLS}


@pytest.mark.slow
def test_the_boats_without_any_choice_are_sound(bases: dict[str, Path], tmp_path: Path) -> None:
    for hull in HULLS:
        assert outcome(write_pair(bases[hull], tmp_path / hull, ())) == ("sound", "")


@pytest.mark.slow
@pytest.mark.parametrize("number", range(COUNT))
def test_two_choices_end_in_a_result_or_a_finding(
    bases: dict[str, Path], tmp_path: Path, number: int
) -> None:
    hull, pair = drawn(SEED, COUNT)[number]
    end, words = outcome(write_pair(bases[hull], tmp_path, pair))
    assert end in ("sound", "doubt", "refused"), (hull, [choice.name for choice in pair], words)


def test_the_pairs_are_drawn_without_repeats_and_reach_every_choice() -> None:
    for hull in HULLS:
        every = pairs(hull)
        assert len(every) > 3000
        assert {choice.name for pair in every for choice in pair} == {choice.name for choice in choices(hull)}
    some = [(hull, *(choice.name for choice in pair)) for hull, pair in drawn(1, 300)]
    assert len(set(some)) == len(some)
    assert some != [(hull, *(choice.name for choice in pair)) for hull, pair in drawn(2, 300)]
