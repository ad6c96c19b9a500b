"""Signs beside the edges of wood and of sections: ticks with bevels, crosses, marks, and the names of lines."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from patterns.drawing.strokes import BEVELS, FINE, LAYERS, NOTES
from patterns.hull.planes import FloatArray
from patterns.pattern import Line, Mark, Reading
from patterns.text.bevels import reading_words
from tiling.drawing import XY, Note, Path
from tiling.text.text_block import TIE

__all__ = ["CROSS", "TICK", "cross", "line_notes", "mark_note", "reading_note", "tick"]

CROSS = 4.0  # mm; the arm of the cross at a chine or the sheer
TICK = 6.0  # mm; the tick at a bevel reading
NEAR = 6.0  # mm from its place to the words of a caption
EVERY, MOST_PLACES = 20.0, 10  # mm; places along a line that its name may lead to, and at most so many
APART = 350.0  # mm; pieces of one line farther apart than this are named each


def tick(at: XY, towards: XY, length: float, *, layer: str = "") -> Path:
    end = (at[0] + length * towards[0], at[1] + length * towards[1])
    return Path(points=np.array([at, end]), stroke=FINE, layer=layer, aside=True)


def reading_note(reading: Reading) -> Note:
    words = reading_words(reading).replace(" ", TIE)  # a figure keeps its sense
    text = f"{reading.where}\n{words}" if reading.where else words
    tip = (reading.at[0] + TICK * reading.towards[0], reading.at[1] + TICK * reading.towards[1])
    return Note(
        text=text,
        target=tip,
        towards=reading.towards,
        reach=45.0,
        leader=True,
        rank=3,
        layer=BEVELS,
        also=(reading.at,),
    )


def mark_note(mark: Mark) -> Note:
    tip = (mark.at[0] + mark.length * mark.towards[0], mark.at[1] + mark.length * mark.towards[1])
    return Note(
        text=mark.name,
        target=tip if mark.towards != (0.0, 0.0) else mark.at,
        also=(mark.at,) if mark.towards != (0.0, 0.0) else (),
        towards=mark.towards,
        # A word that names the place itself belongs there, in smaller letters if need be.
        reach=NEAR if mark.word and mark.fact is None else 45.0,
        leader=True,
        rank=4,
        layer=NOTES,
    )


def line_notes(lines: Sequence[Line]) -> list[Note]:
    """The names of lines; of pieces of one line that lie near together only the longest is named."""
    named: dict[str, list[FloatArray]] = {}
    found = []
    for line in sorted(lines, key=lambda line: -_length(line)):
        middle = line.points[len(line.points) // 2] if len(line.points) > 2 else line.points.mean(axis=0)
        others = named.setdefault(line.name, [])
        if line.name and all(np.hypot(*(middle - other)) > APART for other in others):
            found.append(_line_note(line, middle))
            others.append(middle)
    return found


def _length(line: Line) -> float:
    return float(np.hypot(*np.diff(line.points, axis=0).T).sum())


def _line_note(line: Line, middle: FloatArray) -> Note:
    return Note(
        text=line.name,
        target=(float(middle[0]), float(middle[1])),
        reach=60.0,
        leader=True,
        rank=6,
        also=_along(line),
        layer=LAYERS.get(line.kind, NOTES),
    )


def _along(line: Line) -> tuple[XY, ...]:
    """Places along a line, any of which its name may lead to."""
    long = _length(line)
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line.points, axis=0).T))])
    stops = np.linspace(0.0, long, min(int(long / EVERY), MOST_PLACES) + 2)[1:-1]
    x, y = (np.interp(stops, run, axis) for axis in line.points.T)
    return tuple(zip(x.tolist(), y.tolist(), strict=True))


def cross(at: XY, arm: float) -> list[Path]:
    x, y = at
    return [
        Path(points=np.array([[x - arm, y], [x + arm, y]]), stroke=FINE),
        Path(points=np.array([[x, y - arm], [x, y + arm]]), stroke=FINE),
    ]
