"""How two pieces of wood in the boat meet: how deep one lies in the other, and how far apart their faces are.

Each piece's surface is sampled and held against the other piece.  A sample faces the other piece where the
distance to it, gone along the sample's own normal, ends on its surface; only such samples tell of a joint.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from patterns.assembly.solids import Samples, Solid
from patterns.hull.planes import FloatArray

__all__ = ["MEETS", "OVERLAPS", "REACH", "STEP", "Meeting", "meetings"]

STEP = 5.0  # mm between the samples of a surface
OVERLAPS = 0.1  # mm; deeper than this two pieces want the same place
MEETS = 0.2  # mm; two faces no farther apart than this meet
REACH = 2.0  # mm; faces farther apart than this are no joint


@dataclass(frozen=True, slots=True, kw_only=True)
class Meeting:
    """Two pieces that touch or nearly touch.

    Attributes:
        first, second: their names.
        overlap: the deepest that one lies in the other, mm; 0 where they do not.
        overlap_at: where, (x, y, z), mm.
        touching: samples whose faces meet.
        open: samples that face each other across a gap wider than `MEETS` and within `REACH`.
        gap: the widest of those gaps, mm; 0 where there is none.
        gap_at: where, (x, y, z), mm.
    """

    first: str
    second: str
    overlap: float
    overlap_at: tuple[float, float, float]
    touching: int
    open: int
    gap: float
    gap_at: tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Held:
    """One piece's samples held against another piece."""

    points: FloatArray
    depth: FloatArray
    facing: np.ndarray[tuple[int], np.dtype[np.bool_]]


def _hold(samples: Samples, solid: Solid) -> _Held:
    depth = solid.depth(samples.points)
    gap = np.maximum(-depth, 0.0)
    near = np.nonzero(gap <= REACH)[0]
    facing = np.zeros(len(gap), dtype=bool)
    reached = samples.points[near] + gap[near, None] * samples.normals[near]
    # A touching sample must also look into the other piece, or its face only runs into the other's plane.
    ahead = solid.depth(reached + 2.0 * MEETS * samples.normals[near])
    facing[near] = (np.abs(solid.depth(reached)) <= 0.02 + 0.2 * gap[near]) & (ahead > MEETS)
    return _Held(points=samples.points, depth=depth, facing=facing)


def _place(points: FloatArray, index: int) -> tuple[float, float, float]:
    x, y, z = points[index]
    return float(x), float(y), float(z)


def _meeting(first: Solid, second: Solid, held: Sequence[_Held]) -> Meeting | None:
    points = np.vstack([side.points for side in held])
    depth = np.concatenate([side.depth for side in held])
    facing = np.concatenate([side.facing for side in held])
    if not len(depth):
        return None
    deepest = int(depth.argmax())
    open_ = facing & (depth < -MEETS)
    touching = facing & (depth >= -MEETS)
    if depth[deepest] <= 1e-6 and not facing.any():
        return None
    widest = int(np.where(open_, -depth, 0.0).argmax())
    gap = max(-float(depth[widest]), 0.0) if open_.any() else 0.0
    return Meeting(
        first=first.name,
        second=second.name,
        overlap=max(float(depth[deepest]), 0.0),
        overlap_at=_place(points, deepest),
        touching=int(touching.sum()),
        open=int(open_.sum()),
        gap=gap,
        gap_at=_place(points, widest),
    )


def meetings(solids: Sequence[Solid], *, step: float = STEP) -> Iterator[Meeting]:
    """Every two pieces that touch, overlap or stand within `REACH` of each other, face to face."""
    boxes = [solid.box() for solid in solids]
    samples: dict[int, Samples] = {}

    def sampled(i: int) -> Samples:
        if i not in samples:
            samples[i] = solids[i].surface(step)
        return samples[i]

    for i, j in combinations(range(len(solids)), 2):
        low = np.maximum(boxes[i][0], boxes[j][0]) - REACH
        high = np.minimum(boxes[i][1], boxes[j][1]) + REACH
        if np.any(low >= high):
            continue
        held = [
            _hold(sampled(i).near(low, high), solids[j]),
            _hold(sampled(j).near(low, high), solids[i]),
        ]
        found = _meeting(solids[i], solids[j], held)
        if found is not None:
            yield found
