"""Where dowels go through a stack of pieces: one place, square through them all."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Point

from patterns.errors import PatternsError, keyed
from patterns.flat import overlays
from patterns.flat.shapes import parts_of
from patterns.hull.planes import FloatArray
from patterns.joinery.built import Built
from patterns.joinery.gussets import Gusset
from patterns.joinery.joints import Joint
from patterns.pattern import Hole

__all__ = ["dowel_places", "dowels_by_member", "dowels_of", "lap_dowels_of"]

SLICES = 101
LONG = 0.5  # of the longest slice; where the room is narrower than that part of it no dowel is put
WITHIN = 1e-3  # mm; along the very edge of the room the last digits decide whether there is any wood


def dowel_places(wood: Any, along: FloatArray, *, count: int, edge: float, where: str) -> list[FloatArray]:
    """Places for dowels, evenly spaced in one direction and in the middle of the wood across it.

    Args:
        wood: the area that every face of every piece of the stack has.
        along: unit direction of the row, (2,).
        count: how many.
        edge: how far the centres keep from every edge of that area and from each other, mm.
        where: what they hold, in words, for the message.
    Returns:
        Points (2,), mm, from the least to the greatest along ``along``.
    Raises:
        PatternsError: there is no such place.
    """
    room = max(parts_of(wood.buffer(-edge), least=0.0), key=lambda part: float(part.area), default=None)
    if room is None:
        raise PatternsError(
            f"no dowel can be {edge:g} mm from every edge of the {where}; give it more wood or the dowels "
            "a lesser distance"
        )
    corners = np.asarray(room.exterior.coords)
    square = np.array([-along[1], along[0]])
    run, off = corners @ along, corners @ square
    steps = np.linspace(run.min() + WITHIN, run.max() - WITHIN, SLICES)
    lines = [np.array([s * along + o * square for o in (off.min() - 1.0, off.max() + 1.0)]) for s in steps]
    cuts = overlays.intersection(shapely.linestrings(np.array(lines)), room)
    longest = np.array([max(shapely.length(shapely.get_parts(cut)), default=0.0) for cut in cuts])
    fit = steps[longest >= LONG * longest.max()]
    first, last = float(fit.min()), float(fit.max())
    if (last - first) < (count - 1) * edge:
        raise PatternsError(
            f"{count} dowels cannot be {edge:g} mm from every edge of the {where} and from each other; give it "
            "longer arms or fewer dowels"
        )
    stations = [0.5 * (first + last)] if count == 1 else list(np.linspace(first, last, count))
    return [_middle(room, s, along, square, off) for s in stations]


def _middle(room: Any, s: float, along: FloatArray, square: FloatArray, off: FloatArray) -> FloatArray:
    """The middle of the longest part of the room at one place along."""
    ends = np.array([s * along + o * square for o in (off.min() - 1.0, off.max() + 1.0)])
    parts = shapely.get_parts(overlays.intersection(shapely.linestrings(ends), room))
    best = max(parts, key=lambda part: float(part.length))
    return np.asarray(best.interpolate(0.5, normalized=True).coords[0])


def dowels_of(built: Built, gussets: Sequence[Gusset]) -> dict[tuple[str, str], list[Hole]]:
    """The dowels of a frame, by the line of the gusset and by the member that they go into.

    They go square through every gusset at that joint and the futtock between, so that they have one place in all.

    Raises:
        PatternsError: there is no room for them.
    """
    found: dict[tuple[str, str], list[Hole]] = {}
    for gusset in gussets:
        spec = gusset.spec
        if spec.dowel is None or spec.dowels is None or spec.dowel_edge is None:
            continue
        stack = [face for other in gussets if other.at == gusset.at for face in other.faces]
        for arm in gusset.arms:
            futtock = built.futtock(arm.member)
            if futtock is None or (gusset.at, arm.member) in found:
                continue
            wood = overlays.intersection(*[*stack, *futtock.faces, *(futtock.between or ())])
            with keyed(gusset.key, f'frame "{built.spec.name}"'):
                places = dowel_places(
                    wood,
                    arm.along,
                    count=spec.dowels,
                    edge=spec.dowel_edge,
                    where=f"{gusset.at} gusset on the {arm.member} piece",
                )
            found[gusset.at, arm.member] = [
                Hole(at=(float(u), float(v)), diameter=spec.dowel, purpose="dowel hole") for u, v in places
            ]
    return found


def lap_dowels_of(
    built: Built, others: Mapping[tuple[str, str], Sequence[Hole]]
) -> Iterator[tuple[Joint, list[Hole]]]:
    """The dowels through each half lap, clear of the gussets' own.

    Raises:
        PatternsError: there is no room for them.
    """
    spec = built.spec
    if spec.lap_dowel is None or spec.lap_dowels is None or spec.lap_dowel_edge is None:
        return
    for joint in built.joints:
        below, above = built.futtock(joint.below), built.futtock(joint.above)
        if below is None or above is None or below.between is None or above.between is None:
            continue
        moulded, other = (below, above) if spec.through == "lower" else (above, below)
        assert moulded.between is not None
        assert other.between is not None
        lap = overlays.intersection(*[
            moulded.faces[0], moulded.between[0], other.between[1], other.faces[1]
        ])  # fmt: skip
        for hole in (hole for found in others.values() for hole in found):
            lap = overlays.difference(lap, Point(hole.at).buffer(0.5 * hole.diameter))
        across = joint.corner - joint.inner
        across = across / np.hypot(*across)
        places = dowel_places(
            lap,
            np.array([-across[1], across[0]]),
            count=spec.lap_dowels,
            edge=spec.lap_dowel_edge,
            where=f"half lap at the {joint.name}",
        )
        yield (
            joint,
            [Hole(at=(float(u), float(v)), diameter=spec.lap_dowel, purpose="dowel hole") for u, v in places],
        )


def dowels_by_member(built: Built, dowels: Mapping[tuple[str, str], Sequence[Hole]]) -> dict[str, list[Hole]]:
    """The dowels in each futtock: those of its gussets and those of its half laps."""
    found: dict[str, list[Hole]] = {}
    for (_, member), holes in dowels.items():
        found.setdefault(member, []).extend(holes)
    for joint, holes in lap_dowels_of(built, dowels):
        for member in (joint.below, joint.above):
            found.setdefault(member, []).extend(holes)
    return found
