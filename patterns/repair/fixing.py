"""Where a measured point is: by ordinates, by distances from nails, by half-breadth and height."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from patterns.design.repair_models import Way
from patterns.errors import Problem
from patterns.hull.planes import FloatArray
from patterns.repair.places import Places, across, meet_of_two
from patterns.repair.points import MeasuredPoint

__all__ = ["Fixed", "fix", "placed", "pull"]

ROUNDS = 30  # of Gauss and Newton; a handful are usual
IN_LINE = 0.1  # sine of the angle at the first of three nails; below it they stand in a line
STEP = 0.01  # mm; for derivatives by a value


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fixed:
    """A point with its place.

    Attributes:
        at: (2,), its side's own coordinates, mm.
        unsure: how far it may be off where each value is off by 1, in the worst direction.
        check: with three nails, by how much each distance disagrees with the place, mm, (3,); else None.
    """

    measured: MeasuredPoint
    at: FloatArray
    unsure: float
    check: FloatArray | None = None

    @property
    def worst_check(self) -> float:
        """The greatest disagreement of three distances, mm; 0 where there are two."""
        return 0.0 if self.check is None else float(np.abs(self.check).max())


def placed(point: MeasuredPoint, places: Places) -> FloatArray | None:
    """The place of a point, (2,), in its side's own coordinates; None where its distances do not meet."""
    if point.method == "half-breadth":
        return np.array(point.values)
    if point.method == "ordinate":
        return places.edges[point.sources[0]].place(point.side, *point.values[:2])
    nails = [places.nails[name].at(point.side) for name in point.sources]
    ways: tuple[Way, ...] = (point.lies,) if point.lies is not None else ("up", "outboard")
    normal = next((found for way in ways if (found := across(nails[0], nails[1], way)) is not None), None)
    if normal is None:
        return None
    signs = (1.0,) if point.lies is not None else (1.0, -1.0)
    both = (point.values[0], point.values[1])
    answers = [meet_of_two(nails[0], nails[1], both, sign * normal) for sign in signs]
    starts = [at for at in answers if at is not None]
    if not starts:
        return None
    if len(nails) == 2:
        return starts[0]
    return min((_nearest(at, nails, point.values) for at in starts), key=lambda pair: pair[1])[0]


def _nearest(
    start: FloatArray, nails: list[FloatArray], distances: tuple[float, ...]
) -> tuple[FloatArray, float]:
    """The place that agrees best with all distances (Gauss and Newton), and the sum of squares that is left."""
    at = start
    corners, wanted = np.array(nails), np.array(distances)
    for _ in range(ROUNDS):
        away = at - corners
        length = np.hypot(*away.T)
        step = np.linalg.lstsq(away / length[:, None], wanted - length, rcond=None)[0]
        at = at + step
        if np.hypot(*step) < 1e-10:
            break
    return at, float(np.square(np.hypot(*(at - corners).T) - wanted).sum())


def pull(point: MeasuredPoint, places: Places, which: int) -> FloatArray:
    """By how much a point moves, (2,), where one of its values is more by 1 mm; nan where that cannot be told."""
    values = [replace(point, values=_with(point, which, way * STEP)) for way in (1.0, -1.0)]
    more, less = (placed(one, places) for one in values)
    if more is None or less is None:
        return np.full(2, np.nan)
    return (more - less) / (2.0 * STEP)


def _with(point: MeasuredPoint, which: int, more: float) -> tuple[float, ...]:
    return tuple(value + more * (i == which) for i, value in enumerate(point.values))


def fix(point: MeasuredPoint, places: Places) -> Fixed | Problem:
    """The point in its place, or why it has none."""
    nails = [places.nails[name].at(point.side) for name in point.sources] if point.method == "nails" else []
    if nails:
        apart = float(np.hypot(*(nails[1] - nails[0])))
        if apart < 1.0:
            return Problem(
                str(point.place),
                f"its nails {_named(point)} are one place",
                "name two that are apart",
                code="nails-same-place",
            )
        if point.lies is not None and across(nails[0], nails[1], point.lies) is None:
            return Problem(
                str(point.place),
                f'the line through {_named(point)} has no side "{point.lies}": it runs that way itself',
                "write another way in the column lies",
                code="side-undefined",
            )
        if len(nails) == 3 and point.lies is None and _in_line(nails):
            return Problem(
                str(point.place),
                f"its nails {', '.join(point.sources)} lie in a line: the point may lie on either side of it",
                "write on which side in the column lies",
                code="nails-in-line",
            )
    at = placed(point, places)
    if at is None:
        return Problem(
            str(point.places[0]),
            f"the distances {point.values[0]:.0f} mm from {point.sources[0]} and {point.values[1]:.0f} mm from "
            f"{point.sources[1]} do not meet: those nails are {apart:.0f} mm apart",
            "measure them again",
            code="distances-do-not-meet",
        )
    moves = np.array([pull(point, places, i) for i in range(len(point.values))])
    unsure = float(np.linalg.norm(moves, ord=2)) if np.isfinite(moves).all() else np.inf
    check = None
    if len(nails) == 3:
        check = np.array(point.values) - np.hypot(*(at - np.array(nails)).T)
    return Fixed(measured=point, at=at, unsure=max(unsure, 1.0), check=check)


def _in_line(nails: list[FloatArray]) -> bool:
    first, second = nails[1] - nails[0], nails[2] - nails[0]
    area = abs(float(first[0] * second[1] - first[1] * second[0]))
    return area < IN_LINE * float(np.hypot(*first) * max(np.hypot(*second), 1.0))


def _named(point: MeasuredPoint) -> str:
    return " and ".join(point.sources[:2])
