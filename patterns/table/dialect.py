"""How a program has written a CSV file: its letters, its line ends, and the sign that parts its cells."""

from __future__ import annotations

import codecs
import re
from dataclasses import dataclass
from typing import NamedTuple

__all__ = ["Dialect", "TypedText", "decoded", "lines_of", "separator_of"]

SEPARATORS = ",;\t"

# These bytes of the old Western code page are dashes, quotes and the hard space; letters are not guessed.
HARMLESS_1252 = bytes([0x85, 0x91, 0x92, 0x93, 0x94, 0x96, 0x97, 0xA0])

_WIDE = {codecs.BOM_UTF16_LE: "utf-16-le", codecs.BOM_UTF16_BE: "utf-16-be"}


class TypedText(NamedTuple):
    """A file's text, with the mark in front of it and the codec of the rest."""

    text: str
    mark: bytes
    codec: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Dialect:
    """How a CSV file is written.

    Attributes:
        mark: the bytes in front by which programs know the codec; may be none.
        codec: Python's name of it.
        newline: what ends a line.
        separator: what parts two cells.
    """

    mark: bytes = b""
    codec: str = "utf-8"
    newline: str = "\r\n"
    separator: str = ","

    def encoded(self, text: str) -> bytes:
        """The bytes of a text.  Letters that the old code page does not have make a UTF-8 file of it."""
        mark, codec = self.mark, self.codec
        if codec == "cp1252" and not _is_harmless(text):
            mark, codec = codecs.BOM_UTF8, "utf-8"
        return mark + text.encode(codec)


def _is_harmless(text: str) -> bool:
    try:
        data = text.encode("cp1252")
    except UnicodeEncodeError:
        return False
    return all(byte < 0x80 or byte in HARMLESS_1252 for byte in data)


def decoded(data: bytes) -> TypedText | int | None:
    """The text; or where the first unreadable byte is; or None for no text at all."""
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        return None  # a spreadsheet's own file
    mark = next((mark for mark in (*_WIDE, codecs.BOM_UTF8) if data.startswith(mark)), b"")
    codec = _WIDE.get(mark, "utf-8")
    rest = data[len(mark) :]
    try:
        return TypedText(rest.decode(codec), mark, codec)
    except UnicodeDecodeError as error:
        if mark in _WIDE:
            return None
        if all(byte < 0x80 or byte in HARMLESS_1252 for byte in data):
            return TypedText(data.decode("cp1252"), b"", "cp1252")
        return len(mark) + error.start


def lines_of(text: str) -> list[str]:
    r"""The lines without their ends.

    Rows end with \n, \r\n or a lone \r (old spreadsheets); other line-end signs belong to a cell.
    """
    return text.replace("\r\n", "\n").replace("\r", "\n").split("\n")


def separator_of(lines: list[str]) -> tuple[str, bool]:
    """The sign that parts the cells, and whether the first line does nothing but name it.

    Nothing is guessed from the contents: it is the one that stands most often outside of quotes in the first row.
    """
    named = lines[0].strip('"\n')
    if lines[0].lower().strip('"').startswith("sep=") and named[4:] in tuple(SEPARATORS):
        return named[4:], True
    first = next((line for line in lines if line and not line.lstrip().startswith("#")), "")
    bare = re.sub(r'"[^"]*"', "", first)
    return max(SEPARATORS, key=bare.count), False
