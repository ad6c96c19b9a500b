"""The desk answers the browser that has its address, and nobody else; nothing outside of the folder is reached."""

from __future__ import annotations

import json
import os
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest

from patterns.desk.gate import HOST, MOST_BYTES
from tests.patterns.desks import Asked, served
from tests.patterns.folders import write_folder

NEWS = json.dumps({"do": "news", "seen": {}}).encode()


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Asked]:
    folder = write_folder(tmp_path_factory.mktemp("gate"))
    with served(folder) as desk:
        yield desk


def test_the_address_is_on_this_machine_alone_and_cannot_be_guessed(asked: Asked) -> None:
    assert asked.server.socket.getsockname()[0] == "127.0.0.1"
    assert len(asked.gate.token) == 32  # 24 random bytes in base 64
    assert asked.gate.token not in repr(asked.gate)


def test_the_page_is_given_with_a_policy_that_runs_and_loads_nothing_else(asked: Asked) -> None:
    status, body, headers = asked.send("GET", f"/{asked.gate.token}/")
    assert status == 200
    assert b'<script type="module" src="desk.js">' in body
    policy = dict(part.strip().split(" ", 1) for part in headers["Content-Security-Policy"].split(";"))
    assert policy["default-src"] == "'none'"
    assert {policy[name] for name in ("script-src", "style-src", "img-src", "connect-src")} == {"'self'"}
    assert policy["frame-ancestors"] == policy["base-uri"] == policy["form-action"] == "'none'"
    assert headers["Referrer-Policy"] == "no-referrer"
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Cache-Control"] == "no-store"


@pytest.mark.parametrize("host", ["localhost:{port}", "evil.example:{port}", "127.0.0.1", "127.0.0.1:1", ""])
def test_another_host_name_is_refused(asked: Asked, host: str) -> None:
    """A page elsewhere may let its own name point here (DNS rebinding)."""
    headers = {"Host": host.format(port=asked.gate.port)}
    assert asked.send("GET", f"/{asked.gate.token}/", headers)[0] == 421


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "null", "http://localhost:{port}", "https://127.0.0.1:{port}"]
)
@pytest.mark.parametrize("method", ["GET", "POST"])
def test_another_origin_is_refused(asked: Asked, origin: str, method: str) -> None:
    headers = {"Origin": origin.format(port=asked.gate.port), "Content-Type": "application/json"}
    body = NEWS if method == "POST" else None
    target = f"/{asked.gate.token}/" + ("do" if method == "POST" else "")
    assert asked.send(method, target, headers, body)[0] == 403


def test_a_request_to_do_something_must_name_its_origin_and_be_json(asked: Asked) -> None:
    target = f"/{asked.gate.token}/do"
    assert asked.send("POST", target, {"Content-Type": "application/json"}, NEWS)[0] == 403
    for kind in ("text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x"):
        # What a form of another site may send without asking first (Fetch Standard: simple requests).
        assert asked.send("POST", target, {"Origin": asked.gate.origin, "Content-Type": kind}, NEWS)[0] == 415


def test_a_request_from_another_site_is_refused_even_where_no_origin_is_named(asked: Asked) -> None:
    for site in ("cross-site", "same-site"):
        assert asked.send("GET", f"/{asked.gate.token}/", {"Sec-Fetch-Site": site})[0] == 403


@pytest.mark.parametrize("target", ["/", "/do", "/{wrong}/", "/{wrong}/do", "/{short}/", "/{token}", "*"])
def test_without_the_token_there_is_nothing(asked: Asked, target: str) -> None:
    token = asked.gate.token
    wrong = token[:-1] + ("A" if token[-1] != "A" else "B")
    target = target.format(token=token, wrong=wrong, short=token[:-1])
    status, body, _ = asked.send("GET", target)
    assert (status, body) == (404, b"")


@pytest.mark.parametrize(
    "path",
    [
        "../design.toml", "..%2fdesign.toml", "design.toml", "offsets.csv", "/etc/passwd", "desk.py", "./desk.css",
        "desk.css/..", "desk.css?x", "%64esk.css", "..\\desk.css", "gate.py",
    ],
)  # fmt: skip
def test_no_path_leads_anywhere(asked: Asked, path: str) -> None:
    assert asked.send("GET", f"/{asked.gate.token}/{path}")[0] == 404


def test_a_body_without_a_length_or_beyond_any_table_is_not_read(asked: Asked) -> None:
    headers = {"Origin": asked.gate.origin, "Content-Type": "application/json"}
    target = f"/{asked.gate.token}/do"
    assert asked.send("POST", target, headers)[0] == 411
    for length, status in (("-1", 411), ("1e3", 411), (str(MOST_BYTES + 1), 413), ("9" * 30, 413)):
        assert asked.send("POST", target, {**headers, "Content-Length": length}, b"{}")[0] == status
    assert (
        asked.send("POST", target, {**headers, "Transfer-Encoding": "chunked", "Content-Length": "2"}, b"{}")[
            0
        ]
        == 400
    )


@pytest.mark.parametrize(
    "body",
    [
        b"", b"[]", b"{}", b'{"do":"run"}', b'{"do":"news"}', b"\xff", b'{"do":"news","seen":{},"more":1}',
        b'{"do":"undo","file":"offsets.csv"}', b'{"do":"cells","file":"a","base":"","cells":[[-1,0,"x"]]}',
        b'{"do":"cells","file":"a","base":"","cells":[[1,0]]}', b"[" * 10_000,
    ],
)  # fmt: skip
def test_what_is_no_request_is_refused(asked: Asked, body: bytes) -> None:
    headers = {"Origin": asked.gate.origin, "Content-Type": "application/json"}
    assert asked.send("POST", f"/{asked.gate.token}/do", headers, body)[0] == 400


def test_a_server_that_is_sent_rubbish_goes_on(asked: Asked) -> None:
    for rubbish in (b"\0\0\0\r\n\r\n", b"GET\r\n\r\n", b"POST / HTTP/9.9\r\n\r\n", b""):
        with socket.create_connection((HOST, asked.gate.port), timeout=60) as connection:
            connection.sendall(rubbish)
    assert asked.send("GET", f"/{asked.gate.token}/alive")[0] == 200


@pytest.mark.parametrize(
    "name", ["../secret.csv", "/etc/hosts", "sub/below.csv", "link.csv", ".hidden.csv", "notes.txt"]
)
def test_no_file_but_the_folders_own_tables_can_be_written(tmp_path: Path, name: str) -> None:
    folder = tmp_path / "boat"
    folder.mkdir()
    write_folder(folder)
    (folder / "sub").mkdir()
    outside = [
        tmp_path / "secret.csv",
        folder / "sub" / "below.csv",
        folder / ".hidden.csv",
        folder / "notes.txt",
    ]
    for path in outside:
        path.write_text("a,b\n", encoding="utf-8")
    os.symlink(tmp_path / "secret.csv", folder / "link.csv")
    with served(folder) as desk:
        known = desk.news(lambda known: "files" in known)["files"]
        assert [file["name"] for file in known] == ["offsets.csv", "stem.csv", "design.toml"]
        request = {"do": "cells", "file": name, "base": "", "cells": [[1, 0, "spoiled"]]}
        assert desk.do(request)[0] == 409
    assert all(path.read_text(encoding="utf-8") == "a,b\n" for path in outside)
