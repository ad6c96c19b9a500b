"""The desk's server: this machine's own pages to this machine's own browser, from the standard library alone."""

from __future__ import annotations

import json
from http.client import HTTPConnection, HTTPException
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from importlib import resources
from typing import Any
from urllib.parse import urlsplit

from pydantic import ValidationError

from patterns.desk.desk import Desk
from patterns.desk.gate import HOST, POLICY, Gate, RefusedError
from patterns.desk.requests import read_request
from patterns.errors import PatternsError

__all__ = ["DeskServer", "answers"]

OWN = {
    "": ("desk.html", "text/html; charset=utf-8"),
    "desk.css": ("desk.css", "text/css; charset=utf-8"),
    "desk.js": ("desk.js", "text/javascript; charset=utf-8"),
    "sheet.js": ("sheet.js", "text/javascript; charset=utf-8"),
    "icon.svg": ("icon.svg", "image/svg+xml"),
}
ALIVE = "alive"
SAID = b"scrieve desk"
PATIENCE = 2.0  # seconds for a running desk to answer


class DeskServer(ThreadingHTTPServer):
    """A server for one desk, on the loopback address and a port that the system gives.

    Attributes:
        desk: what it shows.
        gate: who may ask.
    """

    daemon_threads = True
    block_on_close = False  # the page may be waiting for news
    allow_reuse_address = False  # on some systems another program could share the port then

    def __init__(self, desk: Desk) -> None:
        super().__init__((HOST, 0), _Handler)
        self.desk = desk
        self.gate = Gate(port=self.server_address[1])

    def server_bind(self) -> None:
        """Take the port; no name is looked up, which may take long without a network."""
        self.socket.bind(self.server_address)
        self.server_address = self.socket.getsockname()
        self.server_name, self.server_port = HOST, int(self.server_address[1])

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A page that is closed while it is answered is no error to tell of."""


class _Handler(BaseHTTPRequestHandler):
    server: DeskServer
    protocol_version = "HTTP/1.1"
    server_version = "scrieve"
    sys_version = ""
    timeout = 60

    def do_GET(self) -> None:
        try:
            path = self.server.gate.path_of("GET", self.path, self.headers)
            if path == ALIVE:
                self._send(200, SAID, "text/plain")
            elif path in OWN:
                name, kind = OWN[path]
                self._send(200, (resources.files("patterns.desk") / name).read_bytes(), kind)
            else:
                raise RefusedError(404)
        except RefusedError as error:
            self._refuse(error.status)

    def do_POST(self) -> None:
        try:
            path = self.server.gate.path_of("POST", self.path, self.headers)
            length = Gate.length_of(self.headers)
            if path != "do":
                raise RefusedError(404)
            request = read_request(self.rfile.read(length))
        except RefusedError as error:
            self._refuse(error.status)
            return
        except (ValidationError, ValueError):
            self._refuse(400)
            return
        try:
            self._send_data(200, self.server.desk.answer(request))
        except PatternsError as error:
            self._send_data(409, {"refused": str(error)})

    def _send_data(self, status: int, data: Any) -> None:
        self._send(status, json.dumps(data).encode(), "application/json")

    def _refuse(self, status: int) -> None:
        self.close_connection = True  # what else was sent is not read
        self._send(status, b"", "text/plain")

    def _send(self, status: int, body: bytes, kind: str) -> None:
        self.send_response(status)
        for name, value in (
            ("Content-Type", kind),
            ("Content-Length", str(len(body))),
            ("Content-Security-Policy", POLICY),
            ("X-Content-Type-Options", "nosniff"),
            ("X-Frame-Options", "DENY"),
            ("Referrer-Policy", "no-referrer"),
            ("Cross-Origin-Opener-Policy", "same-origin"),
            ("Cross-Origin-Resource-Policy", "same-origin"),
            ("Cache-Control", "no-store"),
        ):
            self.send_header(name, value)
        if self.close_connection:
            self.send_header("Connection", "close")
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, format: str, *args: Any) -> None:
        """Nothing is logged: the address holds the token."""


def answers(address: str) -> bool:
    """Whether the desk at an address runs on this machine and answers."""
    try:
        parts = urlsplit(address)
        if parts.scheme != "http" or parts.hostname != HOST or parts.port is None:
            return False
        connection = HTTPConnection(HOST, parts.port, timeout=PATIENCE)
        try:
            connection.request("GET", f"{parts.path}{ALIVE}")
            response = connection.getresponse()
            return response.status == 200 and response.read(len(SAID) + 1) == SAID
        finally:
            connection.close()
    except (OSError, HTTPException, ValueError):
        return False
