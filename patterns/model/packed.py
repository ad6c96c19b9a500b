"""Pieces of a model on pages: turned to fit, parted where they are longer than a page, side by side on shelves."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import count, pairwise

import numpy as np
import shapely

from patterns.flat.overlays import intersection
from patterns.hull.planes import FloatArray
from patterns.model.piece import ModelPiece
from tiling.drawing import Drawing, Note, Path, Stroke

__all__ = ["Packing", "packed"]

CUT, OTHER, THIN = Stroke(width=0.5), Stroke(width=0.25, dash=(3.0, 1.5)), Stroke(width=0.18)
JOIN = Stroke(width=0.25, dash=(6.0, 2.0, 1.0, 2.0))
NUMBER, WORDS = 5.0, 2.5  # height of a capital, mm
GAP = 6.0  # mm between pieces, with room for words beside them
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
QUARTER = np.array([[0.0, -1.0], [1.0, 0.0]])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Packing:
    """Where the pieces are.

    Attributes:
        pages: the drawing of each page, mm from the lower left corner of its room.
        of_piece: for each piece the numbers of its pages, from 1.
        parted: whether any piece is in several parts.
    """

    pages: tuple[Drawing, ...]
    of_piece: tuple[tuple[int, ...], ...]
    parted: bool


@dataclass(slots=True, kw_only=True)
class _Shelf:
    """A row of pieces across a page: how high it is, where its top is, how much of it is used; mm."""

    page: int
    top: float
    high: float
    used: float = 0.0


def packed(pieces: Sequence[ModelPiece], factor: float, room: float, tall: float) -> Packing:
    """Lay the pieces on pages, the highest first.

    Args:
        factor: mm of paper for a mm of the boat.
        room, tall: of a page, mm.
    """
    parts = [
        (place, part)
        for place, piece in enumerate(pieces)
        for part in _fitted(_drawn(piece, str(place + 1), factor), room - GAP, tall - GAP)
    ]
    shelves: list[_Shelf] = []
    used: list[float] = []
    laid: dict[int, list[Drawing]] = {}
    on: list[set[int]] = [set() for _ in pieces]
    for place, part in sorted(parts, key=lambda item: -_extent(item[1])[1]):
        wide, high = _extent(part) + GAP
        shelf = next((s for s in shelves if s.used + wide <= room + 1e-6 and high <= s.high), None)
        if shelf is None:
            page = next((i for i, full in enumerate(used) if full + high <= tall + 1e-6), len(used))
            if page == len(used):
                used.append(0.0)
            shelf = _Shelf(page=page, top=tall - used[page], high=high)
            used[page] += high
            shelves.append(shelf)
        shift = np.array([shelf.used + 0.5 * GAP, shelf.top - high + 0.5 * GAP])
        laid.setdefault(shelf.page, []).append(_moved(part, np.eye(2), shift))
        shelf.used += wide
        on[place].add(shelf.page + 1)
    return Packing(
        pages=tuple(_together(laid[page]) for page in range(len(used))),
        of_piece=tuple(tuple(sorted(numbers)) for numbers in on),
        parted=len(parts) > len(pieces),
    )


def _drawn(piece: ModelPiece, number: str, factor: float) -> Drawing:
    """A piece at the size of the model, its lower left corner at the origin."""
    low = np.vstack(piece.outlines).min(axis=0)

    def paths(lines: Sequence[FloatArray], stroke: Stroke, *, closed: bool) -> Iterator[Path]:
        for line in lines:
            yield Path(points=factor * (line - low), stroke=stroke, closed=closed)

    middle = shapely.Polygon(piece.outlines[0]).representative_point()
    at = factor * (np.array([middle.x, middle.y]) - low)
    words = [
        Note(text=text, target=_point(factor * (np.array(place) - low)), towards=(0.0, 1.0), height=WORDS)
        for text, place in piece.words
    ]
    return Drawing(
        paths=(
            *paths(piece.outlines, CUT, closed=True),
            *paths(piece.dashed, OTHER, closed=True),
            *paths(piece.thin, THIN, closed=False),
        ),
        notes=(Note(text=number, target=_point(at), height=NUMBER), *words),
    )


def _point(at: FloatArray) -> tuple[float, float]:
    return float(at[0]), float(at[1])


def _extent(drawing: Drawing) -> FloatArray:
    x0, y0, x1, y1 = drawing.bounds()
    return np.array([x1 - x0, y1 - y0])


def _moved(drawing: Drawing, matrix: FloatArray, shift: FloatArray) -> Drawing:
    return Drawing(
        paths=tuple(replace(path, points=path.points @ matrix.T + shift) for path in drawing.paths),
        notes=tuple(
            replace(note, target=_point(matrix @ np.array(note.target) + shift)) for note in drawing.notes
        ),
    )


def _fitted(drawing: Drawing, room: float, tall: float) -> Iterator[Drawing]:
    """The piece as it is or turned, whichever fits and is lower; or its parts, upright, where neither does."""
    wide, high = _extent(drawing)
    turned = _moved(drawing, QUARTER, np.array([high, 0.0]))
    fits = [
        one
        for one, (across, up) in ((drawing, (wide, high)), (turned, (high, wide)))
        if across <= room and up <= tall
    ]
    if fits:
        yield min(fits, key=lambda one: _extent(one)[1])
        return
    long = drawing if wide >= high else turned
    yield from _parts(long, room, tall)


def _parts(long: Drawing, room: float, tall: float) -> Iterator[Drawing]:
    """A piece cut into even parts along its length, and across as well where it is wider than a page."""
    wide, high = _extent(long)
    along, across = (
        np.linspace(0.0, size, math.ceil(size / most) + 1) for size, most in ((wide, tall), (high, room))
    )
    names = (f"{letter}{turn or ''}" for turn in count() for letter in LETTERS)
    for x0, x1 in pairwise(along):
        for y0, y1 in pairwise(across):
            part = _clipped(long, (float(x0), float(y0), float(x1), float(y1)))
            if part is not None:
                number, *words = part.notes
                named = replace(part, notes=(replace(number, text=f"{number.text}{next(names)}"), *words))
                yield _moved(named, QUARTER, np.array([float(y1), -float(x0)]))


def _clipped(whole: Drawing, box: tuple[float, float, float, float]) -> Drawing | None:
    """What of a piece is in a box, with the lines along which its parts are joined; None where nothing is."""
    x0, y0, x1, y1 = box
    window = shapely.box(*box)
    paths = []
    for path in whole.paths:
        run = shapely.LineString(np.vstack([path.points, path.points[:1]]) if path.closed else path.points)
        for kept in shapely.get_parts(intersection(run, window)):
            if kept.length > 0.0:
                paths.append(replace(path, points=shapely.get_coordinates(kept), closed=False))
    if not paths:
        return None
    wide, high = _extent(whole)
    seams = [((x, y0), (x, y1)) for x in (x0, x1) if 1e-6 < x < wide - 1e-6]
    seams += [((x0, y), (x1, y)) for y in (y0, y1) if 1e-6 < y < high - 1e-6]
    number, *words = whole.notes
    middle = (0.5 * (x0 + x1), 0.5 * (y0 + y1))
    notes = [note for note in words if x0 <= note.target[0] <= x1 and y0 <= note.target[1] <= y1]
    return Drawing(
        paths=(*paths, *(Path(points=np.array(seam), stroke=JOIN) for seam in seams)),
        notes=(replace(number, target=middle), *notes),
    )


def _together(drawings: Sequence[Drawing]) -> Drawing:
    return Drawing(
        paths=tuple(path for one in drawings for path in one.paths),
        notes=tuple(note for one in drawings for note in one.notes),
    )
