"""Bevels along the edge: from a gauge held to the old wood, or from the frames on either side.

Square to the edge the surface goes out by the difference of two outlines while one goes along the boat by their
spacing: the tangent of the departure from square is the one over the other.
That is the trade's bevel board: its base the spacing, its rise the square distance between neighbouring section
lines (the source stands beside its test).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.repair.fairing import FairSide
from patterns.repair.measuring.bevels import BevelFit, BevelReading, ReadBy
from patterns.repair.outline import Edge, EdgeStretch
from patterns.repair.places import Side

__all__ = ["Beside", "bevel_readings", "by_neighbours", "with_bevels"]

AT = np.linspace(0.0, 1.0, 7)  # shares of a stretch at which the neighbours' outlines are read
KNOWN = 1.5  # degrees; standard deviation up to which a bevel is known where none of its stretch was read

LONGEST = 1500.0  # mm; an outline farther off than this is not the same stretch


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Beside:
    """A neighbour's edge on one side of the boat.

    Attributes:
        depth: its plane's distance behind the broken frame's measured face, mm; less than 0 before it.
    """

    name: str
    depth: float
    edge: Edge


def bevel_readings(
    sides: Mapping[Side, FairSide], beside: Mapping[Side, Sequence[Beside]]
) -> list[BevelReading]:
    """Everything that was read of the bevels: at points by a gauge, and along stretches by the neighbours."""
    found = []
    for name, side in sides.items():
        starts = side.edge.corner_runs
        near = by_neighbours(side.edge, beside[name])
        for k, stretch in enumerate(side.edge.stretches):
            length = float(stretch.run[-1])
            for i in range(side.corners[k], side.corners[k + 1] + 1):
                point = side.points[i].measured
                if point.bevel is not None and _belongs(side, i, k):
                    found.append(
                        BevelReading(
                            side=name,
                            stretch=stretch.name,
                            share=float((side.runs[i] - starts[k]) / length),
                            length=length,
                            degrees=float(np.degrees(point.bevel) - 90.0),
                            means=ReadBy.GAUGE,
                            point=point.name,
                        )
                    )
            if k in near:
                alone = len(beside[name]) == 1
                slope = np.interp(AT, stretch.run / length, near[k][0])
                found += [
                    BevelReading(
                        side=name,
                        stretch=stretch.name,
                        share=float(share),
                        length=length,
                        degrees=float(np.degrees(np.arctan(value))),
                        means=ReadBy.OUTLINES,
                        alone=alone,
                    )
                    for share, value in zip(AT, slope, strict=True)
                ]
    return found


def _belongs(side: FairSide, i: int, k: int) -> bool:
    """Whether a bevel read at a point is that of a stretch: at a corner, of the stretch that its row names."""
    if i not in side.corners[1:-1]:
        return True
    own = side.points[i].measured.edge == side.edge.stretches[k].name
    stop = side.corners.index(i)
    both = {side.edge.stretches[stop - 1].name, side.edge.stretches[stop].name}
    return own or (len(both) == 1 and k == stop - 1)


def _departures(stretch: EdgeStretch, other: EdgeStretch) -> FloatArray:
    """How far out of a stretch another outline lies, square to it at its points, (n,), mm."""
    line = other.points
    first, last = line[0] - line[1], line[-1] - line[-2]
    line = np.vstack([
        line[0] + LONGEST * first / np.hypot(*first), line, line[-1] + LONGEST * last / np.hypot(*last)
    ])  # fmt: skip
    start, step = line[:-1], np.diff(line, axis=0)
    gap = start[None] - stretch.points[:, None]  # (n, m, 2)
    out = stretch.out[:, None]
    across = out[..., 0] * step[None, :, 1] - out[..., 1] * step[None, :, 0]
    safe = np.where(np.abs(across) < 1e-12, np.nan, across)
    with np.errstate(invalid="ignore"):
        away = (gap[..., 0] * step[None, :, 1] - gap[..., 1] * step[None, :, 0]) / safe
        share = (gap[..., 0] * out[..., 1] - gap[..., 1] * out[..., 0]) / safe
        hit = (share >= -1e-9) & (share <= 1.0 + 1e-9) & (np.abs(away) < LONGEST)
    away = np.where(hit, away, np.inf)
    nearest = np.abs(away).argmin(axis=1)
    found = away[np.arange(len(away)), nearest]
    return np.where(np.isfinite(found), found, np.nan)


def _matching(edge: Edge, name: str) -> EdgeStretch | None:
    return next((stretch for stretch in edge.stretches if stretch.name == name), None)


def by_neighbours(edge: Edge, beside: Sequence[Beside]) -> dict[int, tuple[FloatArray, FloatArray]]:
    """The slope and its change along every stretch that a neighbour has too.

    With neighbours on both sides a parabola through all three outlines gives both; with one the slope is that of
    the straight line between the two, and nothing is known of its change.

    Returns:
        By the stretch's index, slopes (n,) and their changes (n,), as `Stretch` has them.
    """
    found = {}
    before = [one for one in beside if one.depth < 0.0]
    behind = [one for one in beside if one.depth > 0.0]
    chosen = [max(before, key=lambda one: one.depth)] if before else []
    chosen += [min(behind, key=lambda one: one.depth)] if behind else []
    for k, stretch in enumerate(edge.stretches):
        pairs = [
            (one.depth, _departures(stretch, match))
            for one in chosen
            if (match := _matching(one.edge, stretch.name)) is not None
        ]
        pairs = [(depth, away) for depth, away in pairs if np.isfinite(away).all()]
        if len(pairs) == 1:
            depth, away = pairs[0]
            found[k] = away / depth, np.zeros_like(away)
        elif len(pairs) == 2:
            (w1, t1), (w2, t2) = pairs
            hollow = (t2 / w2 - t1 / w1) / (w2 - w1)
            found[k] = t1 / w1 - hollow * w1, hollow
    return found


def with_bevels(name: Side, side: FairSide, fit: BevelFit, beside: Sequence[Beside]) -> FairSide:
    """The side with the bevels of its edge, blank on the stretches of which none is known."""
    near = by_neighbours(side.edge, beside)
    stretches = []
    for k, stretch in enumerate(side.edge.stretches):
        length = float(stretch.run[-1])
        degrees, unsure = fit.at(name, stretch.name, stretch.run / length, length)
        read = any((one.side, one.stretch) == (name, stretch.name) for one in fit.readings)
        if read or unsure.max() < KNOWN:
            hollow = near[k][1] if k in near else np.zeros_like(degrees)
            stretches.append(replace(stretch, slope=np.tan(np.radians(degrees)), hollow=hollow))
        else:
            stretches.append(stretch)
    return replace(side, edge=replace(side.edge, stretches=tuple(stretches)))
