"""A narrow plank laid flat along its own middle line, though no sheet lies so: rulings keep lengths and angles."""

from __future__ import annotations

import numpy as np

from patterns.vectors import FloatArray, cross

__all__ = ["along_middle", "strain_along"]

OVER = 300.0  # mm of an edge over which its strain is taken


def along_middle(low: FloatArray, high: FloatArray, outward: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Lay a plank flat along the line midway between its edges.

    That line keeps its length and turns on the flat as it turns within the plank (its geodesic curvature); each
    ruling crosses it at its own angle and keeps its length.  On a developable plank that is the exact shape; on
    any other the edges come out longer or shorter than in the boat.

    Args:
        low, high: shape (n, 3), the rulings' ends, mm.
        outward: shape (n, 3), unit normals on the middle line, away from who looks at it.
    Returns:
        Both edges on the flat, (n, 2) each; aft to the right, up to the top.  The middle line starts at the origin,
        to the right.
    """
    middle = 0.5 * (low + high)
    step = np.diff(middle, axis=0)
    long = np.linalg.norm(step, axis=1)
    # At each place the way to it and the way from it, laid into the plank there.
    before, after = np.vstack([step[:1], step]), np.vstack([step, step[-1:]])
    before, after = (way - np.sum(way * outward, axis=1)[:, None] * outward for way in (before, after))
    turn = np.arctan2(-np.sum(cross(before, after) * outward, axis=1), np.sum(before * after, axis=1))
    heading = np.concatenate([[0.0], np.cumsum(turn[1:-1])])
    at = np.zeros((len(middle), 2))
    at[1:, 0] = np.cumsum(long * np.cos(heading))
    at[1:, 1] = np.cumsum(long * np.sin(heading))
    # A ruling is set off from the mean of the two ways.
    mean = before / _size(before) + after / _size(after)
    mean = mean / _size(mean)
    up = cross(mean, outward)
    ways = np.concatenate([heading[:1], 0.5 * (heading[:-1] + heading[1:]), heading[-1:]])
    half = 0.5 * (high - low)
    length = np.linalg.norm(half, axis=1)
    angle = np.arctan2(np.sum(half * up, axis=1), np.sum(half * mean, axis=1)) + ways
    off = length[:, None] * np.stack([np.cos(angle), np.sin(angle)], axis=-1)
    return at - off, at + off


def _size(vectors: FloatArray) -> FloatArray:
    return np.asarray(np.maximum(np.linalg.norm(vectors, axis=1, keepdims=True), 1e-12))


def strain_along(bent: FloatArray, flat: FloatArray) -> float:
    """By how much an edge is longer on the flat than in the boat, at its worst over a short run: a part of 1.

    Args:
        bent: shape (n, 3), places along it in the boat, mm; ``flat``: shape (n, 2), the same on the flat.
    """
    in_boat, laid = (
        np.append(0.0, np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))) for points in (bent, flat)
    )
    over = min(OVER, float(in_boat[-1]))
    if over < 1.0:
        return 0.0
    start = in_boat[in_boat <= in_boat[-1] - over]
    strain = (np.interp(start + over, in_boat, laid) - np.interp(start, in_boat, laid)) / over - 1.0
    return float(strain[np.abs(strain).argmax()])
