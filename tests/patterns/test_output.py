"""Files are written whole or not at all, and nothing that is somebody else's is written over."""

from __future__ import annotations

from pathlib import Path

import pytest

from patterns.errors import DesignError, PatternsError
from patterns.files.batch import batch, safe_name
from tests.patterns.folders import places_of


def _write(folder: Path, text: str, *, replace: bool = False) -> None:
    with batch(folder, replace=replace) as work:
        work.write("a.txt", text)
        work.write("deep/b.txt", text)


def _write_half(folder: Path) -> None:
    with batch(folder) as work:
        work.write("a.txt", "half")
        raise RuntimeError


@pytest.mark.slow
def test_a_batch_is_put_in_place_and_may_be_written_again(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    _write(folder, "first")
    _write(folder, "second")
    assert (folder / "a.txt").read_text() == "second"
    assert (folder / "deep/b.txt").read_text() == "second"
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


@pytest.mark.slow
def test_a_failure_leaves_the_earlier_output_untouched(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    _write(folder, "first")
    with pytest.raises(RuntimeError):
        _write_half(folder)
    assert (folder / "a.txt").read_text() == "first"
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


@pytest.mark.slow
def test_a_file_changed_by_hand_is_not_written_over_unless_asked(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    _write(folder, "first")
    (folder / "a.txt").write_text("my own notes")
    with pytest.raises(DesignError) as error:
        _write(folder, "second")
    assert places_of(error.value) == [(str(folder / "a.txt"), "foreign-file")]
    assert (folder / "a.txt").read_text() == "my own notes"
    assert (folder / "deep/b.txt").read_text() == "first"
    _write(folder, "second", replace=True)
    assert (folder / "a.txt").read_text() == "second"


@pytest.mark.slow
def test_somebody_else_s_file_is_not_written_over(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    folder.mkdir()
    (folder / "a.txt").write_text("mine")
    with pytest.raises(DesignError):
        _write(folder, "first")
    assert (folder / "a.txt").read_text() == "mine"
    assert not (folder / "deep").exists()


@pytest.mark.slow
def test_a_folder_that_cannot_be_written_is_told_plainly(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder")
    with pytest.raises(PatternsError, match="cannot be written"):
        _write(tmp_path / "file" / "out", "first")


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("Half Past Seven", "Half Past Seven"),
        ("../../etc/passwd", "-..-etc-passwd"),
        ("a/b\\c:d*e?f", "a-b-c-d-e-f"),
        ("  ", "boat"),
        ("...", "boat"),
        ("Møwe å", "Møwe å"),
    ],
)
def test_names_make_safe_file_names(words: str, name: str) -> None:
    assert safe_name(words) == name


def test_a_very_long_name_is_cut() -> None:
    assert len(safe_name("å" * 300).encode()) <= 80
