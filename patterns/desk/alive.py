"""Whether a desk that a lock names still runs: asked at its own address, and quick to start."""

from __future__ import annotations

from http.client import HTTPConnection, HTTPException
from urllib.parse import urlsplit

from patterns.desk.gate import HOST

__all__ = ["ALIVE", "SAID", "answers"]

ALIVE = "alive"
SAID = b"scrieve desk"
PATIENCE = 2.0  # seconds for a running desk to answer


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
