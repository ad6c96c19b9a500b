"""A folder that is watched while it is typed: read again when it is saved, its picture loaded anew by itself."""

from __future__ import annotations

import itertools
import os
import signal
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from click.testing import CliRunner

from patterns.cli import main
from patterns.draft import draft_boat
from patterns.files.stamps import changed_names, changes, stamps_of
from patterns.picture.draft import draft_plates
from patterns.run.starter import SORTS, start_folder
from tests.patterns.folders import TABLE, changed, write_folder


def test_what_was_changed_is_named(tmp_path: Path) -> None:
    folder = write_folder(tmp_path)
    before = stamps_of(folder)
    assert changed_names(before, stamps_of(folder)) == ()
    (folder / "offsets.csv").write_text(TABLE + "# a note\n", encoding="utf-8")
    (folder / "new.toml").write_text("", encoding="utf-8")
    (folder / "stem.csv").unlink()
    (folder / "picture.html").write_text("not read", encoding="utf-8")
    (folder / ".#offsets.csv").write_text("an editor's own", encoding="utf-8")
    assert changed_names(before, stamps_of(folder)) == ("new.toml", "offsets.csv", "stem.csv")


def test_a_change_that_came_before_the_wait_is_found(tmp_path: Path) -> None:
    folder = write_folder(tmp_path)
    before = stamps_of(folder)
    (folder / "offsets.csv").write_text(TABLE + "# a note\n", encoding="utf-8")
    assert list(itertools.islice(changes(folder, before), 1)) == [("offsets.csv",)]


@pytest.mark.parametrize("sort", [sort for sort in SORTS if sort not in ("broken frame", "demo")])
def test_a_fresh_folder_draws_from_the_fourth_point_of_one_line(tmp_path: Path, sort: str) -> None:
    """Nothing but a station row and four figures is typed, into what ``scrieve start`` has written."""
    folder = tmp_path / "boat"
    start_folder(folder, sort=sort)
    table = folder / "offsets.csv"
    rows = [line.split(",") for line in table.read_text(encoding="utf-8").splitlines()]
    typed = {
        ("position", ""): ("1-0-0", "2-0-0", "3-0-0", "4-0-0"),
        ("height", "sheer"): ("2-4-0", "2-2-0", "2-1-0"),
    }
    drawn = []
    for more in ("", "2-0-4"):
        for row in rows:
            values = typed.get((row[0], row[1] if len(row) > 1 else ""), ())
            values = (*values, more) if row[0] == "height" and values else values
            row[3 : 3 + len(values)] = values
        table.write_text("\n".join(",".join(row) for row in rows) + "\n", encoding="utf-8")
        draft = draft_boat(folder)
        assert draft.lines is not None
        runs = [(run.line, run.view) for run in draft.lines.runs]
        drawn.append((runs, bool(draft_plates(draft))))
    assert drawn == [([], True), ([("sheer", "height")], True)]  # three offsets are places without a line


def test_json_is_of_one_check_alone(tmp_path: Path) -> None:
    folder = write_folder(tmp_path)
    assert CliRunner().invoke(main, ["check", str(folder), "--json", "--watch"]).exit_code == 2


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="Ctrl-C is sent as on Unix")
def test_the_table_is_read_again_and_the_browser_loads_the_picture_by_itself(tmp_path: Path) -> None:
    from tests.browser import Browser  # skipped where there is none

    (tmp_path / "boat").mkdir()
    folder, picture = write_folder(tmp_path / "boat"), tmp_path / "a picture #1.html"
    command = [
        sys.executable,
        "-c",
        "from patterns.cli import main; main()",
        "check",
        str(folder),
        "--watch",
        "--picture",
        str(picture),
    ]
    said: list[str] = []
    told = threading.Condition()
    process = subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )

    def listen() -> None:
        assert process.stdout is not None
        for line in process.stdout:
            with told:
                said.append(line)
                told.notify_all()

    listener = threading.Thread(target=listen, daemon=True)
    listener.start()

    def wait(times: int) -> None:
        with told:
            assert told.wait_for(lambda: sum(line.startswith("wrote ") for line in said) >= times, 60), said

    browser = Browser()
    try:
        wait(1)
        tab = browser.tab(picture)
        assert tab.run("document.querySelectorAll('#lines .suspect').length") == 0
        slipped = changed(TABLE, "2-0-4+", "2-1-4+")
        (folder / "offsets.csv").write_text(slipped, encoding="utf-8")
        wait(2)
        assert tab.until("document.querySelectorAll('#lines .suspect').length") > 0
        assert tab.faults() == []
    finally:
        browser.close()
        process.send_signal(signal.SIGINT)
        status = process.wait(60)
        listener.join(60)
        assert process.stdout is not None
        process.stdout.close()
    assert status == 3, said  # that of the last check: a suspect
    assert not list(tmp_path.glob(".*"))
