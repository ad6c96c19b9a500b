"""A sheet laid flat: a strip of straight rulings unrolled triangle by triangle."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.vectors import FloatArray, cross

__all__ = ["Unrolled", "unroll"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Unrolled:
    """A bent sheet's rulings in the boat and the same on the flat.

    Attributes:
        low, high: shape (n, 3), the rulings' ends on the bent sheet, mm.
        outward: shape (n, 3), the unit normal along each ruling.
        flat_low, flat_high: shape (n, 2), the same ends on the flat, seen from the inside: aft to the right.
    """

    low: FloatArray
    high: FloatArray
    outward: FloatArray
    flat_low: FloatArray
    flat_high: FloatArray

    def lay(self, points: FloatArray) -> FloatArray:
        """The flat places (n, 2) of points (n, 3), each on its own ruling, past its ends or close beside it.

        A point beside the ruling keeps its place in the sheet's tangent plane.
        """
        d = self.high - self.low
        up = d / np.linalg.norm(d, axis=1, keepdims=True)
        aft = cross(self.outward, up)
        off = points - self.low
        flat_d = self.flat_high - self.flat_low
        flat_up = flat_d / np.linalg.norm(flat_d, axis=1, keepdims=True)
        flat_aft = np.stack([flat_up[:, 1], -flat_up[:, 0]], axis=-1)
        along, beside = (np.sum(off * way, axis=1, keepdims=True) for way in (up, aft))
        return np.asarray(self.flat_low + along * flat_up + beside * flat_aft)

    def where(self, over: FloatArray, share: FloatArray) -> FloatArray:
        """The flat line, (k, 2), on which something passes through nought.

        Args:
            over: shape (n, m), its value on each ruling at parts ``share`` (m,) of its length; the first
                passage along each part counts.
        """
        passes = (over[:-1] <= 0.0) != (over[1:] <= 0.0)
        met = passes.any(axis=0)
        k, j = passes.argmax(axis=0)[met], np.nonzero(met)[0]
        part = (over[k, j] / (over[k, j] - over[k + 1, j]))[:, None]
        at = self.flat_low[:, None, :] + share[None, :, None] * (self.flat_high - self.flat_low)[:, None, :]
        line: FloatArray = at[k, j] + part * (at[k + 1, j] - at[k, j])
        return line

    def over(self, height: object, share: FloatArray) -> FloatArray:
        """A function of points, e.g. a plane's `height_over`, on each ruling at parts of its length: (n, m)."""
        points = self.low[:, None, :] + share[None, :, None] * (self.high - self.low)[:, None, :]
        return np.asarray(height(points))  # type: ignore[operator]


def unroll(low: FloatArray, high: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Lay a strip of rulings flat.

    The strip is taken as triangles low[k], high[k], low[k + 1] and high[k], low[k + 1], high[k + 1]; on a
    developable surface both edges and all rulings keep their lengths, better the closer the rulings stand.

    Args:
        low, high: shape (n, 3), the rulings' ends, mm; no ruling is a point.
    Returns:
        Both edges on the flat, (n, 2) each.  The first ruling stands up from the origin; the strip runs to the
        right of it.
    """
    zigzag = np.empty((2 * len(low), 3))
    zigzag[0::2], zigzag[1::2] = low, high
    step = np.diff(zigzag, axis=0)
    length = np.linalg.norm(step, axis=1)
    unit = step / np.where(length > 0.0, length, 1.0)[:, None]
    back = np.clip(np.sum(-unit[:-1] * unit[1:], axis=1), -1.0, 1.0)
    # At each point of the zigzag the way turns by what the triangle's angle there leaves of a half turn:
    # to the right at the upper edge, to the left at the lower one.
    turn = np.pi - np.arccos(back)
    turn[0::2] *= -1.0
    heading = 0.5 * np.pi + np.concatenate([[0.0], np.cumsum(turn)])
    flat = np.zeros((len(zigzag), 2))
    flat[1:, 0] = np.cumsum(length * np.cos(heading))
    flat[1:, 1] = np.cumsum(length * np.sin(heading))
    return flat[0::2], flat[1::2]
