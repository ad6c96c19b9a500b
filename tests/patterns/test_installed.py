"""The package as it is installed: built from a copy of the source, it has everything that the commands read."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from patterns.cli import main
from tests.demo import DEMO
from tests.patterns.folders import digests

ROOT = Path(__file__).parents[2]
MAIN = "from patterns.cli import main; main()"


def files_of_the_demo() -> dict[str, str]:
    return {name: digest for name, digest in digests(DEMO).items() if name.endswith((".csv", ".toml"))}


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that pip installs a built wheel into; the libraries are those of this environment."""
    source = tmp_path_factory.mktemp("source")
    for name in ("patterns", "tiling", "demo_design"):
        shutil.copytree(ROOT / name, source / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md"):
        shutil.copy(ROOT / name, source)
    folder = tmp_path_factory.mktemp("installed")
    pip = [sys.executable, "-m", "pip", "--quiet", "--disable-pip-version-check"]
    done = subprocess.run(
        [*pip, "install", "--no-deps", "--target", str(folder), str(source)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return folder


def run(installed: Path, desk: Path, *arguments: str) -> str:
    """What the installed command prints, run in a folder that has nothing to do with the source."""
    done = subprocess.run(
        [sys.executable, "-c", MAIN, *arguments],
        cwd=desk,
        env={**os.environ, "PYTHONPATH": str(installed)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.mark.slow
def test_an_installed_package_starts_the_demo(installed: Path, tmp_path: Path) -> None:
    run(installed, tmp_path, "start", "boat", "--type", "demo")
    assert digests(tmp_path / "boat") == files_of_the_demo()


@pytest.mark.slow
def test_every_file_of_the_packages_is_installed(installed: Path) -> None:
    for package in ("patterns", "tiling"):
        ours = {name for name in digests(ROOT / package) if "__pycache__" not in name}
        assert ours
        assert ours <= set(digests(installed / package))


def test_the_source_starts_the_demo_too(tmp_path: Path) -> None:
    again = ["start", str(tmp_path / "boat"), "--type", "demo"]
    assert CliRunner().invoke(main, again).exit_code == 0
    assert digests(tmp_path / "boat") == files_of_the_demo()
    assert CliRunner().invoke(main, again).exit_code == 1
