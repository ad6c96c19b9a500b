"""Each pattern as a plate: its lines as on the paper, and its bevels, holes and marks as places that speak."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from patterns.drawing.strokes import KEY_ORDER, STROKES
from patterns.pattern import Kind, Line, Pattern, Reading
from patterns.picture.plates import PicturePlate, PicturePoint, Run
from patterns.text.bevels import bevel_words, reading_words
from tiling.drawing import XY

__all__ = ["bevel_points", "kinds_of", "pattern_plate"]


def kinds_of(pattern: Pattern) -> tuple[Kind, ...]:
    """The kinds of line that a pattern has, the heaviest first."""
    return tuple(kind for kind in KEY_ORDER if pattern.of_kind(kind))


def pattern_plate(pattern: Pattern, key: str) -> PicturePlate:
    """A pattern to look into; its bevels come first among the places."""
    return PicturePlate(
        key=key,
        title=pattern.name,
        strokes=tuple(
            (STROKES[kind], tuple(_run(line) for line in pattern.of_kind(kind)))
            for kind in kinds_of(pattern)[::-1]
        ),
        points=(*bevel_points(pattern), *_holes(pattern), *_marks(pattern), *_names(pattern)),
        sides=_sides(pattern),
    )


def bevel_points(pattern: Pattern) -> tuple[PicturePoint, ...]:
    """The bevels at the very places and in the very words of the paper."""
    return tuple(
        PicturePoint(
            at=reading.at,
            words=_bevel_says(reading),
            sign="bevel",
            label=_short(reading),
            towards=reading.towards,
            angle=round(float(np.degrees(reading.bevel)), 2),
        )
        for reading in pattern.readings
    )


def _short(reading: Reading) -> str:
    """The angle alone, to stand beside its place; the rest is said when one points at it."""
    return bevel_words(reading.bevel, land=reading.land)


def _bevel_says(reading: Reading) -> str:
    where = ", ".join(dict.fromkeys(word for word in (reading.edge, reading.where) if word))
    words = reading_words(reading)
    return f"{where}: {words}" if where else words


def _run(line: Line) -> Run:
    return line.points, line.closed


def _holes(pattern: Pattern) -> Iterator[PicturePoint]:
    for hole in pattern.holes:
        words = (
            "prick here to flip"
            if hole.purpose == "flip point"
            else f"{hole.purpose} {hole.diameter:g} mm, drilled square"
        )
        yield PicturePoint(at=hole.at, words=words, sign="hole")


def _marks(pattern: Pattern) -> Iterator[PicturePoint]:
    for mark in pattern.marks:
        yield PicturePoint(
            at=mark.at,
            words=mark.name,
            sign="word" if mark.word else "mark",
            label=mark.name.replace("\n", " "),
            towards=mark.towards,
        )


def _names(pattern: Pattern) -> Iterator[PicturePoint]:
    for line in pattern.lines:
        if line.name:
            points = line.points
            middle = points[len(points) // 2] if len(points) > 2 else points.mean(axis=0)
            at: XY = (float(middle[0]), float(middle[1]))
            yield PicturePoint(at=at, label=line.name.replace("\n", " "), towards=(0.0, 1.0))


def _sides(pattern: Pattern) -> tuple[str, str, str]:
    """Which way is which; a paper that is wrapped round a timber lies no way in the boat."""
    if pattern.template:
        return "", "", ""
    right, left, top = pattern.sides
    if pattern.half:
        middle = np.vstack([line.points for line in pattern.of_kind(Kind.SAW)])[:, 0].mean()
        right, left = (right, "") if middle >= 0.0 else ("", left)
    return left, right, top
