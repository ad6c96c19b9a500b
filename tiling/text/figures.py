"""Figures that show directions: their strokes turn with the drawing, their words stay level."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from tiling.drawing import XY, Figure, FloatArray, Note, Path
from tiling.drawing.affine import Affine
from tiling.text.typeface import text_width

__all__ = ["compass", "directed"]

GAP = 1.5  # mm between what a word stands at and the word


def compass(paths: Sequence[Path], words: Sequence[tuple[str, XY]], *, height: float) -> Figure:
    """A figure that shows directions from the origin.

    Args:
        paths: mm from the origin.
        words: each with the place beyond which it stands, seen from the origin.
        height: of a capital, mm.
    """
    middles = [(text, np.asarray(tip) + _beyond(np.asarray(tip), _half(text, height))) for text, tip in words]
    return _around(paths, middles, height)


def directed(notes: Sequence[Note], place: Affine) -> tuple[Note, ...]:
    """The notes with every figure that shows directions turned as ``place`` turns the drawing."""
    return tuple(
        note
        if note.figure is None or note.figure.hub is None
        else replace(note, figure=_turned(note.figure, note.figure.hub, place, note.height))
        for note in notes
    )


def _turned(figure: Figure, hub: XY, place: Affine, height: float) -> Figure:
    turn = replace(place, tx=0.0, ty=0.0)
    paths = [replace(path, points=turn.apply(path.points - hub)) for path in figure.paths]
    middles = []
    for text, at in figure.words:
        half = _half(text, height)
        middle = np.add(at, half) - hub
        tip = middle - _beyond(middle, half)
        way = np.array(turn.at((float(tip[0]), float(tip[1]))))
        middles.append((text, way + _beyond(way, half)))
    return _around(paths, middles, height)


def _half(text: str, height: float) -> FloatArray:
    """Half of a word's breadth and height, with the gap around it."""
    return np.array([0.5 * text_width(text, height), 0.5 * height])


def _beyond(way: FloatArray, half: FloatArray) -> FloatArray:
    """From a place to the middle of a word that stands next to it, farther along the same way from the origin."""
    ahead = way / max(float(np.hypot(*way)), 1e-9)
    return np.asarray(ahead * (GAP + float(np.abs(ahead) @ half)))


def _around(paths: Sequence[Path], middles: Sequence[tuple[str, FloatArray]], height: float) -> Figure:
    """The figure with its lower left corner as the origin.

    Args:
        paths, middles: mm from the hub; of each word its middle.
    """
    corners = [(text, middle - _half(text, height)) for text, middle in middles]
    low = np.min([*(path.points.min(axis=0) for path in paths), *(at for _, at in corners)], axis=0)
    high = np.max(
        [
            *(path.points.max(axis=0) for path in paths),
            *(at + 2.0 * _half(text, height) for text, at in corners),
        ],
        axis=0,
    )
    wide, tall = (high - low).tolist()
    return Figure(
        paths=tuple(replace(path, points=path.points - low) for path in paths),
        width=wide,
        height=tall,
        words=tuple((text, (float(at[0]), float(at[1]))) for text, at in ((t, a - low) for t, a in corners)),
        hub=(float(-low[0]), float(-low[1])),
    )
