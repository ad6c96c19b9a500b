"""The record of a page drawn as points: where it must be dark, and how far its ink may reach; mm on the page.

This is a drawing of the record that no reader of the file has a part in: strokes are walked along, fills and
letters are filled from their outlines.  Letters come from the typeface itself, by the characters that the record
means.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tiling.drawing import FloatArray
from tiling.pdf.graphics_state import Look, Matrix
from tiling.pdf.interpreter import ALONG, SIDE
from tiling.pdf.page_content import PageContent
from tiling.proof.shapes_filled import filled, inside
from tiling.text.font_tables import Glyphs
from tiling.text.typeface import REPLACEMENT, font_file

__all__ = ["STEP", "InkSamples", "RecordDrawing"]

STEP = 0.1  # mm between samples
EDGE = 0.15  # mm at the edge of a clip or of a white patch, where ink is neither due nor stray
WHITE = 0.98  # a grey from which on a fill hides what is below it
CURVE = np.linspace(0.0, 1.0, 13)[1:, None]
_TOKENS = re.compile(r"([mlcvyh])(\d*)")

Lines = list[FloatArray]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkSamples:
    """Points of ink, all arrays of length n.

    Attributes:
        points: shape (n, 2).
        half: half the breadth of the stroke that each lies on, 0 in a fill.
        due: how dark it is there, 1 for black; 0 where nothing must be seen.
        letter: it belongs to a letter, which is drawn a little aside of its place by some.
    """

    points: FloatArray
    half: FloatArray
    due: FloatArray
    letter: NDArray[np.bool_]

    def where(self, kept: NDArray[np.bool_]) -> InkSamples:
        """Some of them."""
        return InkSamples(
            points=self.points[kept], half=self.half[kept], due=self.due[kept], letter=self.letter[kept]
        )


def _samples(points: FloatArray, half: float, due: float, *, letter: bool = False) -> InkSamples:
    count = len(points)
    return InkSamples(
        points=points, half=np.full(count, half), due=np.full(count, due), letter=np.full(count, letter)
    )


def _joined(parts: list[InkSamples]) -> InkSamples:
    none = _samples(np.zeros((0, 2)), 0.0, 0.0)
    parts = [none, *parts]
    return InkSamples(
        points=np.concatenate([part.points for part in parts]),
        half=np.concatenate([part.half for part in parts]),
        due=np.concatenate([part.due for part in parts]),
        letter=np.concatenate([part.letter for part in parts]),
    )


class RecordDrawing:
    """Draws the record's pages.

    Args:
        forms: what each form paints, by its name.
        decoded: the words of an item of words.
    """

    def __init__(self, forms: Mapping[str, PageContent], decoded: Callable[[str], str]) -> None:
        self._forms, self._decoded = forms, decoded
        self._drawn: dict[tuple[str, bytes], list[InkSamples] | None] = {}  # forms in their places

    def samples(self, page: PageContent) -> InkSamples:
        """The samples of a page."""
        found: list[InkSamples] = []
        self._draw(page, np.eye(2), np.zeros(2), found)
        return _joined(found)

    def _draw(
        self, page: PageContent, linear: FloatArray, shift: FloatArray, found: list[InkSamples]
    ) -> None:
        """Add what a page or a form paints; what a white fill hides is taken out again."""
        at = 0
        for item in page.items:
            points = page.points[at : at + item.count] @ linear + shift
            at += item.count
            look = page.looks[item.look]
            kind, _, kinds = item.what.partition(":")
            if kind[0] == "X":
                self._place(kinds.removeprefix("form "), points, found)
            elif kind in "fe" and _grey(look.get("fill")) >= WHITE:
                lines = _lines(kinds, points)
                found[:] = [_hidden(part, lines, odd=kind == "e") for part in found]
            elif kind[0] == "T":
                found.append(_clipped(_words(self._decoded(item.what), points, look), look))
            elif kind == "S":
                found.append(_clipped(_stroke(_lines(kinds, points), look), look))
            elif kind in "fe":
                due = 1.0 - _grey(look.get("fill"))
                found.append(_clipped(_fill(_lines(kinds, points), due, odd=kind == "e"), look))

    def _place(self, name: str, points: FloatArray, found: list[InkSamples]) -> None:
        """Add what a form paints where its matrix puts it; most forms come again in the same place."""
        form = self._forms.get(name)
        if form is None or len(points) != 3:
            return
        linear, shift = (points[1:] - points[0]) / SIDE, points[0]
        key = name, np.round(points, 3).tobytes()
        if key not in self._drawn:
            hides = any(_grey(look.get("fill", [0.0])) >= WHITE for look in form.looks)
            kept: list[InkSamples] = []
            if not hides:
                self._draw(form, linear, shift, kept)
            self._drawn[key] = None if hides else kept
        drawn = self._drawn[key]
        if drawn is None:
            self._draw(form, linear, shift, found)
        else:
            found += drawn


def _grey(colour: object) -> float:
    """A colour as a grey; 0 is black."""
    values = (
        [value for value in colour if isinstance(value, (int, float))]
        if isinstance(colour, (list, tuple))
        else []
    )
    return float(np.mean(values)) if values else 0.0


def _clipped(samples: InkSamples, look: Look) -> InkSamples:
    """Nothing need be seen at the edge of a clip or beyond it, and nothing may be seen beyond it."""
    clip = look.get("clip")
    if clip is None:
        return samples
    x, y = samples.points.T
    depth = np.minimum.reduce([x - clip[0], y - clip[1], clip[2] - x, clip[3] - y])
    samples.due[depth < EDGE] = 0.0
    return samples.where(depth > -samples.half - EDGE)


def _hidden(samples: InkSamples, lines: Lines, *, odd: bool) -> InkSamples:
    """What is left when a white shape is laid on top; of what lies across its edge, nothing need be seen."""
    if not len(samples.points):
        return samples
    low, high = (
        np.min([line.min(axis=0) for line in lines], axis=0),
        np.max([line.max(axis=0) for line in lines], axis=0),
    )
    reach = samples.half + EDGE
    near = np.flatnonzero(
        ((samples.points + reach[:, None] >= low) & (samples.points - reach[:, None] <= high)).all(axis=1)
    )
    if not len(near):
        return samples
    about = [
        inside(samples.points[near] + reach[near, None] * way, lines, odd=odd)
        for way in ((0.0, 0.0), (1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0))
    ]
    due = samples.due.copy()
    due[near[np.any(about, axis=0)]] = 0.0
    kept = np.ones(len(due), dtype=bool)
    kept[near[np.all(about, axis=0)]] = False
    return InkSamples(points=samples.points, half=samples.half, due=due, letter=samples.letter).where(kept)


# Paths


def _lines(kinds: str, points: FloatArray) -> Lines:
    """The subpaths of a path, curves broken up; a closed one ends where it began."""
    found: Lines = []
    parts: Lines = []
    at = 0
    for kind, number in _TOKENS.findall(kinds):
        if kind == "m":
            found += [np.concatenate(parts)] if parts else []
            parts = [points[at : at + 1]]
            at += 1
        elif kind == "l":
            parts.append(points[at : at + int(number or 1)])
            at += int(number or 1)
        elif kind == "h":
            parts.append(parts[0][:1])
        else:
            count = 3 if kind == "c" else 2
            parts.append(_curve(kind, parts[-1][-1], points[at : at + count]))
            at += count
    return [*found, np.concatenate(parts)] if parts else found


def _curve(kind: str, start: FloatArray, given: FloatArray) -> FloatArray:
    """A Bezier curve without its start."""
    a, b, c = given if kind == "c" else (start, *given) if kind == "v" else (given[0], given[1], given[1])
    t, s = CURVE, 1.0 - CURVE
    found: FloatArray = s**3 * start + 3 * s**2 * t * a + 3 * s * t**2 * b + t**3 * c
    return found


def _stroke(lines: Lines, look: Look) -> InkSamples:
    """Samples along all lines, those in the gaps of dashes left out."""
    width = float(np.mean(look["width"]))
    dash, phase = [float(length) for length in look.get("dash", ())], float(look.get("phase", 0.0))
    points, along = _walked(lines)
    if dash:
        points = points[_on(along + phase, dash)]
    pointed = 1.5 if look.get("join") == 0.0 or look.get("cap") == 2.0 else 1.0  # corners reach farther out
    return _samples(points, 0.5 * width * pointed, 1.0 - _grey(look.get("stroke")))


def _walked(lines: Lines) -> tuple[FloatArray, FloatArray]:
    """Points along lines, and how far along its line each is."""
    if not lines:
        return np.zeros((0, 2)), np.zeros(0)
    starts = np.concatenate([line[:-1] for line in lines])
    ways = np.concatenate([np.diff(line, axis=0) for line in lines])
    lengths = np.hypot(*ways.T)
    counts = np.array([len(line) - 1 for line in lines])
    before = np.concatenate([[0.0], np.cumsum(lengths)])
    first = np.cumsum(counts) - counts
    offsets = before[:-1] - np.repeat(before[first], counts)
    times = np.ceil(lengths / STEP).astype(int) + 1
    which = np.repeat(np.arange(len(times)), times)
    part = (np.arange(len(which)) - np.repeat(np.cumsum(times) - times, times)) / np.maximum(times - 1, 1)[
        which
    ]
    return starts[which] + part[:, None] * ways[which], offsets[which] + part * lengths[which]


def _on(along: FloatArray, dash: list[float]) -> NDArray[np.bool_]:
    """Which places lie on a dash; an odd list of lengths is taken twice."""
    dash = dash * 2 if len(dash) % 2 else dash
    edges = np.cumsum(dash)
    if not edges[-1]:
        return np.ones(len(along), dtype=bool)
    on: NDArray[np.bool_] = np.searchsorted(edges, along % edges[-1], side="right") % 2 == 0
    return on


def _fill(lines: Lines, due: float, *, odd: bool) -> InkSamples:
    """A filled shape: its inside, and its edge, which need not be dark."""
    edge, _ = _walked([np.vstack((line, line[:1])) for line in lines])
    return _joined([_samples(filled(lines, STEP, odd=odd), 0.0, due), _samples(edge, 0.0, 0.0)])


# Letters


@lru_cache(maxsize=1)
def _glyphs() -> Glyphs:
    return Glyphs(font_file().read_bytes())


@lru_cache(maxsize=20_000)
def _letter(char: str, linear: Matrix, outlined: bool) -> InkSamples:
    """One letter at the origin; of an outlined one its edge alone is dark."""
    glyphs = _glyphs()
    lines = [
        line / glyphs.em @ np.reshape(linear[:4], (2, 2))
        for line in glyphs.outline(glyphs.by_code[ord(char)])
    ]
    edge, _ = _walked([np.vstack((line, line[:1])) for line in lines])
    if outlined:
        return _samples(edge, 0.0, 1.0, letter=True)
    within = filled(lines, STEP)
    return _joined([_samples(within, 0.0, 1.0, letter=True), _samples(edge, 0.0, 0.0, letter=True)])


def _words(said: str, points: FloatArray, look: Look) -> InkSamples:
    """A line of words, letter by letter."""
    mode = int(look.get("mode", 0))
    if mode == 3 or not said:
        return _joined([])
    start, right, up = points
    linear = np.vstack((right - start, up - start)) / ALONG
    key = (*np.round(linear, 5).ravel().tolist(), 0.0, 0.0)
    glyphs = _glyphs()
    known = [char if ord(char) in glyphs.by_code else REPLACEMENT for char in said]
    wide = [1000 * glyphs.advance(glyphs.by_code[ord(char)]) // glyphs.em for char in known]
    ahead = (
        np.cumsum([0, *wide]) / 1000.0
    )  # the library that draws the page drops what is less than a thousandth
    due = 1.0 - _grey(look.get("stroke" if mode == 1 else "fill"))
    half = 0.5 * float(np.mean(look["width"])) if mode in (1, 2) else 0.0
    parts = []
    for char, x in zip(known, ahead, strict=False):
        letter = _letter(char, key, mode == 1)
        parts.append(
            InkSamples(
                points=letter.points + start + x * linear[0],
                half=letter.half + half,
                due=letter.due * due,
                letter=letter.letter,
            )
        )
    return _joined(parts)
