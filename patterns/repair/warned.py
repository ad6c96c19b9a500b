"""What one should know about a repair before one cuts, besides readings that do not fit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

import numpy as np

from patterns.design.repair_models import RepairSpec
from patterns.errors import Problem
from patterns.repair.bevel_words import bevel_problems
from patterns.repair.fairing import FairSide
from patterns.repair.measuring.bevels import BevelFit, ReadBy
from patterns.repair.measuring.curves import KnownSpan
from patterns.repair.measuring.judge import Verdict
from patterns.repair.places import Side
from patterns.repair.side_by_side import side_differences
from patterns.repair.slopes import Beside
from patterns.table.padding import Padding

__all__ = ["warnings_of"]

UNCERTAIN = 3.0  # mm; half the width of a band from which one more point is asked for
APART = 10.0  # mm by which few boats' sides differ (common practice, no source)
LIKE = 2.0  # mm by which that may miss the planking's thickness
CORNER = np.radians(25.0)  # a turn between two points that may be a corner
ROUND = 0.2  # part of it by which a round edge turns at the others at least


def warnings_of(
    spec: RepairSpec,
    sides: Mapping[Side, FairSide],
    beside: Mapping[Side, Sequence[Beside]],
    measured: Iterable[FairSide],
    verdict: Verdict,
    spans: Sequence[KnownSpan],
    fit: BevelFit,
) -> Iterator[Problem]:
    """What one should know: edges that are little known, doubtful inches, bevels not known or not sure.

    Args:
        sides: the broken frame's.
        beside: its neighbours' edges.
        measured: the sides of all frames.
        verdict: of the measuring model.
        spans: how well each span of the broken frame is known.
        fit: its bevels.
    """
    padding = Padding()
    for side in measured:
        yield from _unmarked_corners(side)
        for point in side.points:
            for place in point.measured.places:
                padding.see(place.typed, place, spec.notation)
    yield from padding.doubts()
    yield from _no_such_stretch(sides, beside)
    yield from _uncertain(spans)
    for name, side in sides.items():
        yield from _bevels(spec, name, side, beside[name], fit)
    yield from bevel_problems(fit, spec, sides)
    if spec.centreline == "known":
        yield from _apart(verdict, sides, spec.planking)


def _unmarked_corners(side: FairSide) -> Iterator[Problem]:
    """Where a batten was laid round what looks like a corner: the whole turn at one point, or between two."""
    at = np.array([point.at for point in side.points])
    for a, b in zip(side.corners, side.corners[1:], strict=False):
        step = np.diff(at[a : b + 1], axis=0)
        heading = np.unwrap(np.arctan2(step[:, 1], step[:, 0]))
        turn = np.abs(np.diff(heading))
        if len(turn) < 3:
            continue
        pairs = [turn[i : i + 2].sum() for i in range(len(turn) - 1)]
        i = int(np.argmax(pairs))
        rest = np.delete(turn, [i, i + 1])
        if pairs[i] > CORNER and rest.max() < ROUND * pairs[i]:
            k = i if turn[i] > turn[i + 1] else i + 1
            point = side.points[a + 1 + k].measured
            yield Problem(
                str(point.place),
                f"the edge of the {point.side} side turns by {np.degrees(pairs[i]):.0f}° at point {point.name} and "
                "hardly at the others: it was faired through there",
                "if a chine or a land is there, measure it and mark it in the column corner; if not, look for "
                "a slip there or at the point next to it",
                code="corner-unmarked",
            )


def _uncertain(spans: Sequence[KnownSpan]) -> Iterator[Problem]:
    """Where the edge is known so little that one more point is worth its while, the worst of each side first."""
    for side in dict.fromkeys(span.side for span in spans):
        own = [span for span in spans if span.side == side and span.half_width > UNCERTAIN]
        if not own:
            continue
        worst = max(own, key=lambda span: span.half_width)
        more = f", and {len(own) - 1} more to no better than {UNCERTAIN:.0f} mm" if len(own) > 1 else ""
        yield Problem(
            f"the {side} side, {worst.stretch}",
            f"between points {worst.first} and {worst.last} the edge is known to no better than "
            f"{worst.half_width:.0f} mm{more}",
            "measure one more point there before wood is cut",
            code="stretch-uncertain",
        )


def _apart(verdict: Verdict, sides: Mapping[Side, FairSide], planking: float | None) -> Iterator[Problem]:
    """Sides that differ more than boats' sides do, where no fault of measuring explains it."""
    if len(sides) < 2 or verdict.named:
        return
    apart = side_differences(sides["starboard"], sides["port"])
    if max((abs(one.mm) for one in apart), default=0.0) < APART:
        return
    most = max(apart, key=lambda one: abs(one.mm))
    usual = float(np.median([one.mm for one in apart]))
    thick = planking is not None and abs(abs(usual) - planking) < LIKE
    why = "its inside and outside may have been measured" if thick else "the readings do not show why"
    yield Problem(
        "the port side",
        f"it lies up to {abs(most.mm):.0f} mm {'outside' if most.mm > 0 else 'inside'} of the starboard side, "
        f"at point {most.name}: {why}",
        "check where the nails and straight edges of both sides are, and which face was measured",
        code="sides-apart",
    )


def _no_such_stretch(
    sides: Mapping[Side, FairSide], beside: Mapping[Side, Sequence[Beside]]
) -> Iterator[Problem]:
    """Stretches that a neighbour does not have, and so tells no bevel of."""
    for name, side in sides.items():
        for one in beside[name]:
            there = [stretch.name for stretch in one.edge.stretches]
            lost = [stretch.name for stretch in side.edge.stretches if stretch.name not in there]
            if lost:
                yield Problem(
                    f"frame {one.name}, {name}",
                    f"it has no stretch {' and '.join(lost)}, so it gives no bevel there",
                    f"it has {', '.join(there)}; give the same stretches the same names in both files",
                    code="neighbour-without-stretch",
                )


def _bevels(
    spec: RepairSpec, name: Side, side: FairSide, beside: Sequence[Beside], fit: BevelFit
) -> Iterator[Problem]:
    for stretch in side.edge.stretches:
        where = f"the {name} side, {stretch.name}"
        read = {one.means for one in fit.readings if (one.side, one.stretch) == (name, stretch.name)}
        if not np.isfinite(stretch.slope).all():
            more = "; its planking is taken off as if it were square" if spec.planking else ""
            yield Problem(
                where,
                f"no bevel is known{more}",
                "hold a gauge to it and write the reading in the column bevel, or measure a neighbour",
                code="bevel-unknown",
            )
        elif read == {ReadBy.OUTLINES} and len(beside) == 1:
            yield Problem(
                where,
                f"its bevel is from frame {beside[0].name} alone: that of the middle of the bay",
                "measure the neighbour on the other side too, or hold a gauge to it",
                code="bevel-from-one-neighbour",
            )
