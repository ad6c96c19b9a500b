"""A run that fails or is killed leaves the former output whole and says plainly why; hostile names do no harm."""

from __future__ import annotations

import csv
import errno
import io
import json
import os
import random
import re
import signal
import subprocess
import sys
import tempfile
import time
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from patterns.cli import main
from patterns.errors import PatternsError
from patterns.files import staging as workshop
from patterns.files.batch import batch, safe_name
from patterns.files.staging import PREFIX, settled
from patterns.shop.cells import csv_text
from tests.bench.fuzz_bench import spoil, tried
from tests.patterns.folders import DESIGN, STEM, changed, write_folder

NAMES = ("a.txt", "b.txt", "deep/c.txt")


def _write(folder: Path, text: str) -> None:
    with batch(folder) as work:
        for name in NAMES:
            work.write(name, text * 1000)


def _state(folder: Path) -> dict[str, str]:
    return {str(p.relative_to(folder)): p.read_text() for p in sorted(folder.rglob("*")) if p.is_file()}


# Killed

KILLED = """
import os, signal, sys
from pathlib import Path
from patterns.files.batch import batch
from patterns.files.staging import settled
folder, moment, only, undo = Path(sys.argv[1]), int(sys.argv[2]), sys.argv[3:4], sys.argv[4:]
only = [name for name in only if name]
count = 0
def counted(name, real):
    def call(*args, **kwargs):
        global count
        count += name in (only or [name])
        if count == moment:
            os.kill(os.getpid(), signal.SIGKILL)
        return real(*args, **kwargs)
    return call
for name in ("replace", "link", "mkdir", "unlink", "rmdir", "fsync"):
    setattr(os, name, counted(name, getattr(os, name)))
Path.write_text = counted("write_text", Path.write_text)
if undo:
    settled(folder)
else:
    with batch(folder) as work:
        for name in ("a.txt", "b.txt", "deep/c.txt"):
            work.write(name, "new " * 1000)
"""
AT_THE_SECOND_FILE = ("3", "replace")  # the journal is moved first, then the files


def _killed(folder: Path, *how: str) -> bool:
    """Whether a run was killed before the given call; else it came to its end."""
    done = subprocess.run([sys.executable, "-c", KILLED, str(folder), *how], check=False)
    assert done.returncode in (0, -signal.SIGKILL)
    return done.returncode != 0


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="no such signal")
def test_a_run_killed_at_any_moment_leaves_whole_files_and_the_next_clears_up(tmp_path: Path) -> None:
    """Killed before each call by which it writes, makes, keeps or moves anything."""
    moment, killed, whole = 0, True, 0
    while killed:
        moment += 1
        folder = tmp_path / str(moment) / "out"
        _write(folder, "old ")
        killed = _killed(folder, str(moment))
        for name in NAMES:
            assert (folder / name).read_text() in ("old " * 1000, "new " * 1000)
        settled(folder)
        texts = {(folder / name).read_text() for name in NAMES}
        assert len(texts) == 1  # one set, the former or the new one
        whole += texts == {"new " * 1000}
        assert [path.name for path in folder.parent.iterdir()] == ["out"]
        _write(folder, "next ")
        assert {name for name in _state(folder) if name != ".written.json"} == set(NAMES)
        assert all((folder / name).read_text() == "next " * 1000 for name in NAMES)
        assert [path.name for path in folder.parent.iterdir()] == ["out"]
    assert moment > 20
    assert whole > 1  # killed after the journal was gone, and not killed at all


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal")
def test_what_the_user_changed_after_a_kill_is_not_undone(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    _write(folder, "old ")
    assert _killed(folder, *AT_THE_SECOND_FILE)
    assert (folder / "a.txt").read_text() == "new " * 1000
    (folder / "a.txt").write_text("my notes")
    assert settled(folder)
    assert (folder / "a.txt").read_text() == "my notes"
    assert (folder / "b.txt").read_text() == "old " * 1000


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="no such signal")
def test_undoing_may_be_killed_too(tmp_path: Path) -> None:
    moment, killed = 0, True
    while killed:
        moment += 1
        folder = tmp_path / str(moment) / "out"
        _write(folder, "old ")
        before = _state(folder)
        assert _killed(folder, *AT_THE_SECOND_FILE)
        killed = _killed(folder, str(moment), "", "undo")
        settled(folder)
        assert _state(folder) == before
        assert [path.name for path in folder.parent.iterdir()] == ["out"]
    assert moment > 5


def test_two_runs_do_not_mix_their_sets(tmp_path: Path) -> None:
    """While one puts its files in place another gives way, and leaves what is there."""
    folder = tmp_path / "out"
    _write(folder, "old ")
    with batch(folder) as first:
        first.write("a.txt", "first")
        (first.workshop / ".journal.json").write_text("{}")
        with pytest.raises(PatternsError, match="another run"):
            _write(folder, "second ")
        assert (folder / "a.txt").read_text() == "old " * 1000
    assert (folder / "a.txt").read_text() == "first"


