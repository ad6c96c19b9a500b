"""Gussets as pieces: each shows the notches, the joint beneath it, the dowels, and its own two faces."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np
import shapely

from patterns.boat import Boat
from patterns.flat import overlays
from patterns.flat.shapes import both_halves, inside_points, largest
from patterns.hull.planes import FloatArray
from patterns.joinery.built import Built, title_of, whole_of
from patterns.joinery.flat_pieces import FLIP, bare_faces, fitted
from patterns.joinery.gussets import Gusset
from patterns.joinery.joints import Joint
from patterns.joinery.rings import CRUMB
from patterns.joinery.wood import looking, wood_fact
from patterns.wood.facts import Fact
from patterns.wood.features import Hole, Scribed
from patterns.wood.labels import Centre, Free
from patterns.wood.meeting import Joinery, Meeting, Seat
from patterns.wood.piece import Hand, Piece, Stock
from patterns.wood.placement import OnFace
from patterns.wood.region import Region
from patterns.wood.section import to_the_centreline

__all__ = ["gusset_meetings", "gusset_pieces", "joint_lines"]

FAR = 1e4  # mm


def _joint_lines(built: Built, gusset: Gusset) -> list[Scribed]:
    """The cut between the futtocks, as seen through the gusset."""
    joint, kind = gusset.joint, built.spec.joint
    if joint is None or kind is None:
        return []
    half = 0 if gusset.side == looking(built.sense)[0] else 1
    return joint_lines(joint, joint.cut(kind, built.spec.through, half=half), gusset.faces[0])


def joint_lines(joint: Joint, way: FloatArray, face: Any) -> list[Scribed]:
    """The cut of a joint, outward from its inner corner, as seen through a gusset's face."""
    cut = np.array([joint.inner, joint.inner + FAR * way])
    return [Scribed(fact=Fact("futtocks-joint"), points=part) for part in inside_points(face, [cut])[:1]]


def _margin(gusset: Gusset) -> list[Scribed]:
    """The line for the fastenings, at its distance from every edge of both faces."""
    margin, across = gusset.spec.margin, gusset.joint is None
    if margin is None:
        return []
    both: Any = overlays.intersection(*gusset.faces)
    within = (both_halves(both) if across else both).buffer(-margin, join_style="mitre")
    if across:
        within = overlays.intersection(within, shapely.box(0.0, -FAR, FAR, FAR))
    if within.is_empty:
        return []
    room = Region.of(largest(within), Free())
    line = (to_the_centreline(room) if across else room).outlines(Centre)[0]
    return [Scribed(fact=Fact("fastenings", {"margin": margin}), points=line.points, closed=line.closed)]


def gusset_meetings(built: Built, gussets: Sequence[Gusset]) -> Iterator[Meeting]:
    """How each gusset lies on the futtocks of a frame: on the face that it is against, as far as both are wood."""
    for gusset in gussets:
        face = 0 if gusset.side == looking(built.sense)[0] else 1
        for futtock in built.futtocks:
            on = overlays.intersection(gusset.faces[0], futtock.faces[face])
            if on.area > CRUMB:
                yield Meeting(
                    kind=Joinery.FACE,
                    lands=_title(built, gusset),
                    on=title_of(built.spec, futtock.name),
                    keys=(f'frame "{built.spec.name}"', gusset.key),
                    seats=(Seat(plane=gusset.plane, shape=on),),
                )


def _title(built: Built, gusset: Gusset) -> str:
    return title_of(built.spec, f"{gusset.at} {gusset.spec.name}, {gusset.side}")


def gusset_pieces(
    boat: Boat,
    built: Built,
    gussets: Sequence[Gusset],
    dowels: Mapping[tuple[str, str], Sequence[Hole]],
    meetings: Sequence[Meeting],
) -> Iterator[Piece]:
    """Each gusset of a frame.

    Args:
        dowels: by the line of the gusset and by the member that they go into.
        meetings: between any of the frame's pieces.
    """
    for gusset in gussets:
        spec, across = gusset.spec, gusset.joint is None
        low = float(gusset.sections[0].apex[1])
        stock = Stock(wood=spec.stock, thickness=spec.thickness)
        lies = Fact("lies-on-face", {"side": gusset.side, "frame": built.spec.name})
        bare = Piece(
            name=_title(built, gusset),
            member="gusset",
            part_of=whole_of(built.spec),
            stock=stock,
            hand=Hand.CENTRE if across else Hand.PAIR,
            placement=OnFace(gusset.plane, gusset.out),
            faces=bare_faces(
                gusset.sections, gusset.wood, scribed=(*_joint_lines(built, gusset), *_margin(gusset))
            ),
            flips=(low, float(gusset.faces[0].bounds[3]) + FLIP) if across else (),
            holes=tuple(hole for (at, _), found in dowels.items() if at == gusset.at for hole in found),
            facts=(wood_fact(stock), lies, *(() if across else (Fact("turn-over"),))),
            moulded="against the frame",
            meetings=tuple(each for each in meetings if _title(built, gusset) in each.pair),
        )
        yield fitted(boat, bare, gusset.sections, gusset.passing, limbers=built.limbers, near=0.5 * spec.arm)
