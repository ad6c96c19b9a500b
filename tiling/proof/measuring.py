"""Points and straight pieces against those that are due: nearest ones, displacements, lengths in a box."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from tiling.drawing import XY, FloatArray
from tiling.paper import Box
from tiling.proof.expected_pages import ExpectedPattern, keys_of

__all__ = ["displaced", "length_within", "nearest"]


def nearest(places: Iterable[XY], wanted: XY, *, within: float = 2.0) -> XY | None:
    """The place nearest to the wanted one; None where none is near."""
    best: XY | None = None
    least = within
    for x, y in places:
        off = float(np.hypot(x - wanted[0], y - wanted[1]))
        if off < least:
            best, least = (x, y), off
    return best


def displaced(points: FloatArray, pattern: ExpectedPattern) -> tuple[FloatArray, FloatArray]:
    """How far points (n, 2) stand from the nearest vertex of the pattern, (n,), and which way, (n, 2)."""
    way = np.full(points.shape, np.inf)
    if not len(points) or not len(pattern.keys):
        return np.full(len(points), np.inf), way
    wanted = keys_of(points)
    place = np.minimum(np.searchsorted(pattern.keys, wanted), len(pattern.keys) - 1)
    exact = pattern.keys[place] == wanted
    way[exact] = points[exact] - pattern.points[pattern.order[place[exact]]]
    for index in np.flatnonzero(~exact):
        apart = points[index] - pattern.points
        way[index] = apart[np.argmin(np.einsum("ij,ij->i", apart, apart))]
    return np.hypot(*way.T), way


def length_within(starts: FloatArray, ends: FloatArray, window: Box) -> float:
    """The length of straight pieces within a box (Liang and Barsky's clipping, 1984; from memory)."""
    if not len(starts):
        return 0.0
    low, high = np.array(window[:2]), np.array(window[2:])
    near = ((np.minimum(starts, ends) <= high) & (np.maximum(starts, ends) >= low)).all(axis=1)
    starts, along = starts[near], (ends - starts)[near]
    steep = np.where(np.abs(along) < 1e-12, 1e-12, along)
    first, second = (low - starts) / steep, (high - starts) / steep
    enters = np.maximum(np.minimum(first, second).max(axis=1, initial=0.0), 0.0)
    leaves = np.minimum(np.maximum(first, second).min(axis=1, initial=1.0), 1.0)
    return float((np.maximum(leaves - enters, 0.0) * np.hypot(*along.T)).sum())
