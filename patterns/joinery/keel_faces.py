"""The keel's top, on which other pieces land."""

from __future__ import annotations

import numpy as np

from patterns.boat import Boat
from patterns.errors import PatternsError
from patterns.hull.planes import FloatArray
from patterns.wood.ends import Aft
from patterns.wood.facts import Fact

__all__ = ["keel_top", "narrow_fact"]

HAIR = 0.05  # mm


def _top_corner(boat: Boat) -> FloatArray:
    """The starboard corner of the keel's top, (n, 3), from forward aft, carried on straight past its ends."""
    keel = next((run for run in boat.runs if run.kind == "keel"), None)
    if keel is None:
        raise PatternsError("the design has no keel for it to stand on; add one")
    corner: FloatArray = keel.rails[::-1, 2]
    return corner


def keel_top(boat: Boat) -> FloatArray:
    """The keel's upper edge in the profile, (n, 2) of x and z, from forward aft: its top is square across.

    Raises:
        PatternsError: there is no keel, or a timber cannot be laid.
    """
    return _top_corner(boat)[:, [0, 2]]


def narrow_fact(boat: Boat, face: FloatArray, sided: float) -> tuple[Fact, ...]:
    """A fact where the keel's top, planed to the planking, is narrower than a piece that lands on it.

    Args:
        face: the piece's landing on the keel, (n, 2) of x and z.
    """
    corner = _top_corner(boat)
    x = np.linspace(face[:, 0].min(), face[:, 0].max(), 60)
    breadth = 2.0 * np.interp(x, corner[:, 0], corner[:, 1])
    narrow = x[breadth < sided - HAIR]
    if len(narrow) == 0:
        return ()
    between = Aft(float(narrow[0])), Aft(float(narrow[-1]))
    return (Fact("keel-top-narrow", {"between": between, "breadth": float(breadth.min())}),)
