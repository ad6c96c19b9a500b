"""One side of the frame set against the other, where both were measured."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from patterns.errors import Problem
from patterns.repair.fairing import FairSide

__all__ = ["Apart", "side_differences", "unlike_sides"]

MANY = 6  # points by which one cause all along can be told
EVEN = 5.0  # mm from which it is told
EVENLY = 0.25  # part of the difference that it may leave
BESIDE = 10.0  # mm by which the sides may differ more at a point than at the points next to it
PAST = 30.0  # mm past the other side's end up to which a point is set against it
CORNER = 15.0  # mm by which corners may be apart more than the points are


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


def unlike_sides(first: FairSide, second: FairSide, *, few: int, planking: float | None) -> Iterator[Problem]:
    """What tells of a slip where the sides are set against each other: at one point, at a corner, all along.

    Args:
        few: points of a stretch with which the batten alone can tell a slip.
        planking: its thickness, mm, if it is known.
    """
    yield from _all_along(first, second, planking)
    there = {first.points[0].measured.side: second, second.points[0].measured.side: first}
    for one in (first, second):
        other = there[one.points[0].measured.side]
        apart = side_differences(one, other)
        yield from _unlike(one, apart, few=few)
    yield from _corners(first, second)


def _unlike(side: FairSide, apart: Sequence[Apart], *, few: int) -> Iterator[Problem]:
    away = {one.index: one.mm for one in apart if not one.corner}
    for a, b in zip(side.corners, side.corners[1:], strict=False):
        if not 2 <= b - a < few - 1:
            continue
        for i in range(a + 1, b):
            near = [away[j] for j in (i - 2, i - 1, i + 1, i + 2) if j in away]
            if i not in away or not near:
                continue
            usual = float(np.median(near))
            if abs(away[i] - usual) > max(BESIDE, 4.0 * float(np.abs(np.array(near) - usual).max())):
                point = side.points[i].measured
                other = "port" if point.side == "starboard" else "starboard"
                yield Problem(
                    str(point.place),
                    f"at point {point.name} of the {point.side} side the {other} side lies {abs(away[i]):.0f} mm "
                    f"{'outside' if away[i] > 0 else 'inside'} of it, at the points next to it {abs(usual):.0f} mm",
                    "one of the two sides may have a slip there: measure both again",
                    code="point-unlike-other-side",
                )


def _all_along(first: FairSide, second: FairSide, planking: float | None) -> Iterator[Problem]:
    """One cause by which the second side lies off the first all along: planking, or where it was measured from."""
    apart = [one for one in side_differences(first, second) if not one.corner]
    if len(apart) < MANY:
        return
    off, out = np.array([one.mm for one in apart]), np.array([one.out for one in apart])
    shapes = {"planking": np.ones(len(off)), "sideways": out[:, 0], "upright": out[:, 1]}
    fits = []
    for name, shape in shapes.items():
        much = float(shape @ off / (shape @ shape)) if shape @ shape > 1.0 else 0.0
        fits.append((float(np.sqrt(np.square(off - much * shape).mean())), name, much))
    (left, best, size), (next_best, *_), _ = sorted(fits)
    told = left < EVENLY * float(np.sqrt(np.square(off).mean())) and next_best > 2.0 * left
    if abs(size) < EVEN or not told:
        return
    one, two = (side.points[0].measured.side for side in (first, second))
    if best == "planking":
        which = (
            " (the planking's thickness)" if planking is not None and abs(abs(size) - planking) < 2.0 else ""
        )
        what = (
            f"{two} lies {abs(size):.0f} mm{which} {'outside' if size > 0 else 'inside'} of {one} all along"
        )
        want = (
            "was one of them measured on the inside of planking and the other on its outside, or on a frame's edge "
            "that lies off it?"
        )
    else:
        way = (("farther out", "farther in") if best == "sideways" else ("higher", "lower"))[
            0 if size > 0 else 1
        ]
        what = f"{two} lies as {one} does, but all of it {abs(size):.0f} mm {way}"
        want = "check whether what its points were measured from is where the design file has it"
    yield Problem(f"the {two} side", what, want, code="sides-apart")


def _corners(first: FairSide, second: FairSide) -> Iterator[Problem]:
    """Corners that are much farther apart than the rest of the sides."""
    apart = side_differences(first, second)
    rest = [abs(one.mm) for one in apart if not one.corner]
    usual = float(np.median(rest)) if rest else 0.0
    for one in apart:
        if one.corner and abs(one.mm) > CORNER + 2.0 * usual:
            point = first.points[one.index].measured
            other = "port" if point.side == "starboard" else "starboard"
            yield Problem(
                str(point.place),
                f"the {one.corner} of the {point.side} side, its point {point.name}, is {abs(one.mm):.0f} mm from "
                f"where the {other} side has it; at the other points the sides are about {usual:.0f} mm apart",
                "measure both corners again before wood is cut to them",
                code="corner-apart",
            )
