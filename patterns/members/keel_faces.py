"""The faces of the keel that other pieces land on."""

from __future__ import annotations

import numpy as np

from patterns.errors import PatternsError
from patterns.hull.hull import Hull
from patterns.hull.planes import FloatArray, centre_plane

__all__ = ["keel_top"]


def keel_top(hull: Hull, moulded: float) -> FloatArray:
    """The keel's upper edge in the centreline plane, (n, 2) of x and z, from forward aft.

    It stands ``moulded`` mm, square to its run, above the line in which the insides of planking meet.
    """
    bottom = hull.strakes[0]
    trace = bottom.along(centre_plane(), inset=bottom.inset, r_range=(-3.0, 0.5))
    if trace is None:
        raise PatternsError("the bottom planking does not reach the centreline")
    order = np.argsort(trace.uv[:, 0])
    normal = trace.normal[order][:, [0, 2]]
    up = -normal / np.linalg.norm(normal, axis=1, keepdims=True)
    top: FloatArray = trace.uv[order] + moulded * up
    return top
