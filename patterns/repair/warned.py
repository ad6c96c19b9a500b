"""What is doubtful about a repair: points that do not fit, and what else one should know before one cuts."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

import numpy as np

from patterns.design.repair_models import RepairSpec
from patterns.errors import Problem
from patterns.measure import Notation
from patterns.repair.doubts import disagreements, doubted_points
from patterns.repair.fairing import FairSide
from patterns.repair.places import Places, Side
from patterns.repair.slopes import Beside, by_gauge, gauge_against

__all__ = ["doubts_of", "side_differences", "warnings_of"]

WEAK = 3.0  # a point that is off by more than this for 1 in its values is badly fixed
SPARSE = 250.0  # mm between points of a curved stretch beyond which the batten guesses
GAUGE = np.radians(2.0)  # gauge and neighbours may differ by this
FEW = 6  # points of a stretch with which the batten alone can tell a slip
BESIDE = 10.0  # mm by which the sides may differ more at a point than at the points next to it


def doubts_of(
    sides: Iterable[FairSide], places: Places, *, notation: Notation, allow: float, least: float
) -> list[Problem]:
    """The points that do not fit, and three distances that disagree, of every side of every frame.

    Args:
        allow: how far fairing may move a point, mm.
        least: half of the step to which the points were read, mm.
    """
    found: list[Problem] = []
    for side in sides:
        found += [d.problem(places, notation) for d in doubted_points(side, allow=allow, least=least)]
        found += disagreements(side, allow=max(allow, least), notation=notation, places=places)
    return found


def warnings_of(
    spec: RepairSpec,
    sides: Mapping[Side, FairSide],
    beside: Mapping[Side, Sequence[Beside]],
    measured: Iterable[FairSide],
) -> Iterator[Problem]:
    """What one should know: badly fixed points, too few of them, bevels that are not known or not sure.

    Args:
        sides: the broken frame's.
        beside: its neighbours' edges.
        measured: the sides of all frames.
    """
    for side in measured:
        yield from _fixed_badly(side)
    for name, side in sides.items():
        yield from _few_points(name, side)
        yield from _bevels(spec, name, side, beside[name])
    if len(sides) == 2 and spec.centreline == "known":
        yield from _unlike(sides["starboard"], sides["port"])
        yield from _unlike(sides["port"], sides["starboard"])


def _fixed_badly(side: FairSide) -> Iterator[Problem]:
    for point in side.points:
        if point.unsure > WEAK:
            yield Problem(
                str(point.measured.place),
                f"point {point.measured.name} of the {point.measured.side} side is fixed badly: 1 mm in a distance "
                f"moves it by {point.unsure:.0f} mm or more",
                "measure it from nails that lie squarer to each other, seen from the point",
            )


def _few_points(name: Side, side: FairSide) -> Iterator[Problem]:
    for k, stretch in enumerate(side.edge.stretches):
        a, b = side.corners[k], side.corners[k + 1]
        if b - a < 2:
            continue
        if b - a + 1 < FEW:
            yield Problem(
                f"the {name} side, {stretch.name}",
                f"{b - a + 1} points from corner to corner: a slip in one of them can hardly be told",
                "measure six or more, or three nails' distances",
            )
        gaps = np.diff(side.runs[a : b + 1])
        if gaps.max() > SPARSE and len(stretch.points) > 2:
            i = a + int(gaps.argmax())
            yield Problem(
                f"the {name} side, {stretch.name}",
                f"no point for {gaps.max():.0f} mm between {side.points[i].measured.name} and "
                f"{side.points[i + 1].measured.name}: there the batten guesses",
                f"measure at most {SPARSE:.0f} mm apart, closer where it bends",
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
            )
        elif k not in gauged and len(beside) == 1:
            yield Problem(
                where,
                f"its bevel is from frame {beside[0].name} alone: that of the middle of the bay",
                "measure the neighbour on the other side too, or hold a gauge to it",
            )
    for stretch_name, apart in gauge_against(side, beside):
        if apart > GAUGE:
            yield Problem(
                f"the {name} side, {stretch_name}",
                f"gauge and neighbours differ by up to {np.degrees(apart):.1f}° in its bevel",
                "the gauge's is taken; was it held square to the edge, its stock on the measured face?",
            )


def side_differences(first: FairSide, second: FairSide) -> list[tuple[str, float]]:
    """How far the second side lies outside of the first one at each of its points, by the point's name, mm."""
    found = []
    whole = second.edge.points
    for i, fixed in enumerate(first.points):
        k, _ = first.share(i)
        stretch = first.edge.stretches[k]
        near = int(np.hypot(*(stretch.points - first.at[i]).T).argmin())
        out = stretch.out[near]
        if i in first.corners[1:-1]:
            out = out + first.edge.stretches[k - 1].out[-1]
            out = out / np.hypot(*out)
        gap = whole - first.at[i]
        nearest = int(np.hypot(*gap.T).argmin())
        found.append((fixed.measured.name, float(gap[nearest] @ out)))
    return found


def _unlike(first: FairSide, second: FairSide) -> Iterator[Problem]:
    """Where the batten has too few points to tell: those at which the sides differ as at none beside them."""
    away = np.array([apart for _, apart in side_differences(first, second)])
    for a, b in zip(first.corners, first.corners[1:], strict=False):
        if not 2 <= b - a < FEW - 1:
            continue
        for i in range(a + 1, b):
            near = [j for j in (i - 2, i - 1, i + 1, i + 2) if 0 <= j < len(away)]
            usual = float(np.median(away[near]))
            if abs(away[i] - usual) > max(BESIDE, 4.0 * float(np.abs(away[near] - usual).max())):
                point = first.points[i].measured
                other = "port" if point.side == "starboard" else "starboard"
                yield Problem(
                    str(point.place),
                    f"at point {point.name} of the {point.side} side the {other} side lies {abs(away[i]):.0f} mm "
                    f"{'outside' if away[i] > 0 else 'inside'} of it, at the points next to it {abs(usual):.0f} mm",
                    "one of the two sides may have a slip there: measure both again",
                )
