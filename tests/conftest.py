"""What holds for all tests: one thread for linear algebra, and finished folders that are made once for all."""

from __future__ import annotations

import os

# Before numpy is loaded.  The matrices here are small: threads of its library wait for one another in a busy loop,
# which takes many times the work itself where there are more processes than cores.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import settings

from patterns.cli import main
from tests.demo import DEMO
from tests.patterns.folders import digests, write_folder
from tests.tiling.readback import Sheet, read

# How long an example takes is no truth about the program, and a busy machine would make a test fail.
settings.register_profile("untimed", deadline=None, max_examples=30)
settings.load_profile("untimed")


@pytest.fixture(scope="session")
def made_demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """What the main job writes for the demo boat, on A4, every pattern on pages of its own."""
    yield from _made(DEMO, tmp_path_factory.mktemp("demo") / "out", "--quick")


@pytest.fixture(scope="session")
def demo_sheets(made_demo: Path) -> list[Sheet]:
    """The pages of its patterns."""
    return read(made_demo / "patterns.pdf")


@pytest.fixture(scope="session")
def made_small(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """What it writes for the small design of the tests, on A4, with the search for fewer pages."""
    design = write_folder(tmp_path_factory.mktemp("small"))
    yield from _made(design, design / "out")


def _made(design: Path, folder: Path, *options: str) -> Iterator[Path]:
    arguments = ["patterns", str(design), "--output", str(folder), "--paper", "a4", *options]
    result = CliRunner().invoke(main, arguments)
    assert result.exit_code == 0, result.output
    before = digests(folder)
    yield folder
    assert digests(folder) == before, "a test changed what other tests read"
