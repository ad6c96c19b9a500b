"""The objects of a PDF file: each is written at once and forgotten, but for the place where it begins.

What can be known only at the end (fonts, page tree, catalogue) is kept by reportlab's document and written then.

Source: ISO 32000-1:2008, 7.5 (file structure; section number from memory).
"""

from __future__ import annotations

import zlib
from array import array
from collections.abc import Sequence
from typing import BinaryIO

from reportlab.pdfbase.pdfdoc import PDFDocument, PDFIndirectObject, PDFObject, PDFObjectReference, PDFString

from tiling.text.lines import plain

__all__ = ["LEVEL", "VERSION", "Objects", "Ready"]

VERSION = (1, 7)
LEVEL = 4  # of compression; 6 makes pages 3 % smaller and takes half as long again
SPECIAL = frozenset("()\\")  # cannot stand in a string as they are
AT_ONCE = 4096  # lines of the table of places that are made in one call

# The PDF header's second line: four bytes above 127 say that the file is binary (ISO 32000-1, 7.5.2).
HEADER = b"%%PDF-%d.%d\n%%\xe2\xe3\xcf\xd3\n" % VERSION


class Ready(PDFObject):  # type: ignore[misc]
    """An object of the file whose bytes are ready, or will be by the end."""

    __RefOnly__ = 1

    def __init__(self, data: str = "null") -> None:
        self.data = data

    def format(self, document: object) -> bytes:
        return self.data.encode("latin-1")


class Objects:
    """The objects of one file.

    Args:
        stream: open for writing bytes; it is not closed here.
    Attributes:
        document: reportlab's, which keeps what is written at the end.
    """

    def __init__(self, stream: BinaryIO) -> None:
        self.document = PDFDocument(invariant=1, pdfVersion=VERSION, compression=1)
        self._stream = stream
        self._at = 0
        self._places = array("Q")  # where each object begins, by its number; 0: nowhere
        self._write(HEADER)

    def _write(self, data: bytes) -> None:
        self._stream.write(data)
        self._at += len(data)

    def keep(self, thing: PDFObject) -> int:
        """The number of an object that the document keeps and writes at the end."""
        reference: PDFObjectReference = self.document.Reference(thing)
        found: int = self.document.idToObjectNumberAndVersion[reference.name][0]
        return found

    def new_number(self) -> int:
        """A number for an object that is written at once and not kept."""
        self.document.objectcounter += 1
        taken: int = self.document.objectcounter
        return taken

    def write(self, number: int, data: bytes) -> None:
        """Write an object and forget it."""
        self._begin(number)
        self._write(b"%d 0 obj\n%b\nendobj\n" % (number, data))

    def write_packed(
        self, data: bytes, head: bytes = b"<<", *, sign: bool = False, number: int | None = None
    ) -> int:
        """Write a stream, packed; returns its number.

        Args:
            head: the beginning of its dictionary.
            sign: the file's identity shall depend on it.
            number: of the object, where it was taken before.
        """
        packed = zlib.compress(data, LEVEL)
        if sign:
            self.document.signature.update(packed)
        number = self.new_number() if number is None else number
        self.write(
            number,
            b"%b /Filter /FlateDecode /Length %d >>\nstream\n%b\nendstream" % (head, len(packed), packed),
        )
        return number

    def string(self, text: str) -> str:
        """A string as it is written among the file's objects."""
        text = plain(text)
        if text.isascii() and SPECIAL.isdisjoint(text):  # most are
            return f"({text})"
        found: bytes = PDFString(text).format(self.document)
        return found.decode("latin-1")

    def _begin(self, number: int) -> None:
        """The object of that number begins here."""
        missing = number + 1 - len(self._places)
        if missing > 0:
            self._places.frombytes(bytes(missing * self._places.itemsize))
        self._places[number] = self._at

    def finish(self, root: int, info: int) -> None:
        """Write what was kept (formatting one object may bring in more), where each object begins, and the end."""
        document = self.document
        done = 0
        while done < document.objectcounter:
            done += 1
            name = document.numberToId.get(done)
            if name is not None:
                self._begin(done)
                self._write(PDFIndirectObject(name, document.idToObject[name]).format(document))
        start, count = self._at, document.objectcounter + 1
        self._begin(count)  # the end: no object
        self._write(b"xref\n0 %d\n0000000000 65535 f \n" % count)
        for first in range(1, count, AT_ONCE):
            self._write(_table(self._places[first : min(first + AT_ONCE, count)]))
        mark = document.signature.hexdigest()
        self._write(
            f"trailer\n<< /Size {count} /Root {root} 0 R /Info {info} 0 R /ID [<{mark}> <{mark}>] >>\n"
            f"startxref\n{start}\n%%EOF\n".encode()
        )


def _table(places: Sequence[int]) -> bytes:
    """Lines of the table of places; reportlab leaves a number unused now and then: such a line is free."""
    lines = b"%010d 00000 n \n" * len(places) % tuple(places)
    return lines.replace(b"0000000000 00000 n", b"0000000000 00001 f")
