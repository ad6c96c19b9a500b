"""What is lofted by hand: the offsets of a line in one view, the curve drawn through them, the bevels there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from patterns.boat import Boat
from patterns.errors import PatternsError, RequestError
from patterns.fairing.cells import FairedCell
from patterns.hull.planes import FloatArray, station_plane
from patterns.hull.sections import cut_hull
from patterns.hull.surfaces import Curve
from patterns.lesson.grid import FEET, METRIC, Axis, lay_axis
from patterns.measure.nearest import nearest
from patterns.shop.round_lines import level_runs
from patterns.shop.views import every_line
from patterns.table.values import BOW, STERN

__all__ = ["Exercise", "exercises", "line_names"]

VIEWS = ("height", "half-breadth", "diagonal")
AXES = {"height": [0, 2], "half-breadth": [0, 1]}
FEW = 4  # offsets; fewer make no line to be faired
SAMPLES = 600


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Exercise:
    """One line in one view on a grid of its own.

    Attributes:
        line, view: as in the table.
        cells: the offsets as typed and as faired, from the bow aft.
        typed_x: how far aft each stands as typed, mm; the ends of a line may be moved by fairing.
        curve: as faired, (n, 2): distance aft and offset, true mm.
        along, across: the grid's two ways.
        slopes: for each cell of a half-breadth, the angle between the line, seen from above, and fore-and-aft,
            radians, positive where it runs out going aft; empty in other views.
        bevels: by the cell's label, the bevels of the planking beside the line on a frame there, whose wood lies
            away from the greatest breadth: strake and angle through the wood, radians.
    """

    line: str
    view: str
    cells: tuple[FairedCell, ...]
    typed_x: tuple[float, ...]
    curve: FloatArray
    along: Axis
    across: Axis
    slopes: tuple[float, ...]
    bevels: dict[str, tuple[tuple[str, float], ...]]


def line_names(boat: Boat) -> list[str]:
    """The lines of the table that can be lofted, by name."""
    counts: dict[tuple[str, str], int] = {}
    for row in boat.lines.rows:
        if row.view in VIEWS:
            counts[row.line, row.view] = counts.get((row.line, row.view), 0) + 1
    return list(dict.fromkeys(line for (line, _), count in counts.items() if count >= FEW))


def exercises(
    boat: Boat, lines: Sequence[str], *, room: float, tall: float, metric: bool = False
) -> tuple[Exercise, ...]:
    """The lines asked for, each in all views in which the table has it.

    Args:
        lines: their names; none: the sheer.
        room, tall: mm of paper for a grid.
        metric: the grid has lines at round millimetres whatever the table is written in.
    Raises:
        RequestError: lines that the table has not; all are listed.
    """
    there = line_names(boat)
    by_name = {name.casefold(): name for name in there}
    wanted = list(lines) or [boat.design.lines[-1].name]
    unknown = [name for name in wanted if name.strip().casefold() not in by_name]
    if unknown:
        raise RequestError(
            "\n".join(
                f'--loft "{name}": {nearest(name, there) or "no such line"}; there are: {", ".join(there)}'
                for name in unknown
            )
        )
    steps = METRIC if metric or boat.offsets.notation.metric else FEET
    return tuple(
        _exercise(boat, by_name[name.strip().casefold()], view, cells, room, tall, steps)
        for name in dict.fromkeys(wanted)
        for view in VIEWS
        if len(cells := _cells(boat, by_name[name.strip().casefold()], view)) >= FEW
    )


def _cells(boat: Boat, line: str, view: str) -> tuple[FairedCell, ...]:
    cells = [row for row in boat.lines.rows if row.line == line and row.view == view]
    return tuple(sorted(cells, key=lambda cell: cell.x))


def _exercise(
    boat: Boat,
    line: str,
    view: str,
    cells: tuple[FairedCell, ...],
    room: float,
    tall: float,
    steps: Sequence[float],
) -> Exercise:
    curve = _curve(boat, line, view)
    typed_x = tuple(_typed_x(boat, cell) for cell in cells)
    at = [*typed_x, *curve[[0, -1], 0].tolist()]
    offsets = [*(cell.offset for cell in cells), *(cell.faired for cell in cells), *curve[:, 1].tolist()]
    flat = view == "half-breadth"
    return Exercise(
        line=line,
        view=view,
        cells=cells,
        typed_x=typed_x,
        curve=curve,
        along=lay_axis(min(at), max(at), room, (1.0,)),  # it has lines at stations alone
        across=lay_axis(min(offsets), max(offsets), tall, steps),
        slopes=tuple(_slopes(curve, cells)) if flat else (),
        bevels={cell.label: found for cell in cells if flat and (found := _bevels(boat, line, cell))},
    )


def _typed_x(boat: Boat, cell: FairedCell) -> float:
    """How far aft a cell's own column stands in the table, mm."""
    rows = boat.offsets.diagonals if cell.view == "diagonal" else boat.offsets.lines
    row = rows[cell.line]
    x = float(row.x[row.column(cell.label)])
    return x if np.isfinite(x) else cell.x


def _curve(boat: Boat, line: str, view: str) -> FloatArray:
    """The line as faired, (n, 2): distance aft and offset, mm."""
    own: dict[str, Curve] = dict(every_line(boat))
    if line in own and view in AXES:
        curve = own[line]
        return curve.at(np.linspace(curve.start, curve.end, SAMPLES))[:, AXES[view]]
    for level, points in level_runs(boat):
        if level.name == line:
            off = np.hypot(points[:, 1] - level.start[0], points[:, 2] - level.start[1])
            return np.column_stack([points[:, 0], off])
    raise PatternsError(f"{line} has no {view}")


def _slopes(curve: FloatArray, cells: Sequence[FairedCell]) -> FloatArray:
    """The angle of the curve at each cell, radians."""
    order = np.argsort(curve[:, 0], kind="stable")
    x, y = curve[order].T
    kept = np.append(True, np.diff(x) > 1e-6)
    found: FloatArray = np.interp([cell.x for cell in cells], x[kept], np.gradient(y[kept], x[kept]))
    return np.arctan(found)


def _bevels(boat: Boat, line: str, cell: FairedCell) -> tuple[tuple[str, float], ...]:
    """The bevels beside a line on a frame at a station; none at the ends, and where no frame can stand."""
    if cell.label in (BOW, STERN) or line == boat.hull.keel:
        return ()
    try:
        section = cut_hull(boat.hull, station_plane(cell.x))
    except PatternsError:
        return ()
    corner = section.corner(line)
    if corner is None:
        return ()
    siding = np.array([-1.0 if cell.x < boat.hull.widest else 1.0, 0.0, 0.0])
    found = []
    for strake in boat.hull.strakes:
        normal = corner.below if strake.upper == line else corner.above if strake.lower == line else None
        if normal is not None:
            found.append((strake.name, float(np.arccos(np.clip(normal @ siding, -1.0, 1.0)))))
    return tuple(found)
