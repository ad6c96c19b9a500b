"""What a script does with the package: the example in DEVELOPERS.md, and findings as values."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import patterns
from patterns import DesignError, Findings, Problem, RequestError, check, load
from tests.demo import DEMO, demo_boat
from tests.patterns.folders import write_folder

ROOT = Path(__file__).parents[2]


@pytest.mark.slow
def test_the_example_for_scripts_runs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    (example,) = re.findall(r"```python\n(.*?)```", text, re.DOTALL)
    shutil.copytree(DEMO, tmp_path / DEMO.name)
    monkeypatch.chdir(tmp_path)
    names: dict[str, Any] = {}
    exec(example, names)
    made, found = names["made"], names["found"]
    assert sorted(made.files) == sorted(
        path.relative_to("out").as_posix() for path in Path("out").rglob("*") if not path.name.startswith(".")
    )
    assert {pattern.name for pattern in found.patterns} >= {"frame 3 side", "transom panel"}
    assert found.ready
    assert found.warnings == demo_boat().warnings
    assert found.bands == demo_boat().lines.bands
    assert "half_width" in capsys.readouterr().out


def test_every_public_name_is_there_and_no_other() -> None:
    for name in patterns.__all__:
        assert getattr(patterns, name).__doc__
    with pytest.raises(AttributeError):
        _ = patterns.nothing_of_the_kind


def test_importing_the_package_imports_none_of_its_rooms() -> None:
    code = (
        "import sys, patterns; print([m for m in sys.modules if m.startswith('patterns.') or m == 'numpy'])"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def _codes(problems: tuple[Problem, ...]) -> set[str]:
    return {problem.code for problem in problems}


def test_what_is_wrong_is_returned_by_check_and_raised_by_load(tmp_path: Path) -> None:
    folder = write_folder(tmp_path, table="block,line,bow\n")
    with pytest.raises(DesignError) as caught:
        load(folder)
    found = check(str(folder))
    assert not found.ready
    assert found.patterns == ()
    assert found.draft is not None
    assert _codes(found.errors) == _codes(caught.value.problems)


def test_a_repair_that_cannot_be_read_gives_its_errors(tmp_path: Path) -> None:
    shutil.copytree(DEMO / "broken_frame", tmp_path / "repair")
    (tmp_path / "repair" / "points.csv").write_text("", encoding="utf-8")
    found = check(tmp_path / "repair")
    assert found.errors
    assert found.draft is None


@pytest.mark.slow
def test_a_repair_has_points_and_no_assembly() -> None:
    repair = load(DEMO / "broken_frame")
    found = check(repair)
    assert isinstance(found, Findings)
    assert found.ready
    assert found.patterns
    assert found.suspects == found.bands == ()
    with pytest.raises(RequestError):
        check(repair, assembly=True)
