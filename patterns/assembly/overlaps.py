"""Which pieces want the same place, found from their outlines: cheap enough for every check."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from patterns.assembly.plate import Plate
from patterns.assembly.slabs import NEAR, Slab, overlap
from patterns.hull.planes import FloatArray, Plane
from patterns.timbers.run import Run
from patterns.wood.body import Body

__all__ = ["Overlap", "overlaps"]

SURE = 4.0  # mm; what is so deep needs no second look
EACH = 4  # of a run's places one is looked at


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Overlap:
    """Two pieces that want the same place; of a piece and its own mirror both names are the same.

    Attributes:
        first, second: their names.
        depth: how deep one lies in the other for certain, mm.
        at: where, (x, y, z), mm.
    """

    first: str
    second: str
    depth: float
    at: FloatArray


def overlaps(slabs: Sequence[Slab], runs: Sequence[Run]) -> Iterator[Overlap]:
    """Every two bodies of different pieces, or of the two sides, that lie in each other by more than `NEAR`.

    Of what is on the port side only what crosses to starboard is looked at.
    """
    for a, b in _pairs(slabs):
        depth, at = overlap(a, b)
        if depth > NEAR and (depth > SURE or _true_depth(a, b, at) > NEAR):
            yield Overlap(first=a.name, second=b.name, depth=depth, at=at)
    yield from _in_runs([slab for slab in slabs if not slab.port], runs)
    for first, second in combinations(runs, 2):
        found = max((_run_in(first, second), _run_in(second, first)), key=lambda deepest: deepest[0])
        if found[0] > NEAR:
            yield Overlap(first=first.name, second=second.name, depth=found[0], at=found[1])


def _true_depth(a: Slab, b: Slab, at: FloatArray) -> float:
    """How deep a place on the rim of one of two lies in the other, its edges straight from face to face, mm.

    What is wood on both faces need not be wood between them, at an inside corner whose edges lean both ways.
    """
    return max(float(_plate(slab).depth(at[None])[0]) for slab in (a, b))


def _plate(slab: Slab) -> Plate:
    plane = Plane(origin=slab.origin, u=slab.u, v=slab.v)
    depth = slab.thick * float(np.sign(plane.normal @ slab.into))
    return Plate(
        piece=slab.name,
        body=Body(plane=plane, depth=depth, moulded=slab.sawn.moulded, other=slab.sawn.other),
    )


def _pairs(slabs: Sequence[Slab]) -> Iterator[tuple[Slab, Slab]]:
    """The pairs of bodies whose boxes share wood."""
    if not slabs:
        return
    low, high = (np.array([slab.box[side] for slab in slabs]) for side in (0, 1))
    port = np.array([slab.port for slab in slabs])
    meet = np.all(np.maximum(low[:, None], low) + NEAR < np.minimum(high[:, None], high), axis=-1)
    for i, j in zip(*np.nonzero(np.triu(meet & ~(port[:, None] & port), k=1)), strict=True):
        a, b = slabs[i], slabs[j]
        if a.name != b.name or a.port != b.port:
            yield a, b


def _in_runs(slabs: Sequence[Slab], runs: Sequence[Run]) -> Iterator[Overlap]:
    """Long timbers in flat pieces that are not cut for them; of a piece's bodies the deepest place."""
    if not slabs:
        return
    names = list(dict.fromkeys(slab.name for slab in slabs))
    points = np.vstack([slab.face_rims for slab in slabs])
    owner = np.repeat([names.index(slab.name) for slab in slabs], [len(slab.face_rims) for slab in slabs])
    for run in runs:
        here, depth = _depths(run, points)
        inside = depth > NEAR
        here, depth = here[inside], depth[inside]
        order = np.lexsort((-depth, owner[here]))
        whose, first = np.unique(owner[here][order], return_index=True)
        for piece, k in zip(whose, order[first], strict=True):
            yield Overlap(first=names[piece], second=run.name, depth=float(depth[k]), at=points[here[k]])


def _run_in(one: Run, other: Run) -> tuple[float, FloatArray]:
    """How deep the edges of one timber lie in another, mm, and where, (3,)."""
    corners = one.corners[::EACH]
    points = np.concatenate([corners, 0.5 * (corners + np.roll(corners, 1, axis=1))], axis=1).reshape(-1, 3)
    here, depth = _depths(other, points)
    if not len(here):
        return 0.0, np.zeros(3)
    most = int(depth.argmax())
    return float(depth[most]), points[here[most]]


def _depths(run: Run, points: FloatArray) -> tuple[np.ndarray[tuple[int], np.dtype[np.intp]], FloatArray]:
    """Which of points (n, 3) lie near a timber, and how deep in it, mm."""
    low, high = run.box()
    here = np.flatnonzero(np.all((points > low) & (points < high), axis=1))
    middle = run.middle[np.argsort(run.middle[:, 0])]
    if np.all(np.diff(run.middle[:, 0]) < 0.0) or np.all(np.diff(run.middle[:, 0]) > 0.0):
        # Most points of a long timber's box are far from it: those are left out by the place at the same x.
        there = [np.interp(points[here, 0], middle[:, 0], middle[:, i]) for i in (1, 2)]
        off = points[here, 1:] - np.stack(there, axis=-1)
        here = here[np.hypot(*off.T) <= 3.0 * (run.across + run.deep)]
    return here, run.depth(points[here]) if len(here) else np.zeros(0)
