"""The cells of a line in one view, and its ends on the profile line, which holds them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from patterns.errors import Problem
from patterns.fairing.batten import Faired
from patterns.fairing.curves import Profile
from patterns.fairing.ends import ASTRAY, landing, stands_at
from patterns.fairing.keel import foot
from patterns.fairing.paths import FairedPath
from patterns.hull.planes import FloatArray
from patterns.table.values import turned_at

if TYPE_CHECKING:
    from patterns.design.file import LineSpec
    from patterns.table.offsets import LineOffsets

__all__ = ["HeldEnd", "TypedView", "end_of", "typed_view"]

TOLD = 4.0  # mm between a line's typed end and its end on the profile line from which it is spoken of
ROOM = 5.0  # mm that a line's fore end must lie forward of its first station


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TypedView:
    """The cells of one line in one view that hold a value.

    Attributes:
        x, y: shape (n,), places and offsets, mm.
        columns: the table's column of each.
        knuckles: indices at which the line turns.
    """

    x: FloatArray
    y: FloatArray
    columns: tuple[int, ...]
    knuckles: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeldEnd:
    """An end on the profile line: its parameter, the point there, what is wrong."""

    landing: float
    x: float
    y: float
    z: float
    warnings: tuple[Problem, ...]
    errors: tuple[Problem, ...]


def typed_view(row: LineOffsets, values: FloatArray, spec: LineSpec) -> TypedView:
    """The cells of a row that have a place and a value.

    Args:
        values: shape (number of the table's columns,), mm; NaN where the cell is empty.
    """
    columns = np.nonzero(np.isfinite(row.x) & np.isfinite(values))[0]
    turned = turned_at(spec.knuckles)
    return TypedView(
        x=row.x[columns],
        y=values[columns],
        columns=tuple(int(i) for i in columns),
        knuckles=tuple(k for k, i in enumerate(columns) if row.labels[i] in turned),
    )


def end_of(
    row: LineOffsets,
    high: TypedView,
    heights: Faired,
    *,
    profile: Profile,
    path: FairedPath,
    allow: float,
    aft: bool = False,
    t: float | None = None,
) -> HeldEnd:
    """The fore end, or the after one: where the faired heights meet the faired profile line.

    Args:
        t: the profile line's parameter there, where it is known beforehand.
    """
    first, second, way = (-1, -2, -1.0) if aft else (0, 1, 1.0)
    x_typed, z_typed = float(high.x[first]), float(high.y[first])
    near = foot(path, x_typed, z_typed)
    gap = float(np.hypot(path.x(near) - x_typed, path.z(near) - z_typed))
    column = high.columns[first]
    place = stands_at(row.z_places[column], row.x_places[column], line=row.name)
    if t is None:
        t = landing(heights.curve, path, x_typed, float(heights.values[first]))
    x, y, z = (float(v) for v in profile.at(t))
    moved = float(np.hypot(x - x_typed, z - z_typed))
    warnings, errors = [], []
    if gap > ASTRAY:
        errors.append(
            Problem(
                place,
                f"{row.name} ends {gap:.0f} mm off the profile line, {x_typed:.0f} mm aft and "
                f"{z_typed:.0f} mm up",
                "every line ends on the rabbet of stem and keel, which is nearest at "
                f"{float(path.x(near)):.0f} mm aft and {float(path.z(near)):.0f} mm up",
                code="line-end-off-profile",
            )
        )
    elif moved > max(2.5 * allow, TOLD):
        warnings.append(
            Problem(
                place,
                f"{row.name} meets the faired profile line {moved:.1f} mm from the end that the table gives",
                "check the end's distance aft and its height, and the stem's points near it",
                code="line-end-moved",
            )
        )
    if way * x > way * high.x[second] - ROOM:
        errors.append(
            Problem(
                place,
                f"{row.name} meets the profile line {x:.0f} mm aft, but its {row.labels[high.columns[second]]} "
                f"is at {high.x[second]:.0f} mm",
                f"a line ends {'aft of its last' if aft else 'forward of its first'} station: correct its end, or "
                "empty that cell",
                code="line-end-within-stations",
            )
        )
        x = float(high.x[second]) - way * ROOM
    return HeldEnd(landing=t, x=x, y=y, z=z, warnings=tuple(warnings), errors=tuple(errors))
