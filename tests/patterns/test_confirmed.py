"""Doubts that the user confirms by their code: how each is shown, confirmed and silent then."""

from __future__ import annotations

from pathlib import Path

import pytest

from patterns.boat import load_boat
from patterns.design.confirmed import needless, unconfirmed, with_remedy
from patterns.design.file import read_design
from patterns.errors import DesignError, Problem
from patterns.shop.report import report
from tests.patterns.folders import DESIGN, changed, write_folder

THICK = changed(DESIGN, 'planking = "9 mm"', 'planking = "40 mm"')


@pytest.mark.slow
def test_what_no_table_can_show_is_read_back(tmp_path: Path) -> None:
    """Which surface the lines lie on and what the sheer is given to: compared with the plan by the reader."""
    lines = list(report(load_boat(write_folder(tmp_path))))
    assert any("outside of planking" in line and "top of planking" in line for line in lines)


@pytest.mark.slow
def test_a_doubt_is_shown_with_the_key_that_confirms_it_and_is_silent_then(tmp_path: Path) -> None:
    boat = load_boat(write_folder(tmp_path, design=THICK))
    codes = [warning.code for warning in boat.warnings]
    assert "thick-planking" in codes
    assert any('confirmed = ["thick-planking"] under [boat]' in line for line in report(boat))
    named = changed(THICK, 'name = "Rushlight"\n', 'name = "Rushlight"\nconfirmed = ["thick-planking"]\n')
    again = load_boat(write_folder(tmp_path, design=named))
    assert [warning.code for warning in again.warnings] == [
        code for code in codes if code != "thick-planking"
    ]


@pytest.mark.parametrize(("typed", "meant"), [("thick-plank", "thick-planking"), ("zzz", "")])
def test_an_unknown_code_is_refused_with_the_nearest_one(tmp_path: Path, typed: str, meant: str) -> None:
    design = changed(DESIGN, 'name = "Rushlight"\n', f'name = "Rushlight"\nconfirmed = ["{typed}"]\n')
    with pytest.raises(DesignError) as caught:
        read_design(write_folder(tmp_path, design=design))
    (problem,) = caught.value.problems
    assert problem.place == "design.toml, [boat], key confirmed"
    assert (meant in problem.want) if meant else problem.want


@pytest.mark.slow
def test_a_confirmation_without_a_doubt_is_reported(tmp_path: Path) -> None:
    design = changed(DESIGN, 'name = "Rushlight"\n', 'name = "Rushlight"\nconfirmed = ["thin-planking"]\n')
    found = load_boat(write_folder(tmp_path, design=design)).warnings
    (warning,) = (each for each in found if each.place == "design.toml, [boat], key confirmed")
    assert '"thin-planking"' in warning.what


def test_a_problem_that_is_no_doubt_is_shown_as_it_is_and_never_dropped() -> None:
    plain = Problem("a.csv", "wrong", "change it", code="same-name")
    doubt = Problem("a.csv", "odd", code="wide-boat")
    assert with_remedy(plain) == plain
    assert with_remedy(doubt).want == 'if right, add confirmed = ["wide-boat"] under [boat]'
    assert unconfirmed([plain, doubt], ["wide-boat"]) == (plain,)
    assert list(needless([doubt], ["wide-boat"], place="x")) == []
