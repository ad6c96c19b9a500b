"""Which reading to take: the one on which rival explanations differ most, foreseen under each of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.repair.measuring.equations import Frames
from patterns.repair.measuring.faults import Suspicion
from patterns.repair.measuring.judge import Named
from patterns.repair.measuring.spots import (
    CENTRELINE,
    ReferenceKey,
    Spot,
    placed_spot,
    predicted,
)
from patterns.repair.measuring.weigh import remedied
from patterns.repair.points import Method

__all__ = ["AskedReading", "other_ways", "reading_to_ask"]


TOLD = 3.0  # mm; readings that are foreseen nearer to each other tell nothing apart


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedReading:
    """A reading that would tell rivals apart.

    Attributes:
        point: the spot to be measured, by its index; None where a reference's own place is asked for.
        source: what to measure it from, empty for centreline and base; or the reference itself.
        which: which of the readings from there: distances; along and off; half-breadth and height.
        foreseen: what would be read if each explanation were true, the likeliest first, mm.
    """

    point: int | None
    source: ReferenceKey
    which: int
    foreseen: tuple[float, ...]

    @property
    def apart(self) -> float:
        """By how much the likeliest differs from the nearest of its rivals, mm."""
        return min(abs(value - self.foreseen[0]) for value in self.foreseen[1:])


def reading_to_ask(named: Named) -> AskedReading | None:
    """The reading on which the likeliest explanation and its rivals differ most; None where none would tell."""
    if not named.rivals:
        return None
    worlds = [remedied(named.model.frames, fault) for fault in (named.fault, *named.rivals)]
    places = [np.array([placed_spot(spot, world.refs) for spot in world.spots]) for world in worlds]
    asked = [*_at_points(worlds, places, named.fault, named.rivals), *_at_references(worlds)]
    best = max(asked, key=lambda one: one.apart, default=None)
    return best if best is not None and best.apart >= TOLD else None


def _at_points(
    worlds: Sequence[Frames], places: Sequence[FloatArray], fault: Suspicion, rivals: Sequence[Suspicion]
) -> Iterator[AskedReading]:
    """At the points that an explanation moves: what was read there read again, and what else may be."""
    for i, spot in enumerate(worlds[0].spots):
        moved = max(float(np.hypot(*(own[i] - places[0][i]))) for own in places)
        changed = any(i in {j for j, _ in one.readings} for one in (fault, *rivals))
        if moved < 1.0 and not changed:
            continue
        for other in (spot, *other_ways(worlds[0], spot)):
            seen = [predicted(other, w.refs, own[i])[0] for w, own in zip(worlds, places, strict=True)]
            for k in range(len(seen[0])):
                source = other.keys[k if len(other.keys) > 1 else 0]
                yield AskedReading(
                    point=i, source=source, which=k, foreseen=tuple(float(one[k]) for one in seen)
                )


def other_ways(frames: Frames, spot: Spot) -> Iterator[Spot]:
    """The point as it could be measured from another thing that its side and frame already use."""
    for name, frame, side in frames.refs:
        if (frame, side) != (spot.frame, spot.side) or name in spot.sources:
            continue
        ref = frames.refs[name, frame, side]
        method: Method = (
            "half-breadth" if name == CENTRELINE else "nails" if ref.along is None else "ordinate"
        )
        sources = () if name == CENTRELINE else (name,)
        measured = replace(spot.measured, method=method, sources=sources)
        yield replace(spot, measured=measured)


def _at_references(worlds: Sequence[Frames]) -> Iterator[AskedReading]:
    for key in worlds[0].refs:
        if key[0] == CENTRELINE:
            continue
        for k in range(2):
            foreseen = tuple(float(world.refs[key].at[k]) for world in worlds)
            if np.ptp(foreseen) > 1.0:
                yield AskedReading(point=None, source=key, which=k, foreseen=foreseen)
