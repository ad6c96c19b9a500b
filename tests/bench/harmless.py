"""Changes of a finished file that leave the print as it is: other programs write the same in many ways."""

from __future__ import annotations

import re
from collections.abc import Callable
from random import Random
from typing import Any

from pypdf import PdfWriter
from pypdf.generic import ArrayObject, DecodedStreamObject

from tests.bench.fault_objects import Fault, content_of, form_of, name, resources, set_content, set_form

__all__ = ["HARMLESS"]


def reversed_pages(writer: PdfWriter, chance: Random) -> bool:
    kids: Any = writer._root_object["/Pages"].get_object()
    kids[name("Kids")] = ArrayObject(list(kids["/Kids"].get_object())[::-1])
    writer.flattened_pages = None
    return True


def repacked(writer: PdfWriter, chance: Random) -> bool:
    for page in writer.pages:
        page.compress_content_streams(level=9)
    return True


def each_content(change: Callable[[bytes], bytes]) -> Fault:
    """The operators of every page and form written in another way."""

    def fault(writer: PdfWriter, chance: Random) -> bool:
        for page in list(writer.pages):
            set_content(writer, page, change(content_of(page)))
        for called in ("Strips", "Mark", "Record"):
            found = form_of(writer, called)
            if found is not None:
                set_form(writer, called, change(found.get_object().get_data()))
        return True

    return fault


def in_hundredths(data: bytes) -> bytes:
    """Places of lines to the hundredth of a mm, long numbers to the sixth place."""
    data = re.sub(
        rb"(-?\d+\.\d{3})(?= (-?\d+\.\d{3}) [lm]\b)|(?<= )(-?\d+\.\d{3})(?= [lm]\b)",
        lambda m: b"%.2f" % float(m[0]), data,
    )  # fmt: skip
    return re.sub(rb"-?\d+\.\d{7,}", lambda m: b"%.6f" % float(m[0]), data)


def in_pieces(writer: PdfWriter, chance: Random) -> bool:
    """Every page's operators in several streams."""
    for page in list(writer.pages):
        parts = []
        lines = content_of(page).split(b"\n")
        for part in (lines[: len(lines) // 2], lines[len(lines) // 2 :]):
            stream = DecodedStreamObject()
            stream.set_data(b"\n".join(part))
            parts.append(writer._add_object(stream))
        page[name("Contents")] = ArrayObject(parts)
    return True


def renamed(writer: PdfWriter, chance: Random) -> bool:
    """The fonts and forms under other names."""
    own = resources(writer)
    for kind, old, new in (("Font", "F1+0", "G7"), ("XObject", "Strips", "Fm0"), ("XObject", "Mark", "Fm1")):
        listed = own[f"/{kind}"].get_object()
        if f"/{old}" in listed:
            listed[name(new)] = listed.raw_get(f"/{old}")
            del listed[f"/{old}"]
    pairs = ((b"/F1+0 ", b"/G7 "), (b"/Strips ", b"/Fm0 "), (b"/Mark ", b"/Fm1 "))

    def change(data: bytes) -> bytes:
        for old, new in pairs:
            data = data.replace(old, new)
        return data

    for page in list(writer.pages):
        set_content(writer, page, change(content_of(page)))
    for called in ("Fm0", "Fm1", "Record"):
        found = form_of(writer, called)
        if found is not None:
            set_form(writer, called, change(found.get_object().get_data()))
    return True


def described(writer: PdfWriter, chance: Random) -> bool:
    writer.add_metadata({"/Producer": "another program", "/Author": "nobody"})
    return True


HARMLESS: dict[str, Fault] = {
    "written by another program": lambda writer, chance: True,
    "pages in another order": reversed_pages,
    "packed anew": repacked,
    "not packed": each_content(bytes),
    "one operand a line": each_content(lambda data: re.sub(rb"(?<=\d) (?=-?[\d.]+ [lmcw] )", b"\n", data)),
    "with comments": each_content(lambda data: data.replace(b"S\n", b"S % a stroke\n")),
    "numbers to the hundredth": each_content(in_hundredths),
    "a state around all": each_content(lambda data: b"q\n" + data + b"\nQ\n"),
    "a clip that leaves all": each_content(lambda data: b"-10000 -10000 30000 30000 re W n\n" + data),
    "a matrix that leaves all": each_content(lambda data: b"1 0 0 1 0 0 cm\n" + data),
    "boxes as lines": each_content(
        lambda data: re.sub(
            rb"(-?[\d.]+) (-?[\d.]+) (-?[\d.]+) (-?[\d.]+) re\b",
            lambda m: (
                b"%s %s m %.3f %s l %.3f %.3f l %s %.3f l h"
                % (
                    m[1],
                    m[2],
                    float(m[1]) + float(m[3]),
                    m[2],
                    float(m[1]) + float(m[3]),
                    float(m[2]) + float(m[4]),
                    m[1],
                    float(m[2]) + float(m[4]),
                )
            ),
            data,
        )
    ),
    "words in an array": each_content(lambda data: re.sub(rb"(\((?:[^()\\]|\\.)*\)) Tj", rb"[\1] TJ", data)),
    "greys in other spaces": each_content(
        lambda data: re.sub(rb"(?<![\d.\w])(0|1) g(?=[ \n])", rb"\1 \1 \1 rg", data).replace(
            b" 0 G", b" 0 0 0 1 K"
        )
    ),
    "in several streams": in_pieces,
    "other names": renamed,
    "another description": described,
}
