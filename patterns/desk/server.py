"""The desk's server: this machine's own pages to this machine's own browser, from the standard library alone."""

from __future__ import annotations

import json
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from importlib import resources
from typing import Any
from urllib.parse import unquote

from pydantic import ValidationError

from patterns.desk.alive import ALIVE, SAID
from patterns.desk.desk import Desk
from patterns.desk.gate import HOST, POLICY, Gate, RefusedError
from patterns.desk.requests import read_request
from patterns.errors import PatternsError

__all__ = ["DeskServer"]

OWN = {
    "": ("desk.html", "text/html; charset=utf-8"),
    "desk.css": ("desk.css", "text/css; charset=utf-8"),
    "desk.js": ("desk.js", "text/javascript; charset=utf-8"),
    "design.js": ("design.js", "text/javascript; charset=utf-8"),
    "pieces.js": ("pieces.js", "text/javascript; charset=utf-8"),
    "sheet.js": ("sheet.js", "text/javascript; charset=utf-8"),
    "icon.svg": ("icon.svg", "image/svg+xml"),
}
RESULT = "result/"
KINDS = {
    "pdf": "application/pdf",
    "svg": "image/svg+xml",
    "html": "text/html; charset=utf-8",
    "csv": "text/csv; charset=utf-8",
    "json": "application/json",
    "txt": "text/plain; charset=utf-8",
    "md": "text/plain; charset=utf-8",
}


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
            elif path.startswith(RESULT):
                self._send_result(unquote(path.removeprefix(RESULT)))
            else:
                raise RefusedError(404)
        except RefusedError as error:
            self._refuse(error.status)

    def _send_result(self, name: str) -> None:
        """A file that was made, by a name on the list of those: no path is built of anything else."""
        data = self.server.desk.result(name)
        if data is None:
            raise RefusedError(404)
        ending = name.rpartition(".")[2].lower()
        # A page that was made brings its own policy; here it may reach nothing of the desk.
        policy = (
            "frame-ancestors 'none'" if ending == "pdf" else "sandbox allow-scripts; frame-ancestors 'none'"
        )
        self._send(200, data, KINDS.get(ending, "application/octet-stream"), policy)

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

    def _send(self, status: int, body: bytes, kind: str, policy: str = POLICY) -> None:
        self.send_response(status)
        for name, value in (
            ("Content-Type", kind),
            ("Content-Length", str(len(body))),
            ("Content-Security-Policy", policy),
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
