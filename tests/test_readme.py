"""The README as a person follows it: its commands run, its links lead somewhere, its pictures are current."""

from __future__ import annotations

import json
import re
import shlex
from pathlib import Path

import click
import pytest
import shapely
from click.testing import CliRunner

from patterns.cli import main
from patterns.commands.guide import GUIDES
from tests.docs.pictures import RECORD, drawn_from
from tests.words import unplain

ROOT = Path(__file__).parents[1]
TEXT = (ROOT / "README.md").read_text(encoding="utf-8")
NEAR = 0.05  # mm; the pictures are drawn from outlines that are the same to this


@pytest.mark.slow
def test_its_commands_run_in_their_order(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(click, "get_app_dir", lambda _: str(tmp_path))
    commands = re.findall(r"^    scrieve (.*)$", TEXT, re.MULTILINE)
    assert len(commands) == 4
    for command in commands:
        result = CliRunner().invoke(main, shlex.split(command))
        assert result.exit_code == 0, f"{command}\n{result.output}"
    for file in re.findall(r"`(Half Past Seven patterns/[^`]*)`", TEXT):
        assert (tmp_path / file).exists()


def test_it_is_short_and_installs_on_its_first_screen() -> None:
    assert len(TEXT.split()) < 720
    first = TEXT.splitlines()[:25]
    assert {"macOS and Linux:", "Windows:"} <= set(first)
    for command in ("pip install", "scrieve patterns demo_design"):
        assert sum(command in line for line in first) == 2
    assert unplain(TEXT) == []


def test_its_links_and_pictures_lead_to_files() -> None:
    links = re.findall(r'\]\(([^)]+)\)|src="([^"]+)"', TEXT)
    targets = ["".join(each) for each in links]
    assert {f"patterns/guides/{name}.md" for name in GUIDES} <= set(targets)
    for target in targets:
        assert (ROOT / target).is_file(), target


@pytest.mark.slow
def test_its_pictures_are_drawn_from_what_the_tool_draws_now() -> None:
    kept, now = json.loads(RECORD.read_text(encoding="utf-8")), drawn_from()
    again = "draw them again: python -m tests.docs.pictures"
    assert kept["piece"] == now["piece"], again
    assert kept["words"] == now["words"], again
    assert len(kept["outlines"]) == len(now["outlines"]) > 0, again
    for one, two in zip(kept["outlines"], now["outlines"], strict=True):
        apart = shapely.hausdorff_distance(shapely.linestrings(one), shapely.linestrings(two))
        assert apart < NEAR, again
