"""Which of the contacts that are meant are there, and what of a frame they leave loose."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely

from patterns.assembly.slabs import NEAR, Slab
from patterns.hull.planes import FloatArray
from patterns.timbers.run import Run, mirror_of
from patterns.wood.meeting import Mate, Meeting, OneOf
from patterns.wood.piece import Hand

__all__ = ["LooseFrame", "loose_frames", "meetings_there"]

REACH = 2.5  # mm; a seat on a curved or a rounded piece need not lie wholly on its flat faces
FEW = 8  # of the places on a seat one is looked at to begin with
BETWEEN = np.linspace(0.0, 1.0, 10)[1:-1]
FRAMES = ("frame", "futtock")
ACROSS = 0.7  # of a normal's way aft: pieces that lie across the boat
UPRIGHT = 1e-3  # of a normal's way out: the halves of a canted frame stand on the keel, each by itself

Mask = np.ndarray[tuple[int], np.dtype[np.bool_]]
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


def meetings_there(
    meetings: Iterable[Meeting], slabs: Sequence[Slab], runs: Sequence[Run]
) -> tuple[Meeting, ...]:
    """Those of the contacts that are meant at whose seats both pieces have wood.

    A contact without a seat counts as there, one with what is not given here, and one that is meant to leave a gap;
    and so does one with planking or deck: the piece is cut by it.
    """
    solid = _wood(slabs, runs)
    there = [meeting for meeting in meetings if not isinstance(meeting.on, OneOf)]
    left = [n for n, meeting in enumerate(there) if _measured(meeting, solid)]
    for places in (_some_places, _seat_points, _places_between):
        found = _touching(there, {n: places(there[n]) for n in left}, solid)
        left = [n for n in left if n not in found]
    return tuple(meeting for n, meeting in enumerate(there) if n not in left)


def _measured(meeting: Meeting, solid: Mapping[Mate, Sequence[Slab | Run]]) -> bool:
    """Whether two pieces are to touch, and both are given."""
    known = all(mate in solid for mate in meeting.pair)
    return known and meeting.slack is None and len(meeting.seats) > 0 and len(meeting.pair) > 1


def _seat_points(meeting: Meeting) -> FloatArray:
    """Places on its seats, (n, 3)."""
    return np.vstack([seat.points() for seat in meeting.seats])


def _some_places(meeting: Meeting) -> FloatArray:
    return _seat_points(meeting)[::FEW]


def _places_between(meeting: Meeting) -> FloatArray:
    """Places on the edge between the lines that two seats have on two faces, (n, 3)."""
    found = [np.zeros((0, 3))]
    for one, other in combinations(meeting.seats, 2):
        if shapely.area(one.shape) > 0.0 or shapely.area(other.shape) > 0.0:
            continue
        start, foot = one.points(), other.points()
        away = np.linalg.norm(start[:, None] - foot, axis=-1)
        foot = foot[away.argmin(axis=1)]
        found += [start + part * (foot - start) for part in BETWEEN]
    return np.vstack(found)


def _touching(
    meetings: Sequence[Meeting],
    seats: Mapping[int, FloatArray],
    solid: Mapping[Mate, Sequence[Slab | Run]],
) -> set[int]:
    """The numbers of the meetings at which both pieces are near one of some places on their seats."""
    there = {n: np.ones(len(points), dtype=bool) for n, points in seats.items()}
    for mate, wood in solid.items():
        numbers = [n for n in seats if mate in meetings[n].pair]
        if numbers:
            ends = np.cumsum([len(seats[n]) for n in numbers])
            near = _near(wood, np.vstack([seats[n] for n in numbers]))
            for n, part in zip(numbers, np.split(near, ends[:-1]), strict=True):
                there[n] &= part
    return {n for n, near in there.items() if near.any()}


def _wood(slabs: Sequence[Slab], runs: Sequence[Run]) -> Mapping[Mate, Sequence[Slab | Run]]:
    """The wood of each piece on the starboard side or across the centreline."""
    found: dict[Mate, list[Slab | Run]] = {}
    for slab in slabs:
        if not slab.port:
            found.setdefault(slab.name, []).append(slab)
    for run in runs:
        found.setdefault(run.name, []).append(run)
    return found


def _near(wood: Sequence[Slab | Run], points: FloatArray) -> Mask:
    """Which of points (n, 3) are near a piece, or near its mirror: a seat is given for one side alone."""
    found = np.zeros(len(points), dtype=bool)
    for each in wood:
        for side in (points, mirror_of(points)):
            left = ~found
            if left.any():
                part = side[left]
                found[left] = each.near(part, REACH) if isinstance(each, Slab) else each.depth(part) > -REACH
    return found


def loose_frames(slabs: Sequence[Slab], there: Iterable[Meeting]) -> Iterator[LooseFrame]:
    """Every frame whose pieces on both sides are not all joined, by wood that lies across the boat.

    Long timbers and planking join frames to each other, not the pieces of one frame.

    Args:
        there: the meetings at which pieces touch.
    """
    across = [slab for slab in slabs if abs(slab.into[0]) > ACROSS]
    groups = _groups(across, there)
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
    for face in other.sawn.faces:
        flat = shapely.transform(face, lambda uv: slab.own(other.space(uv, 0.0))[0])
        for own in slab.sawn.faces:
            yield float(shapely.distance(own, flat))


def _node(slab: Slab) -> Node:
    paired = slab.pattern.hand is Hand.PAIR
    return slab.name, (-1 if slab.port else 1) if paired else 0


def _groups(slabs: Sequence[Slab], there: Iterable[Meeting]) -> dict[Node, Node]:
    """For each piece that lies across the boat one of those that it is joined to, the same for all of them."""
    head = {_node(slab): _node(slab) for slab in slabs}

    def first(node: Node) -> Node:
        while head[node] != node:
            node = head[node]
        return node

    sides: dict[Mate, list[Node]] = {}
    for node in head:
        sides.setdefault(node[0], []).append(node)
    for meeting in there:
        for one in sides.get(meeting.lands, ()):
            for other in sides.get(meeting.on, ()):
                # Each joins the piece on its own side; a piece on itself its mirror.
                if one[1] * other[1] != -1 or meeting.lands == meeting.on:
                    head[first(one)] = first(other)
    return {node: first(node) for node in head}
