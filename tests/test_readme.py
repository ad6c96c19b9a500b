"""The README as a person follows it: the commands of each journey run in their order."""

from __future__ import annotations

import shlex
import shutil
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from patterns.cli import main

ROOT = Path(__file__).parents[1]
TEXT = (ROOT / "README.md").read_text(encoding="utf-8")


def journeys() -> dict[str, list[str]]:
    """The indented commands below each heading, in their order; a line that ends with a backslash goes on."""
    found: dict[str, list[str]] = {}
    heading = ""
    for line in TEXT.replace("\\\n", " ").splitlines():
        if line.startswith("#"):
            heading = line.lstrip("# ")
        elif line.startswith("    scrieve "):
            found.setdefault(heading, []).append(" ".join(line.split()))
    return found


@pytest.mark.slow
@pytest.mark.parametrize("journey", journeys())
def test_a_journey_runs_command_by_command(
    journey: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copytree(ROOT / "demo_design", tmp_path / "demo_design")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(click, "get_app_dir", lambda _: str(tmp_path))
    for command in journeys()[journey]:
        result = CliRunner().invoke(main, shlex.split(command)[1:])
        assert result.exit_code == 0, f"{command}\n{result.output}"


@pytest.mark.slow
def test_each_of_the_three_people_has_a_journey() -> None:
    assert {"The builder", "The repairer", "The teacher"} <= set(journeys())
