"""The inner face of the clamps, where beams and knees land."""

from __future__ import annotations

import numpy as np

from patterns.boat import Boat
from patterns.errors import PatternsError
from patterns.hull.cuts import Trace
from patterns.hull.planes import FloatArray, Plane, cross
from patterns.timbers.run import Run

__all__ = ["clamp_line", "clamp_of", "clamp_rails", "clamp_trace", "needed_clamp"]


def clamp_of(boat: Boat) -> Run | None:
    """The clamp that stands farthest inboard, if the boat has one.

    Raises:
        PatternsError: the timbers cannot be laid.
    """
    clamps = [run for run in boat.runs if run.kind == "clamp"]
    return min(clamps, key=lambda run: float(run.rails[len(run.rails) // 2, 2, 1]), default=None)


def needed_clamp(boat: Boat, *, within: float = 0.0) -> Run:
    """The clamp on which ends land, as far within it as is asked for, mm.

    Raises:
        PatternsError: there is no clamp, or it is not so thick.
    """
    clamp = clamp_of(boat)
    if clamp is None:
        raise PatternsError('the design has no clamp for its ends to land on; write ends = "to the planking"')
    if within >= clamp.deep:
        raise PatternsError(
            f"its ends are {within:g} mm deep in a clamp of {clamp.deep:g} mm; make end_depth less"
        )
    return clamp


def clamp_rails(boat: Boat, *, within: float = 0.0) -> FloatArray:
    """The clamp's inner face as its lower and its upper edge through the boat, (m, 2, 3), from aft forward.

    Args:
        within: mm by which the face lies within the clamp, square to it.
    Raises:
        PatternsError: there is no clamp, or it is not so thick.
    """
    clamp = needed_clamp(boat, within=within)
    back, inner = clamp.rails[:, [1, 0]], clamp.rails[:, [2, 3]]
    face: FloatArray = inner + within / clamp.deep * (back - inner)
    return face


def clamp_line(boat: Boat, plane: Plane, *, within: float = 0.0) -> FloatArray:
    """The clamp's inner face cut by a plane athwartships: its free edge and its edge at the deck, (2, 2).

    Raises:
        PatternsError: there is no clamp, it is not so thick, or it does not run past the plane.
    """
    rails = clamp_rails(boat, within=within)
    over = plane.height_over(rails)
    crossing = (over[:-1] <= 0.0) != (over[1:] <= 0.0)
    if not crossing.any(axis=0).all():
        raise PatternsError("the clamp does not run past it")
    i, column = crossing.argmax(axis=0), np.arange(2)
    part = (over[i, column] / (over[i, column] - over[i + 1, column]))[:, None]
    line: FloatArray = plane.flat((1.0 - part) * rails[i, column] + part * rails[i + 1, column])
    return line


def clamp_trace(boat: Boat, plane: Plane) -> Trace:
    """The clamp's inner face cut by a plane that runs along it, from aft forward; carried on over its edges.

    Raises:
        PatternsError: there is no clamp.
    """
    rails = clamp_rails(boat)
    low, high = rails[:, 0], rails[:, 1]
    over = plane.height_over(low), plane.height_over(high)
    part = (over[0] / (over[0] - over[1]))[:, None]
    points = low + part * (high - low)
    out = cross(high - low, np.gradient(points, axis=0))
    out = out / np.linalg.norm(out, axis=1, keepdims=True)
    out = np.where(out[:, 1:2] < 0.0, -out, out)
    return Trace(uv=plane.flat(points), normal=out, r=part[:, 0])
