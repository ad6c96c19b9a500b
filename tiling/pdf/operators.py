"""The operators of a page as text: operands and operators, one after the other.

Straight lines that follow one another come as one operation, as most of a page is made of them.

Source: ISO 32000-1:2008, 7.2 and 7.3 (lexical conventions, objects), 8.9.7 (inline images); from memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

__all__ = ["INLINE", "LINES", "Name", "operations"]

LINES = b"l l"  # the operator of a run of straight lines: no operator of a file has a space
INLINE = b"BI"  # an inline image, its bytes as the only operand

_SPACE = rb"[\x00\t\n\f\r ]"
_NUMBER = rb"[+-]?(?:\d+\.?\d*|\.\d+)"
_TOKEN = re.compile(
    rb"""%(space)s*+(?:
      (?P<lines>(?:%(number)s%(space)s++%(number)s%(space)s++l(?=%(space)s|$)%(space)s*+)++)
    | (?P<numbers>(?:%(number)s(?=[\x00\t\n\f\r \[\]/<>(%%]|$)%(space)s*+)++)
    | (?P<operator>[A-Za-z'"][A-Za-z0-9*'"]*+)
    | (?P<name>/[^\x00\t\n\f\r ()<>\[\]{}/%%]*+)
    | (?P<string>\([^()\\]*+(?:\\.[^()\\]*+)*+\))
    | (?P<nested>\()
    | (?P<open>\[|<<)
    | (?P<close>\]|>>)
    | (?P<hex><[0-9A-Fa-f\x00\t\n\f\r ]*+>)
    | (?P<comment>%%[^\r\n]*+)
    )"""
    % {b"space": _SPACE, b"number": _NUMBER},
    re.VERBOSE | re.DOTALL,
)
_ESCAPE = re.compile(rb"\\([0-7]{1,3}|\r\n|.)|\r\n?", re.DOTALL)
_ESCAPES = {
    b"n": b"\n",
    b"r": b"\r",
    b"t": b"\t",
    b"b": b"\b",
    b"f": b"\f",
    b"\n": b"",
    b"\r": b"",
    b"\r\n": b"",
}
_WORDS = {b"true": True, b"false": False, b"null": None}
_HASHED = re.compile(r"#([0-9A-Fa-f]{2})")


class Name(str):
    """A name, without its slash."""

    __slots__ = ()


def operations(data: bytes) -> Iterator[tuple[bytes, list[Any]]]:
    """Each operator with its operands: floats, bytes for strings, `Name`, lists, dictionaries, truth values.

    Raises:
        ValueError: there is something that is neither an operand nor an operator.
    """
    operands: list[Any] = []
    open_: list[tuple[bytes, list[Any]]] = []  # arrays and dictionaries: what opened them, what stood before
    place, end = 0, len(data)
    match = _TOKEN.match
    while place < end:
        found = match(data, place)
        if found is None:
            if data[place:].strip(b"\x00\t\n\f\r "):
                raise ValueError(f"{data[place : place + 20]!r} is not an operator")
            break
        kind, text = found.lastgroup, found[found.lastgroup or 0]
        place = found.end()
        if kind == "operator":
            if text in _WORDS:
                operands.append(_WORDS[text])
                continue
            if open_:
                raise ValueError("an operator within an array")
            if text == INLINE:
                picture, place = _inline(data, place)
                operands = [picture]
            yield text, operands
            operands = []
        elif kind == "numbers":
            operands += map(float, text.split())
        elif kind == "lines":
            yield LINES, [*operands, *map(float, text.replace(b"l", b"").split())]
            operands = []
        elif kind == "name":
            operands.append(_name(text))
        elif kind == "string":
            operands.append(_unescaped(text[1:-1]))
        elif kind == "nested":
            inside, place = _nested(data, place)
            operands.append(_unescaped(inside))
        elif kind == "hex":
            operands.append(_hex(text))
        elif kind == "open":
            open_.append((text, operands))
            operands = []
        elif kind == "close":
            opened, before = open_.pop() if open_ else (b"", [])
            if opened + text not in (b"[]", b"<<>>"):
                raise ValueError("an array or a dictionary is not closed")
            whole: Any = operands if text == b"]" else dict(zip(operands[::2], operands[1::2], strict=True))
            operands = [*before, whole]
    if open_:
        raise ValueError("an array or a dictionary is not closed")


def _name(text: bytes) -> Name:
    name = text[1:].decode("latin-1")
    return Name(_HASHED.sub(lambda code: chr(int(code[1], 16)), name) if "#" in name else name)


def _hex(text: bytes) -> bytes:
    digits = b"".join(text[1:-1].replace(b"\x00", b"").split())
    return bytes.fromhex((digits + b"0" * (len(digits) % 2)).decode())


def _nested(data: bytes, place: int) -> tuple[bytes, int]:
    """A string with parentheses in it: its inside, and where it ends."""
    start, depth = place, 1
    while depth:
        byte = data[place : place + 1]
        if not byte:
            raise ValueError("a string is not closed")
        place += 2 if byte == b"\\" else 1
        depth += (byte == b"(") - (byte == b")")
    return data[start : place - 1], place


def _unescaped(raw: bytes) -> bytes:
    if b"\\" not in raw and b"\r" not in raw:
        return raw
    return _ESCAPE.sub(_one, raw)


def _one(match: re.Match[bytes]) -> bytes:
    body = match[1]
    if body is None:  # a line end within a string is read as a line feed
        return b"\n"
    if body[:1].isdigit() and body[0] < 56:
        return bytes([int(body, 8) & 255])
    return _ESCAPES.get(body, body)


def _inline(data: bytes, place: int) -> tuple[bytes, int]:
    """An inline image, and where it ends."""
    found = re.compile(rb"[\x00\t\n\f\r ]EI(?=[\x00\t\n\f\r ]|$)").search(data, place)
    if found is None:
        raise ValueError("an inline image is not closed")
    return data[place : found.start()], found.end()
