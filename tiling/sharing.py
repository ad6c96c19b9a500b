"""Small pieces that share pages: nested by their outlines, each with room for its own words around it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tiling.affine import Affine
from tiling.coverage import ink_boxes
from tiling.drawing import Distance, Drawing, Note
from tiling.nesting import SQUARE, Nested, Outline, nest
from tiling.paper import Page

__all__ = ["GAPS", "Shared", "shared"]

GAPS = (
    8.0,
    20.0,
)  # mm of a piece's own room round its strokes: the least first, more where the words want it
SMALL = 3  # pages; a piece that needs more is not small, and is laid alone


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shared:
    """Pieces laid together.

    Attributes:
        members: which of the given pieces, in the order given.
        drawing: all of them.
    """

    members: tuple[int, ...]
    drawing: Drawing


def shared(
    drawings: Sequence[Drawing], alone: Sequence[int], page: Page, *, gap: float
) -> tuple[Shared, ...]:
    """Blocks of drawings that share pages; a drawing that is in none is laid by itself.

    Args:
        alone: how many pages each needs by itself.
        gap: a piece's own room round its strokes, mm; two are never nearer than twice that.
    """
    outlines: dict[int, Outline] = {}
    corners: dict[int, tuple[float, float]] = {}
    for index, drawing in enumerate(drawings):
        if alone[index] <= SMALL:
            outlines[index], corners[index] = _outline(drawing, alone[index], gap)
    found = []
    for block in nest(outlines, page):
        order = sorted(block, key=lambda nested: nested.piece)
        found.append(
            Shared(
                members=tuple(nested.piece for nested in order),
                drawing=_together(drawings, order, outlines, corners),
            )
        )
    return tuple(found)


def _outline(drawing: Drawing, alone: int, gap: float) -> tuple[Outline, tuple[float, float]]:
    """The drawing in squares, and the lower left corner of the first of them, mm."""
    boxes = ink_boxes(drawing, piece=SQUARE)
    corner = boxes.low.min(axis=0) - gap - SQUARE
    far = boxes.high.max(axis=0) + gap + SQUARE
    columns, rows = (int(n) for n in np.ceil((far - corner) / SQUARE))
    ink = np.zeros((rows, columns), dtype=bool)
    first = ((boxes.low - corner) / SQUARE).astype(np.intp)
    last = ((boxes.high - corner) / SQUARE).astype(np.intp)
    for (c0, r0), (c1, r1) in zip(first.tolist(), last.tolist(), strict=True):
        ink[r0 : r1 + 1, c0 : c1 + 1] = True
    room = _grown(_filled(ink), int(np.ceil(gap / SQUARE)))
    return Outline(ink=ink, room=room, alone=alone), (float(corner[0]), float(corner[1]))


def _filled(ink: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The squares with ink and those that it encloses."""
    outside = np.zeros_like(ink)
    outside[[0, -1], :] = outside[:, [0, -1]] = True
    outside &= ~ink
    while True:
        more = _grown(outside, 1, corners=False) & ~ink
        if (more == outside).all():
            return ~outside
        outside = more


def _grown(mask: NDArray[np.bool_], by: int, *, corners: bool = True) -> NDArray[np.bool_]:
    """The mask and its neighbours, so many squares round."""
    for _ in range(by):
        grown = mask.copy()
        grown[1:] |= mask[:-1]
        grown[:-1] |= mask[1:]
        beside = grown if corners else mask
        wide = grown.copy()
        wide[:, 1:] |= beside[:, :-1]
        wide[:, :-1] |= beside[:, 1:]
        mask = wide
    return mask


def _together(
    drawings: Sequence[Drawing],
    block: Sequence[Nested],
    outlines: Mapping[int, Outline],
    corners: Mapping[int, tuple[float, float]],
) -> Drawing:
    """All members in their places; the words of each belong to its own room."""
    whole = Drawing()
    pictures = _needed_pictures([drawings[nested.piece] for nested in block])
    for number, nested in enumerate(block):
        x, y = corners[nested.piece]
        place = Affine.shift(-x, -y)
        outline = outlines[nested.piece]
        rows, columns = outline.room.shape
        for _ in range(nested.quarters):  # the turned mask's lower left corner comes back to the origin
            place = place.then(Affine.quarter_turn()).then(Affine.shift(rows * SQUARE, 0.0))
            rows, columns = columns, rows
        place = place.then(Affine.shift(nested.column * SQUARE, nested.row * SQUARE))
        whole = _added(whole, drawings[nested.piece], place, number, pictures)
        low = np.array([nested.column, nested.row]) * SQUARE
        squares = np.argwhere(outline.turned(nested.quarters).room)[:, ::-1] * SQUARE + low
        whole = replace(whole, rooms=(*whole.rooms, squares.astype(float)))
    return whole


def _added(whole: Drawing, drawing: Drawing, place: Affine, number: int, pictures: Sequence[Note]) -> Drawing:
    notes = [note for note in drawing.notes if note.figure is None or note in pictures]
    return whole.with_more(
        paths=(replace(path, points=place.apply(path.points)) for path in drawing.paths),
        discs=(replace(disc, centre=place.at(disc.centre)) for disc in drawing.discs),
        notes=(_moved(note, place, number) for note in notes),
        distances=(
            Distance(name=distance.name, start=place.at(distance.start), end=place.at(distance.end))
            for distance in drawing.distances
        ),
    )


def _needed_pictures(drawings: Sequence[Drawing]) -> list[Note]:
    """Pictures that explain the lines are needed once for all: those whose words no larger one has."""
    pictures = [note for drawing in drawings for note in drawing.notes if note.figure is not None]
    pictures.sort(key=lambda note: -len(_said(note)))
    kept: list[Note] = []
    for note in pictures:
        if not any(_said(note) <= _said(other) for other in kept):
            kept.append(note)
    return kept


def _said(note: Note) -> frozenset[str]:
    return (
        frozenset()
        if note.figure is None
        else frozenset((note.text, *(text for text, _ in note.figure.words)))
    )


def _moved(note: Note, place: Affine, number: int) -> Note:
    return replace(
        note,
        text=note.short or note.text,
        target=place.at(note.target),
        towards=place.direction(note.towards),
        room=number if note.figure is None else -1,
    )
