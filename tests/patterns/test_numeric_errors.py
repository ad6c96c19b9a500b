"""Figures without an answer: the piece is left out and named, the exit status says so, nothing wrong is printed."""

from __future__ import annotations

import dataclasses
import json
import warnings
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from patterns import members
from patterns.boat import Boat
from patterns.cli import main
from patterns.errors import InternalError, RequestError
from patterns.joinery.make_pieces import make_all
from patterns.joinery.wood import Wanted
from patterns.members import support
from patterns.numeric_errors import PiecesOmitted, no_numeric_errors
from patterns.pattern import Pattern
from patterns.timbers.run import Run
from tests.patterns.folders import write_folder


def _no_answer() -> tuple[Pattern, ...]:
    np.float64(1.0) / np.float64(0.0)
    return ()


def _good() -> tuple[Pattern, ...]:
    return ()


def test_a_figure_without_an_answer_is_an_internal_error() -> None:
    with pytest.raises(InternalError), no_numeric_errors():
        np.log(np.zeros(1))
    with no_numeric_errors():
        np.log(np.ones(1))


def test_an_error_of_the_design_comes_before_what_its_figures_did() -> None:
    def wild() -> None:
        with no_numeric_errors():
            np.log(np.zeros(1))
            raise RequestError("crossed")

    with pytest.raises(RequestError):
        wild()


@pytest.mark.slow
def test_the_piece_is_left_out_and_the_others_are_made() -> None:
    with pytest.warns(PiecesOmitted) as caught:
        made = make_all(
            [('frame "1"', _no_answer), ('frame "2"', _good)], given="these lines", slip_in="the table"
        )
    assert made == ()
    assert [each.message.names for each in caught if isinstance(each.message, PiecesOmitted)] == [
        ('frame "1"',)
    ]


def _pieces_that_fail(_: Boat) -> Iterator[Wanted]:
    yield 'support "post"', partial(_no_answer)


@pytest.mark.made_anew
@pytest.mark.slow
def test_a_run_names_what_it_left_out_and_ends_with_status_1(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    failing = dataclasses.replace(support.KIND, pieces=_pieces_that_fail)
    kinds = tuple(failing if kind is support.KIND else kind for kind in members.KINDS)
    monkeypatch.setattr(members, "KINDS", kinds)
    design = write_folder(tmp_path)
    out = tmp_path / "out"
    with warnings.catch_warnings():
        result = CliRunner().invoke(
            main, ["patterns", str(design), "--output", str(out), "--paper", "a4", "--quick"]
        )
    assert result.exit_code == 1
    assert 'support "post"' in result.stderr
    names = [
        shape["name"] for shape in json.loads((out / "shapes.json").read_text(encoding="utf-8"))["patterns"]
    ]
    assert names
    assert "post" not in names


@pytest.mark.made_anew
@pytest.mark.slow
def test_where_no_single_piece_is_at_fault_nothing_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    laid = Boat.runs.func

    def runs(boat: Boat) -> tuple[Run, ...]:
        _no_answer()
        return laid(boat)

    monkeypatch.setattr(Boat, "runs", property(runs))
    design = write_folder(tmp_path)
    out = tmp_path / "out"
    result = CliRunner().invoke(
        main, ["patterns", str(design), "--output", str(out), "--paper", "a4", "--quick"]
    )
    assert result.exit_code == 1
    assert "internal error" in result.stderr
    assert not out.exists()
