"""The README as a person follows it: its commands run, its links lead somewhere, its pictures are current."""

from __future__ import annotations

import json
import re
import shlex
from importlib import resources
from pathlib import Path

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


def test_its_commands_run_in_their_order() -> None:
    """Those that make something are the builder's guide's, whose test runs them and looks for its files."""
    commands = re.findall(r"^    (scrieve .*)$", TEXT, re.MULTILINE)
    assert len(commands) == 5
    making = [each for each in commands if each.split()[1] in ("start", "patterns")]
    for command in commands:
        if command in making:
            continue
        result = CliRunner().invoke(main, shlex.split(command)[1:])
        assert result.exit_code == 0, f"{command}\n{result.output}"
    builder = (resources.files("patterns") / "guides" / "builder.md").read_text("ascii")
    there = re.findall(r"^    (scrieve .*)$", builder, re.MULTILINE)
    places = [there.index(each) for each in making]
    assert places == sorted(places)
    assert len(places) == 2
    files = re.findall(r"`(Half Past Seven patterns/[^`]*)`", TEXT)
    assert files
    assert all(file in builder for file in files)


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
