"""Where a drawing has ink: as short pieces, and as small boxes around them.

Boxes hold the strokes with their width, so nothing that is printed lies outside them; a straight
segment is cut into short pieces first, so that the boxes are little larger than the strokes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tiling.drawing import Drawing, FloatArray
from tiling.drawing.affine import Affine
from tiling.drawing.tolerance import NOISE
from tiling.errors import TilingError
from tiling.paper import TARGET_RADIUS

__all__ = ["InkBoxes", "InkPieces", "ink_boxes", "ink_pieces"]

PIECE = 4.0  # mm; the longest piece of a stroke that one box holds


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkBoxes:
    """Boxes that hold all the ink of a drawing.

    Attributes:
        low, high: shape (n, 2), mm: lower left and upper right corners.
    """

    low: FloatArray
    high: FloatArray

    def moved(self, x: float, y: float) -> InkBoxes:
        """The same boxes elsewhere."""
        by = np.array([x, y])
        return InkBoxes(low=self.low + by, high=self.high + by)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkPieces:
    """The ink of a drawing as short straight pieces with round ends.

    Attributes:
        a, b: shape (n, 2), mm: the ends of each; alike for a disc.
        half: shape (n,), mm: half of its breadth.
        filled: the vertices of each shape that is filled, mm.
    """

    a: FloatArray
    b: FloatArray
    half: FloatArray
    filled: tuple[FloatArray, ...]

    def boxes(self, place: Affine | None = None) -> InkBoxes:
        """A box around each piece, after it has been put in place."""
        a, b, filled = self.a, self.b, self.filled
        if place is not None:
            a, b, filled = place.apply(a), place.apply(b), tuple(place.apply(shape) for shape in filled)
        half = self.half[:, None]
        low, high = np.minimum(a, b) - half, np.maximum(a, b) + half
        if filled:
            low = np.concatenate([low, [shape.min(axis=0) for shape in filled]])
            high = np.concatenate([high, [shape.max(axis=0) for shape in filled]])
        return InkBoxes(low=low, high=high)


def ink_boxes(drawing: Drawing, *, piece: float = PIECE, place: Affine | None = None) -> InkBoxes:
    """Small boxes around every stroke, disc and target of a long distance; words left out.

    Args:
        piece: the longest piece of a straight segment that one box holds, mm.
        place: from the drawing's coordinates to those of the boxes.
    Raises:
        TilingError: nothing is drawn, or a coordinate is not a number.
    """
    return ink_pieces(drawing, piece=piece).boxes(place)


def ink_pieces(drawing: Drawing, *, piece: float = PIECE) -> InkPieces:
    """Every stroke, disc and target of a long distance as short pieces; words left out.

    Args:
        piece: the longest piece of a straight segment, mm.
    Raises:
        TilingError: nothing is drawn, or a coordinate is not a number.
    """
    parts = [_pieces(drawing, piece)] if drawing.paths else []
    rounds = [
        (disc.centre, disc.radius + (0.0 if disc.filled else 0.5 * disc.width)) for disc in drawing.discs
    ]
    rounds += [(end, TARGET_RADIUS) for gap in drawing.distances for end in (gap.start, gap.end)]
    if rounds:
        centres = np.array([centre for centre, _ in rounds], dtype=float)
        parts.append((centres, centres, np.array([radius for _, radius in rounds], dtype=float)))
    if not parts:
        raise TilingError("nothing is drawn: a pattern needs a stroke or a disc")
    a, b, half = (np.concatenate(each) for each in zip(*parts, strict=True))
    if not (np.isfinite(a).all() and np.isfinite(b).all() and np.isfinite(half).all()):
        raise TilingError("a coordinate of the drawing is not a finite number")
    return InkPieces(a=a, b=b, half=half, filled=tuple(path.points for path in drawing.paths if path.filled))


def _pieces(drawing: Drawing, piece: float) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Ends of every short piece, shape (n, 2) each, and half of its stroke's width, shape (n,)."""
    paths = drawing.paths
    runs = [np.concatenate((path.points, path.points[:1])) if path.closed else path.points for path in paths]
    sizes = np.array([len(run) for run in runs])
    points = np.concatenate(runs)
    half = np.repeat([0.5 * path.stroke.width for path in paths], sizes)[:-1]
    real = np.ones(len(points) - 1, dtype=bool)
    real[np.cumsum(sizes)[:-1] - 1] = False  # from the end of one path to the beginning of the next
    a, b, half = points[:-1][real], points[1:][real], half[real]
    if not (np.isfinite(a).all() and np.isfinite(b).all()):
        raise TilingError("a coordinate of the drawing is not a finite number")
    along = b - a
    count = np.maximum(np.ceil(np.hypot(along[:, 0], along[:, 1]) / piece - NOISE), 1.0).astype(np.intp)
    if count.max(initial=1) == 1:
        return a, b, half
    which = np.repeat(np.arange(len(a)), count)
    nth = np.arange(len(which)) - np.repeat(np.cumsum(count) - count, count)
    share = (nth / count[which])[:, None]
    next_share = ((nth + 1) / count[which])[:, None]
    return a[which] + share * along[which], a[which] + next_share * along[which], half[which]