def test_a_first_run_killed_leaves_nothing_that_the_next_does_not_clear(tmp_path: Path) -> None:
    left = tmp_path / f"{PREFIX}abc"
    left.mkdir()
    (left / ".held").write_bytes(b"")
    (left / "patterns.pdf").write_text("half")
    empty = tmp_path / f"{PREFIX}def"
    empty.mkdir()
    _write(tmp_path / "out", "new ")
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_another_run_at_work_is_left_alone(tmp_path: Path) -> None:
    with batch(tmp_path / "out") as first:
        first.write("a.txt", "first")
        with batch(tmp_path / "out") as second:
            second.write("b.txt", "second")
        assert (first.workshop / "a.txt").read_text() == "first"
    assert (tmp_path / "out" / "a.txt").read_text() == "first"
    assert (tmp_path / "out" / "b.txt").read_text() == "second"


@pytest.mark.slow
def test_the_whole_job_killed_while_it_writes(tmp_path: Path) -> None:
    """The command itself, at a moment of chance (many are in `kills_bench`): the former files are whole."""
    folder = write_folder(tmp_path)
    out = tmp_path / "out"
    command = [
        sys.executable,
        "-c",
        "from patterns.cli import main; main()",
        "patterns",
        str(folder),
        "--quick",
    ]
    command += ["--only", "frame 3", "--output", str(out)]
    assert CliRunner().invoke(main, command[3:]).exit_code == 0
    former = (out / "frame 3.pdf").read_bytes()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    while not list(out.glob(f"{PREFIX}*")) and process.poll() is None:
        time.sleep(0.002)
    time.sleep(random.Random(process.pid).uniform(0.0, 0.05))
    process.kill()
    process.wait()
    assert (out / "frame 3.pdf").read_bytes() == former
    assert CliRunner().invoke(main, command[3:]).exit_code == 0
    assert sorted(path.name for path in out.iterdir()) == [".written.json", "frame 3.pdf"]


# A drive that refuses


def _failing(name: str, real: Callable[..., Any], number: int, at: int) -> Callable[..., Any]:
    """The call, which fails from its ``at``-th time on until it has failed once."""
    state = {"calls": 0}

    def call(*args: Any, **kwargs: Any) -> Any:
        state["calls"] += 1
        if state["calls"] == at:
            raise OSError(number, os.strerror(number))
        return real(*args, **kwargs)

    return call


@pytest.mark.slow
@pytest.mark.parametrize(
    ("number", "cure"),
    [
        (errno.ENOSPC, "make room on that drive"),
        (errno.EROFS, "the drive can only be read"),
        (errno.EACCES, "a program holds one of the files open"),
        (errno.EPERM, "a program holds one of the files open"),
        (errno.EXDEV, "different drives"),
        (errno.EIO, "cannot be written"),
    ],
)
@pytest.mark.parametrize("at", [1, 2, 3, 4, 5])
def test_a_drive_that_refuses_a_move_is_told_and_all_is_put_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, cure: str, at: int
) -> None:
    folder = tmp_path / "out"
    _write(folder, "old ")
    before = _state(folder)
    monkeypatch.setattr(workshop.os, "replace", _failing("replace", os.replace, number, at))
    with pytest.raises(PatternsError, match=cure) as caught:
        _write(folder, "new ")
    assert str(folder) in str(caught.value)
    monkeypatch.undo()
    assert _state(folder) == before
    _write(folder, "new ")
    assert (folder / "a.txt").read_text() == "new " * 1000


def test_a_first_run_that_fails_leaves_no_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workshop.os, "replace", _failing("replace", os.replace, errno.ENOSPC, 3))
    with pytest.raises(PatternsError, match="No space left"):
        _write(tmp_path / "out", "new ")
    assert not list(tmp_path.iterdir())


def test_a_drive_without_second_names_keeps_copies(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "out"
    _write(folder, "old ")
    before = _state(folder)
    monkeypatch.setattr(workshop.os, "link", _failing("link", os.link, errno.EPERM, 1))
    monkeypatch.setattr(workshop.os, "replace", _failing("replace", os.replace, errno.ENOSPC, 4))
    with pytest.raises(PatternsError):
        _write(folder, "new ")
    assert _state(folder) == before


FULL = """
import resource, signal
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))
from patterns.cli import main
main()
"""


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="no such limit")
def test_the_whole_job_on_a_drive_that_takes_no_more(tmp_path: Path) -> None:
    """The limit is the system's own: a file may not grow beyond 20 kB."""
    folder = write_folder(tmp_path)
    arguments = ["patterns", str(folder), "--only", "frame 3", "--quick", "--output", str(tmp_path / "out")]
    done = subprocess.run(
        [sys.executable, "-c", FULL, *arguments], capture_output=True, text=True, check=False
    )
    assert done.returncode == 1
    assert "cannot be written: File too large" in done.stderr
    assert "make room on that drive" in done.stderr
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "out").exists()
    assert not list(tmp_path.glob(f"{PREFIX}*"))


# Names


