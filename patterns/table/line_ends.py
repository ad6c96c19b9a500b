"""The lines' own ends at a stem: points of the rabbet, where the plan gives no profile of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from patterns.table.levels import levels_of
from patterns.table.values import BOW, Offsets, Place, StemPoints

if TYPE_CHECKING:
    from patterns.design.models import Design

__all__ = ["LineEnd", "ends_as_stem", "line_ends"]

TOGETHER = 5.0  # mm; ends of two lines nearer than this are one place of the rabbet


@dataclass(frozen=True, slots=True, kw_only=True)
class LineEnd:
    """Where a line ends on the rabbet, as typed.

    Attributes:
        line: its name in the table.
        label: the table's column, ``bow`` or ``stern``.
        x, z: mm aft and above base.
        measured: which of the two is uncertain: the distance aft where the rabbet is steep, the height where it
            runs more nearly level, and always the distance aft of a waterline, whose height is exact.
        place: the cell of that value.
    """

    line: str
    label: str
    x: float
    z: float
    measured: Literal["aft", "height"]
    place: Place | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Read:
    """An end as the table has it; ``level`` where its height (or its diagonal) is given by the design."""

    line: str
    x: float
    z: float
    x_place: Place | None
    z_place: Place | None
    level: bool


def line_ends(offsets: Offsets, design: Design, label: str) -> tuple[LineEnd, ...]:
    """The ends of all lines but the keel at one end of the boat, the highest first.

    Chines and sheer give one each where both position and height are typed, waterlines and diagonals where
    position and offset are.  Of ends that fall together one is kept, a waterline's rather than another's.

    Args:
        label: ``bow`` or ``stern``.
    """
    kept: list[_Read] = []
    for end in sorted(_read(offsets, design, label), key=lambda end: not end.level):
        if all(np.hypot(end.x - other.x, end.z - other.z) >= TOGETHER for other in kept):
            kept.append(end)
    into = 1.0 if label == BOW else -1.0
    kept.sort(key=lambda end: (-end.z, into * end.x))
    found = []
    for i, end in enumerate(kept):
        before, after = kept[max(i - 1, 0)], kept[min(i + 1, len(kept) - 1)]
        steep = end.level or abs(after.z - before.z) >= abs(after.x - before.x)
        found.append(
            LineEnd(
                line=end.line,
                label=label,
                x=end.x,
                z=end.z,
                measured="aft" if steep else "height",
                place=end.x_place if steep else end.z_place,
            )
        )
    return tuple(found)


def _read(offsets: Offsets, design: Design, label: str) -> Iterator[_Read]:
    names = {spec.name for spec in design.lines[1:]}
    for name, row in offsets.lines.items():
        i = row.column(label)
        if name in names and np.isfinite(row.x[i]) and np.isfinite(row.z[i]):
            yield _Read(
                line=name, x=float(row.x[i]), z=float(row.z[i]), x_place=row.x_places[i],
                z_place=row.z_places[i], level=False,
            )  # fmt: skip
    for level in levels_of(offsets, design):
        i = level.row.column(label)
        point = level.points()[i]
        if level.view != "height" and np.isfinite(point).all():  # a buttock never reaches the rabbet
            yield _Read(
                line=level.name, x=float(point[0]), z=float(point[2]), x_place=level.row.x_places[i],
                z_place=level.places[i], level=True,
            )  # fmt: skip


def ends_as_stem(offsets: Offsets, design: Design, label: str) -> StemPoints | None:
    """The ends as points of a stem, for what is checked before anything is faired; None where there are none."""
    ends = [(end, end.place) for end in line_ends(offsets, design, label)]
    known = [(end, place) for end, place in ends if place is not None]
    if not known:
        return None
    return StemPoints(
        file=offsets.file,
        x=np.array([end.x for end, _ in known]),
        z=np.array([end.z for end, _ in known]),
        measured=tuple(end.measured for end, _ in known),
        knuckle=(False,) * len(known),
        places=tuple(place for _, place in known),
    )
