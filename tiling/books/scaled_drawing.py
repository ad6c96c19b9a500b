"""A drawing set into a page as a picture: its lines at a scale, its words and spots as large as they are."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from tiling.drawing import XY, Drawing, FloatArray, Note
from tiling.paper import Box
from tiling.pdf.shapes import Ink
from tiling.text.lines import plain
from tiling.text.typeface import printable, text_width

__all__ = ["draw_scaled", "scaled_bounds", "words_box"]


def words_box(note: Note) -> Box:
    """Where the words of a note stand in a picture: at its target, on the side that it asks for.

    Returns:
        Least x, least y, greatest x, greatest y, mm, from the foot of the first capital's line.
    """
    wide, tall = text_width(printable(note.text), note.height), note.height
    (x, y), (dx, dy) = note.target, note.towards
    gap = 0.5 * note.height
    left = x + gap if dx > 0.5 else x - wide - gap if dx < -0.5 else x - 0.5 * wide
    low = y + gap if dy > 0.5 else y - tall - gap if dy < -0.5 else y - 0.5 * tall
    return left, low, left + wide, low + tall


def draw_scaled(ink: Ink, drawing: Drawing, shift: FloatArray, scale: float, *, turned: bool = False) -> None:
    """Draw it; ``shift`` (2,) is where its origin is placed, mm.

    Args:
        turned: by a quarter to the left, words too, about the origin.
    """
    turn = 0.5 * math.pi if turned else 0.0

    def place(points: FloatArray) -> list[XY]:
        across = np.column_stack([-points[:, 1], points[:, 0]]) if turned else points
        return [(float(x), float(y)) for x, y in across + shift]

    for path in drawing.paths:
        points = place(scale * path.points)
        if path.closed:
            points.append(points[0])
        if path.filled:
            ink.fill(points)
        else:
            ink.lines([points], path.stroke)
    for disc in drawing.discs:
        (centre,) = place(scale * np.array([disc.centre]))
        ink.disc(replace(disc, centre=centre))
    for note in drawing.notes:
        x, y = scale * np.asarray(note.target)
        left, low, _, _ = words_box(_moved(note, (float(x), float(y))))
        (at,) = place(np.array([[left, low]]))
        ink.words(plain(note.text), at, note.height, turn=turn)


def _moved(note: Note, to: XY) -> Note:
    return Note(text=note.text, target=to, height=note.height, towards=note.towards)


def scaled_bounds(drawing: Drawing) -> Box:
    """What a drawing takes up at its own scale, its words counted, mm."""
    boxes = [words_box(note) for note in drawing.notes]
    if drawing.paths or drawing.discs:
        boxes.append(drawing.bounds())
    array = np.array(boxes)
    low, high = array[:, :2].min(axis=0), array[:, 2:].max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])
