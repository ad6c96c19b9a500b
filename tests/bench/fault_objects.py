"""Faults in the objects of a file, beside its operators.

A kind changes a file that pypdf is about to write, and returns whether there was anything of its kind.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from random import Random
from typing import Any

from pypdf import PdfWriter
from pypdf.generic import (
    ArrayObject,
    DecodedStreamObject,
    DictionaryObject,
    FloatObject,
    NameObject,
    NumberObject,
    PdfObject,
    TextStringObject,
)

__all__ = ["IN_OBJECTS", "Fault", "content_of", "form_of", "name", "resources", "set_content", "set_form"]

Fault = Callable[[PdfWriter, Random], bool]


def name(text: str) -> NameObject:
    return NameObject(f"/{text}")


def box(*sides: float) -> ArrayObject:
    return ArrayObject([FloatObject(side) for side in sides])


def content_of(page: Any) -> bytes:
    """The operators of a page."""
    return bytes(page.get_contents().get_data())


def set_content(writer: PdfWriter, page: Any, data: bytes) -> None:
    """Give a page other operators."""
    stream = DecodedStreamObject()
    stream.set_data(data)
    page[name("Contents")] = writer._add_object(stream)


def resources(writer: PdfWriter) -> Any:
    return writer.pages[0]["/Resources"].get_object()


def form_of(writer: PdfWriter, called: str) -> Any:
    """A form by its name, None where there is none."""
    forms = resources(writer).get("/XObject")
    return forms.get_object().get(f"/{called}") if forms is not None else None


def set_form(writer: PdfWriter, called: str, data: bytes, **entries: Any) -> None:
    """Give a form other operators, or other entries."""
    old = form_of(writer, called).get_object()
    stream = DecodedStreamObject()
    stream.set_data(data)
    for key, value in old.items():
        if key not in ("/Filter", "/Length", "/DecodeParms"):
            stream[NameObject(key)] = value
    for key, value in entries.items():
        stream[name(key)] = value
    resources(writer)["/XObject"].get_object()[name(called)] = writer._add_object(stream)


def with_page(change: Callable[[PdfWriter, Any], None]) -> Fault:
    """Change one page."""

    def fault(writer: PdfWriter, chance: Random) -> bool:
        change(writer, chance.choice(writer.pages))
        return True

    return fault


def entry(key: str, value: Callable[[Any], Any]) -> Fault:
    """Another entry of one page."""
    return with_page(lambda writer, page: page.__setitem__(name(key), value(page)))


def media(page: Any) -> list[float]:
    return [float(side) for side in page["/MediaBox"]]


def annotation(kind: str, **more: Any) -> Fault:
    """An annotation over one page."""

    def change(writer: PdfWriter, page: Any) -> None:
        found = DictionaryObject({
            name("Type"): name("Annot"), name("Subtype"): name(kind), name("Rect"): box(100, 100, 300, 200),
            name("F"): NumberObject(4),
        })  # fmt: skip
        found.update({name(key): value for key, value in more.items()})
        old = page.get("/Annots")
        listed = list(old.get_object()) if old is not None else []
        page[name("Annots")] = ArrayObject([*listed, writer._add_object(found)])

    return with_page(change)


def settings(**values: Any) -> Fault:
    """A dictionary of settings that all of one page is drawn with."""

    def change(writer: PdfWriter, page: Any) -> None:
        own = dictionary(page["/Resources"])
        own[name("ExtGState")] = DictionaryObject({
            name("Odd"): DictionaryObject({name(key): value for key, value in values.items()})
        })  # fmt: skip
        page[name("Resources")] = own
        set_content(writer, page, b"/Odd gs\n" + content_of(page))

    return with_page(change)


def form(change: Callable[[bytes], bytes] = bytes, **entries: Any) -> Fault:
    """One form with other entries."""

    def fault(writer: PdfWriter, chance: Random) -> bool:
        known = [called for called in ("Strips", "Mark") if form_of(writer, called) is not None]
        called = chance.choice(known)
        set_form(writer, called, change(form_of(writer, called).get_object().get_data()), **entries)
        return True

    return fault


def font(change: Callable[[PdfWriter, Any], object]) -> Fault:
    """Change the first font."""

    def fault(writer: PdfWriter, chance: Random) -> bool:
        change(writer, resources(writer)["/Font"].get_object()["/F1+0"].get_object())
        return True

    return fault


def program(change: Callable[[bytes], bytes]) -> Fault:
    """Change the letters' shapes."""

    def swapped(writer: PdfWriter, found: Any) -> None:
        described = found["/FontDescriptor"].get_object()
        stream = DecodedStreamObject()
        stream.set_data(change(described["/FontFile2"].get_object().get_data()))
        described[name("FontFile2")] = writer._add_object(stream)

    return font(swapped)


