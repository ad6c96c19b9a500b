"""The sawn edge of a flat piece: which point of one face's outline belongs to which of the other's.

The two outlines are walked together so that points near each other, on stretches that run the same way, are
partners (the cheapest such walk, found by dynamic programming); a straight line of the edge joins two partners.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon

from patterns.hull.planes import FloatArray

__all__ = ["Area", "edge_of", "rings"]

Area: TypeAlias = Polygon | MultiPolygon

FINE = 6.0  # mm between the points that are walked, besides the outline's own
TURNED = 120.0  # mm of distance that a quarter turn between two stretches counts as


def rings(area: Area) -> list[FloatArray]:
    """The closed outlines of an area, each (n, 2) with its first point repeated; the wood lies on the left."""
    found = []
    for polygon in getattr(area, "geoms", [area]):
        turned = shapely.geometry.polygon.orient(polygon)
        found += [np.asarray(ring.coords) for ring in (turned.exterior, *turned.interiors)]
    return found


def edge_of(moulded: Area, other: Area, *, fine: float = FINE) -> list[tuple[FloatArray, FloatArray]]:
    """For each outline of the moulded face, its points (n, 2) and their partners on the other face (n, 2), closed.

    An outline without a partner (a pocket that does not go through) keeps its place: its edge is square.

    Args:
        fine: mm between the points that are walked, besides the outlines' own.
    """
    left = rings(other)
    found = []
    for ring in rings(moulded):
        middle, size = ring[:-1].mean(axis=0), np.ptp(ring, axis=0)
        apart = [
            float(np.hypot(*(known[:-1].mean(axis=0) - middle)) + np.abs(np.ptp(known, axis=0) - size).sum())
            for known in left
        ]
        if not apart or min(apart) > float(size.sum()):
            found.append((ring, ring))
        else:
            found.append(_walked(ring, left.pop(int(np.argmin(apart))), fine))
    return found


def _walked(a: FloatArray, b: FloatArray, fine: float) -> tuple[FloatArray, FloatArray]:
    """Two closed outlines walked together."""
    if a.shape == b.shape and np.array_equal(a, b):
        return a, b
    a, b = _finer(a, fine), _finer(b, fine)
    # Both begin at the moulded outline's sharpest corner and the nearest corner of its kind.
    start = int(_turn(a).argmax())
    a = np.vstack([a[start:-1], a[: start + 1]])
    away = np.hypot(*(b[:-1] - a[0]).T) + TURNED * np.abs(_turn(b) - _turn(a)[0])
    start = int(away.argmin())
    b = np.vstack([b[start:-1], b[: start + 1]])
    steps = _cheapest(_cost(a, b))
    return a[steps[:, 0]], b[steps[:, 1]]


def _finer(ring: FloatArray, fine: float) -> FloatArray:
    """The outline with more points on its long sides."""
    sides = np.diff(ring, axis=0)
    counts = np.maximum(np.ceil(np.hypot(*sides.T) / fine).astype(int), 1)
    side = np.repeat(np.arange(len(counts)), counts)
    part = (np.arange(len(side)) - np.repeat(np.cumsum(counts) - counts, counts)) / counts[side]
    return np.vstack([ring[side] + part[:, None] * sides[side], ring[-1:]])


def _headings(ring: FloatArray) -> FloatArray:
    sides = np.diff(ring, axis=0)
    headings: FloatArray = sides / np.maximum(np.hypot(*sides.T), 1e-12)[:, None]
    return headings


def _turn(ring: FloatArray) -> FloatArray:
    """How far the outline turns at each point but the last, in quarter turns, left positive."""
    after = _headings(ring)
    before = np.roll(after, 1, axis=0)
    turned: FloatArray = np.arctan2(
        before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], np.einsum("ij,ij->i", before, after)
    ) / (np.pi / 2)
    return turned


def _cost(a: FloatArray, b: FloatArray) -> FloatArray:
    """What it costs that two points are partners, shape (len(a), len(b))."""
    away = ((a[:, None] - b[None]) ** 2).sum(axis=-1)
    cost: FloatArray = np.zeros_like(away)
    for before in (False, True):  # the headings into and out of the points
        ways = [np.roll(h, 1, axis=0) if before else h for h in (_headings(a), _headings(b))]
        ways = [np.vstack([way, way[:1]]) for way in ways]
        cost += TURNED**2 * (1.0 - ways[0] @ ways[1].T)
    cost += away
    return cost


def _cheapest(cost: FloatArray) -> np.ndarray[tuple[int, int], np.dtype[np.int64]]:
    """The cheapest walk from the first to the last pair, one on by either or by both, (k, 2)."""
    m, n = cost.shape
    total = np.full((m + 1, n + 1), np.inf)
    total[0, 0] = 0.0
    for diagonal in range(m + n - 1):
        i = np.arange(max(0, diagonal - n + 1), min(m, diagonal + 1))
        j = diagonal - i
        least = np.minimum(np.minimum(total[i, j], total[i, j + 1]), total[i + 1, j])
        total[i + 1, j + 1] = least + cost[i, j]
    i, j = m, n
    steps = [(m - 1, n - 1)]
    while i > 1 or j > 1:
        before = [(i - 1, j - 1), (i - 1, j), (i, j - 1)]
        i, j = min(before, key=lambda place: total[place])
        steps.append((i - 1, j - 1))
    return np.array(steps[::-1])
