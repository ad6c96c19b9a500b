"""Patterns on a roll from the command line: a file for each, first pages for the printer at home."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from pypdf import PdfReader

from patterns.cli import main
from tests.patterns.folders import write_folder


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


@pytest.fixture(scope="module")
def design(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_folder(tmp_path_factory.mktemp("design"))


@pytest.mark.slow
def test_each_pattern_has_a_file_that_tells_width_and_length(
    design: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")  # first pages are on A4 there
    into = tmp_path / "out"
    said = run("patterns", design, "--output", into, "--paper", "36 in roll")
    assert said.exit_code == 0, said.output
    first = PdfReader(into / "patterns.pdf")
    files = sorted((into / "rolls").iterdir())
    count = len(list((into / "svg").iterdir()))
    assert len(files) == count
    metres = 0.0
    for path in files:
        pages = PdfReader(path).pages
        name, length = path.stem.removesuffix(" m").rsplit(" ", 1)
        assert name.endswith("36 in roll")
        for page in pages:
            # 36 in are 2592 pt
            assert float(page.mediabox.width) == pytest.approx(2592.0, abs=1e-3)
            assert float(page.mediabox.height) / 72.0 * 0.0254 == pytest.approx(float(length), abs=0.005)
            metres += float(page.mediabox.height) / 72.0 * 0.0254
        assert run("prove", path).exit_code == 0
    assert f"{metres:.1f} m of it" in said.output
    assert (
        "which has a file of its own" in said.output
    )  # the pattern to try first: no page of a roll has a number
    assert "--pages" not in said.output
    assert f"{len(first.pages)} first A4 pages" in said.output
    assert "at the print shop" in first.page_labels[0]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--landscape",), "as wide as it is"),
        (("--pages", "3"), "--only"),
        (("--margin", "300 mm"), "window only"),
    ],
)
def test_requests_that_a_roll_cannot_meet_are_told(
    design: Path, options: tuple[str, ...], words: str
) -> None:
    said = run("patterns", design, "--paper", "24 in roll", *options)
    assert said.exit_code == 2
    assert words in said.output


@pytest.mark.slow
def test_the_ruler_page_of_a_roll_is_square(tmp_path: Path) -> None:
    said = run("ruler", "--paper", "610 mm roll", "--output", tmp_path / "ruler.pdf")
    assert said.exit_code == 0, said.output
    box = PdfReader(tmp_path / "ruler.pdf").pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx((1729.134, 1729.134), abs=1e-2)
