"""Where planes that run along a round bilge cut it: the stem's side, a level plane, one square to the rabbet."""

from __future__ import annotations

import numpy as np

from patterns.hull.cuts import Trace, cut_across
from patterns.hull.girth import Girth
from patterns.hull.planes import FloatArray, Plane
from patterns.hull.surfaces import moved

__all__ = ["along_girth", "cut_girths", "square_to_rabbet"]

ROUNDS = 6
LOOKED = 41  # places across at which a crossing is looked for
UPRIGHT = 0.7  # sine of the angle at which a plane is taken to lie beside the centreline
SWITCH = 0.3  # part of the girth up to which lines across, from which lines along meet such a plane
PAST = 80.0  # mm by which the surface may be run past its ends
BEFORE, BEHIND = 90.0, 320.0  # mm along the surface that are looked at beside a place of the rabbet


def cut_girths(
    girth: Girth, plane: Plane, *, inset: float, p: FloatArray, r_range: tuple[float, float]
) -> Trace | None:
    """Cut the lines across at ``p`` (n,) where they first meet a plane, going out from the keel.

    Args:
        inset: mm by which the surface is moved inward.
    Returns:
        The trace in the order of ``p``; None where fewer than two of them meet it.
    """
    r = np.linspace(*r_range, LOOKED)
    over = plane.height_over(moved(girth, p[:, None], r[None, :], inset)[0])
    crosses = (over[:, :-1] <= 0.0) != (over[:, 1:] <= 0.0)
    hit = crosses.any(axis=1)
    if hit.sum() < 2:
        return None
    row, cell = np.nonzero(hit)[0], crosses.argmax(axis=1)[hit]
    low, high = over[row, cell], over[row, cell + 1]
    step = r[1] - r[0]
    at = r[cell] + step * low / (low - high)
    for _ in range(ROUNDS):
        points, by_p, by_r = girth.shape(p[hit], at)
        points = points - inset * girth.outward(by_p, by_r)
        pace = by_r @ plane.normal
        off = plane.height_over(points) / np.where(np.abs(pace) > 1e-9, pace, 1e-9)
        at = np.clip(at - off, r[cell] - step, r[cell] + 2.0 * step)
    points, normals = moved(girth, p[hit], at, inset)
    return Trace(uv=plane.flat(points), normal=normals, r=at)


def along_girth(girth: Girth, plane: Plane, *, inset: float, r_range: tuple[float, float]) -> Trace | None:
    """The trace in which a plane that runs along the boat cuts the surface, from aft forward."""
    low, high = max(r_range[0], -0.1), min(r_range[1], 1.2)
    p = np.linspace(1.0, 0.0, 481)
    if abs(float(plane.normal[1])) < UPRIGHT:
        return cut_girths(girth, plane, inset=inset, p=p, r_range=(low, high))
    # Beside the centreline the plane follows the keel, where the lines along do not meet it, and then the stem,
    # where those across do not.
    r = np.linspace(SWITCH, high, 161)
    stem = cut_across(girth, plane, inset=inset, r=r, run_out=(PAST, 0.0))
    keel = cut_girths(girth, plane, inset=inset, p=p, r_range=(low, SWITCH))
    parts = [part for part in (keel, stem) if part is not None]
    if not parts:
        return None
    return Trace(
        uv=np.concatenate([part.uv for part in parts]),
        normal=np.concatenate([part.normal for part in parts]),
        r=np.concatenate([part.r for part in parts]),
    )


def square_to_rabbet(girth: Girth, plane: Plane, point: FloatArray, *, inset: float) -> Trace | None:
    """The trace near a point (3,) of the rabbet in the plane square to it."""
    p, r = (float(v[0]) for v in girth.nearest(point[None, :]))
    if abs(float(plane.normal[0])) > UPRIGHT:
        width = float(np.linalg.norm(girth.shape(np.array([p]), np.array([r]))[2]))
        across = np.linspace(max(r - BEFORE / width, -0.1), r + BEHIND / width, 121)
        return cut_across(girth, plane, inset=inset, r=across, run_out=(PAST, PAST))
    pace = float(np.linalg.norm(girth.shape(np.array([p]), np.array([r]))[1]))
    return cut_girths(
        girth, plane, inset=inset, p=p + np.linspace(-BEFORE, BEHIND, 165) / pace, r_range=(-0.1, 1.1)
    )
