"""A finished PDF read back without the writer's help: pypdf for the objects, a small tokenizer for the pages.

Everything is given in mm from the lower left corner of the page.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from pypdf import PdfReader

REPLACED = "/Span"
MM = 25.4 / 72.0  # mm a point: ISO 32000-1, 8.3.2.3 (from memory)
Array = NDArray[np.float64]
Matrix = tuple[float, float, float, float, float, float]

TOKEN = re.compile(
    rb"""\s*(?:
      (?P<number>[-+]?(?:\d+\.?\d*|\.\d+))(?=[\s/\[\]<(]|$)
    | (?P<name>/[^\s/\[\]()<>]+)
    | (?P<string>\((?:[^()\\]|\\.)*\))
    | (?P<array>[\[\]])
    | (?P<word>[A-Za-z'"*]+[0-9]*\*?)
    )""",
    re.VERBOSE | re.DOTALL,
)


@dataclass(frozen=True)
class Line:
    """A subpath that was painted: vertices (n, 2), mm; curves count by their end points only."""

    points: Array
    width: float
    dash: tuple[tuple[float, ...], float]
    stroked: bool
    filled: bool
    closed: bool
    curved: bool
    grey: float
    clip: tuple[float, float, float, float] | None
    form: str  # the form that it stands in; empty for the page's own content
    layer: str  # the optional content group's name; empty for none


@dataclass(frozen=True)
class Spot:
    """A filled circle."""

    centre: tuple[float, float]
    radius: float
    grey: float
    form: str
    layer: str


@dataclass(frozen=True)
class Said:
    """One string: where its baseline begins, its font's size in mm, its direction, its text."""

    text: str
    at: tuple[float, float]
    size: float
    turn: float
    clip: tuple[float, float, float, float] | None
    layer: str
    replaced: bool  # a search reads other words for it (ActualText)


@dataclass
class Sheet:
    """One page."""

    width: float
    height: float
    label: str
    lines: list[Line] = field(default_factory=list)
    spots: list[Spot] = field(default_factory=list)
    said: list[Said] = field(default_factory=list)

    @property
    def text(self) -> str:
        return " ".join(said.text for said in self.said)


@dataclass
class _State:
    matrix: Matrix
    width: float = 1.0
    dash: tuple[tuple[float, ...], float] = ((), 0.0)
    stroke: float = 0.0
    fill: float = 0.0
    clip: tuple[float, float, float, float] | None = None
    font: str = ""
    size: float = 0.0

    def copy(self) -> _State:
        return _State(**self.__dict__)


def read(path: Path, pages: slice = slice(None)) -> list[Sheet]:
    """Every page of a file, or some of them."""
    reader = PdfReader(path)
    labels = list(reader.page_labels)
    assert len(labels) == len(reader.pages)
    return [_Page(page, label).sheet for page, label in zip(reader.pages[pages], labels[pages], strict=True)]


def _times(m: Matrix, n: Matrix) -> Matrix:
    a, b, c, d, e, f = m
    g, h, i, j, k, l = n  # noqa: E741
    return (a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + l)


class _Page:
    def __init__(self, page: Any, label: str) -> None:
        box = [float(v) for v in page.mediabox]
        self.sheet = Sheet((box[2] - box[0]) * MM, (box[3] - box[1]) * MM, label)
        self._codes: dict[str, dict[int, str]] = {}
        self._resources = page["/Resources"]
        # the layers that are open, one inside the other; REPLACED for replaced words
        self._marked: list[str] = []
        start = _State(matrix=(MM, 0.0, 0.0, MM, -box[0] * MM, -box[1] * MM))
        self._run(page.get_contents().get_data(), start, "")

    def _run(self, data: bytes, state: _State, form: str) -> None:
        stack: list[_State] = []
        operands: list[Any] = []
        array: list[Any] | None = None
        subpaths: list[tuple[list[tuple[float, float]], bool, bool]] = []
        clipping = False
        text: Matrix = (1, 0, 0, 1, 0, 0)

        def at(x: float, y: float) -> tuple[float, float]:
            a, b, c, d, e, f = state.matrix
            return a * x + c * y + e, b * x + d * y + f

        for kind, token in _tokens(data):
            if kind == "number":
                (operands if array is None else array).append(float(token))
                continue
            if kind in ("name", "string"):
                operands.append(token)
                continue
            if kind == "array":
                if token == b"[":
                    array = []
                else:
                    operands.append(array)
                    array = None
                continue
            op = token.decode()
            v = operands
            if op == "q":
                stack.append(state.copy())
            elif op == "Q":
                state = stack.pop()
            elif op == "cm":
                state.matrix = _times(tuple(v), state.matrix)  # type: ignore[arg-type]
            elif op == "w":
                state.width = v[0]
            elif op == "d":
                state.dash = (tuple(v[0]), v[1])
            elif op == "G":
                state.stroke = v[0]
            elif op == "g":
                state.fill = v[0]
            elif op == "m":
                subpaths.append(([at(*v)], False, False))
            elif op == "l":
                subpaths[-1][0].append(at(*v))
            elif op == "c":
                points, _, closed = subpaths[-1]
                subpaths[-1] = ([*points, at(*v[4:])], True, closed)
            elif op == "h":
                subpaths[-1] = (subpaths[-1][0], subpaths[-1][1], True)
            elif op == "re":
                x, y, w, h = v
                corners = [at(x, y), at(x + w, y), at(x + w, y + h), at(x, y + h)]
                subpaths.append((corners, False, True))
            elif op == "W":
                clipping = True
            elif op in ("S", "s", "f", "n", "B", "b"):
                if clipping:
                    points = np.array(subpaths[0][0])
                    state.clip = (*points.min(axis=0), *points.max(axis=0))
                    clipping = False
                if op != "n":
                    self._paint(op, subpaths, state, form)
                subpaths = []
            elif op == "BT":
                text = (1, 0, 0, 1, 0, 0)
            elif op == "Tm":
                text = tuple(v)  # type: ignore[assignment]
            elif op == "Tf":
                state.font, state.size = v[0].decode(), v[1]
            elif op == "Tj":
                self._show(v[0], text, state)
            elif op == "Do":
                name = v[0].decode()
                self._run(self._resources["/XObject"][name].get_data(), state.copy(), name[1:])
            elif op == "BDC":  # ISO 32000-1, 14.6.2 and 8.11.3.2 (from memory)
                self._marked.append(
                    self._layer(v[1].decode()) if v[0] == b"/OC" else self._span(v[1].decode())
                )
            elif op == "EMC":
                self._marked.pop()
            elif op not in ("ET", "j", "J", "Tr"):
                raise AssertionError(f"unknown operator {op}")
            operands = []

    def _layer(self, name: str) -> str:
        group = self._resources["/Properties"][name]
        assert group["/Type"] == "/OCG"
        return str(group["/Name"])

    def _span(self, name: str) -> str:
        assert "/ActualText" in self._resources["/Properties"][name]
        return REPLACED

    def _inside(self) -> str:
        return next((layer for layer in reversed(self._marked) if layer != REPLACED), "")

    def _paint(self, op: str, subpaths: list[Any], state: _State, form: str) -> None:
        scale = math.sqrt(abs(state.matrix[0] * state.matrix[3] - state.matrix[1] * state.matrix[2]))
        stroked, filled = op in "SsB", op in "fB"
        for points, curved, closed in subpaths:
            array = np.array(points)
            if filled and curved:
                low, high = array.min(axis=0), array.max(axis=0)
                centre = tuple((0.5 * (low + high)).tolist())
                self.sheet.spots.append(
                    Spot(centre, float(0.5 * (high - low)[0]), state.fill, form, self._inside())
                )
                continue
            self.sheet.lines.append(
                Line(
                    points=array,
                    width=state.width * scale,
                    dash=(tuple(d * scale for d in state.dash[0]), state.dash[1] * scale),
                    stroked=stroked,
                    filled=filled,
                    closed=closed or op in ("s", "b"),
                    curved=curved,
                    grey=state.fill if filled else state.stroke,
                    clip=state.clip,
                    form=form,
                    layer=self._inside(),
                )
            )

    def _show(self, raw: bytes, text: Matrix, state: _State) -> None:
        a, b, _, _, e, f = _times(text, state.matrix)
        words = "".join(self._code(state.font).get(code, "\ufffd") for code in _unescaped(raw[1:-1]))
        size = state.size * math.hypot(a, b)
        self.sheet.said.append(
            Said(words, (e, f), size, math.atan2(b, a), state.clip, self._inside(), REPLACED in self._marked)
        )

    def _code(self, font: str) -> dict[int, str]:
        """From codes to characters, by the font's own ToUnicode map."""
        found = self._codes.get(font)
        if found is None:
            cmap = self._resources["/Font"][font]["/ToUnicode"].get_data().decode("latin-1")
            found = self._codes[font] = dict(_cmap(cmap))
        return found


def _tokens(data: bytes) -> Iterator[tuple[str, bytes]]:
    place = 0
    while True:
        match = TOKEN.match(data, place)
        if match is None:
            assert not data[place:].strip(), data[place : place + 40]
            return
        place = match.end()
        yield str(match.lastgroup), match[match.lastgroup or 0]


ESCAPES = {b"n": 10, b"r": 13, b"t": 9, b"b": 8, b"f": 12}


def _unescaped(raw: bytes) -> bytes:
    def one(match: re.Match[bytes]) -> bytes:
        body = match[1]
        if body[:1].isdigit():
            return bytes([int(body, 8) & 255])
        return bytes([ESCAPES.get(body, body[0])])

    return re.sub(rb"\\([0-7]{1,3}|.)", one, raw, flags=re.DOTALL)


def _cmap(text: str) -> Iterator[tuple[int, str]]:
    assert "beginbfrange" not in text, "ranges are not read"
    for block in re.findall(r"beginbfchar(.*?)endbfchar", text, re.DOTALL):
        for code, target in re.findall(r"<(\w+)>\s*<(\w+)>", block):
            yield int(code, 16), chr(int(target, 16))
