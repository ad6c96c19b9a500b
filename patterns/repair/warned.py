"""What is doubtful about a repair: points that do not fit, and what else one should know before one cuts."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

import numpy as np

from patterns.design.repair_models import RepairSpec
from patterns.errors import Problem
from patterns.measure import Notation
from patterns.repair.doubts import disagreements, doubted_points
from patterns.repair.fairing import FairSide
from patterns.repair.misplaced import misplaced_nails
from patterns.repair.places import Places, Side
from patterns.repair.side_by_side import side_differences, unlike_sides
from patterns.repair.slopes import Beside, by_gauge, gauge_against
from patterns.table.padding import Padding

__all__ = ["doubts_of", "warnings_of"]

WEAK = 3.0  # a point that is off by more than this for 1 in its values is badly fixed
SPARSE = 250.0  # mm between points of a curved stretch beyond which the batten guesses
CORNER = np.radians(25.0)  # a turn between two points that may be a corner
ROUND = 0.2  # part of it by which a round edge turns at the others at least
SO_TOO = 0.3  # part of how far a point stands out by which the other side may be apart and have it too
GAUGE = np.radians(2.0)  # gauge and neighbours may differ by this
FEW = 6  # points of a stretch with which the batten alone can tell a slip


def doubts_of(
    frames: Iterable[Mapping[Side, FairSide]],
    places: Places,
    *,
    notation: Notation,
    allow: float,
    least: float,
    compared: bool,
) -> list[Problem]:
    """The points that do not fit, and three distances that disagree, of every side of every frame.

    Args:
        allow: how far fairing may move a point, mm.
        least: half of the step to which the points were read, mm.
        compared: the centreline is known, so that one side is a witness for the other.
    """
    found: list[Problem] = []
    for sides in frames:
        for name, side in sides.items():
            other = next((own for there, own in sides.items() if there != name), None) if compared else None
            doubted = doubted_points(side, allow=allow, least=least, other=other)
            apart = {} if other is None else {one.name: one.mm for one in side_differences(side, other)}
            # What both sides have alike is the boat's shape.
            found += [
                doubt.problem(places, notation)
                for doubt in doubted
                if abs(apart.get(doubt.point.name, np.inf)) > SO_TOO * abs(doubt.off)
            ]
            measured = [fixed.measured for fixed in side.points]
            nail = misplaced_nails(measured, places, agree=max(allow, least), notation=notation)
            if nail is not None:
                found.append(nail)
            else:
                found += disagreements(side, allow=max(allow, least), notation=notation, places=places)
    return found


def warnings_of(
    spec: RepairSpec,
    sides: Mapping[Side, FairSide],
    beside: Mapping[Side, Sequence[Beside]],
    measured: Iterable[FairSide],
) -> Iterator[Problem]:
    """What one should know: badly fixed points, too few of them, doubtful inches, bevels not known or not sure.

    Args:
        sides: the broken frame's.
        beside: its neighbours' edges.
        measured: the sides of all frames.
    """
    padding = Padding()
    for side in measured:
        yield from _fixed_badly(side)
        yield from _unmarked_corners(side)
        for point in side.points:
            for place in point.measured.places:
                padding.see(place.typed, place, spec.notation)
    yield from padding.doubts()
    yield from _no_such_stretch(sides, beside)
    for name, side in sides.items():
        yield from _few_points(name, side)
        yield from _bevels(spec, name, side, beside[name])
    if len(sides) == 2 and spec.centreline == "known":
        yield from unlike_sides(sides["starboard"], sides["port"], few=FEW, planking=spec.planking)


def _fixed_badly(side: FairSide) -> Iterator[Problem]:
    for point in side.points:
        if point.unsure > WEAK:
            yield Problem(
                str(point.measured.place),
                f"point {point.measured.name} of the {point.measured.side} side is fixed badly: 1 mm in a distance "
                f"moves it by {point.unsure:.0f} mm or more",
                "measure it from nails that lie squarer to each other, seen from the point",
                code="point-uncertain",
            )


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


def _few_points(name: Side, side: FairSide) -> Iterator[Problem]:
    for k, stretch in enumerate(side.edge.stretches):
        a, b = side.corners[k], side.corners[k + 1]
        if b - a < 2:
            continue
        if b - a + 1 < FEW:
            yield Problem(
                f"the {name} side, {stretch.name}",
                f"{b - a + 1} points from corner to corner: a slip in one of them can hardly be seen",
                "measure six or more, or three nails' distances",
                code="few-points",
            )
        gaps = np.diff(side.runs[a : b + 1])
        if gaps.max() > SPARSE and len(stretch.points) > 2:
            i = a + int(gaps.argmax())
            yield Problem(
                f"the {name} side, {stretch.name}",
                f"no point for {gaps.max():.0f} mm between {side.points[i].measured.name} and "
                f"{side.points[i + 1].measured.name}: there the batten guesses",
                f"measure at most {SPARSE:.0f} mm apart, closer where it bends",
                code="sparse-points",
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


def _bevels(spec: RepairSpec, name: Side, side: FairSide, beside: Sequence[Beside]) -> Iterator[Problem]:
    gauged = by_gauge(side)
    for k, stretch in enumerate(side.edge.stretches):
        where = f"the {name} side, {stretch.name}"
        if not np.isfinite(stretch.slope).all():
            more = "; its planking is taken off as if it were square" if spec.planking else ""
            yield Problem(
                where,
                f"no bevel is known{more}",
                "hold a gauge to it and write the reading in the column bevel, or measure a neighbour",
                code="bevel-unknown",
            )
        elif k not in gauged and len(beside) == 1:
            yield Problem(
                where,
                f"its bevel is from frame {beside[0].name} alone: that of the middle of the bay",
                "measure the neighbour on the other side too, or hold a gauge to it",
                code="bevel-from-one-neighbour",
            )
    for stretch_name, apart in gauge_against(side, beside):
        if apart > GAUGE:
            yield Problem(
                f"the {name} side, {stretch_name}",
                f"gauge and neighbours differ by up to {np.degrees(apart):.1f}° in its bevel",
                "the gauge's is taken; was it held square to the edge, its stock on the measured face?",
                code="gauge-against-neighbours",
            )
