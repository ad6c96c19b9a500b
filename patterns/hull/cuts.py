"""Where a plane cuts a surface: the trace, with the surface's normal at every point."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from patterns.hull.planes import FloatArray, Plane
from patterns.hull.surfaces import Surface, moved

__all__ = ["Trace", "cut_across", "cut_along", "joined", "run_past"]

ROUNDS = 7  # Newton's steps; each gains two digits or more, since the planking is thin beside the curvature
CLOSE = 1e-7  # mm; as near to the plane as is asked for
FEW = 7  # places across at which a crossing is looked for first
COARSE = 73  # places along the surface at which a crossing is looked for


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Trace:
    """The line in which a plane cuts one (moved) surface.

    Attributes:
        uv: shape (n, 2), mm, in the plane's own coordinates.
        normal: shape (n, 3), the surface's outward unit normals.
        r: shape (n,), where across the strake each point lies (0 lower edge, 1 upper edge).
    """

    uv: FloatArray
    normal: FloatArray
    r: FloatArray

    def __len__(self) -> int:
        return len(self.uv)

    def bevel(self, siding: FloatArray) -> FloatArray:
        """The angle through the wood at each point, radians, shape (n,).

        Args:
            siding: unit vector in which the wood runs from the moulded face, (3,), or one for each point, (n, 3).
        Source: the edge is the surface; the angle between the face and the edge, read square to the edge, is
            the angle between the siding's direction and the outward normal.
        """
        angle: FloatArray = np.arccos(np.clip(np.sum(self.normal * siding, axis=-1), -1.0, 1.0))
        return angle

    def place(self, along: float) -> tuple[FloatArray, FloatArray]:
        """The point (2,) and the unit normal (3,) at a broken index, e.g. 3.25 (a quarter past point 3)."""
        i = int(np.clip(np.floor(along), 0, len(self) - 2))
        part = along - i
        normal = self.normal[i] + part * (self.normal[i + 1] - self.normal[i])
        return self.uv[i] + part * (self.uv[i + 1] - self.uv[i]), normal / np.linalg.norm(normal)

    def between(self, first: float, last: float) -> Trace:
        """The part between two broken indices; both end points are made."""
        inner = np.arange(max(int(np.floor(first)) + 1, 0), min(int(np.ceil(last)), len(self)))
        ends = [self.place(first), self.place(last)]
        r = np.interp([first, last], np.arange(len(self)), self.r)
        return Trace(
            uv=np.vstack([ends[0][0], self.uv[inner], ends[1][0]]),
            normal=np.vstack([ends[0][1], self.normal[inner], ends[1][1]]),
            r=np.concatenate([r[:1], self.r[inner], r[1:]]),
        )


def run_past(surface: Surface, millimetres: tuple[float, float]) -> tuple[float, float]:
    """The range of p, run past the fore and the after end by so many mm."""
    ends = np.array([surface.start, surface.end])
    _, by_p, _ = surface.shape(ends, np.array([0.5, 0.5]))
    pace = np.maximum(np.linalg.norm(by_p, axis=-1), 1e-6)
    more = np.minimum(np.array(millimetres) / pace, 0.5 * (surface.end - surface.start))
    return surface.start - float(more[0]), surface.end + float(more[1])


def _crosses(
    surface: Surface, plane: Plane, grid: FloatArray, r: FloatArray, inset: float
) -> tuple[NDArray[np.bool_], FloatArray]:
    """Between which places along (n - 1, m) the surface crosses the plane; its heights over it (n, m)."""
    points, _ = moved(surface, grid[:, None], r[None, :], inset)
    over = plane.height_over(points)
    return (over[:-1] <= 0.0) != (over[1:] <= 0.0), over


def _inside(
    surface: Surface, p: FloatArray, r: FloatArray, inset: float
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Points of the moved surface, its normals, and the derivatives by p and r of the surface it was moved from."""
    points, by_p, by_r = surface.shape(p, r)
    normals = surface.outward(by_p, by_r)
    return points - inset * normals, normals, by_p, by_r


