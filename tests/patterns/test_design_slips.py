"""Slips in a design end in a clear message, whatever shape they make."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from patterns.cli import main

ROUND = Path(__file__).parents[2] / "demo_design" / "round_bilge"
HARD = ROUND.parent


@pytest.mark.slow
@pytest.mark.parametrize(
    ("source", "right", "wrong", "status"),
    [
        (ROUND, 'half_breadth = "300 mm"', 'half_breadth = "3 mm"', 3),
        (ROUND, 'height = "120 mm"', 'height = "240 mm"', 3),
        (HARD, 'moulded = "45 mm"', 'moulded = "4.5 mm"', 1),
    ],
)
def test_a_slip_is_told_without_a_traceback(
    tmp_path: Path, source: Path, right: str, wrong: str, status: int
) -> None:
    for path in source.glob("*.csv"):
        shutil.copy(path, tmp_path)
    text = (source / "design.toml").read_text(encoding="utf-8")
    assert right in text
    (tmp_path / "design.toml").write_text(text.replace(right, wrong, 1), encoding="utf-8")
    result = CliRunner().invoke(main, ["check", str(tmp_path)])
    assert result.exit_code == status
    assert isinstance(result.exception, SystemExit)
    assert ("error" if status == 1 else "row-off-its-level") in result.output
