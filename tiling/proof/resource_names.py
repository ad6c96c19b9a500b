"""What the names in a finished file's operators stand for: its fonts, forms, layers, settings and colour spaces."""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator
from typing import Any, Protocol

from tiling.pdf.graphics_state import STILL, Matrix
from tiling.pdf.ink_record import font_digest
from tiling.pdf.page_content import Placed

__all__ = ["FileMeans", "Names", "cmap", "digest_of", "layer_name", "resolved"]


def resolved(thing: Any) -> Any:
    """The object that a reference stands for."""
    return thing.get_object() if hasattr(thing, "get_object") else thing


class Names(Protocol):
    """A file, as far as names lead there."""

    def font_name(self, font: Any, name: str) -> str:
        """What the record calls a font."""
        ...

    def form_kind(self, form: Any, name: str) -> str:
        """What the record calls a form."""
        ...

    def note(self, finding: str) -> None:
        """Something is wrong besides what is painted."""
        ...


class FileMeans:
    """The names of one dictionary of resources."""

    def __init__(self, resources: Any, file: Names) -> None:
        self._resources, self._file = resolved(resources), file
        self._fonts: dict[str, str] = {}
        self._placed: dict[str, Placed] = {}
        spaces = resolved(self._resources.get("/ColorSpace")) or {}
        for name in spaces:
            if str(name).startswith("/Default"):
                file.note(f"colours are replaced ({str(name)[1:]})")

    def _raw(self, kind: str, name: str) -> Any:
        """What stands under a name, perhaps a reference."""
        listed = resolved(self._resources[f"/{kind}"])
        return listed.raw_get(f"/{name}")

    def font(self, name: str) -> str:
        """What the record calls a font."""
        if name not in self._fonts:
            self._fonts[name] = self._file.font_name(self._raw("Font", name), name)
        return self._fonts[name]

    def placed(self, name: str) -> Placed:
        """A form or a picture."""
        found = self._placed.get(name)
        if found is None:
            raw = self._raw("XObject", name)
            thing = resolved(raw)
            if thing.get("/Subtype") == "/Form":
                kind = self._file.form_kind(raw, name)
            else:
                kind = f"picture {zlib.crc32(thing.get_data()):08x}"
            layer = layer_name(thing["/OC"]) if "/OC" in thing else ""
            found = self._placed[name] = Placed(kind=kind, matrix=_matrix(thing), layer=layer, thing=raw)
        return found

    def layer(self, properties: Any) -> str:
        """The name of a layer."""
        if isinstance(properties, dict):
            return "an unnamed layer"
        return layer_name(self._raw("Properties", str(properties)))

    def settings(self, name: str) -> dict[str, Any]:
        """A dictionary of settings, with plain values."""
        found = {str(key)[1:]: _plain(value) for key, value in resolved(self._raw("ExtGState", name)).items()}
        if "Font" in found:
            self._file.note("a font is set in a dictionary of settings")
        return found

    def space(self, name: str) -> str:
        """A colour space: of a device by its name, else all that it is."""
        if name in ("DeviceGray", "DeviceRGB", "DeviceCMYK", "Pattern"):
            return name
        return str(_plain(self._raw("ColorSpace", name)))


def _matrix(form: Any) -> Matrix:
    if "/Matrix" not in form or form.get("/Subtype") != "/Form":
        return STILL
    a, b, c, d, e, f = (float(resolved(value)) for value in resolved(form["/Matrix"]))
    return a, b, c, d, e, f


def _plain(value: Any) -> Any:
    """A value without references; numbers as floats, names without their slash."""
    value = resolved(value)
    if isinstance(value, dict):
        return {str(key): str(resolved(each))[:80] for key, each in value.items()}
    if isinstance(value, list):
        return [_plain(each) for each in value]
    if isinstance(value, bool) or value is None:
        return value
    if isinstance(value, (int, float)):
        return float(value)
    if type(value).__name__ == "BooleanObject":
        return bool(value.value)
    return str(value).removeprefix("/")


def layer_name(group: Any) -> str:
    """The name of a layer; of content that hangs on several layers something that none is called."""
    group = resolved(group)
    kind = group.get("/Type")
    if kind == "/OCG":
        return str(resolved(group["/Name"]))
    return "several layers" if kind == "/OCMD" or "/OCGs" in group else ""


def digest_of(font: Any) -> str:
    """The digest of a font in a file; empty where its letters are not in the file."""
    font = resolved(font)
    described = resolved(font.get("/FontDescriptor"))
    if described is None or "/FontFile2" not in described:
        return ""
    words = resolved(font.get("/ToUnicode"))
    encoding = font.get("/Encoding")
    return font_digest(
        kind=" ".join([str(font.get("/Subtype"))[1:], *({"/FontFile", "/FontFile3"} & set(described))]),
        first=int(font.get("/FirstChar", 0)),
        widths=[float(resolved(width)) for width in resolved(font.get("/Widths", []))],
        encoding="" if encoding is None else str(_plain(encoding)),
        flags=int(described.get("/Flags", 0)),
        program=resolved(described["/FontFile2"]).get_data(),
        words=b"" if words is None else words.get_data(),
    )


def cmap(text: str) -> Iterator[tuple[int, str]]:
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
