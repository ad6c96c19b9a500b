"""A frame put together, drawn from its own pieces: to lay them on; no wood of its own.

What lies on it is drawn from the meetings of its pieces, as on every piece.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import shapely

from patterns.flat import overlays
from patterns.joinery.built import Built, title_of
from patterns.wood.facts import Fact
from patterns.wood.features import Scribed
from patterns.wood.labels import Against
from patterns.wood.meeting import NotMade, without
from patterns.wood.piece import Piece, Role
from patterns.wood.region import Region, largest_of

__all__ = ["assembly_of"]

SEEN = 1.0  # mm; a joint on the other face that lies nearer to that on the moulded one is not drawn again
SHORT = 5.0  # mm; a shorter joint is none


def assembly_of(ring: Piece, built: Built) -> Piece:
    """The frame put together.

    Args:
        ring: all of it as one piece.
    """
    moulded, other = (
        replace(face, region=_made(built, number, face.region)) for number, face in enumerate(ring.faces)
    )
    moulded = replace(moulded, joints=tuple(_joints(built)))
    facts = (Fact("put-together"), *ring.facts[1:])
    return replace(ring, faces=(moulded, other), facts=facts, role=Role.LAYOUT)


def _made(built: Built, face: int, whole: Region) -> Region:
    """Of a whole ring's wood what pieces are made for; a bottom may be left to a floor timber."""
    lowest = title_of(built.spec, built.futtocks[0].name)
    left = [meeting for meeting in built.meetings if isinstance(meeting.on, NotMade)]
    return largest_of(without(whole, lowest, face, left))


def _joints(built: Built) -> Iterator[Scribed]:
    """Where two pieces meet, on the moulded face and, where it is another line, on the other."""
    for joint in built.joints:
        below, above = built.futtock(joint.below), built.futtock(joint.above)
        if below is None or above is None:
            continue
        drawn: Any = shapely.MultiLineString()
        for wood, kind in zip(below.wood, ("joint", "joint-on-other-face"), strict=True):
            seam = shapely.line_merge(wood.lines(Against(above.name)))
            for run in shapely.get_parts(overlays.difference(seam, shapely.buffer(drawn, SEEN))):
                if run.length > SHORT:
                    yield Scribed(fact=Fact(kind), points=shapely.get_coordinates(run))
            drawn = seam
