"""The least that a writer of one finished file must do: the same bytes, by a writer that knows nothing of drawings.

It is handed every number as a number, every word as a word and every choice made: which lines of operators a page
has, where words stand, which vertices of an outline are left.  What it has to do itself is what no writer of these
bytes is spared:

- turn the coordinates of each pattern into text, each line of operators once for its pattern and all in one call;
- gather each page's lines, pack them, and write them as an object;
- turn each record into JSON and pack it;
- write the objects of pages with their links, the outline and everything else, with the numbers that they name;
- write where each object begins.

What it writes is compared with the file byte for byte.
"""

from __future__ import annotations

import json
import re
import time
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import BinaryIO

from tiling.pdf.objects import LEVEL

__all__ = ["same_bytes"]

NUMBERED = re.compile(rb"(\d+) 0 obj\n(.*)\nendobj\n\Z", re.DOTALL)
STREAM = re.compile(
    rb"(<<[^\n]*/FlateDecode[^\n]*/Length )\d+( >>\nstream\n)(.*)(\nendstream)\Z", re.DOTALL
)  # as written here; reportlab writes the font's otherwise
NAMED = re.compile(rb"\b(\d+)(?= 0 R\b)")
PLACED = re.compile(r"(?:-?\d[\d.]* )+(?:m|l|c|re|cm|Tm)\b")  # operators that take coordinates
FIGURE = re.compile(r"-?\d+\.(\d+)")


@dataclass(slots=True)
class Content:
    """A stream of operators: the stretches of its lines among those of its pattern; its object's template."""

    number: int
    stretches: list[tuple[int, int]]
    template: bytes


@dataclass(slots=True)
class Packed:
    """A record, as values; its object's template takes the sizes of the record and of what it is packed to."""

    number: int
    record: object
    template: bytes


@dataclass(slots=True)
class Plain:
    """Any other object: its template, and the numbers of the objects that it names."""

    number: int
    template: bytes
    named: tuple[int, ...]


@dataclass(slots=True)
class Batch:
    """The objects of one pattern in their order; a template of all its lines, each once, and the numbers in it."""

    things: list[Content | Packed | Plain]
    template: str
    numbers: tuple[float, ...]


def same_bytes(source: Path, target: Path) -> float:
    """Write a file again; returns the seconds of the processor that it took.

    Raises:
        ValueError: what was written is not the same.
    """
    data = source.read_bytes()
    start = int(data[data.rindex(b"startxref") + 9 :].split()[0])
    places = _places(data[start:])
    begins = sorted(place for place in places if place)
    tail = data[data.index(b"trailer", start) :]
    offsets = [0] * len(places)
    spent = 0.0
    with target.open("wb") as stream:
        at = stream.write(data[: begins[0]])
        for batch in _batches(data, [*begins, start]):
            started = time.process_time()
            at = _write(batch, stream, at, offsets)
            spent += time.process_time() - started
        started = time.process_time()
        table = [b"%010d 00000 n \n" % offset if offset else b"0000000000 00001 f \n" for offset in offsets]
        table[0] = b"0000000000 65535 f \n"
        stream.write(b"xref\n0 %d\n%b%b" % (len(table), b"".join(table), tail))
        spent += time.process_time() - started
    if target.read_bytes() != data:
        raise ValueError(f"{target} is not the same as {source}")
    return spent


def _write(batch: Batch, stream: BinaryIO, at: int, offsets: list[int]) -> int:
    """Write the objects of a pattern, the first at that place of the file; returns where the last one ends."""
    lines = (batch.template % batch.numbers).split("\n")
    for thing in batch.things:
        if isinstance(thing, Content):
            taken: list[str] = []
            for first, last in thing.stretches:
                taken += lines[first:last]
            packed = zlib.compress("\n".join(taken).encode("latin-1"), LEVEL)
            body = thing.template % (len(packed), packed)
        elif isinstance(thing, Packed):
            held = thing.record
            record = held if isinstance(held, bytes) else json.dumps(held, separators=(",", ":")).encode()
            packed = zlib.compress(record, LEVEL)
            body = thing.template % (len(record), len(packed), packed)
        else:
            body = thing.template % thing.named
        offsets[thing.number] = at
        at += stream.write(b"%d 0 obj\n%b\nendobj\n" % (thing.number, body))
    return at


def _places(table: bytes) -> list[int]:
    """Where each object begins by its number; 0 where there is none."""
    lines = table.split(b"\n")
    count = int(lines[1].split()[1])
    return [int(line[:10]) if line.endswith(b" n ") else 0 for line in lines[2 : 2 + count]]


def _batches(data: bytes, ends: Sequence[int]) -> Iterator[Batch]:
    """A finished file taken apart, pattern by pattern: a pattern's record stands before its pages."""
    things: list[Content | Packed | Plain] = []
    known: dict[str, int] = {}
    for at, end in pairwise(ends):
        found = NUMBERED.match(data[at:end])
        assert found is not None
        number, body = int(found[1]), found[2]
        stream = STREAM.match(body)
        if stream is None:
            named = tuple(int(each) for each in NAMED.findall(body))
            things.append(Plain(number, NAMED.sub(b"%d", body.replace(b"%", b"%%")), named))
            continue
        inside = zlib.decompress(stream[3])
        template = stream[1] + b"%d" + stream[2] + b"%b" + stream[4]
        if b"/EmbeddedFile" in body:
            yield Batch(things, *_template("\n".join(known)))
            things, known = [], {}
            record = json.loads(inside) if b"json" in body.split(b"stream\n")[0] else inside
            things.append(Packed(number, record, re.sub(rb"/Size \d+", b"/Size %d", template)))
        else:
            things.append(Content(number, _stretches(inside.decode("latin-1"), known), template))
    yield Batch(things, *_template("\n".join(known)))


def _stretches(text: str, known: dict[str, int]) -> list[tuple[int, int]]:
    """Which lines a text has, as stretches of those known, to which its new ones are added."""
    found: list[tuple[int, int]] = []
    for line in text.split("\n"):
        index = known.setdefault(line, len(known))
        if found and found[-1][1] == index:
            found[-1] = found[-1][0], index + 1
        else:
            found.append((index, index + 1))
    return found


def _template(text: str) -> tuple[str, tuple[float, ...]]:
    """The text with its coordinates taken out, and these."""
    numbers: list[float] = []

    def figure(found: re.Match[str]) -> str:
        numbers.append(float(found[0]))
        return f"%.{len(found[1])}f"

    text = text.replace("%", "%%")
    return PLACED.sub(lambda found: FIGURE.sub(figure, found[0]), text), tuple(numbers)
