"""Closed lines filled with points: which places of a page a filled shape or a letter covers; mm.

Source: ISO 32000-1:2008, 8.5.3.3 (the nonzero winding number rule and the even-odd rule; from memory).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tiling.drawing import FloatArray

__all__ = ["filled", "inside"]


def _edges(lines: Sequence[FloatArray]) -> FloatArray:
    """All edges of closed lines, shape (n, 2, 2), the last point of each joined to its first."""
    each = [np.stack((line, np.roll(line, -1, axis=0)), axis=1) for line in lines if len(line) > 1]
    return np.concatenate([np.zeros((0, 2, 2)), *each])


def filled(lines: Sequence[FloatArray], pitch: float, *, odd: bool = False) -> FloatArray:
    """Points (n, 2) within closed lines, in rows a pitch apart and about as close along them.

    Args:
        odd: by the even-odd rule; else by the winding number.
    """
    edges = _edges(lines)
    if not len(edges):
        return np.zeros((0, 2))
    low, high = edges[:, :, 1].min(axis=1), edges[:, :, 1].max(axis=1)
    first = np.ceil(low / pitch - 0.5).astype(int)  # rows are at (k + 1/2) pitches
    count = np.ceil(high / pitch - 0.5).astype(int) - first
    which = np.repeat(np.arange(len(edges)), count)
    rows = np.arange(len(which)) - np.repeat(np.cumsum(count) - count, count) + first[which]
    (ax, ay), (bx, by) = edges[which, 0].T, edges[which, 1].T
    x = ax + ((rows + 0.5) * pitch - ay) / (by - ay) * (bx - ax)
    order = np.lexsort((x, rows))
    x, rows = x[order], rows[order]
    winding = np.cumsum(
        np.where(by > ay, 1, -1)[order]
    )  # of each row by itself, as each begins and ends with 0
    within = (np.arange(len(x)) % 2 == 0) if odd else winding != 0
    return _along(x[:-1][within[:-1]], x[1:][within[:-1]], (rows[:-1][within[:-1]] + 0.5) * pitch, pitch)


def _along(start: FloatArray, end: FloatArray, y: FloatArray, pitch: float) -> FloatArray:
    """Points along level spans: the middles of parts that are no longer than a pitch."""
    count = np.maximum(np.ceil((end - start) / pitch).astype(int), 1)
    which = np.repeat(np.arange(len(count)), count)
    part = np.arange(len(which)) - np.repeat(np.cumsum(count) - count, count)
    x = start[which] + (end - start)[which] * (part + 0.5) / count[which]
    return np.column_stack((x, y[which]))


def inside(points: FloatArray, lines: Sequence[FloatArray], *, odd: bool = False) -> np.ndarray:
    """Which points (n, 2) closed lines fill; shape (n,)."""
    found = np.zeros(len(points), dtype=bool)
    edges = _edges(lines)
    if not len(edges):
        return found
    low, high = edges.min(axis=(0, 1)), edges.max(axis=(0, 1))
    near = np.flatnonzero(((points >= low) & (points <= high)).all(axis=1))
    x, y = points[near, :1], points[near, 1:]
    (ax, ay), (bx, by) = edges[:, 0].T, edges[:, 1].T
    up, down = (ay <= y) & (by > y), (by <= y) & (ay > y)
    with np.errstate(divide="ignore", invalid="ignore"):
        left = ax + (y - ay) / (by - ay) * (bx - ax) > x
    winding = (up & left).sum(axis=1) - (down & left).sum(axis=1)
    found[near] = winding % 2 == 1 if odd else winding != 0
    return found
