"""The files are the only truth: each edit is written whole, taken back whole, and never over another's."""

from __future__ import annotations

import os
import stat
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.desk.files import DeskFiles, EditRefusedError
from patterns.errors import PatternsError
from tests.patterns.folders import DESIGN, STEM, TABLE, digests, write_folder


def test_an_edit_is_on_the_drive_at_once_and_nothing_else_is(tmp_path: Path) -> None:
    files = DeskFiles(write_folder(tmp_path))
    before = digests(tmp_path)
    file = files.files["offsets.csv"]
    files.change("offsets.csv", file.digest, lambda _: b"new\n")
    assert (tmp_path / "offsets.csv").read_bytes() == b"new\n"
    after = digests(tmp_path)
    assert {name for name in after if after[name] != before.get(name)} == {"offsets.csv"}
    assert set(after) == set(before)


@pytest.mark.slow
@given(steps=st.lists(st.sampled_from(["edit", "undo", "redo", "typing"]), max_size=14))
def test_undo_and_redo_are_those_of_a_list_of_texts(
    tmp_path_factory: pytest.TempPathFactory, steps: list[str]
) -> None:
    folder = write_folder(tmp_path_factory.mktemp("undo"))
    files = DeskFiles(folder)
    texts, at, joined = [TABLE.encode()], 0, False
    for number, step in enumerate(steps):
        base = files.files["offsets.csv"].digest
        if step in ("edit", "typing"):
            data = f"state {number}\n".encode()
            typing = 7 if step == "typing" else None
            files.change("offsets.csv", base, lambda _, data=data: data, joined=typing)  # type: ignore[misc]
            if joined and typing:
                texts[at:] = [data]
            else:
                texts[at + 1 :] = [data]
                at += 1
            joined = typing is not None
            continue
        to = at + (1 if step == "redo" else -1)
        act = files.redo if step == "redo" else files.undo
        if 0 <= to < len(texts):
            act("offsets.csv", base)
            at, joined = to, False
        else:
            with pytest.raises(EditRefusedError):
                act("offsets.csv", base)
        assert (folder / "offsets.csv").read_bytes() == texts[at]
    assert (folder / "offsets.csv").read_bytes() == texts[at]


@pytest.mark.parametrize("act", ["change", "undo", "redo"])
def test_what_another_program_has_written_is_never_written_over(tmp_path: Path, act: str) -> None:
    files = DeskFiles(write_folder(tmp_path))
    path, file = tmp_path / "offsets.csv", files.files["offsets.csv"]
    files.change("offsets.csv", file.digest, lambda _: b"ours\n")
    files.change("offsets.csv", file.digest, lambda _: b"ours again\n")
    files.undo("offsets.csv", file.digest)
    seen = file.digest
    path.write_bytes(b"theirs\n")
    acts = {
        "change": lambda: files.change("offsets.csv", seen, lambda _: b"over it\n"),
        "undo": lambda: files.undo("offsets.csv", seen),
        "redo": lambda: files.redo("offsets.csv", seen),
    }
    with pytest.raises(EditRefusedError):
        acts[act]()
    assert path.read_bytes() == b"theirs\n"
    # And what came before it cannot be brought back over it.
    for again in (files.undo, files.redo):
        with pytest.raises(EditRefusedError):
            again("offsets.csv", file.digest)
    assert path.read_bytes() == b"theirs\n"


def test_a_file_that_is_gone_is_not_made_again(tmp_path: Path) -> None:
    files = DeskFiles(write_folder(tmp_path))
    (tmp_path / "stem.csv").unlink()
    with pytest.raises(EditRefusedError):
        files.change("stem.csv", files.files["stem.csv"].digest, lambda _: b"x")
    assert files.read() == ("stem.csv",)
    assert not (tmp_path / "stem.csv").exists()


def test_changes_from_outside_are_named(tmp_path: Path) -> None:
    files = DeskFiles(write_folder(tmp_path))
    assert files.read() == ()
    (tmp_path / "stem.csv").write_text(STEM + "\n", encoding="utf-8")
    (tmp_path / "class.csv").write_text("name\n", encoding="utf-8")
    (tmp_path / "design.toml").write_text(DESIGN + "\n", encoding="utf-8")
    assert sorted(files.read()) == ["class.csv", "design.toml", "stem.csv"]
    assert files.read() == ()


def test_an_edit_that_fails_leaves_file_and_history(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    files = DeskFiles(write_folder(tmp_path))
    file = files.files["offsets.csv"]

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("patterns.desk.files.put_in_place", full)
    with pytest.raises(PatternsError):
        files.change("offsets.csv", file.digest, lambda _: b"half")
    assert (tmp_path / "offsets.csv").read_bytes() == file.data == TABLE.encode()
    assert not file.before


@pytest.mark.skipif(sys.platform == "win32", reason="rights of files as on Unix")
def test_a_file_keeps_its_rights(tmp_path: Path) -> None:
    files = DeskFiles(write_folder(tmp_path))
    os.chmod(tmp_path / "offsets.csv", 0o640)
    files.change("offsets.csv", files.files["offsets.csv"].digest, lambda _: b"new")
    assert stat.S_IMODE((tmp_path / "offsets.csv").stat().st_mode) == 0o640