def tampered(data: bytes) -> bytes:
    """Shapes with some coordinates exchanged, in the table of shapes."""
    count = int.from_bytes(data[4:6], "big")
    for index in range(count):
        record = data[12 + 16 * index : 28 + 16 * index]
        if record[:4] == b"glyf":
            start = int.from_bytes(record[8:12], "big")
            size = int.from_bytes(record[12:16], "big")
            middle = start + size // 2
            return (
                data[:middle] + bytes(255 - code for code in data[middle : middle + 40]) + data[middle + 40 :]
            )
    return data + b"\0"


def dictionary(found: PdfObject) -> DictionaryObject:
    """A copy of a dictionary of the file."""
    named: Any = found.get_object()
    return DictionaryObject(dict(named))


def catalogue(key: str, value: Any) -> Fault:
    def fault(writer: PdfWriter, chance: Random) -> bool:
        writer._root_object[name(key)] = value
        return True

    return fault


def preference(key: str, value: Any) -> Fault:
    def fault(writer: PdfWriter, chance: Random) -> bool:
        preferences = dictionary(writer._root_object["/ViewerPreferences"])
        preferences[name(key)] = value
        writer._root_object[name("ViewerPreferences")] = preferences
        return True

    return fault


def layers(change: Callable[[Any, Any, Any], object]) -> Fault:
    """Change the layers' states: takes the whole list, the state and one layer."""

    def fault(writer: PdfWriter, chance: Random) -> bool:
        listed = writer._root_object.get("/OCProperties")
        if listed is None:
            return False
        listed = listed.get_object()
        group = chance.choice(list(listed["/OCGs"].get_object()))
        change(listed, listed["/D"].get_object(), group)
        return True

    return fault


def hidden_layer(inside: bool) -> Fault:
    """A page, or a form, in a new layer that is switched off."""

    def fault(writer: PdfWriter, chance: Random) -> bool:
        group = writer._add_object(
            DictionaryObject({name("Type"): name("OCG"), name("Name"): TextStringObject("off")})
        )
        writer._root_object[name("OCProperties")] = DictionaryObject({
            name("OCGs"): ArrayObject([group]), name("D"): DictionaryObject({name("OFF"): ArrayObject([group])}),
        })  # fmt: skip
        if inside:
            return form(OC=group)(writer, chance)
        page = chance.choice(writer.pages)
        own = dictionary(page["/Resources"])
        properties = own[name("Properties")] = dictionary(own["/Properties"])
        properties[name("Off")] = group
        page[name("Resources")] = own
        set_content(writer, page, b"/OC /Off BDC\n" + content_of(page) + b"\nEMC\n")
        return True

    return fault


def pages_exchanged(writer: PdfWriter, chance: Random) -> bool:
    """Two pages with the contents of one."""
    if len(writer.pages) < 2:
        return False
    one, other = chance.sample(list(writer.pages), 2)
    one[name("Contents")] = other.raw_get("/Contents")
    return True


def page_left_out(writer: PdfWriter, chance: Random) -> bool:
    if len(writer.pages) < 2:
        return False
    writer.remove_page(chance.randrange(len(writer.pages)))
    return True


def page_doubled(writer: PdfWriter, chance: Random) -> bool:
    writer.add_page(chance.choice(writer.pages))
    return True


def page_added(writer: PdfWriter, chance: Random) -> bool:
    writer.add_blank_page(200, 200)
    return True


def record_altered(pattern: str, old: bytes, new: bytes) -> Fault:
    """Another record."""

    def fault(writer: PdfWriter, chance: Random) -> bool:
        for entry in writer.attachment_list:
            if re.fullmatch(pattern, entry.name):
                stream = entry.pdf_object["/EF"]["/F"].get_object()  # type: ignore[index]
                data = stream.get_data()
                changed = data.replace(old, new, 1)
                if changed != data:
                    stream.set_data(changed)
                    return True
        return False

    return fault


def replaced_colours(page: Any) -> Any:
    """Resources by which grey is printed in another space."""
    own = dictionary(page["/Resources"])
    tint = DictionaryObject({
        name("FunctionType"): NumberObject(2), name("Domain"): box(0, 1), name("N"): NumberObject(1),
        name("C0"): box(1), name("C1"): box(1),
    })  # fmt: skip
    space = ArrayObject([name("Separation"), name("Pale"), name("DeviceGray"), tint])
    own[name("ColorSpace")] = DictionaryObject({name("DefaultGray"): space})
    return own


