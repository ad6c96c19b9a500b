"""Doubts that the user confirms by their code: one list of codes, which the source and the tests agree with."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import patterns
from patterns.boat import load_boat
from patterns.design.confirmed import DOUBTS, needless, unconfirmed, with_remedy
from patterns.design.file import read_design
from patterns.errors import DesignError, Problem
from patterns.shop.report import report
from tests.patterns.folders import DESIGN, changed, write_folder

SOURCE = Path(patterns.__file__).parent
ERRORS = {
    "bare-number",
    "bottom-not-level",
    "breadth-over-length",
    "cannot-read",
    "canted-frame",
    "canted-frame-in-pieces",
    "clamp-off-sheer",
    "conflicting-keys",
    "control-character",
    "cross-piece-without-legs",
    "deep-nesting",
    "end-height-off",
    "end-given-twice",
    "flat-bottom-without-chine",
    "half-lap-alone",
    "height-above-next-line",
    "height-below-line",
    "inner-line-in-pieces",
    "inner-line-turns-back",
    "invalid-choice",
    "invalid-toml",
    "invalid-value",
    "keel-beyond-line",
    "keel-given-twice",
    "knee-at-other-end",
    "lap-given-twice",
    "lap-off-strake",
    "laps-disagree",
    "large-file",
    "let-in-too-deep",
    "level-diagonal",
    "line-within-keel",
    "lines-not-neighbours",
    "needed-key",
    "needed-lap",
    "needless-confirmation",
    "needless-key",
    "no-chine",
    "no-clamp",
    "no-deck",
    "no-design",
    "no-folder",
    "no-framing",
    "no-joints",
    "no-strake-between",
    "no-transom",
    "not-a-chine",
    "not-a-lap",
    "not-a-station",
    "not-a-table",
    "not-a-whole-beam",
    "not-csv",
    "not-utf-8",
    "off-boat",
    "off-carling",
    "rabbet-point-off",
    "out-of-range",
    "outside-folder",
    "pattern-given-twice",
    "rail-at-keel",
    "round-between-lines",
    "round-strake-flat",
    "round-with-other-ends",
    "round-without-rows",
    "rows-without-round",
    "same-file",
    "same-level",
    "same-name",
    "same-place",
    "siding-into-frame",
    "stations-order",
    "stations-too-near",
    "stem-other-way",
    "strake-above-line",
    "strake-given-twice",
    "strake-off-line",
    "stray-minus",
    "strips-off-depth",
    "suspect-offset",
    "thickness-over-breadth",
    "throat-too-deep",
    "too-few-points",
    "too-great",
    "too-long",
    "too-many-columns",
    "too-many-entries",
    "too-many-rows",
    "top-not-above-bottom",
    "unknown-key",
    "unknown-kind",
    "unknown-name",
    "unknown-table",
    "upper-line-first",
    "waterline-above-sheer",
    "waterline-below-hull",
    "wild-line",
}  # codes of what cannot be made: they are put right, never confirmed
THICK = changed(DESIGN, 'planking = "9 mm"', 'planking = "40 mm"')


def _codes() -> Iterator[str]:
    """Every text of the source but for the list of codes itself."""
    for path in SOURCE.rglob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        listed = [
            node for node in ast.walk(tree) if isinstance(node, ast.Set) and path.name == "confirmed.py"
        ]
        inside = {id(each) for node in listed for each in node.elts}
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in inside:
                yield node.value


@pytest.mark.slow
def test_every_code_of_the_list_is_given_somewhere_in_the_source() -> None:
    assert set(_codes()) >= DOUBTS | ERRORS


@pytest.mark.slow
def test_every_code_that_a_problem_is_given_is_a_doubts_or_an_errors() -> None:
    written: set[str] = set()
    for path in SOURCE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Problem":
                given = [*node.args[3:4], *(key.value for key in node.keywords if key.arg == "code")]
                written |= {str(each.value) for each in given if isinstance(each, ast.Constant)}
    assert len(written) > 10
    # What is to be typed yet is neither wrong nor doubtful.
    assert {code for code in written if not code.startswith("missing-")} <= DOUBTS | ERRORS


@pytest.mark.slow
def test_what_no_table_can_show_is_read_back(tmp_path: Path) -> None:
    """Which surface the lines lie on and what the sheer is given to: compared with the plan by the reader."""
    lines = list(report(load_boat(write_folder(tmp_path))))
    assert any("outside of planking" in line and "top of planking" in line for line in lines)


def test_no_code_is_both() -> None:
    assert not DOUBTS & ERRORS


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
    plain, doubt = Problem("a.csv", "wrong", "change it"), Problem("a.csv", "odd", "", "wide-boat")
    assert with_remedy(plain) == plain
    assert with_remedy(doubt).want == 'if right, add confirmed = ["wide-boat"] under [boat]'
    assert unconfirmed([plain, doubt], ["wide-boat"]) == (plain,)
    assert list(needless([doubt], ["wide-boat"], place="x")) == []
