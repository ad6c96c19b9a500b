"""Squares in rows and columns, marked or not: blocks, filled and grown shapes, squares as one long number."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["Mask", "any_of_rows", "bits_of", "filled", "grown", "marked_blocks", "mask_of"]

IntArray = NDArray[np.intp]
Mask = NDArray[np.bool_]

SMALL = 4  # squares across a small block


def mark_blocks(values: NDArray[Any], first: IntArray, last: IntArray, value: int = True) -> None:
    """Set the squares from the first to the last of each block, all of which are small but a few.

    Args:
        values: shape (rows, columns), without gaps in memory; changed in place.
        first, last: shape (n, 2): row and column of the first and of the last square of each, all within.
    """
    span = last - first
    small = (span < SMALL).all(axis=1)
    flat, wide = values.reshape(-1), values.shape[1]
    up, across = span[small].T
    corner = first[small, 0] * wide + first[small, 1]
    columns = [np.minimum(across, j) for j in range(int(across.max(initial=-1)) + 1)]
    for i in range(int(up.max(initial=-1)) + 1):
        row = corner + np.minimum(up, i) * wide
        for column in columns:
            flat[row + column] = value  # a block that is not so large has its last square set once more
    for (foot, left), (top, right) in zip(first[~small].tolist(), last[~small].tolist(), strict=True):
        values[foot : top + 1, left : right + 1] = value


def marked_blocks(first: IntArray, last: IntArray, shape: tuple[int, int]) -> Mask:
    """The squares from the first to the last of each block, as `mark_blocks` has them."""
    mask = np.zeros(shape, dtype=bool)
    mark_blocks(mask, first, last)
    return mask


def any_of_rows(mask: Mask, run: int) -> Mask:
    """Whether any of so many rows is marked, from each row on, column by column; fewer rows by ``run - 1``."""
    reach = 1
    count = len(mask) - run + 1
    while 2 * reach <= run:
        mask = mask[:-reach] | mask[reach:]
        reach *= 2
    return mask[:count] | mask[run - reach : run - reach + count]


def bits_of(mask: Mask) -> int:
    """The squares row by row as the bits of a number, the first one lowest."""
    return int.from_bytes(np.packbits(mask, bitorder="little").tobytes(), "little")


def mask_of(bits: int, shape: tuple[int, int]) -> Mask:
    """The squares that are the lowest bits of a number."""
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
    """A shape and the squares round it, so many deep; the mask keeps its size."""
    for axis in (0, 1):
        for _ in range(by):
            wide = mask.copy()
            there, here = (slice(1, None), slice(None, -1)) if axis == 0 else (np.s_[:, 1:], np.s_[:, :-1])
            wide[there] |= mask[here]
            wide[here] |= mask[there]
            mask = wide
    return mask
