"""A straight line over all rows of pages, to lay a straightedge along when the rows are taped."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tiling.drawing import Drawing, FloatArray, Note, Path, Stroke
from tiling.drawing.tolerance import steady
from tiling.layout.coverage import ink_boxes
from tiling.layout.page_layout import PageLayout
from tiling.paper import MARK_RADIUS

__all__ = ["STRAIGHT", "StraightLine", "straight_lines", "with_straight_lines"]

STRAIGHT = Stroke(width=0.18, dash=(24.0, 3.0))
SAID = "straight"
LEAST = 25.0  # mm of the line on the pages of a row, or all the ink that there is of a lower row
INSET = 6.0  # mm between the line and the side of a page
PLACES = 60  # at the foot, and as many at the top
BESIDE = 1.5  # mm; a stroke so near to the line would be mistaken for it
SLANT = 100  # thousandths of a mm; slants that differ by less are alike
SHORT = 8.0  # mm; a shorter piece of the line is left out
EDGE = 3.0  # mm; as far from the outer edge of a window as other ink


StraightLine = tuple[FloatArray, ...]
"""One line where it lies on pages: the ends of each piece of it, shape (2, 2), mm of the drawing."""


def straight_lines(drawing: Drawing, layout: PageLayout) -> tuple[StraightLine, ...]:
    """Lines that run straight over every row of the pages of a drawing; none where one of its own strokes does.

    A line is as square to the rows as the pages allow, and has as few strokes near it as can be.  Where no line
    meets pages in every row, as in a ring, there are as few as meet all, each beginning in the row in which the one
    below it ends.
    """
    if layout.rows < 2:
        return ()
    spans = _Spans.of(layout)
    if any(_own(path, layout, spans) for path in drawing.paths):
        return ()
    back = layout.to_grid.inverse()
    ink = _ink(drawing, layout)
    found = (_pieces(line, layout) for line in _lines(spans, ink))
    return tuple(tuple(back.apply(piece) for piece in pieces) for pieces in found if pieces)


def with_straight_lines(drawing: Drawing, lines: Sequence[StraightLine]) -> Drawing:
    """The drawing with those lines, each with a word beside it."""
    for pieces in lines:
        longest = max(pieces, key=lambda piece: int(steady(float(np.hypot(*(piece[1] - piece[0]))))))
        middle = (float(longest[:, 0].mean()), float(longest[:, 1].mean()))
        drawing = drawing.with_more(
            paths=[Path(points=piece, stroke=STRAIGHT) for piece in pieces],
            notes=[Note(text=SAID, target=middle, reach=40.0, leader=True, rank=8)],
        )
    return drawing


def _lines(spans: _Spans, ink: _Ink) -> Iterator[FloatArray]:
    """The fewest straight lines that lead over all rows, from the foot; ends, (2, 2)."""
    row, last = 0, len(spans.boxes) - 1
    while row < last:
        for top in range(last, row, -1):
            line = _best(_Spans(boxes=spans.boxes[row : top + 1]), ink)
            if line is not None:
                yield line
                break
        row = top


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Spans:
    """What is seen of the pages, row by row from the foot.

    Attributes:
        boxes: of each row, shape (n, 4).
    """

    boxes: tuple[FloatArray, ...]

    @classmethod
    def of(cls, layout: PageLayout) -> _Spans:
        rows: list[list[tuple[float, float, float, float]]] = [[] for _ in range(layout.rows)]
        for tile in layout.tiles:
            rows[layout.rows - 1 - tile.row].append(layout.visible(tile))
        return cls(boxes=tuple(np.array(row) for row in rows))

    @property
    def height(self) -> tuple[float, float]:
        """The foot of the lowest and the top of the highest page."""
        return float(self.boxes[0][:, 1].min()), float(self.boxes[-1][:, 3].max())


def _on_rows(start: FloatArray, end: FloatArray, spans: _Spans, *, inset: float) -> NDArray[np.bool_]:
    """Which of the lines, ends (n, 2), have `LEAST` mm on pages of every row."""
    along = end - start
    length = np.hypot(*along.T)
    steep = np.where(np.abs(along) < 1e-9, 1e-9, along)
    every = np.ones(len(start), dtype=bool)
    for boxes in spans.boxes:
        low = boxes[None, :, :2] + np.array([inset, 0.0]) - start[:, None]
        high = boxes[None, :, 2:] - np.array([inset, 0.0]) - start[:, None]
        first, second = low / steep[:, None], high / steep[:, None]
        enters = np.maximum(np.minimum(first, second).max(axis=2), 0.0)
        leaves = np.minimum(np.maximum(first, second).min(axis=2), 1.0)
        on = np.maximum(leaves - enters, 0.0).sum(axis=1) * length
        every &= on >= LEAST
    return every


def _own(path: Path, layout: PageLayout, spans: _Spans) -> bool:
    """A straight stroke of the drawing crosses every row."""
    points = layout.to_grid.apply(path.points)
    low, high = spans.height
    tall = high - low - 2.0 * layout.page.step[1]
    near = np.abs(np.diff(points[:, 1])) > max(tall, LEAST)
    if not near.any():
        return False
    return bool(_on_rows(points[:-1][near], points[1:][near], spans, inset=0.0).any())


def _best(spans: _Spans, ink: _Ink) -> FloatArray | None:
    """Ends of the best line over the whole height, (2, 2); None where no straight line meets every row."""
    low, high = spans.height
    places = [
        np.linspace(row[:, 0].min() + INSET, row[:, 2].max() - INSET, PLACES)
        for row in (spans.boxes[0], spans.boxes[-1])
    ]
    upright = np.unique(np.concatenate(places))
    pairs = np.column_stack([upright, upright])
    if not _good(pairs, low, high, spans).any():
        pairs = np.array([(foot, top) for foot in places[0] for top in places[1]])
    pairs = pairs[_good(pairs, low, high, spans)]
    if not len(pairs):
        return None
    slant = np.abs(pairs[:, 1] - pairs[:, 0])
    pairs = pairs[np.argsort(steady(slant), kind="stable")[:PLACES]]
    slant = np.abs(pairs[:, 1] - pairs[:, 0])
    met = np.array([_ink_near(pair, low, high, ink) for pair in pairs])
    aside = -np.abs(
        pairs.mean(axis=1) - 0.5 * (pairs.min() + pairs.max())
    )  # in the middle words want the room
    foot, top = pairs[np.lexsort((steady(aside), met, steady(slant) // SLANT))[0]].tolist()
    return np.array([[foot, low], [top, high]])


def _good(pairs: FloatArray, low: float, high: float, spans: _Spans) -> NDArray[np.bool_]:
    start = np.column_stack([pairs[:, 0], np.full(len(pairs), low)])
    end = np.column_stack([pairs[:, 1], np.full(len(pairs), high)])
    return _on_rows(start, end, spans, inset=INSET)


_Ink = tuple[FloatArray, FloatArray]


def _ink(drawing: Drawing, layout: PageLayout) -> _Ink:
    """Middles and half sizes of small boxes around all strokes and match marks."""
    boxes = ink_boxes(drawing, place=layout.to_grid)
    marks = np.array([mark for seam in layout.seams for mark in seam.marks], dtype=float).reshape(-1, 2)
    low = np.concatenate([boxes.low, marks - MARK_RADIUS])
    high = np.concatenate([boxes.high, marks + MARK_RADIUS])
    return 0.5 * (low + high), 0.5 * (high - low)


def _ink_near(pair: FloatArray, low: float, high: float, ink: _Ink) -> int:
    """How many boxes of ink the line passes through or close by."""
    middles, halves = ink
    at = pair[0] + (pair[1] - pair[0]) * (middles[:, 1] - low) / (high - low)
    on_line = (middles[:, 1] > low) & (middles[:, 1] < high)
    return int((on_line & (np.abs(middles[:, 0] - at) < halves[:, 0] + BESIDE)).sum())


def _pieces(line: FloatArray, layout: PageLayout) -> list[FloatArray]:
    """The line where it lies on pages, one piece for pages that it passes one after the other."""
    start, along = line[0], line[1] - line[0]
    length = float(np.hypot(*along))
    steep = np.where(np.abs(along) < 1e-9, 1e-9, along)
    spans = []
    for tile in layout.tiles:
        x0, y0, x1, y1 = layout.visible(tile)
        w0, v0, w1, v1 = tile.window
        box = (
            max(x0, w0 + EDGE), max(y0, v0 + EDGE), min(x1, w1 - EDGE), min(y1, v1 - EDGE)
        )  # fmt: skip
        first, second = (np.array(box[:2]) - start) / steep, (np.array(box[2:]) - start) / steep
        enters, leaves = float(np.minimum(first, second).max()), float(np.maximum(first, second).min())
        if max(enters, 0.0) < min(leaves, 1.0):
            spans.append((max(enters, 0.0), min(leaves, 1.0)))
    merged: list[list[float]] = []
    for enters, leaves in sorted(spans):
        if merged and enters <= merged[-1][1] + 1e-9:
            merged[-1][1] = max(merged[-1][1], leaves)
        else:
            merged.append([enters, leaves])
    return [np.array([start + a * along, start + b * along]) for a, b in merged if (b - a) * length >= SHORT]
