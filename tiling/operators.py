"""The operators of a page carried out as far as measuring needs: where strokes, spots, forms and words stand.

Source: ISO 32000-1:2008, 8.3 to 8.5 and 9.4 (matrices, paths, showing text; section numbers from memory).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tiling.drawing import XY, FloatArray
from tiling.paper import Box

__all__ = ["STILL", "Drawn", "Matrix", "Runs", "Said", "Stamp", "carried_out", "resolved"]

Matrix = tuple[float, float, float, float, float, float]
STILL: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)

_STRING = re.compile(rb"\(((?:[^()\\]|\\.)*)\)", re.DOTALL)
_ESCAPE = re.compile(rb"\\([0-7]{1,3}|.)", re.DOTALL)
_ESCAPES = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Runs:
    """All subpaths of straight lines on a page, as they were painted.

    Attributes:
        points: shape (n, 2), mm: one subpath after the other; a closed one ends where it began.
        owner: shape (n,): the number of each point's subpath.
        width: shape (k,): of each one's stroke, mm; 0 where it was filled alone.
        clipped: shape (k,): only what lies in the page's clip is seen of it.
    """

    points: FloatArray
    owner: NDArray[np.intp]
    width: FloatArray
    clipped: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """One string: where its base line begins, mm, and its words."""

    text: str
    at: XY


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """A form placed on a page: its name, its operators' number in the file, and the map to mm on the page."""

    name: str
    number: int
    matrix: Matrix

    @property
    def at(self) -> XY:
        """Where its origin stands, mm."""
        return self.matrix[4], self.matrix[5]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drawn:
    """What operators draw, mm.

    Attributes:
        scale: mm drawn for a mm meant, across and up, from the first matrix.
        clip: what of the clipped subpaths can be seen, mm; None where nothing is clipped.
        runs: strokes of straight lines.
        discs: centres of round filled spots.
        stamps: the forms that are placed.
        said: the words.
    """

    scale: XY
    clip: Box | None
    runs: Runs
    discs: tuple[XY, ...]
    stamps: tuple[Stamp, ...]
    said: tuple[Said, ...]


def resolved(thing: Any) -> Any:
    """The object that a reference stands for."""
    return thing.get_object()


def carried_out(
    data: bytes, matrix: Matrix, *, resources: Any, codes: Callable[[Any], Mapping[int, str]]
) -> Drawn:
    """What operators draw.

    Args:
        matrix: from their first user space to mm.
        resources: the page's, as pypdf gives them.
        codes: from a font to its map from codes to characters.
    Raises:
        ValueError, KeyError, IndexError, TypeError: operators that cannot be carried out.
    """
    return _Reader(resources, codes).run(data, matrix)


def _times(m: Matrix, n: Matrix) -> Matrix:
    """First ``m``, then ``n``."""
    a, b, c, d, e, f = m
    g, h, i, j, k, l = n  # noqa: E741
    return (a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + l)


