"""Shapes in squares of a raster, and rasters as one long number each, so that all places are asked at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tiling.drawing import ROOM, XY
from tiling.drawing.tolerance import NOISE
from tiling.layout.coverage import InkBoxes, counts_in_cells

__all__ = ["SQUARE", "Mask", "bits_of", "filled", "grown", "mask_of", "squares_of"]

SQUARE = ROOM  # mm
Mask = NDArray[np.bool_]


def squares_of(ink: InkBoxes) -> tuple[Mask, XY]:
    """The squares that ink meets, and the lower left corner of the first of them, mm."""
    corner = ink.low.min(axis=0)
    first = ((ink.low - corner) / SQUARE + NOISE).astype(np.intp)[:, ::-1]
    last = ((ink.high - corner) / SQUARE - NOISE).astype(np.intp)[:, ::-1]
    rows, columns = (int(n) + 1 for n in last.max(axis=0))
    return counts_in_cells(first, last, (rows, columns)) > 0, (float(corner[0]), float(corner[1]))


def bits_of(mask: Mask) -> int:
    """The squares of a raster row by row as the bits of a number, the first one lowest."""
    return int.from_bytes(np.packbits(mask, bitorder="little").tobytes(), "little")


def mask_of(bits: int, shape: tuple[int, int]) -> Mask:
    """The raster whose squares are the lowest bits of a number."""
    size = shape[0] * shape[1]
    data = np.frombuffer(bits.to_bytes((max(bits.bit_length(), size) + 7) // 8, "little"), dtype=np.uint8)
    return np.unpackbits(data, count=size, bitorder="little").view(bool).reshape(shape)


def filled(mask: Mask) -> Mask:
    """The squares of a shape and those that it encloses; what only corners join is enclosed."""
    wide = np.pad(mask, 1)
    columns = wide.shape[1]
    open_ = bits_of(~wide)
    outside, before = 1, 0
    while outside != before:
        before = outside
        outside |= outside << 1 | outside >> 1 | outside << columns | outside >> columns
        outside &= open_
    return ~mask_of(outside, (wide.shape[0], columns))[1:-1, 1:-1]


def grown(mask: Mask, by: int) -> Mask:
    """A shape and the squares round it, so many deep; the raster keeps its size."""
    for axis in (0, 1):
        for _ in range(by):
            wide = mask.copy()
            there, here = (slice(1, None), slice(None, -1)) if axis == 0 else (np.s_[:, 1:], np.s_[:, :-1])
            wide[there] |= mask[here]
            wide[here] |= mask[there]
            mask = wide
    return mask
