"""The points of the profile line, from stem, keel and other lines, and the line that is made of them as a value."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from patterns.fairing.bands import SpanBand
from patterns.fairing.cells import FairedCell, View
from patterns.fairing.paths import FairedPath
from patterns.fairing.profile_choice import ProfileChoice
from patterns.table.values import STERN

if TYPE_CHECKING:
    from patterns.table.line_ends import LineEnd
    from patterns.table.offsets import LineOffsets, Place, StemPoints

__all__ = [
    "PathPoint",
    "ProfileMade",
    "chain",
    "end_points",
    "keel_points",
    "measured_axis",
    "stem_points",
]

SAME_POINT = 5.0  # mm; a stem point this near to one of the keel's is the same point


@dataclass(frozen=True, slots=True, kw_only=True)
class PathPoint:
    """One point of the profile line.

    Attributes:
        x, z: mm.
        moves: ``x`` or ``z``: the coordinate that was measured and may be moved.
        knuckle: whether the line turns here on purpose.
        label: the column, or the number of the stem's point.
        stem: whether it is one of a stem's points.
        place: where it stands in the file.
        post: that stem is at the stern.
        line: the line whose own end it is, where the stem has no points of its own; else empty.
    """

    x: float
    z: float
    moves: str
    knuckle: bool
    label: str
    stem: bool
    place: Place | None
    post: bool = False
    line: str = ""

    def off(self, other: PathPoint) -> float:
        """The distance to another point, mm."""
        return float(np.hypot(self.x - other.x, self.z - other.z))

    @property
    def typed(self) -> float:
        """The offset that was measured, mm."""
        return self.x if self.moves == "x" else self.z

    @property
    def view(self) -> View:
        """The view under which its cell is known."""
        if self.line:
            return "position" if self.moves == "x" else "height"
        return "height" if not self.stem else "sternpost" if self.post else "stem"

    def words(self) -> str:
        """What the builder calls it."""
        if self.line:
            return f"the {self.label} end of {self.line}"
        if self.stem:
            return f"the {'sternpost' if self.post else 'stem'}'s point {self.label}"
        return f"station {self.label}" if self.label not in ("bow", "stern") else f"the keel's {self.label}"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ProfileMade:
    """The profile line and what was done to get it.

    Attributes:
        points: from the stem's head to the stern, or to the sternpost's head.
        path: the faired line in profile.
        joint: the parameter of the stem's last own point.
        cells: the as-faired cells of the stem's points and the keel's heights.
        bands: how well each span is known.
        choice: the lines that ``path`` was chosen from.
    """

    points: tuple[PathPoint, ...]
    path: FairedPath
    joint: float
    cells: tuple[FairedCell, ...]
    bands: tuple[SpanBand, ...]
    choice: ProfileChoice


def stem_points(stem: StemPoints, *, post: bool = False) -> list[PathPoint]:
    """The stem's own points, its head first."""
    return [
        PathPoint(
            x=float(stem.x[i]),
            z=float(stem.z[i]),
            moves="x" if stem.measured[i] == "aft" else "z",
            knuckle=stem.knuckle[i],
            label=str(i + 1),
            stem=True,
            place=stem.places[i],
            post=post,
        )
        for i in range(len(stem.x))
    ]


def end_points(ends: Sequence[LineEnd]) -> list[PathPoint]:
    """The lines' own ends as points of a stem that has none, the highest first."""
    return [
        PathPoint(
            x=end.x,
            z=end.z,
            moves="x" if end.measured == "aft" else "z",
            knuckle=False,
            label=end.label,
            stem=True,
            place=end.place,
            post=end.label == STERN,
            line=end.line,
        )
        for end in ends
    ]


def keel_points(keel: LineOffsets, knuckles: Sequence[str]) -> list[PathPoint]:
    """The keel's heights, from forward aft."""
    return [
        PathPoint(
            x=float(keel.x[i]),
            z=float(keel.z[i]),
            moves="z",
            knuckle=label in knuckles,
            label=label,
            stem=False,
            place=keel.z_places[i],
        )
        for i, label in enumerate(keel.labels)
        if np.isfinite(keel.x[i]) and np.isfinite(keel.z[i])
    ]


def chain(
    stem: Sequence[PathPoint], keel: Sequence[PathPoint], post: Sequence[PathPoint] = ()
) -> tuple[PathPoint, ...]:
    """The points of stem, keel and sternpost in their order along the line.

    A keel's height may stand at a station that the forefoot has reached already; it goes in where it
    lengthens the line least.  Where both give the same point the keel's is kept, but not its own end.

    Args:
        stem, post: each from its head down.
    """
    line = _chained(stem, keel, end="bow") if stem else tuple(keel)
    return _chained(post, line[::-1], end="stern")[::-1] if post else line


def _chained(stem: Sequence[PathPoint], keel: Sequence[PathPoint], *, end: str) -> tuple[PathPoint, ...]:
    """A stem's points and the keel's that follow them."""
    line, after = list(stem), 0
    for point in keel:
        same = [i for i, other in enumerate(line) if other.stem and other.off(point) < SAME_POINT]
        if same:
            if point.label != end:
                knuckle = point.knuckle or line[same[0]].knuckle
                line[same[0]] = PathPoint(
                    x=point.x, z=point.z, moves="z", knuckle=knuckle, label=point.label, stem=False,
                    place=point.place,
                )  # fmt: skip
            after = same[0]
            continue
        best, least = len(line), point.off(line[-1]) if line else 0.0
        for i in range(after, len(line) - 1):
            longer = line[i].off(point) + point.off(line[i + 1]) - line[i].off(line[i + 1])
            if longer < least:
                best, least = i + 1, longer
        line.insert(best, point)
        after = best
    return tuple(line)


def measured_axis(point: PathPoint) -> int:
    """0 where the point's distance aft was measured, 1 where its height was."""
    return 0 if point.moves == "x" else 1
