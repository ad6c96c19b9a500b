"""The operators of a page or of a form carried out: everything that they paint, in order, in mm on the page.

The same words are used by the writer, for what it means to paint, and by the proof, for what a file does paint.

Source: ISO 32000-1:2008, 8.4 to 8.11, 9.4, 14.6 (state, paths, forms, layers, text, marked content); from memory.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable
from typing import Any

import numpy as np

from tiling.paper import Box
from tiling.pdf.graphics_state import STILL, Clip, Look, Matrix, State, colour, holds, moved, times, upright
from tiling.pdf.operators import INLINE, LINES, operations
from tiling.pdf.page_content import Item, Means, PageContent

__all__ = ["APART", "SIDE", "Interpreter"]

ALONG = 20.0  # sizes of the type along which words are held: their size shows that much larger
SIDE = 100.0  # mm along the sides of a form that are held
APART = "\ue000"  # about a gap between the codes of words: no code of a font, which is one byte, is this
_OPERANDS = {
    b"m": 2, b"l": 2, b"c": 6, b"v": 4, b"y": 4, b"re": 4, b"w": 1, b"J": 1, b"j": 1, b"M": 1, b"i": 1, b"d": 2,
    b"cm": 6, b"Tm": 6, b"Td": 2, b"TD": 2, b"Tf": 2, b"Tj": 1, b"TJ": 1, b"'": 1, b'"': 3, b"Do": 1, b"gs": 1,
    b"g": 1, b"G": 1, b"rg": 3, b"RG": 3, b"k": 4, b"K": 4, b"cs": 1, b"CS": 1, b"Tc": 1, b"Tw": 1, b"Tz": 1,
    b"TL": 1, b"Tr": 1, b"Ts": 1, b"BDC": 2, b"BMC": 1, b"sh": 1,
}  # fmt: skip
_SEGMENTS = {b"m": "m", b"l": "l", b"c": "c", b"v": "v", b"y": "y"}
_PAINTS = {
    b"S": "S", b"s": "hS", b"f": "f", b"F": "f", b"f*": "e", b"B": "fS", b"B*": "eS", b"b": "hfS", b"b*": "heS",
    b"n": "",
}  # fmt: skip
_QUIET = {b"ri", b"MP", b"DP", b"BX", b"EX", b"d0", b"d1"}  # they paint nothing and change nothing here


class Interpreter:
    """Carries out operators, one stream after the other.

    Args:
        matrix: from user space to mm on the page.
        sheet: the page, mm; a clip that leaves all of it is none.
    """

    def __init__(self, means: Means, matrix: Matrix, sheet: Box) -> None:
        self._means, self._sheet = means, sheet
        self.state = State(matrix=matrix, clip=Clip())
        self.first: Matrix | None = None  # the first by which anything is painted
        self._stack: list[State] = []
        self._marked: list[
            str
        ] = []  # the layers that are open, one within the other; empty for other content
        self._kinds: list[str] = []  # of the path
        self._path: list[float] = []
        self._at = (0.0, 0.0)
        self._clipping = ""
        self._tm = self._line = STILL
        self._fresh = True  # the place of the words was set since the last were shown
        self._text_clip: list[tuple[str, list[float]]] = []
        self._begin()

    def _begin(self) -> None:
        self._items: list[Item] = []
        self._looks: dict[str, int] = {}
        self._kept: list[Look] = []
        self._known: dict[str, int] = {}  # numbers of looks in the present state
        self._numbers: dict[Any, int] = {}  # and in all states so far
        self._flat: list[float] = []
        self._matrices: list[Matrix] = []
        self._counts: list[int] = []

    def run(self, data: bytes) -> PageContent:
        """Carry out more operators; gives what these paint.

        Raises:
            ValueError, KeyError, IndexError, TypeError: they cannot be carried out.
        """
        for operator, operands in operations(data):
            if operator == LINES:
                self._kinds.append(f"l{len(operands) // 2}")
                self._path += operands
                continue
            need = _OPERANDS.get(operator)
            if need is not None and len(operands) != need:
                raise ValueError(f"{operator.decode('latin-1')} has {len(operands)} operands, not {need}")
            if operator in _SEGMENTS:
                self._kinds.append(_SEGMENTS[operator])
                self._path += operands
            elif operator in _PAINTS:
                self._paint(_PAINTS[operator])
            else:
                handler = _HANDLERS.get(operator)
                if handler is not None:
                    handler(self, operands)
                elif operator not in _QUIET:
                    raise ValueError(f"{operator.decode('latin-1')} is not an operator")
        return self._painted()

    def _painted(self) -> PageContent:
        points = np.array(self._flat, dtype=float).reshape(-1, 2)
        if len(points):
            matrices = np.repeat(np.array(self._matrices), self._counts, axis=0)
            a, b, c, d, e, f = matrices.T
            x, y = points.T
            points = np.column_stack((a * x + c * y + e, b * x + d * y + f))
        found = PageContent(items=self._items, looks=self._kept, points=points)
        self._begin()
        return found

    # Painting

    def _look(self, kind: str) -> int:
        """The number of the present look."""
        number = self._known.get(kind)
        if number is not None:
            return number
        state = self.state
        whole = (state.key(kind), tuple(self._marked))
        number = self._numbers.get(whole)
        if number is None:
            look = (
                state.of_stroke() if kind == "S" else state.of_words() if kind == "T"
                else state.of_all() if kind == "X" else state.of_fill()
            )  # fmt: skip
            layers = [layer for layer in self._marked if layer]
            if layers:
                look["layers"] = layers
            key = repr(look)
            number = self._looks.setdefault(key, len(self._kept))
            if number == len(self._kept):
                self._kept.append(look)
            self._numbers[whole] = number
        self._known[kind] = number
        return number

    def _add(self, what: str, kind: str, flat: list[float], matrix: Matrix, thing: Any = None) -> None:
        self.first = self.first or self.state.matrix
        self._items.append(Item(what, self._look(kind), len(flat) // 2, thing))
        self._flat += flat
        self._matrices.append(matrix)
        self._counts.append(len(flat) // 2)

    def _paint(self, how: str) -> None:
        if not self._kinds:
            self._clipping = ""
            return
        if how[:1] == "h":
            self._kinds.append("h")
            how = how[1:]
        kinds = _joined(self._kinds)
        for kind in how:
            self._add(f"{kind}:{kinds}", kind, self._path, self.state.matrix)
        if self._clipping:
            self._clip(kinds)
        self._kinds, self._path, self._clipping = [], [], ""

    def _clip(self, kinds: str) -> None:
        path = self._path
        points = [moved(self.state.matrix, x, y) for x, y in zip(path[::2], path[1::2], strict=True)]
        state, box = self.state, upright(kinds, points)
        if box is None:
            flat = [value for point in points for value in point]
            state.clip = state.clip.and_path(f"{self._clipping}:{kinds}", flat)
        elif not holds(box, self._sheet):
            state.clip = state.clip.within(box)
        self._known = {}

    def _show(self, parts: list[Any]) -> None:
        state = self.state
        joined: list[Any] = []
        for part in parts:
            if isinstance(part, bytes):
                if joined and isinstance(joined[-1], bytes):
                    joined[-1] += part
                elif part:
                    joined.append(part)
            elif part:
                joined.append(float(part))
        said = "".join(
            part.decode("latin-1") if isinstance(part, bytes) else f"{APART}{part:g}{APART}"
            for part in joined
        )
        wide, size, rise = state.size * state.stretched, state.size, state.rise
        flat = [0.0, rise, ALONG * wide, rise, 0.0, rise + ALONG * size]
        matrix = times(self._tm, state.matrix)
        what = f"T{'' if self._fresh else '+'}:{self._means.font(state.font)}:{said}"
        self._add(what, "T", flat, matrix, state.font)
        self._fresh = False
        if state.mode > 3:
            self._text_clip.append(
                (what, [value for point in ((0.0, 0.0), (wide, size)) for value in moved(matrix, *point)])
            )

    def _place(self, operands: list[Any]) -> None:
        placed = self._means.placed(operands[0])
        flat = [0.0, 0.0, SIDE, 0.0, 0.0, SIDE]
        if placed.layer:
            self._open(placed.layer)
        self._add(f"X:{placed.kind}", "X", flat, times(placed.matrix, self.state.matrix), placed.thing)
        if placed.layer:
            self._close([])

    # The state

    def _save(self, _: list[Any]) -> None:
        self._stack.append(self.state.copy())

    def _restore(self, _: list[Any]) -> None:
        self.state = self._stack.pop()
        self._known = {}

    def _turn(self, operands: list[Any]) -> None:
        if self._kinds:
            raise ValueError("the matrix is changed within a path")
        a, b, c, d, e, f = operands
        self.state.matrix = times((a, b, c, d, e, f), self.state.matrix)
        self._known = {}

    def _rectangle(self, operands: list[Any]) -> None:
        x, y, w, h = operands
        self._kinds += ("m", "l3", "h")
        self._path += (x, y, x + w, y, x + w, y + h, x, y + h)

    def _open(self, layer: str) -> None:
        self._marked.append(layer)
        self._known = {}

    def _close(self, _: list[Any]) -> None:
        self._marked.pop()
        self._known = {}

    def _mark(self, operands: list[Any]) -> None:
        self._open(self._means.layer(operands[1]) if operands[0] == "OC" else "")

    def _colour(self, space: str, values: list[Any], *, stroke: bool) -> None:
        state, found = self.state, colour(space, values)
        if stroke:
            state.stroke, state.stroke_space = found, space
        else:
            state.fill, state.fill_space = found, space
        self._known = {}

    def _set(self, name: str, value: Any) -> None:
        setattr(self.state, name, value)
        self._known = {}

    def _dash(self, operands: list[Any]) -> None:
        self.state.dash, self.state.phase = tuple(map(float, operands[0])), float(operands[1])
        self._known = {}

    def _settings(self, operands: list[Any]) -> None:
        settings = dict(self._means.settings(operands[0]))
        font = settings.pop("Font", None)
        if font is not None:
            self.state.font, self.state.size = str(font), 0.0
        self.state.add(settings)
        self._known = {}

    # Words

    def _begin_text(self, _: list[Any]) -> None:
        self._tm = self._line = STILL
        self._fresh = True

    def _end_text(self, _: list[Any]) -> None:
        for kind, points in self._text_clip:
            self.state.clip = self.state.clip.and_path(kind, points)
            self._known = {}
        self._text_clip = []

    def _text_matrix(self, operands: list[Any]) -> None:
        a, b, c, d, e, f = operands
        self._tm = self._line = (a, b, c, d, e, f)
        self._fresh = True

    def _down(self, operands: list[Any]) -> None:
        self._text_matrix(list(times((1.0, 0.0, 0.0, 1.0, *operands), self._line)))

    def _down_leading(self, operands: list[Any]) -> None:
        self.state.leading = -operands[1]
        self._down(operands)

    def _next_line(self, _: list[Any]) -> None:
        self._down([0.0, -self.state.leading])

    def _font(self, operands: list[Any]) -> None:
        self.state.font, self.state.size = str(operands[0]), float(operands[1])

    def _next_show(self, operands: list[Any]) -> None:
        if len(operands) == 3:
            self._set("word_spacing", operands[0])
            self._set("spacing", operands[1])
        self._next_line([])
        self._show(operands[-1:])


Handler = Callable[[Interpreter, list[Any]], None]


def _setting(name: str, kind: Callable[[Any], Any] = float) -> Handler:
    return lambda interpreter, operands: interpreter._set(name, kind(operands[0]))


def _device(space: str, *, stroke: bool) -> Handler:
    return lambda interpreter, operands: interpreter._colour(space, operands, stroke=stroke)


def _space(*, stroke: bool) -> Handler:
    def handler(interpreter: Interpreter, operands: list[Any]) -> None:
        space = interpreter._means.space(operands[0])
        first = {"DeviceGray": [0.0], "DeviceRGB": [0.0] * 3, "DeviceCMYK": [0.0, 0.0, 0.0, 1.0]}.get(
            space, []
        )
        interpreter._colour(space, first, stroke=stroke)

    return handler


def _value(*, stroke: bool) -> Handler:
    def handler(interpreter: Interpreter, operands: list[Any]) -> None:
        space = interpreter.state.stroke_space if stroke else interpreter.state.fill_space
        interpreter._colour(space, operands, stroke=stroke)

    return handler


def _picture(interpreter: Interpreter, operands: list[Any]) -> None:
    kind = f"X:picture {zlib.crc32(operands[0]):08x}"
    interpreter._add(kind, "X", [0.0, 0.0, 1.0, 0.0, 0.0, 1.0], interpreter.state.matrix)


def _shading(interpreter: Interpreter, operands: list[Any]) -> None:
    interpreter._add(f"X:shading {operands[0]}", "X", [0.0, 0.0], interpreter.state.matrix)


_HANDLERS: dict[bytes, Handler] = {
    b"q": Interpreter._save, b"Q": Interpreter._restore, b"cm": Interpreter._turn, b"re": Interpreter._rectangle,
    b"h": lambda interpreter, _: interpreter._kinds.append("h"),
    b"W": lambda interpreter, _: setattr(interpreter, "_clipping", "f"),
    b"W*": lambda interpreter, _: setattr(interpreter, "_clipping", "e"),
    b"w": _setting("width"), b"J": _setting("cap"), b"j": _setting("join"), b"M": _setting("miter"),
    b"i": _setting("flat"), b"d": Interpreter._dash, b"gs": Interpreter._settings,
    b"g": _device("DeviceGray", stroke=False), b"G": _device("DeviceGray", stroke=True),
    b"rg": _device("DeviceRGB", stroke=False), b"RG": _device("DeviceRGB", stroke=True),
    b"k": _device("DeviceCMYK", stroke=False), b"K": _device("DeviceCMYK", stroke=True),
    b"cs": _space(stroke=False), b"CS": _space(stroke=True),
    b"sc": _value(stroke=False), b"scn": _value(stroke=False),
    b"SC": _value(stroke=True), b"SCN": _value(stroke=True),
    b"BT": Interpreter._begin_text, b"ET": Interpreter._end_text, b"Tm": Interpreter._text_matrix,
    b"Td": Interpreter._down,
    b"TD": Interpreter._down_leading, b"T*": Interpreter._next_line, b"Tf": Interpreter._font,
    b"Tj": Interpreter._show, b"TJ": lambda interpreter, operands: interpreter._show(operands[0]),
    b"'": Interpreter._next_show, b'"': Interpreter._next_show,
    b"Tc": _setting("spacing"), b"Tw": _setting("word_spacing"), b"TL": _setting("leading"),
    b"Tz": lambda interpreter, operands: interpreter._set("stretched", operands[0] / 100.0),
    b"Ts": _setting("rise"), b"Tr": _setting("mode", int),
    b"Do": Interpreter._place, b"sh": _shading, INLINE: _picture,
    b"BDC": Interpreter._mark, b"BMC": lambda interpreter, _: interpreter._open(""), b"EMC": Interpreter._close,
}  # fmt: skip


def _joined(kinds: list[str]) -> str:
    """The kinds of a path's segments; lines that follow one another as one."""
    if "l" not in kinds:
        return "".join(kinds)
    found: list[str] = []
    lines = 0
    for kind in [*kinds, ""]:
        if kind[:1] == "l":
            lines += int(kind[1:] or 1)
            continue
        if lines:
            found.append(f"l{lines}")
            lines = 0
        found.append(kind)
    return "".join(found)
