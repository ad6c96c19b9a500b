"""Drawings whose coordinates differ a little, as those that another version of a library computes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tiling.drawing import XY, FloatArray
from tiling.planning.plan import Piece

__all__ = ["shaken"]


def shaken(piece: Piece, *, by: float, seed: int) -> Piece:
    """The piece with every coordinate moved by chance, at most so far, mm."""
    chance = np.random.default_rng(seed)

    def many(points: FloatArray) -> FloatArray:
        return points + chance.uniform(-by, by, points.shape)

    moved: dict[XY, XY] = {}

    def one(point: XY) -> XY:
        """What lies at one place stays together, as a distance's end and the place that may slide."""
        if point not in moved:
            x, y = many(np.array(point)).tolist()
            moved[point] = x, y
        return moved[point]

    drawing = piece.drawing
    return replace(
        piece,
        drawing=replace(
            drawing,
            paths=tuple(replace(path, points=many(path.points)) for path in drawing.paths),
            discs=tuple(replace(disc, centre=one(disc.centre)) for disc in drawing.discs),
            notes=tuple(replace(note, target=one(note.target)) for note in drawing.notes),
            distances=tuple(
                replace(distance, start=one(distance.start), end=one(distance.end))
                for distance in drawing.distances
            ),
            slides=tuple(replace(slide, at=one(slide.at)) for slide in drawing.slides),
        ),
    )
