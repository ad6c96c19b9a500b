"""A finished file read back: its pages, forms, fonts and attached files, by pypdf."""

from __future__ import annotations

import hashlib
import json
import logging
import re
import struct
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pypdf import PdfReader
from pypdf.errors import DependencyError, PyPdfError

from tiling.drawing import XY
from tiling.errors import TilingError
from tiling.paper import MM_PER_INCH, POINTS_PER_INCH
from tiling.pdf.graphics_state import STILL, to_mm
from tiling.pdf.ink_record import ANYWHERE, BOUND, CODE_FORM, bound, short_code, with_code
from tiling.pdf.interpreter import APART, Interpreter
from tiling.pdf.page_content import PageContent
from tiling.proof.ink_comparison import differences, same
from tiling.proof.intended_ink import IntendedInk
from tiling.proof.page_ink import PageInk, sorted_out
from tiling.proof.print_state import page_state
from tiling.proof.resource_names import FileMeans, cmap, digest_of, resolved

__all__ = ["BROKEN", "FinishedFile", "FinishedPage", "open_file", "reason"]

MM_PER_POINT = MM_PER_INCH / POINTS_PER_INCH
RECORD = re.compile(r"(pages|ink|pattern-\d+)\.json|ink-\d+\.bin")  # the names of its files
DEEPEST = 8  # forms within forms
OTHER_CODE = (
    "the record was altered, or it is not that of this page: print the page from the file as it was written"
)
BROKEN = (
    PyPdfError, DependencyError, ValueError, KeyError, IndexError, TypeError, AttributeError, ArithmeticError,
    RecursionError, AssertionError, NotImplementedError, zlib.error, struct.error, OSError,
)  # fmt: skip
"""What the library raises on files that are damaged or not what they say."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FinishedPage:
    """One page as it is.

    Attributes:
        width, height: mm.
        scale: mm drawn for a mm meant, across and up, where anything is painted first.
        painted: all that its own operators paint, mm from its lower left corner.
        drawn: the same sorted for measuring; what its forms draw is left to `File.form`.
        findings: what is wrong besides.
    """

    width: float
    height: float
    scale: XY
    painted: PageContent
    drawn: PageInk
    findings: tuple[str, ...]


def open_file(path: Path) -> FinishedFile:
    """The file, its pages not read yet.

    Raises:
        TilingError: it is no PDF, or not to be read.
    """
    # What the library tells of a broken file is told below in words of our own.
    logging.getLogger("pypdf").setLevel(logging.CRITICAL)
    try:
        return FinishedFile(reader=_opened(path))
    except FileNotFoundError as error:
        raise TilingError(f"{path}: cannot be read: {error.strerror or error}") from error
    except TilingError:
        raise
    except DependencyError as error:
        raise TilingError(
            f"{path}: is encrypted in a way that is read with the library cryptography only; "
            "install it (pip install cryptography), or save the file without encryption and prove that"
        ) from error
    except BROKEN as error:
        raise TilingError(
            f"{path}: is not a PDF that can be read ({reason(error)}); if it was cut short on its way, copy or "
            "write it again"
        ) from error


def reason(error: Exception) -> str:
    """What a reading failed by, in one short line."""
    said = " ".join(str(error).split())[:120] or "no reason given"
    return f"no entry {said}" if isinstance(error, KeyError) else said


def _opened(path: Path) -> PdfReader:
    """A reader; a file that anybody may read is decrypted."""
    with path.open("rb"):
        pass
    reader = PdfReader(path)
    if reader.is_encrypted and not reader.decrypt(""):
        raise TilingError(
            f"{path}: needs a password to be read; save it without a password and prove that file"
        )
    len(reader.pages)  # the page tree can be read
    _ = reader.metadata  # a string can be decrypted
    return reader


@dataclass(slots=True, kw_only=True, eq=False)
class FinishedFile:
    """A finished file.

    Attributes:
        stretch: by how much its pages are drawn larger about their middle, on purpose; what is read is
            told without.
        meant: what should be painted.
        notes: what is wrong with fonts and forms, found on the way.
    """

    reader: PdfReader
    stretch: tuple[float, float] = (1.0, 1.0)
    meant: IntendedInk | None = None
    notes: list[str] = field(default_factory=list)
    _files: Mapping[str, list[bytes]] | None = None
    _digest: str | None = None
    _means: dict[int, FileMeans] = field(default_factory=dict)
    _fonts: dict[int, str] = field(default_factory=dict)
    _codes: dict[str, dict[int, str]] = field(default_factory=dict)
    _forms: dict[int, tuple[str, PageContent]] = field(default_factory=dict)
    _drawn: dict[int, PageInk] = field(default_factory=dict)
    _depth: int = 0

    @property
    def pages(self) -> int:
        """How many pages it has."""
        return len(self.reader.pages)

    def attached_bytes(self, name: str) -> bytes | None:
        """An attached file; None where there is none of that name that can be read."""
        try:
            if self._files is None:
                self._files = self.reader.attachments
            found = self._files.get(name)
            return found[0] if found else None
        except BROKEN:
            return None

    def attached(self, name: str) -> Any:
        """An attached JSON file; None where there is none of that name that can be read."""
        found = self.attached_bytes(name)
        try:
            return None if found is None else json.loads(found)
        except (ValueError, RecursionError):
            return None

    def record_digest(self) -> str:
        """The digest of the attached files; empty where they cannot be read."""
        if self._digest is None:
            self.attached_bytes("")
            try:
                self._digest = bound(
                    {
                        str(name): hashlib.sha256(found[0]).hexdigest()
                        for name, found in (self._files or {}).items()
                        if RECORD.fullmatch(str(name))
                    }
                )
            except BROKEN:
                self._digest = ""
        return self._digest

    def record_is_whole(self) -> bool:
        """The attached files are those that the file's own description names by their digest."""
        try:
            info = self.reader.metadata
            said = "" if info is None else str(info.get("/Keywords", ""))
        except BROKEN:
            return False
        return said == f"{BOUND}{self.record_digest()}"

    def due_form(self, name: str) -> PageContent:
        """What a form should paint; one shows the record's code, which the record itself cannot hold."""
        assert self.meant is not None
        unit = self.meant.unit(self.meant.forms[name])
        return with_code(unit, short_code(self.record_digest())) if name == CODE_FORM else unit

    def sheet(self, index: int) -> FinishedPage:
        """One page, from 0.

        Raises:
            TilingError: its operators cannot be read.
        """
        before = len(self.notes)
        try:
            sheet = self._read(self.reader.pages[index])
        except TilingError:
            raise
        except BROKEN as error:
            raise TilingError(f"page {index + 1} of the file cannot be read ({reason(error)})") from error
        self.notes[before:], notes = [], self.notes[before:]
        return FinishedPage(
            width=sheet.width, height=sheet.height, scale=sheet.scale, painted=sheet.painted,
            drawn=sheet.drawn, findings=(*sheet.findings, *notes),
        )  # fmt: skip

    def _read(self, page: Any) -> FinishedPage:
        x0, y0, x1, y1 = (float(resolved(side)) for side in resolved(page["/MediaBox"]))
        width, height = (x1 - x0) * MM_PER_POINT, (y1 - y0) * MM_PER_POINT
        contents = resolved(page.get("/Contents", []))
        parts = contents if isinstance(contents, list) else [contents]
        interpreter = Interpreter(
            self._means_of(page.raw_get("/Resources")),
            to_mm((x0, y0, x1, y1), self.stretch),
            (0.0, 0.0, width, height),
        )
        painted = interpreter.run(b"\n".join(resolved(part).get_data() for part in parts))
        a, b, c, d, _, _ = interpreter.first or interpreter.state.matrix
        return FinishedPage(
            width=width,
            height=height,
            scale=((a * a + b * b) ** 0.5, (c * c + d * d) ** 0.5),
            painted=painted,
            drawn=sorted_out(painted, self.decoded),
            findings=tuple(page_state(page)),
        )

    def _means_of(self, resources: Any) -> FileMeans:
        """What the names of a dictionary of resources stand for."""
        key = resources.idnum if hasattr(resources, "idnum") else 0
        if not key:
            return FileMeans(resources, self)
        if key not in self._means:
            self._means[key] = FileMeans(resources, self)
        return self._means[key]

    # What pages name

    def note(self, finding: str) -> None:
        """Something is wrong besides what is painted."""
        self.notes.append(finding)

    def font_name(self, font: Any, name: str) -> str:
        """What the record calls a font; one with other letters keeps its name and is noted."""
        key = font.idnum if hasattr(font, "idnum") else id(font)
        if key not in self._fonts:
            known: dict[str, str] = {} if self.meant is None else self.meant.fonts
            digest = digest_of(font)
            if digest not in known:
                self.note(
                    f"font {name} differs from its record: its letters, their widths or their codes were exchanged"
                    if digest
                    else f"font {name} is not in the file"
                )
            found = self._fonts[key] = known.get(digest, name)
            self._codes.setdefault(found, dict(_codes(font)))
        return self._fonts[key]

    def decoded(self, what: str) -> str:
        """The words of an item of words."""
        _, font, said = what.split(":", 2)
        codes = self._codes.get(font, {})
        parts = said.split(APART)[::2]
        return "".join(codes.get(ord(code), "\ufffd") for part in parts for code in part)

    def form_kind(self, form: Any, name: str) -> str:
        """What the record calls a form; one that draws something else keeps its name and is noted."""
        key = form.idnum if hasattr(form, "idnum") else id(form)
        if key not in self._forms:
            self._forms[key] = self._matched(self._form(form), name)
        return self._forms[key][0]

    def _matched(self, painted: PageContent, name: str) -> tuple[str, PageContent]:
        if self.meant is None:
            return name, painted
        for called in self.meant.forms:
            if same(self.due_form(called), painted):
                return f"form {called}", painted
        if name not in self.meant.forms:
            return f"unknown form {name}", painted
        found = differences(self.due_form(name), painted, self.decoded)
        if name == CODE_FORM:
            found = [f"{words}; {OTHER_CODE}" for words in found]
        self.notes += [f"in form {name}, on every page that has it: {words}" for words in found]
        return f"form {name}", painted

    def _form(self, form: Any) -> PageContent:
        """What a form paints, in its own space."""
        thing = resolved(form)
        self._depth += 1
        if self._depth > DEEPEST:
            raise ValueError("forms are placed within one another without end")
        try:
            resources = thing.raw_get("/Resources") if "/Resources" in thing else {}
            interpreter = Interpreter(self._means_of(resources), STILL, ANYWHERE)
            x0, y0, x1, y1 = (f"{float(resolved(side)):.6f}" for side in resolved(thing["/BBox"]))
            box = f"{x0} {y0} m {x1} {y0} l {x1} {y1} l {x0} {y1} l h W n\n".encode()
            return interpreter.run(box + thing.get_data())
        finally:
            self._depth -= 1

    def form(self, form: Any) -> PageInk:
        """What a form that was met on a page draws, in its own space; it is sorted once."""
        key = form.idnum if hasattr(form, "idnum") else id(form)
        if key not in self._drawn:
            self._drawn[key] = sorted_out(self._forms[key][1], self.decoded)
        return self._drawn[key]


def _codes(font: Any) -> list[tuple[int, str]]:
    """From codes to characters by a font's own map."""
    words = resolved(resolved(font).get("/ToUnicode"))
    return [] if words is None else list(cmap(words.get_data().decode("latin-1")))
