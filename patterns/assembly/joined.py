"""What holds the pieces of a frame together, and which piece nothing holds at all."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from patterns.assembly.slabs import NEAR, Slab
from patterns.assembly.touches import Touch, deepest_in
from patterns.timbers.run import Run
from patterns.wood.piece import Hand

__all__ = ["LooseFrame", "loose_frames", "unheld"]

FRAMES = ("frame", "futtock")
ACROSS = 0.7  # of a normal's way aft: pieces that lie across the boat
UPRIGHT = 1e-3  # of a normal's way out: the halves of a canted frame stand on the keel, each by itself

Node = tuple[str, int]
"""A piece and the side on which it is: 1 starboard, -1 port, 0 across the centreline."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LooseFrame:
    """Pieces of a frame that nothing joins to the rest of it.

    Attributes:
        frame: e.g. ``frame 5``.
        pieces: their names.
        nearest: the piece that ends nearest to them in the frame's own plane, and on its face; may be empty.
        gap: how far away it ends, mm.
    """

    frame: str
    pieces: tuple[str, ...]
    nearest: str
    gap: float


def loose_frames(slabs: Sequence[Slab], touches: Iterable[Touch]) -> Iterator[LooseFrame]:
    """Every frame whose pieces on both sides are not all joined, by wood that lies across the boat.

    Long timbers and planking join frames to each other, not the pieces of one frame.
    """
    across = [slab for slab in slabs if abs(slab.into[0]) > ACROSS]
    groups = _groups(across, touches)
    frames: dict[str, list[Slab]] = {}
    for slab in across:
        if slab.pattern.member in FRAMES and slab.pattern.part_of and abs(slab.into[1]) < UPRIGHT:
            frames.setdefault(slab.pattern.part_of, []).append(slab)
    for frame, own in frames.items():
        parts: dict[Node, list[Slab]] = {}
        for slab in own:
            parts.setdefault(groups[_node(slab)], []).append(slab)
        if len(parts) > 1:
            loose = next(part for part in parts.values() if any(not slab.port for slab in part))
            yield _loose(frame, loose, [slab for slab in across if slab not in loose])


def _loose(frame: str, loose: Sequence[Slab], others: Sequence[Slab]) -> LooseFrame:
    starboard = [slab for slab in loose if not slab.port]
    ends = [(gap, other.name) for slab in starboard for other in others for gap in _gap(slab, other)]
    gap, nearest = min(ends, default=(0.0, ""))
    return LooseFrame(
        frame=frame, pieces=tuple(dict.fromkeys(slab.name for slab in loose)), nearest=nearest, gap=gap
    )


def _gap(slab: Slab, other: Slab) -> Iterator[float]:
    """How far apart the outlines of two pieces are that lie side by side or face to face, mm; else nothing."""
    heights = (other.origin - slab.origin) @ slab.into, 0.0
    start, along = float(heights[0]), float(other.into @ slab.into)
    low, high = sorted((start, start + along * other.thick))
    if abs(along) < 1.0 - 1e-6 or low > slab.thick + NEAR or high < -NEAR:
        return
    flat = shapely.transform(other.possible, lambda uv: slab.own(other.space(uv, 0.0))[0])
    yield float(shapely.distance(slab.possible, flat))


def _node(slab: Slab) -> Node:
    paired = slab.pattern.hand is Hand.PAIR
    return slab.name, (-1 if slab.port else 1) if paired else 0


def _groups(slabs: Sequence[Slab], touches: Iterable[Touch]) -> dict[Node, Node]:
    """For each piece that lies across the boat one of those that it is joined to, the same for all of them."""
    head = {_node(slab): _node(slab) for slab in slabs}

    def first(node: Node) -> Node:
        while head[node] != node:
            node = head[node]
        return node

    for touch in touches:
        a, b = (_node(slab) for slab in touch.slabs)
        for one, other in ((a, b), ((a[0], -a[1]), (b[0], -b[1]))):  # the port side is joined in the same way
            if one in head and other in head:
                head[first(one)] = first(other)
    return {node: first(node) for node in head}


def unheld(slabs: Sequence[Slab], touches: Sequence[Touch], runs: Sequence[Run]) -> Iterator[str]:
    """The names of pieces that touch no other piece, no long timber, and neither planking nor deck."""
    held = {
        slab.name for touch in touches for slab in touch.slabs if touch.slabs[0].name != touch.slabs[1].name
    }
    alone: dict[str, list[Slab]] = {}
    for slab in slabs:
        if slab.name not in held and not slab.pattern.edges and not slab.port:
            alone.setdefault(slab.name, []).append(slab)
    for name, own in alone.items():
        rims = np.vstack([slab.rims for slab in own])
        if all(deepest_in(run, rims)[0] < -NEAR for run in runs):
            yield name
