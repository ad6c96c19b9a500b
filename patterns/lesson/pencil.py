"""What a careful pupil can hit on a grid: a batten through crosses set with a pencil, how sure its readings are.

Lengths are mm of paper.  A pupil sets each cross, draws along the batten, and reads the line off again; each of the
three is done to within a pencil's error.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from patterns.hull.planes import FloatArray

__all__ = ["PENCIL", "BoolArray", "batten_bias", "least_radius", "reading_errors"]

BoolArray = NDArray[np.bool_]

PENCIL = 0.3  # mm, standard deviation of a place set or read by a careful hand (common practice, no source)
STRETCH = 10.0  # mm of a line over which its bend is averaged: a batten rounds off what is shorter


def _weights(x: FloatArray, held: BoolArray) -> FloatArray:
    """What a batten over all places (n,) makes of the crosses that hold it: (n, m), linear in their heights.

    It runs on past its last cross, so its end pieces are those of their neighbours ("not-a-knot").
    """
    unit = np.eye(int(held.sum()))
    weights: FloatArray = CubicSpline(x[held], unit)(x)
    return weights


def batten_bias(x: FloatArray, y: FloatArray, held: BoolArray, true: FloatArray) -> FloatArray:
    """How far a batten held by exact crosses is from the true line at each place, (n,), at least 0.

    The greater of two battens counts: bent by distance aft, and bent by the length along it as where it is steep.
    """
    flat = _weights(x, held) @ y[held]
    points = np.column_stack([x, y])[held]
    along = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1)))
    fine = CubicSpline(along, points)(np.linspace(0.0, along[-1], 2000))
    kept = np.append(True, np.diff(np.maximum.accumulate(fine[:, 0])) > 0.0)
    steep = np.interp(x, *fine[kept].T)
    bias: FloatArray = np.maximum(np.abs(flat - true), np.abs(steep - true))
    return bias


def reading_errors(x: FloatArray, held: BoolArray, slopes: FloatArray) -> FloatArray:
    """The standard deviation of a reading at each place, (n,): of the crosses, of the line drawn, of the reading.

    Args:
        held: which crosses hold the batten; it is clear of the others.
        slopes: of the line on paper; a line drawn a little beside its place is read off by more where it is steep.
    """
    crosses = (_weights(x, held) ** 2).sum(axis=1)
    errors: FloatArray = PENCIL * np.sqrt(crosses + (1.0 + slopes**2) + 1.0)
    return errors


def least_radius(points: FloatArray) -> tuple[float, FloatArray]:
    """The sharpest bend of a line (n, 2) over a stretch, mm, and its place (2,); inf for a straight one."""
    along = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1)))
    count = max(int(along[-1] / STRETCH), 2)
    even = np.linspace(0.0, along[-1], 8 * count + 1)
    dense = np.column_stack([np.interp(even, along, points[:, k]) for k in (0, 1)])
    way = np.unwrap(np.arctan2(*np.diff(dense, axis=0).T[::-1]))
    turned = np.abs(way[8:] - way[:-8]) / (even[8] - even[0])
    sharp = int(turned.argmax())
    radius = 1.0 / turned[sharp] if turned[sharp] > 1e-9 else np.inf
    return float(radius), dense[sharp + 4]
