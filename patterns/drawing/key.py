"""The key of a drawing: a bevel sample, and what each kind of line is."""

from __future__ import annotations

import numpy as np

from patterns.drawing.strokes import FINE, FIRM, KEY_ORDER, NOTES, STROKES, WORDS
from patterns.pattern import Kind, Pattern
from patterns.text.bevels import bevel_words, figure_now
from tiling.drawing import XY, Figure, Note, Path
from tiling.text.typeface import text_width

__all__ = ["key_of"]


def key_of(pattern: Pattern) -> Note:
    """The key: a bevel sample, and what each kind of line is."""
    kinds = [kind for kind in KEY_ORDER if pattern.of_kind(kind) and kind is not Kind.REFERENCE]
    line = 1.75 * WORDS
    low = line * len(kinds) + 4.0
    paths = [
        Path(points=np.array([[0.0, y], [22.0, y]]), stroke=STROKES[kind])
        for kind, y in zip(kinds, _rows(len(kinds), line), strict=True)
    ]
    words = [
        (kind.value, (26.0, y - 0.5 * WORDS)) for kind, y in zip(kinds, _rows(len(kinds), line), strict=True)
    ]
    if any(not reading.land for reading in pattern.readings):
        sample, said = _bevel_sample(low)
        paths, words = [*paths, *sample], [*words, *said]
        low += 30.0
    wide = max(54.0, *(at[0] + text_width(text, WORDS) for text, at in words))
    figure = Figure(paths=tuple(paths), width=wide, height=low, words=tuple(words))
    points = np.vstack([item.points for item in pattern.of_kind(Kind.SAW)])
    x, y = points.mean(axis=0)
    return Note(
        text="Key. Where lines lie\ntogether only the heaviest\nis seen.",
        target=(float(x), float(y)),
        reach=250.0,
        rank=2,
        figure=figure,
        layer=NOTES,
    )


def _rows(count: int, pitch: float) -> list[float]:
    """Heights of the middles of the key's lines, the first at the top."""
    return [pitch * (count - 1 - i) + 0.5 * pitch for i in range(count)]


def _bevel_sample(base: float) -> tuple[list[Path], list[tuple[str, XY]]]:
    """A slice of wood with a bevel of 70 degrees under, and the gauge that reads it: stock on the face."""
    lean = np.radians(70.0)
    corner = np.array([8.0, base + 20.0])  # where face and edge meet; the wood lies to the right and below
    edge = np.array([np.cos(lean), -np.sin(lean)])
    wood = np.array([[44.0, 0.0], [0.0, 0.0], 16.0 * edge / np.sin(lean), [44.0, -16.0]]) + corner
    through = figure_now() == "through the wood"
    turn = np.linspace(-lean, 0.0, 24) if through else np.linspace(-0.5 * np.pi, -lean, 12)
    arc = corner + 9.0 * np.stack([np.cos(turn), np.sin(turn)], axis=-1)
    stock = corner + np.array([[0.0, 1.0], [30.0, 1.0], [30.0, 4.0], [0.0, 4.0]])
    square = np.array([-np.sin(lean), -np.cos(lean)])  # out of the wood
    blade = corner + np.array([0.0 * edge, 20.0 * edge, 20.0 * edge + 2.0 * square, 2.0 * square])
    plumb = np.array([corner, corner - np.array([0.0, 16.0])])
    paths = [
        *([] if through else [Path(points=plumb, stroke=FINE)]),
        Path(points=wood, stroke=FIRM),
        Path(points=arc, stroke=FINE),
        Path(points=stock, stroke=FINE, closed=True),
        Path(points=blade, stroke=FINE, closed=True),
    ]
    words = [
        ("stock on this face", (corner[0] + 2.0, base + 25.7)),
        (bevel_words(lean), (corner[0] + 11.5, base + 11.5)),
    ]
    return paths, [(text, (float(x), float(y))) for text, (x, y) in words]