class _Reader:
    """Operators carried out as far as measuring needs."""

    def __init__(self, resources: Any, codes: Callable[[Any], Mapping[int, str]]) -> None:
        self._resources = resources
        self._codes = codes
        self._scale = (0.0, 0.0)
        self._flats: list[list[float]] = []
        self._matrices: list[Matrix] = []
        self._widths: list[float] = []
        self._clips: list[bool] = []
        self._discs: list[XY] = []
        self._stamps: list[Stamp] = []
        self._said: list[Said] = []

    def run(self, data: bytes, matrix: Matrix) -> Drawn:
        """Carry out the operators of a page or of one form."""
        pieces = _STRING.split(data)
        width, font = 1.0, ""
        clip: Box | None = None
        within = False
        stack: list[tuple[Matrix, float, bool, str]] = []
        v: list[Any] = []
        path: list[list[float]] = []
        curved = clipping = boxed = False
        text = STILL
        for index, piece in enumerate(pieces):
            if index % 2:
                v.append(piece)
                continue
            for token in piece.split():
                if token == b"l":
                    path[-1] += v
                elif token == b"m":
                    path.append(v)
                elif token == b"c":
                    curved = True
                    path[-1] += v[4:]
                elif token in _PAINTS:
                    if clipping:
                        clip, within, clipping = _clip(path[0], matrix), True, False
                    elif token != b"n" and not boxed:
                        self._paint(path, matrix, width, within=within, curved=curved, how=token)
                    path, curved, boxed = [], False, False
                elif token == b"re":
                    x, y, w, h = v
                    path.append([x, y, x + w, y, x + w, y + h, x, y + h])
                    boxed = True
                elif token == b"w":
                    width = v[0]
                elif token == b"W":
                    clipping = True
                elif token == b"q":
                    stack.append((matrix, width, within, font))
                elif token == b"Q":
                    matrix, width, within, font = stack.pop()
                elif token == b"cm":
                    matrix = _times(tuple(v), matrix)
                    if self._scale == (0.0, 0.0):
                        self._scale = (math.hypot(*matrix[:2]), math.hypot(*matrix[2:4]))
                elif token == b"BT":
                    text = STILL
                elif token == b"Tm":
                    text = tuple(v)
                elif token == b"Tf":
                    font = v[0]
                elif token == b"Tj":
                    self._say(v[0], _times(text, matrix), font)
                elif token == b"Do":
                    self._place(v[0], matrix)
                elif token[:1] == b"/":
                    v.append(token.decode("latin-1"))
                    continue
                elif token[:1].isalpha():
                    pass  # an operator that moves nothing
                else:
                    if token[:1] not in b"[" and token[-1:] not in b"]":
                        v.append(float(token))
                    continue
                v = []

        return Drawn(
            scale=self._scale,
            clip=clip,
            runs=self._runs(),
            discs=tuple(self._discs),
            stamps=tuple(self._stamps),
            said=tuple(self._said),
        )

    def _paint(
        self, path: list[list[float]], matrix: Matrix, width: float, *, within: bool, curved: bool, how: bytes
    ) -> None:
        stroked = how in _STROKES
        if curved:
            if not stroked:
                self._discs += [_middle(flat, matrix) for flat in path]
            return
        a, b, c, d, _, _ = matrix
        broad = width * math.sqrt(abs(a * d - b * c)) if stroked else 0.0
        for flat in path:
            self._flats.append([*flat, *flat[:2]] if how in _CLOSES else flat)
            self._matrices.append(matrix)
            self._widths.append(broad)
            self._clips.append(within)

    def _runs(self) -> Runs:
        counts = np.array([len(flat) // 2 for flat in self._flats], dtype=np.intp)
        owner = np.repeat(np.arange(len(counts)), counts)
        points = np.array([value for flat in self._flats for value in flat]).reshape(-1, 2)
        a, b, c, d, e, f = np.array(self._matrices).reshape(-1, 6)[owner].T
        x, y = points.T
        return Runs(
            points=np.column_stack((a * x + c * y + e, b * x + d * y + f)),
            owner=owner,
            width=np.array(self._widths),
            clipped=np.array(self._clips, dtype=bool),
        )

    def _say(self, raw: bytes, matrix: Matrix, font: str) -> None:
        data = _ESCAPE.sub(_unescaped, raw) if b"\\" in raw else raw
        codes = self._codes(self._resources["/Font"].get_object().raw_get(font))
        words = "".join(codes.get(code, "\ufffd") for code in data)
        last = self._said[-1] if self._said else None
        at = (matrix[4], matrix[5])
        if last is not None and last.at == at:  # one line in two subsets of the font
            self._said[-1] = Said(text=last.text + words, at=at)
        else:
            self._said.append(Said(text=words, at=at))

    def _place(self, name: str, matrix: Matrix) -> None:
        form = resolved(self._resources["/XObject"]).raw_get(name)
        self._stamps.append(Stamp(name=name[1:], number=form.idnum, matrix=matrix))


_STROKES = {b"S", b"s", b"b", b"B"}
_CLOSES = {b"s", b"b", b"f"}
_PAINTS = _STROKES | _CLOSES | {b"n"}


def _middle(flat: list[float], matrix: Matrix) -> XY:
    a, b, c, d, e, f = matrix
    x, y = 0.5 * (min(flat[::2]) + max(flat[::2])), 0.5 * (min(flat[1::2]) + max(flat[1::2]))
    return a * x + c * y + e, b * x + d * y + f


def _clip(flat: list[float], matrix: Matrix) -> Box:
    a, b, c, d, e, f = matrix
    points = np.array(flat).reshape(-1, 2) @ np.array([[a, b], [c, d]]) + (e, f)
    (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
    return float(x0), float(y0), float(x1), float(y1)


def _unescaped(match: re.Match[bytes]) -> bytes:
    body = match[1]
    if body[:1].isdigit():
        return bytes([int(body, 8) & 255])
    return _ESCAPES.get(body, body)
