"""Small plane geometry on polylines: arrays of points (n, 2), mm."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from patterns.vectors import FloatArray

__all__ = ["conic", "crossings", "lengths", "meet", "mirrored", "normals_left", "parallel"]

SLACK = 1e-9  # mm


def lengths(points: FloatArray) -> FloatArray:
    """Length along the polyline to each point, shape (n,), mm."""
    steps = np.hypot(*np.diff(points, axis=0).T)
    return np.concatenate([[0.0], np.cumsum(steps)])


def mirrored(points: FloatArray) -> FloatArray:
    """The same points on the other side of the line x = 0."""
    other: FloatArray = points * np.array([-1.0, 1.0])
    return other


def crossings(first: FloatArray, second: FloatArray) -> list[tuple[float, float]]:
    """All places where two polylines cross, as broken indices (2.5 is half way from point 2 to point 3)."""
    i, j = np.nonzero(_boxes_meet(first, second))
    a, b = first[i], first[i + 1] - first[i]
    c, d = second[j], second[j + 1] - second[j]
    across = b[:, 0] * d[:, 1] - b[:, 1] * d[:, 0]
    safe = np.where(across == 0.0, 1.0, across)
    gap = c - a
    s = (gap[:, 0] * d[:, 1] - gap[:, 1] * d[:, 0]) / safe
    t = (gap[:, 0] * b[:, 1] - gap[:, 1] * b[:, 0]) / safe
    edge = 1e-12
    inside = (across != 0.0) & (s >= -edge) & (s <= 1 + edge) & (t >= -edge) & (t <= 1 + edge)
    return list(zip((i + s)[inside].tolist(), (j + t)[inside].tolist(), strict=True))


def _boxes_meet(first: FloatArray, second: FloatArray) -> NDArray[np.bool_]:
    """Which segments of two polylines, (n - 1, m - 1), may cross: the boxes around them meet."""
    (x0, y0), (x1, y1) = np.minimum(first[:-1], first[1:]).T, np.maximum(first[:-1], first[1:]).T
    low, high = np.minimum(second[:-1], second[1:]) - SLACK, np.maximum(second[:-1], second[1:]) + SLACK
    return np.asarray(
        (x0[:, None] <= high[:, 0])
        & (x1[:, None] >= low[:, 0])
        & (y0[:, None] <= high[:, 1])
        & (y1[:, None] >= low[:, 1])
    )


def meet(first: FloatArray, second: FloatArray, *, near: FloatArray) -> tuple[float, float] | None:
    """The crossing of two polylines nearest to a point, as broken indices; None where they do not cross."""
    found = crossings(first, second)
    if not found:
        return None

    def apart(place: tuple[float, float]) -> float:
        i = min(int(place[0]), len(first) - 2)
        point = first[i] + (place[0] - i) * (first[i + 1] - first[i])
        return float(np.hypot(*(point - near)))

    return min(found, key=apart)


def normals_left(points: FloatArray) -> FloatArray:
    """Unit normals to the left of the polyline's run, (n, 2), by the mean direction at inner points."""
    along = np.gradient(points, lengths(points), axis=0, edge_order=2 if len(points) > 2 else 1)
    left = np.stack([-along[:, 1], along[:, 0]], axis=-1)
    unit: FloatArray = left / np.linalg.norm(left, axis=-1, keepdims=True)
    return unit


def parallel(points: FloatArray, distance: float) -> FloatArray:
    """The line at a distance to the left of the polyline's run (negative: right), mm; repeated points are joined.

    Every segment keeps its distance; at a knuckle the two meet in a mitre.  Good where the distance is less than
    the radius of the bend, as a moulding is; past that the line crosses itself.
    """
    points = points[np.append(True, np.hypot(*np.diff(points, axis=0).T) > 1e-9)]
    step = np.diff(points, axis=0)
    left = np.stack([-step[:, 1], step[:, 0]], axis=-1) / np.hypot(*step.T)[:, None]
    before, after = np.vstack([left[:1], left]), np.vstack([left, left[-1:]])
    both = before + after
    mitre = both / np.maximum(1.0 + np.sum(before * after, axis=1), 0.2)[:, None]
    beside: FloatArray = points + distance * mitre
    return beside


def conic(start: FloatArray, control: FloatArray, end: FloatArray, *, weight: float = 1.0) -> FloatArray:
    """A conic from start to end, tangent there to the lines through the control point, as a fine polyline.

    It never leaves the triangle of the three points.  The greater the weight the closer it comes to the control
    point: below 1 an ellipse (the cosine of half the turn for a circle when both legs are equal), 1 a parabola.

    Source: the rational quadratic form of a conic, G. Farin, Curves and Surfaces for CAGD (from memory).
    """
    t = np.linspace(0.0, 1.0, 161)[:, None]
    a, b, c = (1.0 - t) ** 2, 2.0 * t * (1.0 - t) * weight, t**2
    curve: FloatArray = (a * start + b * control + c * end) / (a + b + c)
    return curve
