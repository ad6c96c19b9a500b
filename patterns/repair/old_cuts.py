"""Where the old frame is cut for a scarf: lines on the fit-up strip, which is held to it before anything is cut."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from patterns.design.repair_models import PieceSpec
from patterns.repair.ends import across_at, inward, scarf_length
from patterns.repair.outline import Edge
from patterns.repair.places import Side
from patterns.repair.repair import Repair
from patterns.repair.shapes import greatest_moulding, run_at, sided_of
from patterns.wood.facts import Fact
from patterns.wood.features import Scribed

__all__ = ["OldCut", "old_cuts"]


@dataclass(frozen=True, slots=True, kw_only=True)
class OldCut:
    """One cut of the old frame.

    Attributes:
        lines: on the measured face, each with what it is.
        fact: how it is cut, for the bench.
        moulded: the moulding that the lines cross, mm.
    """

    lines: tuple[Scribed, ...]
    fact: Fact
    moulded: float


def old_cuts(repair: Repair, side: Side, edge: Edge) -> Iterator[OldCut]:
    """The cuts for every part of a side that is scarfed to sound wood; its edge on the measured face."""
    for _, spec in repair.pieces:
        if spec.scarf is None or not (repair.symmetrical or spec.side in (side, "both")):
            continue
        for upper, point in ((False, spec.from_point), (True, spec.to_point)):
            if point is not None:
                yield _cut(repair, spec, side, edge, point, upper=upper)


def _cut(repair: Repair, spec: PieceSpec, side: Side, edge: Edge, point: str, *, upper: bool) -> OldCut:
    run = run_at(repair, side, point)
    assert run is not None
    moulded = greatest_moulding(repair, spec, edge)
    length = scarf_length(spec, sided=sided_of(repair, spec), moulded=moulded)
    end = run + (length if upper else -length)
    long_here = spec.long_point == "measured face"
    values = {
        "which": "upper" if upper else "lower",
        "ratio": spec.scarf,
        "length": length,
        "point": point,
        "through": spec.scarf_through,
        "long_here": long_here,
    }
    if spec.scarf_through == "moulding":
        slope = np.array([inward(edge, run, 0.0), inward(edge, end, moulded)])
        lines: tuple[Scribed, ...] = (Scribed(fact=Fact("old-cut-slope", values), points=slope),)
    else:
        faces = ("other", "this") if long_here else ("this", "other")
        lines = tuple(
            Scribed(fact=Fact("old-cut-face", {"face": face}), points=across_at(edge, at, moulded))
            for face, at in zip(faces, (run, end), strict=True)
        )
    return OldCut(lines=lines, fact=Fact("old-frame-cut", values), moulded=moulded)
