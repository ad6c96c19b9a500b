"""How two pieces of wood in the boat touch: how deep one lies in the other, how far apart their faces are.

Each piece's surface is sampled and held against the other piece.  A sample faces the other piece where the
distance to it, gone along the sample's own normal, ends on its surface; only such samples tell of a joint.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from patterns.assembly.shell import Shell
from patterns.assembly.solids import Samples, Solid
from patterns.hull.planes import FloatArray

__all__ = ["MEETS", "OVERLAPS", "REACH", "STEP", "Contact", "contacts"]

Mask = np.ndarray[tuple[int], np.dtype[np.bool_]]

STEP = 5.0  # mm between the samples of a surface
OVERLAPS = 0.1  # mm; deeper than this two pieces want the same place
MEETS = 0.2  # mm; two faces no farther apart than this meet
NEAR = 0.02  # mm by which the way along a sample's normal may miss the other piece
# And of the gap: so far it misses where two faces open at 26 degrees, 1 - cos 26.  At more the one turns away from
# the other, as the edge of a limber hole does from the timber beside it, and makes no joint with it.
ASLANT = 0.1
REACH = 2.0  # mm; faces farther apart than this are no joint


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Contact:
    """Two pieces that touch or nearly touch.

    Attributes:
        solids: the two.
        overlap: the deepest that one lies in the other, mm; 0 where they do not.
        overlap_at: where, (x, y, z), mm.
        touching: samples whose faces meet.
        places: of these samples, (touching, 3), mm.
        open: samples that face each other across a gap wider than `MEETS` and within `REACH`.
        gap: the widest of those gaps, mm; 0 where there is none.
        gap_at: where, (x, y, z), mm.
    """

    solids: tuple[Solid, Solid]
    overlap: float
    overlap_at: tuple[float, float, float]
    touching: int
    places: FloatArray
    open: int
    gap: float
    gap_at: tuple[float, float, float]

    @property
    def first(self) -> str:
        """The name of the first, with its side where there are two."""
        return self.solids[0].name

    @property
    def second(self) -> str:
        """The name of the second in the same way."""
        return self.solids[1].name


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Held:
    """Some of one piece's samples held against another piece: which, where, how deep, and whether face to face."""

    which: np.ndarray[tuple[int], np.dtype[np.intp]]
    points: FloatArray
    depth: FloatArray
    facing: Mask

    @property
    def touching(self) -> Mask:
        """Which of them lie on the other piece."""
        return self.facing & (self.depth >= -MEETS)


def _hold(samples: Samples, low: FloatArray, high: FloatArray, solid: Solid) -> _Held:
    which = np.flatnonzero(np.all((samples.points >= low) & (samples.points <= high), axis=1))
    points, normals = samples.points[which], samples.normals[which]
    depth = solid.depth(points)
    face = solid.face if isinstance(solid, Shell) else solid
    gap = np.maximum(-depth, 0.0)
    near = np.nonzero(gap <= REACH)[0]
    facing = np.zeros(len(gap), dtype=bool)
    reached = points[near] + gap[near, None] * normals[near]
    # A touching sample must also look into the other piece, or its face only runs into the other's plane.
    ahead = face.depth(reached + 2.0 * MEETS * normals[near])
    facing[near] = (np.abs(face.depth(reached)) <= NEAR + ASLANT * gap[near]) & (ahead > MEETS)
    return _Held(which=which, points=points, depth=depth, facing=facing)


def _place(points: FloatArray, index: int) -> tuple[float, float, float]:
    x, y, z = points[index]
    return float(x), float(y), float(z)


def _contact(first: Solid, second: Solid, held: Sequence[_Held], lying: Sequence[Mask]) -> Contact | None:
    """What two pieces' samples tell; ``lying``: which samples of either lie on any piece at all."""
    points = np.vstack([side.points for side in held])
    depth = np.concatenate([side.depth for side in held])
    facing = np.concatenate([side.facing for side in held])
    # Near an inside corner a face looks at both of the pieces that meet there; it can lie on one of them only.
    elsewhere = np.concatenate([mask[side.which] for side, mask in zip(held, lying, strict=True)])
    open_ = facing & (depth < -MEETS) & ~elsewhere
    touching = np.concatenate([side.touching for side in held])
    deepest = int(depth.argmax())
    if depth[deepest] <= 1e-6 and not touching.any() and not open_.any():
        return None
    widest = int(np.where(open_, -depth, 0.0).argmax())
    return Contact(
        solids=(first, second),
        overlap=max(float(depth[deepest]), 0.0),
        overlap_at=_place(points, deepest),
        touching=int(touching.sum()),
        places=points[touching],
        open=int(open_.sum()),
        gap=-float(depth[widest]) if open_.any() else 0.0,
        gap_at=_place(points, widest),
    )


def _any(first: Solid, second: Solid) -> bool:
    return True


def contacts(
    solids: Sequence[Solid],
    *,
    step: float = STEP,
    worth: Callable[[Solid, Solid], bool] = _any,
    progress: Callable[[int, int], None] | None = None,
) -> Iterator[Contact]:
    """Every two pieces that touch, overlap or stand within `REACH` of each other, face to face.

    Args:
        step: between the samples of a surface, mm.
        worth: whether a pair is to be looked at.
        progress: called with the pieces done and the pieces in all.
    """
    boxes = [solid.box() for solid in solids]
    samples = [solid.surface(step) for solid in solids]
    lying = [np.zeros(len(known.points), dtype=bool) for known in samples]
    pairs: list[tuple[int, int, list[_Held]]] = []
    for i, j in combinations(range(len(solids)), 2):
        if progress is not None and j == i + 1:
            progress(i + 1, len(solids))
        low = np.maximum(boxes[i][0], boxes[j][0]) - REACH
        high = np.minimum(boxes[i][1], boxes[j][1]) + REACH
        if np.any(low >= high) or not worth(solids[i], solids[j]):
            continue
        held = [_hold(samples[i], low, high, solids[j]), _hold(samples[j], low, high, solids[i])]
        if not sum(len(side.which) for side in held):
            continue
        for k, side in zip((i, j), held, strict=True):
            lying[k][side.which[side.touching]] = True
        pairs.append((i, j, held))
    for i, j, held in pairs:
        found = _contact(solids[i], solids[j], held, (lying[i], lying[j]))
        if found is not None:
            yield found
