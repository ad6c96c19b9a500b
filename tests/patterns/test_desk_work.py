"""Long work of the desk in the background: progress, what comes of it, and nothing that was not made is served."""

from __future__ import annotations

import json
import os
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest

from patterns.desk.jobs import Jobs
from tests.patterns.desks import PATIENCE, Asked, served
from tests.patterns.folders import DESIGN, changed, write_folder

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Asked]:
    with served(write_folder(tmp_path_factory.mktemp("work"))) as asked:
        asked.drawn()
        yield asked


def worked(desk: Asked, kind: str, **more: Any) -> dict[str, Any]:
    """What comes of a piece of work."""
    before = desk.seen.get(kind, 0)
    assert desk.do({"do": "work", "kind": kind, **more})[0] == 200
    result: dict[str, Any] = desk.news(lambda _: desk.seen.get(kind, 0) > before)[kind]
    return result


def test_every_piece_is_made_and_can_be_seen(desk: Asked) -> None:
    found = worked(desk, "pieces")
    assert found["problems"] == []
    names = [piece["name"] for piece in found["pieces"]]
    assert "frame seat" in " ".join(names)
    assert all(piece["markup"].count("<svg") == 1 and "<path" in piece["markup"] for piece in found["pieces"])
    assert found["serials"] == {"offsets.csv": 1, "stem.csv": 1, "design.toml": 1}


def test_a_file_is_proved_only_when_there_is_one(desk: Asked) -> None:
    assert desk.do({"do": "work", "kind": "prove"})[0] == 409


def test_patterns_are_written_served_and_proved(desk: Asked) -> None:
    found = worked(desk, "patterns", paper="a4", quick=True)
    folder = Path(found["folder"])
    assert folder.parent == desk.server.desk.files.folder
    assert "patterns.pdf" in found["files"]
    token = desk.gate.token
    for name in ("patterns.pdf", next(name for name in found["files"] if name.startswith("svg/"))):
        status, body, headers = desk.send("GET", f"/{token}/result/{quote(name)}")
        assert (status, body) == (200, (folder / name).read_bytes())
        assert "frame-ancestors 'none'" in headers["Content-Security-Policy"]
    for name in (
        "../design.toml",
        "..%2fdesign.toml",
        "/etc/passwd",
        ".written.json",
        "",
        "svg",
        "patterns.pdf/",
    ):
        assert desk.send("GET", f"/{token}/result/{name}")[0] == 404
    (folder / "bevels.csv").unlink()
    os.symlink(desk.server.desk.files.folder / "design.toml", folder / "bevels.csv")
    assert desk.send("GET", f"/{token}/result/bevels.csv")[0] == 404
    proof = worked(desk, "prove")
    assert proof["problems"] == []
    assert proof["proof"]


def test_what_cannot_be_made_is_said(tmp_path: Path) -> None:
    wide = changed(DESIGN, 'moulded_side = "70 mm"', 'moulded_side = "700 mm"')
    with served(write_folder(tmp_path, design=wide)) as desk:
        assert any('frame "3"' in problem for problem in worked(desk, "pieces")["problems"])


def test_work_that_is_given_up_is_at_an_end(tmp_path: Path) -> None:
    told: list[dict[str, Any]] = []
    jobs = Jobs(lambda state: told.append(dict(state)))
    jobs.start("pieces", [str(write_folder(tmp_path))])
    jobs.stop()
    end = time.monotonic() + PATIENCE
    while told[-1]["running"] and time.monotonic() < end:
        time.sleep(0.05)
    assert told[-1] == {"kind": "pieces", "running": False, "stopped": True}
    json.dumps(told)
    jobs.stop()  # once more is no harm
    jobs.start("nonsense", [])
    while told[-1]["running"] and time.monotonic() < end:
        time.sleep(0.05)
    assert told[-1]["problems"]
    jobs.stop()