def cut_across(
    surface: Surface,
    plane: Plane,
    *,
    inset: float,
    r: FloatArray,
    run_out: tuple[float, float] = (0.0, 0.0),
) -> Trace | None:
    """Cut a surface by a plane that crosses it from edge to edge (frames, transom).

    Args:
        inset: mm; the surface is first moved inward along its normal.
        r: shape (m,), the places across at which a point is wanted.
        run_out: mm by which the surface may be run past its fore and its after end.
    Returns:
        The trace in the order of ``r``, without the places that the plane misses; None if it misses all.
    """
    first, last = run_past(surface, run_out)
    # A look at a few places across tells which stretch of the surface the plane crosses; the rest is not looked at.
    few = r[np.unique(np.linspace(0, len(r) - 1, FEW).astype(int))]
    grid = np.linspace(first, last, COARSE)
    met = np.nonzero(_crosses(surface, plane, grid, few, inset)[0].any(axis=1))[0]
    if len(met) == 0:
        return None
    step = grid[1] - grid[0]
    low_p, high_p = max(grid[met[0]] - step, first), min(grid[met[-1] + 1] + step, last)
    grid = np.linspace(low_p, high_p, max(int((high_p - low_p) / step) + 1, 4))
    crosses, over = _crosses(surface, plane, grid, r, inset)
    hit = crosses.any(axis=0)
    if not hit.any():
        return None
    cell, column = crosses.argmax(axis=0)[hit], np.nonzero(hit)[0]
    low, high = over[cell, column], over[cell + 1, column]
    p = grid[cell] + (grid[1] - grid[0]) * low / (low - high)
    reach = (grid[cell] - (grid[1] - grid[0]), grid[cell + 1] + (grid[1] - grid[0]))
    points, normals, by_p, _ = _inside(surface, p, r[hit], inset)
    for _ in range(ROUNDS):
        over = plane.height_over(points)
        if np.abs(over).max() < CLOSE:
            break
        pace = np.sum(by_p * plane.facing(points), axis=-1)
        p = np.clip(p - over / np.where(np.abs(pace) > 1e-9, pace, 1e-9), *reach)
        points, normals, by_p, _ = _inside(surface, p, r[hit], inset)
    return Trace(uv=plane.flat(points), normal=normals, r=r[hit])


def cut_along(
    surface: Surface, plane: Plane, *, inset: float, p: FloatArray, r_range: tuple[float, float]
) -> Trace | None:
    """Cut a surface by a plane that runs along it (the stem's side, the breasthook's face).

    Args:
        inset: mm; as in `cut_across`.
        p: shape (n,), the places along at which a point is wanted.
        r_range: points outside of this range across the surface are left out.
    Returns:
        The trace in the order of ``p``; None if the plane misses the surface.
    """
    r = np.full_like(p, 0.5)
    r_before, over_before = r, np.zeros_like(p)
    points, normals, _, by_r = _inside(surface, p, r, inset)
    for _ in range(ROUNDS):
        over = plane.height_over(points)
        if np.abs(over).max() < CLOSE:
            break
        slope = by_r @ plane.normal
        # Where rulings run all but along the plane, the turning of the normal tells too: a secant has both.
        step = r - r_before
        moved_on = np.abs(step) > 1e-6
        slope = np.where(moved_on, (over - over_before) / np.where(moved_on, step, 1.0), slope)
        slope = np.where(np.abs(slope) > 1e-9, slope, 1e-9)
        r_before, over_before = r, over
        r = np.clip(r - over / slope, -3.0, 4.0)
        points, normals, _, by_r = _inside(surface, p, r, inset)
    good = (r >= r_range[0]) & (r <= r_range[1]) & (np.abs(plane.height_over(points)) < 1e-4)
    if good.sum() < 2:
        return None
    return Trace(uv=plane.flat(points[good]), normal=normals[good], r=r[good])


def joined(traces: Sequence[Trace]) -> Trace | None:
    """Traces of neighbouring pieces of one strake as one, in the order of ``r``."""
    if not traces:
        return None
    r = np.concatenate([trace.r for trace in traces])
    _, order = np.unique(r, return_index=True)  # the earlier piece wins where two give the same place
    return Trace(
        uv=np.concatenate([trace.uv for trace in traces])[order],
        normal=np.concatenate([trace.normal for trace in traces])[order],
        r=r[order],
    )
