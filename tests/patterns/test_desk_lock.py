"""One desk for a folder: a second one is shown the first; what a killed one left behind is cleared."""

from __future__ import annotations

import json
import os
import stat
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from patterns.cli import main
from patterns.desk.alive import answers
from patterns.desk.lock import DeskRunningError, held
from patterns.desk.opened import last_opened, opened
from tests.patterns.desks import served
from tests.patterns.folders import write_folder


def locks(room: Path) -> list[Path]:
    return sorted(room.glob("*.json"))


def test_a_second_desk_is_shown_the_address_of_the_first(tmp_path: Path) -> None:
    room = tmp_path / "room"
    (tmp_path / "boat").mkdir()
    folder = write_folder(tmp_path / "boat")
    with served(folder) as desk, held(folder, desk.gate.address, room=room, answers=answers):
        shown: list[tuple[str, bool]] = []
        other_name = tmp_path / "boat" / ".." / "boat"
        opened(other_name, room=room, show=lambda address, *, running: shown.append((address, running)))
        assert shown == [(desk.gate.address, True)]
        assert len(locks(room)) == 1
    assert locks(room) == []


def test_a_lock_whose_desk_does_not_answer_is_taken_over(tmp_path: Path) -> None:
    room = tmp_path / "room"
    with served(write_folder(tmp_path)) as desk:
        gone = desk.gate.address
    for content in (
        json.dumps({"address": gone}),
        "",
        "[]",
        '{"address": 7}',
        '{"address": "http://evil.example/"}',
    ):
        with held(tmp_path, "a desk that is killed", room=room, answers=answers):
            left = locks(room)[0]
            left.write_text(content, encoding="utf-8")
        assert left.exists()
        with held(tmp_path, "new", room=room, answers=answers):
            assert json.loads(left.read_text(encoding="utf-8")) == {"address": "new"}
        assert list(room.iterdir()) == []


def test_an_answer_counts_only_from_this_machine_and_from_a_desk(tmp_path: Path) -> None:
    with served(write_folder(tmp_path)) as desk:
        assert answers(desk.gate.address)
        assert not answers(desk.gate.address.replace(desk.gate.token, "other"))
        assert not answers(desk.gate.address.replace("127.0.0.1", "localhost"))
    assert not answers(desk.gate.address)
    assert not answers("")
    assert not answers("http://127.0.0.1:99999/x/")


def test_the_lock_of_another_desk_is_not_removed(tmp_path: Path) -> None:
    """One that was taken over while its desk was asleep."""
    with held(tmp_path, "mine", room=tmp_path / "room", answers=answers):
        lock = locks(tmp_path / "room")[0]
        lock.write_text(json.dumps({"address": "another's"}), encoding="utf-8")
    assert lock.exists()


@pytest.mark.skipif(sys.platform == "win32", reason="rights of files as on Unix")
def test_only_the_user_may_read_the_address(tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        with held(tmp_path, "address", room=tmp_path / "room", answers=answers):
            assert stat.S_IMODE(locks(tmp_path / "room")[0].stat().st_mode) == 0o600
            assert stat.S_IMODE((tmp_path / "room").stat().st_mode) == 0o700
    finally:
        os.umask(before)


def test_while_a_desk_runs_its_folder_is_held(tmp_path: Path) -> None:
    with (
        held(tmp_path, "first", room=tmp_path / "room", answers=lambda _: True),
        pytest.raises(DeskRunningError) as caught,
        held(tmp_path, "second", room=tmp_path / "room", answers=lambda _: True),
    ):
        pytest.fail("two desks hold one folder")
    assert caught.value.address == "first"


def test_the_folder_that_was_opened_last_is_known(tmp_path: Path) -> None:
    room, folder = tmp_path / "room", tmp_path / "boat"
    folder.mkdir()
    write_folder(folder)

    def show(address: str, *, running: bool) -> None:
        raise KeyboardInterrupt

    opened(folder, room=room, show=show)
    assert last_opened(room) == folder.resolve()
    assert locks(room) == []
    assert last_opened(tmp_path / "nowhere") is None


def test_a_folder_without_a_design_is_wrong_usage(tmp_path: Path) -> None:
    assert CliRunner().invoke(main, ["desk", str(tmp_path), "--no-browser"]).exit_code == 2