@pytest.mark.parametrize("words", ["CON", "nul", "Aux.pdf", "com1", "LPT9.frame", "con .x"])
def test_a_name_that_means_a_device_is_another(words: str) -> None:
    assert safe_name(words).startswith("-")


@pytest.mark.slow
@given(st.text(max_size=300))
@settings(max_examples=40)
def test_every_name_makes_a_file_name_that_every_drive_takes(words: str) -> None:
    """What Windows forbids (from memory): these signs, control characters, a last dot or space, devices' names."""
    name = safe_name(words)
    assert 0 < len(name.encode()) <= 84
    assert not set(name) & set('<>:"/\\|?*')
    assert name.isprintable()
    assert name == name.strip()
    assert not name.endswith(".")
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / f"{name}.pdf").write_bytes(b"")


HOSTILE = (
    "</title><script>alert(1)</script>",
    ") Tj ET Q 0 0 m 900 900 l S q BT (",
    "=HYPERLINK(1)",
    "../../x",
    "\\u0027]]>&quot;",
    "Ωμέγα 漢字 🛶",
    "ÿþ \u202e txet",
    "W" * 60,
)


@pytest.mark.slow
@pytest.mark.parametrize("first", range(0, len(HOSTILE), 2))
def test_a_hostile_name_is_words_and_nothing_else(tmp_path: Path, first: int) -> None:
    """Two at a time: one is the boat's and the frame's, the other the stock's."""
    name, other = (json.dumps(words, ensure_ascii=False) for words in HOSTILE[first : first + 2])
    design = changed(DESIGN, '"Rushlight"', name)
    design = changed(design, 'name = "seat"', f"name = {name}")
    design = design.replace('stock = "12 mm oak"', f"stock = {other}")
    folder = write_folder(tmp_path, design=design)
    result = CliRunner().invoke(main, ["patterns", str(folder), "--quick", "--output", str(tmp_path / "out")])
    if result.exit_code:  # a name may be refused, in words
        assert result.exit_code == 1
        assert "design.toml" in result.output
        return
    out = tmp_path / "out"
    assert {path.parent.name for path in out.rglob("*") if path.is_file()} <= {"out", "svg"}
    assert not [path for path in tmp_path.parent.rglob("x*") if path.is_file()]
    for path in out.rglob("*.svg"):
        tags = {element.tag.rpartition("}")[2] for element in ET.parse(path).iter()}
        assert "script" not in tags
    json.loads((out / "shapes.json").read_text(encoding="utf-8"))
    for path in out.glob("*.csv"):
        for row in csv.reader(io.StringIO(path.read_text(encoding="utf-8"))):
            assert not [cell for cell in row if re.match(r"[=@]|[+-].*[A-Za-z(]", cell)], path
    proved = CliRunner().invoke(main, ["prove", str(out / "patterns.pdf")])
    assert proved.exit_code == 0, proved.output


def test_a_cell_that_begins_as_a_formula_is_kept_as_words() -> None:
    rows = list(csv.reader(io.StringIO(csv_text([["=1+1", "-2.5", -2.5, "-0-6-0", "+x", "@y", "a=b", "-"]]))))
    assert rows == [["'=1+1", "-2.5", "-2.5", "-0-6-0", "'+x", "'@y", "a=b", "-"]]


# Spoiled files


@pytest.mark.slow
@given(seed=st.integers(0, 10**9))
@settings(max_examples=4, suppress_health_check=list(HealthCheck), derandomize=True)
def test_a_spoiled_design_ends_in_a_right_result_or_clear_messages(seed: int) -> None:
    with tempfile.TemporaryDirectory() as place:
        spoil(Path(place), random.Random(seed))
        status, wrong = tried(["check", place])
        assert not wrong, (status, wrong)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("old", "new"), [("aft,2-4-0,0-2-3", "aft,2-4-0,1-2-3"), ("aft,1-10-0,0-4-3+", "aft,1-10-0,6-4-3+")]
)
def test_a_wild_shape_is_told_without_a_library_s_own_words(tmp_path: Path, old: str, new: str) -> None:
    """Found by spoiling: a stem that turns back on itself, whose timbers and deck have no answer."""
    folder = write_folder(tmp_path, stem=changed(STEM, old, new))
    done = CliRunner().invoke(main, ["check", str(folder)])  # a library's warning is an error here
    assert done.exit_code == 1
    suspects_first = r"(First look at .*\n)?"
    assert re.match(suspects_first + r"(1 error|\d+ errors):\n", done.stderr)
    assert "Warning" not in done.stderr


@pytest.mark.slow
@given(data=st.binary(max_size=400), name=st.sampled_from(["design.toml", "offsets.csv", "stem.csv"]))
@settings(max_examples=12, suppress_health_check=list(HealthCheck), derandomize=True)
def test_any_bytes_for_a_file_are_told(data: bytes, name: str) -> None:
    with tempfile.TemporaryDirectory() as place:
        write_folder(Path(place))
        (Path(place) / name).write_bytes(data)
        status, wrong = tried(["check", place])
        assert (status, wrong) == (1, "")
