"""A frame put together, drawn from its own pieces: what lies where, to lay them on; no wood of its own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

import shapely

from patterns.flat import overlays
from patterns.joinery.built import Built
from patterns.joinery.gussets import CENTRE, Gusset
from patterns.wood.facts import Fact
from patterns.wood.features import Scribed
from patterns.wood.labels import Against
from patterns.wood.labels import Centre as CentreEdge
from patterns.wood.piece import Piece, Role
from patterns.wood.region import Region, largest_of

__all__ = ["assembly_of"]

SEEN = 1.0  # mm; a joint on the other face that lies nearer to that on the moulded one is not drawn again
SHORT = 5.0  # mm; a shorter joint is none


def assembly_of(ring: Piece, built: Built, gussets: Sequence[Gusset], floors: Mapping[str, Region]) -> Piece:
    """The frame put together.

    Args:
        ring: all of it as one piece.
        floors: of each floor timber on the frame the wood against it (half), by its words.
    """
    moulded, other = (
        replace(face, region=_made(built, number, face.region)) for number, face in enumerate(ring.faces)
    )
    landings = [
        *((_gusset_words(gusset), gusset.wood[0]) for gusset in gussets),
        *((Fact("floor-lands", {"floor": words}), wood) for words, wood in floors.items()),
    ]
    moulded = replace(
        moulded,
        joints=tuple(_joints(built)),
        landings=tuple(line for fact, wood in landings for line in landing_of(wood, fact)),
    )
    facts = (Fact("put-together"), *ring.facts[1:])
    return replace(ring, faces=(moulded, other), facts=facts, role=Role.LAYOUT)


def _made(built: Built, face: int, whole: Region) -> Region:
    """Of a whole ring's wood what pieces are made for; a bottom may be left to a floor timber."""
    shares = [piece.share.regions[face] for piece in built.futtocks]
    return largest_of(whole.both(shares[0].joined(*shares[1:])))


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


def _gusset_words(gusset: Gusset) -> Fact:
    at = "centreline" if gusset.at == CENTRE else gusset.at
    return Fact("gusset-lands", {"side": gusset.side, "line": at})


def landing_of(wood: Region, fact: Fact) -> Iterator[Scribed]:
    """The outline of what lies on a piece, without its edge on the centreline."""
    for run in wood.outlines(CentreEdge):
        yield Scribed(fact=fact, points=run.points, closed=run.closed)
