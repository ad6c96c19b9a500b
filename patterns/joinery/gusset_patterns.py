"""Gussets as patterns: each shows the notches, the joint beneath it, the dowels, and its own two faces."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np
import shapely

from patterns.boat import Boat
from patterns.flat.shapes import both_halves, inside_points, largest
from patterns.joinery.built import Built
from patterns.joinery.flat_pieces import FLIP, FlatPiece, flat_pattern, outlines, xy
from patterns.joinery.futtocks import title_of
from patterns.joinery.gussets import Gusset
from patterns.joinery.rings import half_lines
from patterns.joinery.wood import lamination_words, looking
from patterns.pattern import Hole, Kind, Line, Mark, Pattern

__all__ = ["gusset_patterns", "toe_marks"]

FAR = 1e4  # mm


def toe_marks(gussets: Sequence[Gusset], member: str) -> tuple[Mark, ...]:
    """Where the arms of the gussets end on a futtock."""
    found: dict[str, Mark] = {}
    for gusset in gussets:
        for arm in gusset.arms:
            if arm.member == member:
                found.setdefault(
                    gusset.at, Mark(name=f"{gusset.at} gusset ends", at=xy(arm.toe), towards=xy(-arm.inward))
                )
    return tuple(found.values())


def _joint_lines(built: Built, gusset: Gusset) -> list[Line]:
    """The cut between the futtocks, as seen through the gusset."""
    joint, kind = gusset.joint, built.spec.joint
    if joint is None or kind is None:
        return []
    half = 0 if gusset.side == looking(built.sense)[0] else 1
    way = joint.cut(kind, built.spec.through, half=half)
    cut = np.array([joint.inner, joint.inner + FAR * way])
    return [
        Line(kind=Kind.REFERENCE, points=part, name="joint of the futtocks")
        for part in inside_points(gusset.faces[0], [cut])[:1]
    ]


def _margin(gusset: Gusset) -> list[Line]:
    """The line for the fastenings, at its distance from every edge of both faces."""
    margin, across = gusset.spec.margin, gusset.joint is None
    if margin is None:
        return []
    both: Any = shapely.intersection(*gusset.faces)
    within = (both_halves(both) if across else both).buffer(-margin, join_style="mitre")
    if across:
        within = within.intersection(shapely.box(0.0, -FAR, FAR, FAR))
    if within.is_empty:
        return []
    line = (half_lines if across else outlines)(Kind.REFERENCE, largest(within))[0]
    name = f"fastenings, {margin:g} mm in"
    return [Line(kind=line.kind, points=line.points, closed=line.closed, name=name)]


def gusset_patterns(
    boat: Boat, built: Built, gussets: Sequence[Gusset], dowels: Mapping[tuple[str, str], Sequence[Hole]]
) -> Iterator[Pattern]:
    """A pattern for each gusset of a frame.

    Args:
        dowels: by the line of the gusset and by the member that they go into.
    """
    for gusset in gussets:
        spec, across = gusset.spec, gusset.joint is None
        low = float(gusset.sections[0].apex[1])
        yield flat_pattern(
            boat,
            FlatPiece(
                name=title_of(built, f"{gusset.at} {spec.name}, {gusset.side}"),
                member="gusset",
                stock=spec.stock,
                thickness=spec.thickness,
                laminations=1,
                sense=gusset.out,
                sections=gusset.sections,
                notches=gusset.notches,
                wood=gusset.wood,
                across=across,
                flips=(low, float(gusset.faces[0].bounds[3]) + FLIP) if across else (0.0, 0.0),
                moulded="against the frame",
                dowels=[hole for (at, _), found in dowels.items() if at == gusset.at for hole in found],
                lines=(*_joint_lines(built, gusset), *_margin(gusset)),
                words=(
                    lamination_words(spec.stock, spec.thickness, 1),
                    f"Lies on the {gusset.side} face of frame {built.spec.name}",
                ),
                limbers=built.limbers,
                near=0.5 * spec.arm,
                depth_left=gusset.depth_left(),
            ),
        )
