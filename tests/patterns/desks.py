"""Desks for tests: a folder served on this machine, asked as a browser would."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from http.client import HTTPConnection
from pathlib import Path
from typing import Any

from patterns.desk.desk import Desk
from patterns.desk.gate import HOST
from patterns.desk.server import DeskServer

__all__ = ["PATIENCE", "Asked", "served"]

PATIENCE = 60.0  # seconds before a test gives up: no measure of speed


class Asked:
    """A served desk."""

    def __init__(self, server: DeskServer) -> None:
        self.server = server
        self.gate = server.gate
        self.seen: dict[str, int] = {}
        self.known: dict[str, Any] = {}

    def send(
        self, method: str, target: str, headers: Mapping[str, str] | None = None, body: bytes | None = None
    ) -> tuple[int, bytes, Mapping[str, str]]:
        """One request with exactly these headers, besides Host where it is not given."""
        connection = HTTPConnection(HOST, self.gate.port, timeout=PATIENCE)
        try:
            given = {"Host": f"{HOST}:{self.gate.port}", **(headers or {})}
            connection.putrequest(method, target, skip_host=True, skip_accept_encoding=True)
            for name, value in given.items():
                connection.putheader(name, value)
            if body is not None and "Content-Length" not in given:
                connection.putheader("Content-Length", str(len(body)))
            connection.endheaders(body)
            response = connection.getresponse()
            return response.status, response.read(), dict(response.getheaders())
        finally:
            connection.close()

    def do(self, request: Mapping[str, Any]) -> tuple[int, dict[str, Any]]:
        """What the page would ask."""
        headers = {"Origin": self.gate.origin, "Content-Type": "application/json"}
        status, body, _ = self.send("POST", f"/{self.gate.token}/do", headers, json.dumps(request).encode())
        return status, json.loads(body) if body else {}

    def news(self, until: Callable[[dict[str, Any]], bool]) -> dict[str, Any]:
        """The sections as they are known when that holds."""
        for _ in range(100):
            if until(self.known):
                return self.known
            _, fresh = self.do({"do": "news", "seen": self.seen})
            for name, section in fresh.items():
                self.seen[name] = section["number"]
                self.known[name] = section["data"]
        raise AssertionError("the desk has no such news")

    def file(self, name: str) -> dict[str, Any]:
        """What is known of a file."""
        return next(file for file in self.known["files"] if file["name"] == name)

    def drawn(self, *, settled: bool = True) -> dict[str, Any]:
        """The look at the files as they are now.

        Args:
            settled: with what is judged when the table is left alone.
        """
        serials = {name: file.serial for name, file in self.server.desk.files.files.items()}

        def current(known: dict[str, Any]) -> bool:
            look = known.get("look", {})
            return look.get("serials") == serials and (look.get("settled", True) or not settled)

        look: dict[str, Any] = self.news(current)["look"]
        return look


@contextmanager
def served(folder: Path) -> Iterator[Asked]:
    """A desk that is open on a folder."""
    desk = Desk(folder)
    with DeskServer(desk) as server:
        thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True)
        thread.start()
        desk.open()
        try:
            yield Asked(server)
        finally:
            desk.close()
            server.shutdown()
            thread.join()
