"""A finished file read back: its pages, forms, fonts and attached files, by pypdf."""

from __future__ import annotations

import json
import logging
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pypdf import PdfReader
from pypdf.errors import PyPdfError

from tiling.errors import TilingError
from tiling.operators import STILL, Drawn, Stamp, carried_out, resolved
from tiling.paper import MM_PER_INCH, POINTS_PER_INCH

__all__ = ["File", "Sheet", "open_file"]

MM_PER_POINT = MM_PER_INCH / POINTS_PER_INCH


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sheet:
    """One page as it is.

    Attributes:
        width, height: mm.
        user_unit: the page's own unit; 1 as it should be.
        turn: by which viewers turn the page, degrees.
        drawn: what stands on it, mm from its lower left corner; what its forms draw is left to `File.form`.
    """

    width: float
    height: float
    user_unit: float
    turn: int
    drawn: Drawn


def open_file(path: Path) -> File:
    """The file, its pages not read yet.

    Raises:
        TilingError: it is no PDF, or not to be read.
    """
    # What the library tells of a broken file is told below in words of our own.
    logging.getLogger("pypdf").setLevel(logging.CRITICAL)
    try:
        return File(reader=PdfReader(path))
    except OSError as error:
        raise TilingError(f"{path}: cannot be read: {error.strerror or error}") from error
    except (PyPdfError, ValueError, KeyError, TypeError, AttributeError) as error:
        raise TilingError(f"{path}: is no PDF that can be read ({error})") from error


@dataclass(slots=True, kw_only=True, eq=False)
class File:
    """A finished file.

    Attributes:
        stretch: by how much its pages are drawn larger about their middle, on purpose; what is read is
            told without.
    """

    reader: PdfReader
    stretch: tuple[float, float] = (1.0, 1.0)
    _codes: dict[int, dict[int, str]] = field(default_factory=dict)
    _forms: dict[int, Drawn] = field(default_factory=dict)

    @property
    def pages(self) -> int:
        """How many pages it has."""
        return len(self.reader.pages)

    def labels(self) -> list[str]:
        """The page labels."""
        return list(self.reader.page_labels)

    def attached(self, name: str) -> Any:
        """An attached JSON file; None where there is none of that name that can be read."""
        try:
            found = self.reader.attachments.get(name)
            return json.loads(found[0]) if found else None
        except (PyPdfError, ValueError, KeyError, TypeError):
            return None

    def print_scaling(self) -> str:
        """What the file asks of the print dialog; empty where nothing."""
        root = self.reader.trailer["/Root"]
        wishes = resolved(root).get("/ViewerPreferences")
        return str(resolved(wishes).get("/PrintScaling", "")) if wishes is not None else ""

    def layers_off(self) -> list[str]:
        """Names of the layers that are neither shown nor printed."""
        listed = resolved(self.reader.trailer["/Root"]).get("/OCProperties")
        if listed is None:
            return []
        listed = resolved(listed)
        state = resolved(listed["/D"])
        off = {group.idnum for group in resolved(state.get("/OFF", [])) if hasattr(group, "idnum")}
        if state.get("/BaseState") == "/OFF":
            on = {group.idnum for group in resolved(state.get("/ON", [])) if hasattr(group, "idnum")}
            off |= {group.idnum for group in resolved(listed["/OCGs"])} - on
        return sorted(
            str(resolved(group)["/Name"]) for group in resolved(listed["/OCGs"]) if group.idnum in off
        )

    def fonts_not_embedded(self) -> list[str]:
        """Fonts of any page whose shapes are not in the file."""
        missing, seen = set(), set()
        for page in self.reader.pages:
            fonts = resolved(page["/Resources"]).get("/Font")
            if fonts is None or getattr(fonts, "idnum", id(fonts)) in seen:
                continue
            seen.add(getattr(fonts, "idnum", id(fonts)))
            for name, font in fonts.get_object().items():
                described = font.get_object().get("/FontDescriptor")
                if described is None or not {"/FontFile", "/FontFile2", "/FontFile3"} & set(
                    described.get_object()
                ):
                    missing.add(str(name))
        return sorted(missing)

    def sheet(self, index: int) -> Sheet:
        """One page, from 0.

        Raises:
            TilingError: its operators cannot be read.
        """
        page = self.reader.pages[index]
        try:
            return _read(self, page)
        except (PyPdfError, ValueError, KeyError, IndexError, TypeError) as error:
            raise TilingError(f"page {index + 1} of the file cannot be read ({error!r})") from error

    def codes(self, font: Any) -> dict[int, str]:
        """From codes to characters by a font's own map."""
        key = font.idnum if hasattr(font, "idnum") else id(font)
        if key not in self._codes:
            cmap = font.get_object()["/ToUnicode"].get_object().get_data().decode("latin-1")
            self._codes[key] = dict(_cmap(cmap))
        return self._codes[key]

    def form(self, stamp: Stamp, page: int) -> Drawn:
        """What a form draws, in its own mm; it is read once."""
        if stamp.number not in self._forms:
            resources = resolved(self.reader.pages[page]["/Resources"])
            form = resolved(resources["/XObject"])[f"/{stamp.name}"]
            self._forms[stamp.number] = carried_out(
                form.get_data(), STILL, resources=resources, codes=self.codes
            )
        return self._forms[stamp.number]


def _read(file: File, page: Any) -> Sheet:
    box = [float(side) for side in page["/MediaBox"]]
    contents = page["/Contents"].get_object()
    parts = contents if isinstance(contents, list) else [contents]
    data = b"\n".join(part.get_object().get_data() for part in parts)
    per_point = [MM_PER_POINT / by for by in file.stretch]
    middle = [0.5 * (box[i] + box[i + 2]) for i in (0, 1)]
    half = [0.5 * (box[i + 2] - box[i]) * MM_PER_POINT for i in (0, 1)]
    to_mm = (
        per_point[0], 0.0, 0.0, per_point[1],
        half[0] - middle[0] * per_point[0], half[1] - middle[1] * per_point[1],
    )  # fmt: skip
    return Sheet(
        width=(box[2] - box[0]) * MM_PER_POINT,
        height=(box[3] - box[1]) * MM_PER_POINT,
        user_unit=float(page.get("/UserUnit", 1.0)),
        turn=int(page.get("/Rotate", 0)),
        drawn=carried_out(data, to_mm, resources=resolved(page["/Resources"]), codes=file.codes),
    )


def _cmap(text: str) -> Iterator[tuple[int, str]]:
    """Codes and characters of a ToUnicode map (ISO 32000-1, 9.10.3; from memory)."""
    for block in re.findall(r"beginbfrange(.*?)endbfrange", text, re.DOTALL):
        for low, high, rest in re.findall(r"<(\w+)>\s*<(\w+)>\s*(\[[^\]]*\]|<\w+>)", block):
            codes = range(int(low, 16), int(high, 16) + 1)
            if rest.startswith("["):
                targets = [int(target, 16) for target in re.findall(r"<(\w+)>", rest)]
            else:
                targets = [int(rest[1:-1], 16) + offset for offset in range(len(codes))]
            yield from zip(codes, map(chr, targets), strict=False)
    for block in re.findall(r"beginbfchar(.*?)endbfchar", text, re.DOTALL):
        for code, target in re.findall(r"<(\w+)>\s*<(\w+)>", block):
            yield int(code, 16), chr(int(target, 16))
