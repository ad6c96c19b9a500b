"""How high the deck's underside stands at places seen from above, and over a piece that lies under it."""

from __future__ import annotations

import numpy as np

from patterns.hull.hull import Hull
from patterns.hull.planes import FloatArray, Plane
from patterns.hull.surfaces import moved

__all__ = ["deck_over", "underside_heights"]

ROUNDS = 6  # each gains two digits or more, since the deck is thin beside its curvature


def underside_heights(hull: Hull, places: FloatArray) -> FloatArray:
    """The height of the deck's underside, mm, shape (n,), at places (n, 2) of x and half-breadth.

    The deck is carried on past its edge and its ends.
    """
    x, y = places[:, 0], np.abs(places[:, 1])
    p, r = x.copy(), np.full_like(x, 0.5)
    points = np.zeros((len(x), 3))
    for _ in range(ROUNDS):
        points, _ = moved(hull.deck, p, r, hull.deck_inset)
        half = np.maximum(np.abs(hull.deck.shape(p, np.ones_like(r))[0][:, 1]), 1.0)
        p = p + (x - points[:, 0])
        r = r + (y - points[:, 1]) / half
    points, _ = moved(hull.deck, p, r, hull.deck_inset)
    height: FloatArray = points[:, 2]
    return height


def deck_over(hull: Hull, plane: Plane, uv: FloatArray) -> FloatArray:
    """How far the deck's underside stands plumb over places (n, 2) of a plane, mm, (n,); less than 0 below it."""
    points = plane.space(uv)
    gap: FloatArray = underside_heights(hull, points[:, :2]) - points[:, 2]
    return gap
