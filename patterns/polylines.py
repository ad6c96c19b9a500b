"""Small plane geometry on polylines: arrays of points (n, 2), mm."""

from __future__ import annotations

import numpy as np

from patterns.planes import FloatArray

__all__ = ["arc_through", "at_length", "crossings", "lengths", "meet", "mirrored", "normals_left", "parallel"]


def lengths(points: FloatArray) -> FloatArray:
    """Length along the polyline to each point, shape (n,), mm."""
    steps = np.hypot(*np.diff(points, axis=0).T)
    return np.concatenate([[0.0], np.cumsum(steps)])


def at_length(points: FloatArray, along: float) -> FloatArray:
    """The point (2,) at a length along the polyline."""
    run = lengths(points)
    return np.array([np.interp(along, run, points[:, 0]), np.interp(along, run, points[:, 1])])


def mirrored(points: FloatArray) -> FloatArray:
    """The same points on the other side of the line x = 0."""
    other: FloatArray = points * np.array([-1.0, 1.0])
    return other


def crossings(first: FloatArray, second: FloatArray) -> list[tuple[float, float]]:
    """All places where two polylines cross, as broken indices (2.5 is half way from point 2 to point 3)."""
    a, b = first[:-1, None, :], np.diff(first, axis=0)[:, None, :]
    c, d = second[None, :-1, :], np.diff(second, axis=0)[None, :, :]
    across = b[..., 0] * d[..., 1] - b[..., 1] * d[..., 0]
    safe = np.where(across == 0.0, 1.0, across)
    gap = c - a
    s = (gap[..., 0] * d[..., 1] - gap[..., 1] * d[..., 0]) / safe
    t = (gap[..., 0] * b[..., 1] - gap[..., 1] * b[..., 0]) / safe
    edge = 1e-12
    inside = (across != 0.0) & (s >= -edge) & (s <= 1 + edge) & (t >= -edge) & (t <= 1 + edge)
    return [(float(i + s[i, j]), float(j + t[i, j])) for i, j in zip(*np.nonzero(inside), strict=True)]


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
    """The line at a distance to the left of the polyline's run (negative: right), mm, shape (n, 2).

    Every segment keeps its distance; at a knuckle the two meet in a mitre.  Good where the distance is less than
    the radius of the bend, as a moulding is; past that the line crosses itself.
    """
    step = np.diff(points, axis=0)
    left = np.stack([-step[:, 1], step[:, 0]], axis=-1) / np.hypot(*step.T)[:, None]
    before, after = np.vstack([left[:1], left]), np.vstack([left, left[-1:]])
    both = before + after
    mitre = both / np.maximum(1.0 + np.sum(before * after, axis=1), 0.2)[:, None]
    beside: FloatArray = points + distance * mitre
    return beside


def arc_through(
    start: FloatArray, middle: FloatArray, end: FloatArray, *, chord: float = 0.005
) -> FloatArray:
    """The arc of a circle through three points, as a polyline within ``chord`` mm of it.

    Three points in line give the straight line.

    Source: circumcentre by the perpendicular bisectors; sagitta s = r - sqrt(r^2 - (c/2)^2) gives the steps.
    """
    a, b = middle - start, end - start
    twice_area = 2.0 * (a[0] * b[1] - a[1] * b[0])
    if abs(twice_area) < 1e-9 * float(b @ b):
        return np.array([start, middle, end])
    centre = start + np.array([b[1] * (a @ a) - a[1] * (b @ b), a[0] * (b @ b) - b[0] * (a @ a)]) / twice_area
    radius = float(np.hypot(*(start - centre)))
    angle = [float(np.arctan2(*(point - centre)[::-1])) for point in (start, middle, end)]
    turn = 2.0 * np.pi
    sweep = (angle[2] - angle[0]) % turn if twice_area > 0.0 else -((angle[0] - angle[2]) % turn)
    step = 2.0 * np.arccos(max(1.0 - chord / radius, -1.0))
    count = max(2, int(np.ceil(abs(sweep) / step)) + 1)
    angles = angle[0] + np.linspace(0.0, sweep, count)
    arc: FloatArray = centre + radius * np.stack([np.cos(angles), np.sin(angles)], axis=-1)
    return arc
