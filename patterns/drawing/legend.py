"""What the signs on all pieces of a set mean: lines, holes, and how a bevel is read and sawn."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from patterns.drawing.hole_signs import SIGNS, sign_of
from patterns.drawing.strokes import FINE, FIRM, KEY_ORDER, STROKES, WORDS
from patterns.pattern import Pattern
from patterns.text.bevels import bevel_rule, bevel_words, figure_now
from tiling.drawing import XY, Figure, Path, Stroke
from tiling.planning.plan import Legend
from tiling.text.typeface import text_width

__all__ = ["bevels_legend", "legends_of", "lines_legend"]

LONG = 26.0  # mm; a line of the legend, a dash and a gap of the longest at least
PITCH = 1.75 * WORDS
LINES = ("Where lines lie together only the heaviest is seen.",)
HOLES = ("A flip point is pricked through the paper into the board, to turn a half over.",)
BEVELS = (
    "Set the stock of the gauge on the face that the pattern shows, square to the edge. Between two readings roll "
    "the bevel straight from one to the next.",
    "Standing: saw square to the saw line, then plane to this face's line.",
    "Under: tilt the saw on the saw line.",
)


def legends_of(patterns: Sequence[Pattern]) -> tuple[Legend, ...]:
    """The legends that a set of patterns needs."""
    if not patterns:
        return ()
    kinds = [kind for kind in KEY_ORDER if any(pattern.of_kind(kind) for pattern in patterns)]
    found = [lines_legend("Lines on the pieces", [(STROKES[kind], kind.value) for kind in kinds])]
    signs = [sign for sign in SIGNS if any(sign_of(hole) == sign for each in patterns for hole in each.holes)]
    if signs:
        found.append(Legend(heading="Holes and points", figure=_holes(signs), words=HOLES))
    if any(not reading.land for pattern in patterns for reading in pattern.readings):
        found.append(bevels_legend())
    return tuple(found)


def bevels_legend() -> Legend:
    """How a bevel is read, sawn, and rolled from one place to the next."""
    rule = f"The figure is the {bevel_rule()}."
    return Legend(heading="Bevels", figure=_bevel_sample(), words=(rule, *BEVELS))


def lines_legend(heading: str, samples: Sequence[tuple[Stroke, str]]) -> Legend:
    """A sample of each kind of line, and what it is."""
    rows = _rows(len(samples))
    paths = [
        Path(points=np.array([[0.0, y], [LONG, y]]), stroke=stroke)
        for (stroke, _), y in zip(samples, rows, strict=True)
    ]
    words = [(word, (LONG + 4.0, y - 0.5 * WORDS)) for (_, word), y in zip(samples, rows, strict=True)]
    return Legend(heading=heading, figure=_figure(paths, words, PITCH * len(samples)), words=LINES)


def _holes(signs: Sequence[str]) -> Figure:
    """A sample of each sign for a hole."""
    pitch = 2.2 * PITCH
    paths: list[Path] = []
    words: list[tuple[str, XY]] = []
    for number, sign in enumerate(reversed(signs)):
        y = pitch * (number + 0.5)
        paths += [
            Path(
                points=path.points + np.array([0.5 * LONG, y]),
                stroke=path.stroke,
                closed=path.closed,
                filled=path.filled,
            )
            for path in SIGNS[sign](2.0)
        ]
        words.append((sign, (LONG + 4.0, y - 0.5 * WORDS)))
    return _figure(paths, words, pitch * len(signs))


def _figure(paths: Sequence[Path], words: Sequence[tuple[str, XY]], height: float) -> Figure:
    wide = max(at[0] + text_width(text, WORDS) for text, at in words)
    return Figure(paths=tuple(paths), width=wide, height=height, words=tuple(words))


def _rows(count: int) -> list[float]:
    """Heights of the middles of the rows, the first at the top."""
    return [PITCH * (count - 1 - i) + 0.5 * PITCH for i in range(count)]


def _bevel_sample() -> Figure:
    """A slice of wood with a bevel of 70 degrees under, and the gauge that reads it: stock on the face."""
    lean = np.radians(70.0)
    corner = np.array([8.0, 20.0])  # where face and edge meet; the wood lies to the right and below
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
    words = [("stock on this face", (float(corner[0]) + 2.0, 25.7)), (bevel_words(lean), (19.5, 11.5))]
    return _figure(paths, words, 30.0)
