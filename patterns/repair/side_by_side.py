"""One side of the frame set against the other, where both were measured."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.repair.fairing import FairSide

__all__ = ["Apart", "side_differences"]

PAST = 30.0  # mm past the other side's end up to which a point is set against it


@dataclass(frozen=True, slots=True, kw_only=True)
class Apart:
    """How far the other side lies outside of one at one of its points.

    Attributes:
        index: the point's.
        name: and its name.
        mm: less than 0 where it lies inside; of a corner the whole distance to the other's.
        out: the unit normal in which it was measured, (2,).
        corner: what stands there, empty where nothing does.
    """

    index: int
    name: str
    mm: float
    out: tuple[float, float] = (0.0, 0.0)
    corner: str = ""


def side_differences(first: FairSide, second: FairSide) -> tuple[Apart, ...]:
    """How far the second side lies outside of the first one at each of its points that the second was measured at.

    A point is set against the stretch of its own name, a corner between two stretches against the same corner.
    """
    found = []
    for i in range(len(first.points)):
        k, _ = first.share(i)
        inner = i in first.corners[1:-1]
        name = first.points[i].measured.name
        if inner:
            # `share` counts a corner to the stretch above it.
            far = _corner_apart(first, second, first.corners.index(i), i)
            if far is not None:
                corner = first.points[i].measured.corner
                found.append(Apart(index=i, name=name, mm=far, corner=corner))
                continue
        for stretch in {k - 1, k} if inner else {k}:
            off = _off_stretch(first, second, i, stretch)
            if off is not None:
                found.append(Apart(index=i, name=name, mm=off[0], out=off[1]))
                break
    return tuple(found)


def _names(side: FairSide) -> list[str]:
    return [stretch.name for stretch in side.edge.stretches]


def _corner_apart(first: FairSide, second: FairSide, stop: int, i: int) -> float | None:
    """How far apart the two sides' corners between the same two stretches are; None where the second has none."""
    own = first.edge.stretches[stop - 1 : stop + 1]
    pair = [stretch.name for stretch in own]
    names = _names(second)
    there = [n for n in range(1, len(names)) if names[n - 1 : n + 1] == pair]
    if not there:
        return None
    gap = second.edge.corner_places[there[0]] - first.at[i]
    return float(np.copysign(np.hypot(*gap), gap @ (own[0].out[-1] + own[1].out[0])))


def _off_stretch(
    first: FairSide, second: FairSide, i: int, k: int
) -> tuple[float, tuple[float, float]] | None:
    """How far a stretch of the second lies out of a point of the first, and that way; None past its ends."""
    own = first.edge.stretches[k]
    other = next((stretch for stretch in second.edge.stretches if stretch.name == own.name), None)
    if other is None:
        return None
    out = own.out[int(np.hypot(*(own.points - first.at[i]).T).argmin())]
    fine = np.linspace(0.0, 1.0, 9)[:, None]
    line = np.concatenate([a + fine * (b - a) for a, b in zip(other.points, other.points[1:], strict=False)])
    gap = line - first.at[i]
    nearest = gap[int(np.hypot(*gap.T).argmin())]
    along = abs(float(nearest[0] * out[1] - nearest[1] * out[0]))
    return (float(nearest @ out), (float(out[0]), float(out[1]))) if along <= PAST else None
