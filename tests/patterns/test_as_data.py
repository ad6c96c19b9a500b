"""What the commands print for other programs: one JSON document with codes and values, and the same exit status."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from patterns.cli import main
from patterns.codes import CODES
from patterns.commands.problems import WIDE, show
from tests.patterns.folders import DESIGN, changed, write_folder

THICK = changed(DESIGN, 'planking = "9 mm"', 'planking = "40 mm"')


def _run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


@pytest.mark.slow
def test_a_check_gives_its_doubts_with_their_codes_and_the_same_status(tmp_path: Path) -> None:
    result = _run("check", "--json", write_folder(tmp_path, design=THICK))
    data = json.loads(result.stdout)
    assert result.exit_code == data["status"]
    found = [each["code"] for key in ("errors", "doubts", "hints") for each in data[key]]
    assert "thick-planking" in found
    for key in ("errors", "doubts", "hints"):
        for each in data[key]:
            assert each["severity"] == CODES[each["code"]].severity.value
            assert each["place"].startswith(("design.toml", "offsets.csv"))
    assert {band["line"] for band in data["bands"]} >= {"chine", "sheer"}


def test_a_folder_that_cannot_be_read_gives_its_errors_as_data(tmp_path: Path) -> None:
    folder = write_folder(tmp_path, design=changed(DESIGN, 'planking = "9 mm"', 'planking = "nine"'))
    for verb in ("check", "patterns"):
        result = _run(verb, "--json", folder)
        data = json.loads(result.stdout)
        assert result.exit_code == data["status"] == 1
        (error,) = data["errors"]
        assert error["code"] == "length-unreadable"
        assert "planking" in error["place"]


@pytest.mark.slow
def test_pages_and_their_proof_as_data(tmp_path: Path) -> None:
    """The files that are named are those that lie in the folder, and the pages are those of the file."""
    out = tmp_path / "out"
    result = _run("patterns", "--json", write_folder(tmp_path), "-o", out, "--quick")
    data = json.loads(result.stdout)
    assert {*data["files"]} == {
        path.relative_to(out).as_posix() for path in out.rglob("*") if path.is_file() and path.name[0] != "."
    } | {name for name in data["files"] if name[0] == "."}
    assert max(each["last page"] for each in data["patterns"]) == data["pages"]
    listed = _run("patterns", tmp_path, "--list").output.splitlines()
    assert sorted(listed) == sorted(each["name"] for each in data["patterns"])
    proof = json.loads(_run("prove", "--json", out / "patterns.pdf").stdout)
    assert proof["findings"] == []
    assert proof["pages"] == data["pages"]
    assert proof["scale"] == pytest.approx(1.0, abs=1e-5)


@pytest.mark.parametrize("columns", [44, 80, 300])
def test_a_terminal_gets_lines_that_fit_and_a_pipe_whole_ones(
    columns: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    line = (
        "  design.toml, frame 4: " + "nothing joins it to the keel; " * 9 + 'confirmed = ["frame-not-joined"]'
    )
    show(line)
    assert capsys.readouterr().out == f"{line}\n"
    monkeypatch.setenv("COLUMNS", str(columns))
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
    show(line)
    shown = capsys.readouterr().out.splitlines()
    assert all(len(each) <= min(columns, WIDE) for each in shown)
    assert " ".join(each.strip() for each in shown) == line.strip()
    assert all(each.startswith("      ") for each in shown[1:])
