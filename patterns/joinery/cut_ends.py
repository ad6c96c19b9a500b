"""The ends of timbers that run fore and aft between two faces: their edges, their bevels and how they are cut."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from patterns.hull.cuts import Trace
from patterns.hull.planes import Plane
from patterns.hull.spaces import cut_of, flipped
from patterns.joinery.deck_timbers import aft_of
from patterns.wood.facts import Fact
from patterns.wood.labels import Label, Trim
from patterns.wood.region import Region

__all__ = ["end_cuts", "end_sources", "stretches"]


def stretches(
    planes: Sequence[Plane], ends: tuple[Plane, Plane], *, on: tuple[str, str] = ("", "")
) -> Iterator[tuple[Region, Region]]:
    """On each plane what lies aft of the fore end's face, and forward of the after end's.

    Args:
        on: the pieces whose faces these are, where the ends are called by them.
    """
    for plane in planes:
        yield (
            Region.of(cut_of(plane, (aft_of(ends[0]),)), Trim("fore", on[0])),
            Region.of(cut_of(plane, (flipped(aft_of(ends[1])),)), Trim("after", on[1])),
        )


def end_sources(wood: Region, ends: tuple[Plane, Plane]) -> dict[Label, Trace]:
    """The two ends as the edges of the faces that they are cut to, the fore end first."""
    found: dict[Label, Trace] = {}
    for which, out in (("fore", -ends[0].normal), ("after", ends[1].normal)):
        for label in wood.palette:
            if isinstance(label, Trim) and label.end == which and wood.stretches(label):
                on = np.vstack([stretch.points for stretch in wood.stretches(label)])
                line = on[[int(on[:, 1].argmin()), int(on[:, 1].argmax())]]
                found[label] = Trace(uv=line, normal=np.array([out, out]), r=np.array([0.0, 1.0]))
    return found


def end_cuts(plane: Plane, ends: tuple[Plane, Plane]) -> Fact:
    """How the two ends are cut, by their angles on a piece's face and through its wood."""
    return Fact("end-cuts", {"fore": _cut(plane, ends[0]), "after": _cut(plane, ends[1])})


def _cut(plane: Plane, face: Plane) -> Mapping[str, float]:
    """An end's ``lean`` from plumb, more than 0 where its top lies aft, and ``off`` square across; radians."""
    way = np.array([face.normal @ plane.u, face.normal @ plane.v])
    return {
        "lean": float(np.arctan2(-way[1], way[0])),
        "off": float(np.arcsin(np.clip(face.normal @ plane.normal, -1.0, 1.0))),
    }
