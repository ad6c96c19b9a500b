"""Surfaces as many small triangles: cut by a level, and what is inside of them summed up.

A facet is an array (3, k): three corners, whose first three columns are x, y and z in mm; further columns are
carried along when a facet is cut. Seen from outside of the boat the corners run anticlockwise.
"""

from __future__ import annotations

import numpy as np

from patterns.hull.planes import FloatArray, cross

__all__ = ["areas", "below", "facets_of_grid", "moments", "volume_beside"]

TURNS = np.array([[0, 1, 2], [1, 2, 0], [2, 0, 1]])


def facets_of_grid(grid: FloatArray) -> FloatArray:
    """Two facets for every cell of a grid of points.

    Args:
        grid: shape (n, m, k); the first index runs aft, the second up and out.
    Returns:
        Shape (2 (n - 1) (m - 1), 3, k).
    """
    near, out = grid[:-1, :-1], grid[:-1, 1:]
    aft, both = grid[1:, :-1], grid[1:, 1:]
    cells = np.stack([near, out, aft, out, both, aft], axis=2)
    return cells.reshape(-1, 3, grid.shape[2])


def below(facets: FloatArray, over: FloatArray) -> tuple[FloatArray, FloatArray]:
    """What of the facets lies where ``over`` is 0 or less, and the edges along which they were cut.

    Args:
        facets: shape (n, 3, k).
        over: shape (n, 3), a function's values at the corners; between corners it is taken as straight.
    Returns:
        Facets (m, 3, k) with their sense kept, and edges (e, 2, k); an edge runs so that what is kept lies to its
        left, seen from outside.
    Source: clipping a convex area by a half plane (Sutherland and Hodgman 1974, from memory).
    """
    inside = over <= 0.0
    count = inside.sum(axis=1)
    kept, edges = [facets[count == 3]], []
    for corners in (1, 2):
        cut = count == corners
        if not cut.any():
            continue
        odd = inside[cut].argmax(axis=1) if corners == 1 else inside[cut].argmin(axis=1)
        turn = TURNS[odd]
        a, b, c = np.moveaxis(np.take_along_axis(facets[cut], turn[:, :, None], axis=1), 1, 0)
        h = np.take_along_axis(over[cut], turn, axis=1)
        to_b = a + (b - a) * (h[:, 0] / (h[:, 0] - h[:, 1]))[:, None]
        to_c = a + (c - a) * (h[:, 0] / (h[:, 0] - h[:, 2]))[:, None]
        if corners == 1:
            kept.append(np.stack([a, to_b, to_c], axis=1))
            edges.append(np.stack([to_b, to_c], axis=1))
        else:
            kept += [np.stack([to_b, b, c], axis=1), np.stack([to_b, c, to_c], axis=1)]
            edges.append(np.stack([to_c, to_b], axis=1))
    none = np.empty((0, 2, facets.shape[2]))
    return np.concatenate(kept), np.concatenate(edges) if edges else none


def areas(facets: FloatArray) -> FloatArray:
    """Each facet's area times its outward unit normal, shape (n, 3), mm2."""
    points = facets[:, :, :3]
    return 0.5 * cross(points[:, 1] - points[:, 0], points[:, 2] - points[:, 0])


def volume_beside(facets: FloatArray, axis: int, level: float = 0.0) -> float:
    """The volume between facets and a plane square to an axis (0, 1, 2: x, y, z), mm3.

    Source: the divergence theorem for the field that grows from 0 along that axis; exact for flat facets.
    """
    deep = facets[:, :, axis].mean(axis=1) - level
    return float((areas(facets)[:, axis] * deep).sum())


def moments(facets: FloatArray) -> FloatArray:
    """The integrals of x, y and z over the volume between facets and the centreline plane, (3,), mm4.

    Source: the divergence theorem for the fields x y, y^2 / 2 and z y along y; over a flat triangle the integral
    of a product of two straight functions is A / 12 (sum of products + product of sums).
    """
    points = facets[:, :, :3]
    y = points[:, :, 1:2]
    found = (points * y).sum(axis=1) + points.sum(axis=1) * y.sum(axis=1)
    found[:, 1] *= 0.5
    total: FloatArray = (areas(facets)[:, 1:2] * found).sum(axis=0) / 12.0
    return total
