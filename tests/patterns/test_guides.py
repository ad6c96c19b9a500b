"""The guides as a person follows them: every command runs, in order, and ends with the status announced."""

from __future__ import annotations

import re
import shlex
import sys
from functools import partial
from importlib import resources
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from patterns.assembly import proof
from patterns.cli import main
from patterns.codes import CODES
from patterns.commands.guide import GUIDES
from tests.words import unplain

WIDE = 80  # columns of a terminal
TEXTS = {name: (resources.files("patterns") / "guides" / f"{name}.md").read_text("ascii") for name in GUIDES}
COMMAND = re.compile(r"^    (scrieve .*)$", re.MULTILINE)


def commands(text: str) -> list[tuple[str, int]]:
    """Each command with the exit status that the words below it announce; 0 where they announce none."""
    found = list(COMMAND.finditer(text))
    ends = [*(each.start() for each in found[1:]), len(text)]
    return [(each[1], _status(text[each.end() : end])) for each, end in zip(found, ends, strict=True)]


def _status(below: str) -> int:
    announced = re.search(r"\A\s+A new folder ends with status (\d)", below)
    return int(announced[1]) if announced else 0


@pytest.mark.slow
@pytest.mark.parametrize("name", GUIDES)
def test_a_guide_runs_command_by_command(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As they are there, but for what has tests of its own: patterns are laid out without the search for fewer
    pages, assemblies are measured at places farther apart, and the desk is closed at once."""
    monkeypatch.setattr("patterns.desk.opened.opened", lambda *_, **__: None)
    monkeypatch.setattr(proof, "assembled", partial(proof.assembled, step=15.0))
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(click, "get_app_dir", lambda _: str(tmp_path / "mine"))
    assert len(commands(TEXTS[name])) > 6
    for command, status in commands(TEXTS[name]):
        quick = ["--quick"] * (command.split()[1] in ("patterns", "class"))
        result = CliRunner().invoke(main, [*shlex.split(command)[1:], *quick])
        assert result.exit_code == status, f"{command}\n{result.output}"
    written = {path.name for path in tmp_path.rglob("*")}
    for file in re.findall(r"[\w-]+\.(?:pdf|csv|toml|txt|html|svg|json)\b", TEXTS[name]):
        assert any(name.endswith(file) for name in written), f"{file} is named, and nothing has written it"


def test_an_announced_status_is_read() -> None:
    """The test above is no weaker than the words: it finds what they announce."""
    statuses = {name: [status for _, status in commands(text) if status] for name, text in TEXTS.items()}
    assert statuses == {"builder": [1], "repairer": [1], "teacher": [], "paper": []}


@pytest.mark.parametrize("name", GUIDES)
def test_a_guide_fits_a_terminal_and_its_steps_are_numbered(name: str) -> None:
    lines = [line for line in TEXTS[name].splitlines() if not COMMAND.match(line)]
    assert [line for line in lines if len(line) > WIDE] == []
    steps = [int(found[1]) for line in lines if (found := re.match(r"## (\d+)\. \S", line))]
    assert steps == list(range(1, len(steps) + 1))
    assert len(steps) > 5
    assert unplain(TEXTS[name]) == []


@pytest.mark.parametrize("name", GUIDES)
def test_a_guide_names_only_what_there_is(name: str) -> None:
    params = [each for verb in main.commands.values() for each in verb.params]
    options = {option for each in params for option in (*each.opts, *each.secondary_opts)}
    named = set(re.findall(r"(?<![\w-])--?[a-z][a-z-]*(?![\w])", TEXTS[name])) - {"-"}
    assert named <= options
    for code in re.findall(r'confirmed = \["([\w-]+)"\]', TEXTS[name]):
        assert code in CODES
    for other in re.findall(r"scrieve guide (\w+)", TEXTS[name]):
        assert other in GUIDES


@pytest.mark.parametrize("name", GUIDES)
def test_a_guide_is_shown_as_it_is_written(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    paged: list[str] = []
    monkeypatch.setattr(click, "echo_via_pager", paged.append)
    assert CliRunner().invoke(main, ["guide", name]).output == TEXTS[name]
    assert paged == []


def test_a_guide_is_paged_on_a_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    paged: list[str] = []
    monkeypatch.setattr(click, "echo_via_pager", paged.append)
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
    main(["guide", "builder"], standalone_mode=False)
    assert paged == [TEXTS["builder"]]


def test_without_a_name_the_guides_are_listed() -> None:
    listed = CliRunner().invoke(main, ["guide"]).output.splitlines()
    assert len(listed) == len(GUIDES)
    for name, line in zip(GUIDES, listed, strict=True):
        assert line.split()[:3] == ["scrieve", "guide", name]
        assert len(line.split()) > 5
        assert len(line) <= WIDE
