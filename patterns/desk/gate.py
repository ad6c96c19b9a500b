"""Who may ask the desk for what: a browser on this machine that was given the address, and no page of another site.

The checks follow what is known of attacks on servers on the loopback address: a page elsewhere may send requests
there (the origin is checked: Fetch Standard, WHATWG), may let its own name point there (the host is checked), and
may guess ports (the token is not guessed: 192 random bits).
"""

from __future__ import annotations

import hmac
import secrets
from dataclasses import dataclass, field
from email.message import Message

__all__ = ["HOST", "MOST_BYTES", "POLICY", "Gate", "RefusedError"]

HOST = "127.0.0.1"
MOST_BYTES = 4_000_000  # of a request: twice what a table may have

# Content Security Policy level 3 (W3C): what the desk's own address serves, and nothing written into the page.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


class RefusedError(Exception):
    """A request that is not answered.

    Attributes:
        status: what the server answers instead, as HTTP counts it.
    """

    def __init__(self, status: int) -> None:
        self.status = status
        super().__init__(f"refused with status {status}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Gate:
    """What a request must bring.

    Attributes:
        port: of the server.
        token: what the address holds that nobody else knows.
    """

    port: int
    token: str = field(default_factory=lambda: secrets.token_urlsafe(24), repr=False)

    @property
    def address(self) -> str:
        """What the user's browser is opened with."""
        return f"{self.origin}/{self.token}/"

    @property
    def origin(self) -> str:
        """Where the desk's own page comes from, as a browser names it."""
        return f"http://{HOST}:{self.port}"

    def path_of(self, method: str, target: str, headers: Message) -> str:
        """What is asked for, below the token.

        Args:
            target: the address as the request has it.
            headers: of the request.
        Raises:
            RefusedError: the request may not be answered.
        """
        if headers.get_all("Host") != [f"{HOST}:{self.port}"]:
            raise RefusedError(421)
        origins = headers.get_all("Origin") or []
        if origins != [self.origin] and (method == "POST" or origins):
            raise RefusedError(403)
        if headers.get("Sec-Fetch-Site", "none") not in ("same-origin", "none"):
            raise RefusedError(403)
        token, slash, path = target.removeprefix("/").partition("/")
        if not slash or not hmac.compare_digest(token.encode(), self.token.encode()):
            raise RefusedError(404)
        if method == "POST" and headers.get_content_type() != "application/json":
            raise RefusedError(415)
        return path

    @staticmethod
    def length_of(headers: Message) -> int:
        """How many bytes a request's body has.

        Raises:
            RefusedError: it does not say, or too many.
        """
        lengths = headers.get_all("Content-Length") or []
        if len(lengths) != 1 or not lengths[0].isascii() or not lengths[0].isdigit():
            raise RefusedError(411)
        if headers.get("Transfer-Encoding") is not None:
            raise RefusedError(400)
        if len(lengths[0]) > 9 or int(lengths[0]) > MOST_BYTES:
            raise RefusedError(413)
        return int(lengths[0])
