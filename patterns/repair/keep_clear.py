"""Plank seams and old fastenings on the faces of a piece: lines across the wood where it is not to be bored."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from shapely.geometry import Point

from patterns.design.repair_models import PieceSpec
from patterns.design.repair_work_models import KeepClearSpec
from patterns.repair.notches import stretch_within
from patterns.repair.outline import Edge
from patterns.repair.places import SIDES, Side
from patterns.repair.repair import Repair
from patterns.repair.shapes import run_at
from patterns.wood.facts import Fact
from patterns.wood.features import Scribed
from patterns.wood.region import Region

__all__ = ["kept_clear"]

WITHIN = 5.0  # mm in from the planking at which the wood of a piece is looked for
WHOLE = PieceSpec(kind="frame")  # the old frame's own moulding
PAST = 10.0  # mm by which a line is drawn past the edge


def kept_clear(repair: Repair, edge: Edge, wood: Region, side: Side | None) -> Iterator[Scribed]:
    """The lines on one face.

    Args:
        edge: the face's whole edge, in its side's own coordinates; or (y, z) where it goes across.
        wood: of that face.
        side: on which it lies; None where it goes across both, or is a half.
    """
    for one in repair.keep_clear:
        for name in SIDES if side is None else (side,):
            if one.side in (name, "both") and name in repair.edges_of:
                yield from _line(repair, one, edge, wood, name, side)


def _line(
    repair: Repair, one: KeepClearSpec, edge: Edge, wood: Region, name: Side, side: Side | None
) -> Iterator[Scribed]:
    own = repair.edges_of[name]
    start = run_at(repair, name, one.at)
    assert start is not None
    run = start + (one.distance or 0.0)
    k = int(np.clip(np.searchsorted(own.corner_runs, run, side="right") - 1, 0, len(own.stretches) - 1))
    share = float((run - own.corner_runs[k]) / own.stretches[k].run[-1])
    there, turned = stretch_within(edge, len(own.stretches), k, name, side)
    if there is None or not 0.0 <= share <= 1.0:
        return
    stretch = edge.stretches[there]
    along = (1.0 - share if turned else share) * stretch.run[-1]
    at, out = (
        np.array([float(np.interp(along, stretch.run, values[:, c])) for c in (0, 1)])
        for values in (stretch.points, stretch.out)
    )
    out /= np.hypot(*out)
    if wood.area.distance(Point(at - WITHIN * out)) > 0.0:
        return
    deep = repair.moulded(stretch.name, WHOLE)
    points = np.array([at + PAST * out, at - (deep + PAST) * out])
    yield Scribed(fact=Fact("keep-clear", {"name": one.name}), points=points)
