"""How a piece ends: at heel or head, at a joint between stretches, by a sister's lap or by a scarf."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry import Polygon

from patterns.design.repair_models import PieceSpec
from patterns.errors import PatternsError
from patterns.hull.planes import FloatArray
from patterns.repair.cutting import Cut, cut_at, end_cut
from patterns.repair.outline import Edge
from patterns.wood.facts import Fact
from patterns.wood.features import Note, Scribed
from patterns.wood.labels import Against
from patterns.wood.region import Region

__all__ = ["FrameEnd", "across_at", "ends_of", "inward", "scarf_length"]

PAST = 5.0  # mm by which a scarf's line is drawn past the end of the wood
OLD = "old frame"  # what a scarf lies against
OUTSIDE = 80.0  # mm out of the planking up to which a scarf takes the wood away
STEPS = 60  # of a scarf's line


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FrameEnd:
    """One end of a piece.

    Attributes:
        cut: where the piece ends.
        edge_cut: where its edge on the planking ends, if that is somewhere else.
        less: what a scarf takes away besides.
        scribed, notes: more on its moulded face.
        behind: lines on its other face.
        facts: for the bench.
    """

    cut: Cut
    edge_cut: Cut | None = None
    less: tuple[Region, ...] = ()
    scribed: tuple[Scribed, ...] = ()
    notes: tuple[Note, ...] = ()
    behind: tuple[Scribed, ...] = ()
    facts: tuple[Fact, ...] = ()

    @property
    def on_planking(self) -> Cut:
        """Where its edge on the planking ends."""
        return self.edge_cut or self.cut


def ends_of(
    edge: Edge, spec: PieceSpec, runs: Sequence[float | None], *, sided: float, moulded: float
) -> tuple[FrameEnd, FrameEnd]:
    """The lower and the upper end of a piece.

    Args:
        edge: the side's edge on the measured face.
        runs: the lengths along it to the points between which it is made; None for heel and head.
    Raises:
        PatternsError: a lap or a scarf has no room.
    """
    low, high = runs
    return (
        _end(edge, spec, low, upper=False, sided=sided, moulded=moulded),
        _end(edge, spec, high, upper=True, sided=sided, moulded=moulded),
    )


def _end(
    edge: Edge, spec: PieceSpec, run: float | None, *, upper: bool, sided: float, moulded: float
) -> FrameEnd:
    which = "upper" if upper else "lower"
    whole = float(edge.corner_runs[-1])
    if run is None:
        return FrameEnd(cut=end_cut(edge, spec.head if upper else spec.heel, upper=upper))
    name = spec.to_point if upper else spec.from_point
    way = 1.0 if upper else -1.0
    if spec.kind == "sister":
        lap = spec.lap if spec.lap is not None else (spec.lap_ratio or 0.0) * sided
        wanted = run + way * lap
        if not 0.0 < wanted < whole:
            room = whole - run if upper else run
            short = Fact("lap-cut-short", {"which": which, "point": name, "room": room, "lap": lap})
            cut = end_cut(edge, spec.head if upper else spec.heel, upper=upper)
            return FrameEnd(cut=cut, facts=(short,))
        return FrameEnd(
            cut=cut_at(edge, wanted, upper=upper, name=f"{which} end"),
            facts=(Fact("lap-end", {"which": which, "point": name, "lap": lap}),),
        )
    assert spec.scarf is not None
    length = scarf_length(spec, sided=sided, moulded=moulded)
    end = run + way * length
    if not 0.0 < end < whole:
        room = whole - run if upper else run
        raise PatternsError(
            f"its {which} scarf of {length:.0f} mm ({spec.scarf:g}:1) runs past the frame's end: from point {name} "
            f"there are {room:.0f} mm; begin at another point or replace the frame to its end"
        )
    low, high = min(run, end), max(run, end)
    for at, corner in zip(edge.corner_runs[1:-1], edge.corners[1:-1], strict=True):
        if low - 1.0 < at < high + 1.0:
            raise PatternsError(
                f"its {which} scarf of {length:.0f} mm ({spec.scarf:g}:1) past point {name} runs over the "
                f"{corner}; a scarf lies between corners: begin at another point"
            )
    long_here = spec.long_point == "measured face"
    scarf = {"which": which, "ratio": spec.scarf, "length": length, "point": name, "long_here": long_here}
    if spec.scarf_through == "siding":
        begins = (Scribed(fact=Fact("scarf-begins", scarf), points=across_at(edge, run, moulded)),)
        return FrameEnd(
            cut=cut_at(edge, end, upper=upper, name=f"{which} end"),
            scribed=() if long_here else begins,
            behind=begins if long_here else (),
            facts=(Fact("scarf-through-siding", scarf),),
        )
    # A little past the end, which is cut off: no hair of wood is left beside it.
    slope = np.linspace(run, end + way * PAST, STEPS + 1)
    middle = inward(edge, 0.5 * (run + end), 0.5 * moulded)
    line = np.array([inward(edge, at, moulded * abs(at - run) / length) for at in slope])
    outer = np.array([inward(edge, at, -OUTSIDE) for at in slope])
    return FrameEnd(
        cut=cut_at(edge, end, upper=upper),
        less=(Region.of(Polygon(np.vstack([outer, line[::-1]])).buffer(0.0), Against(OLD)),),
        notes=(Note(fact=Fact("scarf", scarf), at=(float(middle[0]), float(middle[1])), bare=True),),
        edge_cut=cut_at(edge, run, upper=upper, name=f"point {name}"),
        facts=(Fact("scarf-through-moulding", scarf),),
    )


def scarf_length(spec: PieceSpec, *, sided: float, moulded: float) -> float:
    """How long a scarf is along the planking, mm."""
    return (spec.scarf or 0.0) * (moulded if spec.scarf_through == "moulding" else sided)


def inward(edge: Edge, run: float, deep: float) -> FloatArray:
    """The place so far in from the planking at a length along it, (2,), mm."""
    cut = cut_at(edge, run, upper=True)
    return np.asarray(cut.at - deep * cut.along)


def across_at(edge: Edge, run: float, moulded: float) -> FloatArray:
    """A line across the wood at a length along its edge, (2, 2)."""
    return np.array([inward(edge, run, -10.0), inward(edge, run, moulded + 10.0)])
