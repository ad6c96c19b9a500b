"""Many points as a short text, to a thousandth of a millimetre."""

from __future__ import annotations

import base64
import zlib

import numpy as np

from tiling.drawing.model import FloatArray

__all__ = ["packed", "unpacked"]

PER_MM = 1000.0


def packed(points: FloatArray) -> str:
    """Points, shape (n, 2), mm, in whole thousandths, each from the one before it, as text."""
    whole = np.rint(points * PER_MM).astype("<i8")
    steps = np.diff(whole, axis=0, prepend=np.zeros((1, 2), dtype="<i8"))
    return base64.b85encode(zlib.compress(steps.tobytes(), 9)).decode("ascii")


def unpacked(text: str) -> FloatArray:
    """The points in a text, shape (n, 2), mm.

    Raises:
        ValueError: the text holds none.
    """
    try:
        steps = np.frombuffer(zlib.decompress(base64.b85decode(text)), dtype="<i8").reshape(-1, 2)
    except zlib.error as error:
        raise ValueError("packed points cannot be read") from error
    return np.asarray(np.cumsum(steps, axis=0, dtype=np.int64) / PER_MM)