IN_OBJECTS: dict[str, Fault] = {
    "page larger": entry("MediaBox", lambda page: box(0, 0, media(page)[2] + 20, media(page)[3] + 20)),
    "page's box moved": entry("MediaBox", lambda page: box(10, 0, media(page)[2] + 10, media(page)[3])),
    "crop box": entry("CropBox", lambda page: box(40, 40, media(page)[2] - 40, media(page)[3] - 40)),
    "trim box": entry("TrimBox", lambda page: box(40, 40, media(page)[2] - 40, media(page)[3] - 40)),
    "page turned": entry("Rotate", lambda page: NumberObject(90)),
    "page on its head": entry("Rotate", lambda page: NumberObject(180)),
    "a unit of its own": entry("UserUnit", lambda page: FloatObject(1.01)),
    "colours replaced": entry("Resources", replaced_colours),
    "note on top": annotation("FreeText", Contents=TextStringObject("cut here")),
    "square on top": annotation("Square", IC=box(1, 1, 1)),
    "highlight on top": annotation("Highlight"),
    "stamp on top": annotation("Stamp"),
    "ink on top": annotation("Ink", InkList=ArrayObject([box(100, 100, 300, 200)])),
    "link with a border": annotation("Link", Border=ArrayObject([NumberObject(n) for n in (0, 0, 3)])),
    "link of the usual border": annotation("Link"),
    "strokes transparent": settings(CA=FloatObject(0.2)),
    "fills transparent": settings(ca=FloatObject(0.0)),
    "blended": settings(BM=name("Screen"), ca=FloatObject(1)),
    "thin by a dictionary": settings(LW=FloatObject(0.01), SMask=name("None"), CA=FloatObject(0.5)),
    "masked": settings(SMask=DictionaryObject({name("S"): name("Alpha")})),
    "form with a matrix": form(Matrix=box(1, 0, 0, 1, 0.5, 0)),
    "form scaled": form(Matrix=box(1.002, 0, 0, 1.002, 0, 0)),
    "form's box small": form(BBox=box(0, 0, 3, 3)),
    "form in a layer off": hidden_layer(inside=True),
    "page in a layer off": hidden_layer(inside=False),
    "letters' shapes exchanged": program(tampered),
    "letters' widths exchanged": font(
        lambda writer, found: found.__setitem__(name("Widths"), ArrayObject(list(found["/Widths"])[::-1]))
    ),
    "codes exchanged": font(
        lambda writer, found: found.__setitem__(
            name("Encoding"),
            DictionaryObject(
                {name("Differences"): ArrayObject([NumberObject(49), name("two"), name("one")])}
            ),
        )
    ),
    "first code exchanged": font(lambda writer, found: found.__setitem__(name("FirstChar"), NumberObject(1))),
    "letters not in the file": font(
        lambda writer, found: found["/FontDescriptor"].get_object().pop("/FontFile2")
    ),
    "another typeface": font(
        lambda writer, found: (
            found.__setitem__(name("Subtype"), name("Type1")),
            found.__setitem__(name("BaseFont"), name("Helvetica")),
            found.pop("/FontDescriptor"),
        )
    ),
    "scaling not asked for": preference("PrintScaling", name("AppDefault")),
    "two copies": preference("NumCopies", NumberObject(2)),
    "some pages only": preference("PrintPageRange", ArrayObject([NumberObject(1), NumberObject(1)])),
    "printed area": preference("PrintArea", name("ArtBox")),
    "form to fill in": catalogue("AcroForm", DictionaryObject({name("Fields"): ArrayObject([])})),
    "layer off": layers(lambda listed, state, group: state.__setitem__(name("OFF"), ArrayObject([group]))),
    "layers off by default": layers(
        lambda listed, state, group: (
            state.__setitem__(name("BaseState"), name("OFF")),
            state.pop("/ON", None),
        )
    ),
    "layer not printed": layers(
        lambda listed, state, group: (
            state.__setitem__(
                name("AS"),
                ArrayObject(
                    [
                        DictionaryObject(
                            {
                                name("Event"): name("Print"),
                                name("OCGs"): ArrayObject([group]),
                                name("Category"): ArrayObject([name("Print")]),
                            }
                        )
                    ]
                ),
            ),
            group.get_object().__setitem__(
                name("Usage"),
                DictionaryObject({name("Print"): DictionaryObject({name("PrintState"): name("OFF")})}),
            ),
        )
    ),
    "layer renamed": layers(
        lambda listed, state, group: group.get_object().__setitem__(name("Name"), TextStringObject("other"))
    ),
    "layer not for viewing": layers(
        lambda listed, state, group: group.get_object().__setitem__(name("Intent"), name("Design"))
    ),
    "page left out": page_left_out,
    "page doubled": page_doubled,
    "blank page added": page_added,
    "two pages alike": pages_exchanged,
    "record: a page's name": record_altered(r"pages\.json", b'"title":"', b'"title":"X'),
    "record: a size": record_altered(r"pages\.json", b'"size":[', b'"size":[1'),
    "record: a stroke": record_altered(r"pattern-1\.json", b'"strokes":[[', b'"strokes":[[1'),
    "record: a width": record_altered(r"ink-0\.bin", b'"width":[0.', b'"width":[1.'),
    "record: a unit": record_altered(r"ink\.json", b'"pages":[[', b'"pages":[[1'),
}
