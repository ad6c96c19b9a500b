"""What is lofted by hand: a line of the boat on a grid, its offsets with slips planted, and what is to come out.

The true line is the boat's own as faired.  Its offsets are printed as her table writes them, but for one or two
that are wrong on purpose: a pupil who finds them draws the line that the patterns are made from.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from patterns.boat import Boat
from patterns.errors import PatternsError, RequestError
from patterns.fairing.cells import FairedCell
from patterns.hull.planes import FloatArray, station_plane
from patterns.hull.sections import cut_hull
from patterns.hull.surfaces import Curve
from patterns.lesson.grid import FEET, METRIC, Axis, lay_axis
from patterns.lesson.pencil import BoolArray
from patterns.lesson.planted import MOVES, band_of, places_to_plant
from patterns.measure import Notation, format_length, least_count, parse_length
from patterns.measure.nearest import nearest
from patterns.shop.round_lines import level_runs
from patterns.shop.tables import own_factor
from patterns.shop.views import every_line
from patterns.table.values import BOW, STERN

__all__ = ["Cross", "Exercise", "exercises", "line_names"]

VIEWS = ("height", "half-breadth", "diagonal")
AXES = {"height": [0, 2], "half-breadth": [0, 1]}
FEW = 4  # offsets; fewer make no line to be faired
SAMPLES = 600
CROSSES = 8  # fewer are helped by others half-way between stations
FLAT = 10.0  # mm; a view in which the line moves by less is a straight one, and nothing is learnt from it
ROUNDED = 0.6  # mm of paper; a table that is coarser on the grid than this is written finer


@dataclass(frozen=True, slots=True, kw_only=True)
class Cross:
    """One offset of an exercise; true mm.

    Attributes:
        label: its station, or an end of the line.
        x: how far aft.
        true: where the line is.
        printed: what the sheet says.
        planted: the sheet is wrong on purpose here.
        band: how far from the true line a careful pupil's reading may be.
        slope: the angle of the line to fore-and-aft, radians.
    """

    label: str
    x: float
    true: float
    printed: float
    planted: bool
    band: float
    slope: float

    @property
    def at_end(self) -> bool:
        """It is an end of the line."""
        return self.label in (BOW, STERN)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Exercise:
    """One line in one view on a grid of its own.

    Attributes:
        line, view: as in the table.
        notation: in which lengths are written.
        crosses: the offsets, from the bow aft.
        curve: as faired, (n, 2): distance aft and offset, true mm.
        along, across: the grid's two ways.
        bevels: by a cross's label, the bevels of the planking beside the line on a frame there, whose wood lies
            away from the greatest breadth: strake and angle through the wood, radians.
    """

    line: str
    view: str
    notation: Notation
    crosses: tuple[Cross, ...]
    curve: FloatArray
    along: Axis
    across: Axis
    bevels: dict[str, tuple[tuple[str, float], ...]]

    @property
    def seen_from_above(self) -> bool:
        """It is a line in plan, whose angles are asked for."""
        return self.view == "half-breadth"

    def on_paper(self, points: FloatArray) -> FloatArray:
        """True places (n, 2) on the grid, mm from its lower left corner."""
        found: FloatArray = (points - (self.along.low, self.across.low)) / (
            self.along.scale,
            self.across.scale,
        )
        return found

    def recipe(self) -> tuple[tuple[float, float], ...]:
        """For each cross the angle by the sheet's recipe, and the half-width of its band, radians.

        The recipe: the offset at the next cross less that at the one before, over their distance apart; at an end,
        the one neighbour and the end itself.
        """
        last = len(self.crosses) - 1
        found = []
        for i in range(last + 1):
            one, two = self.crosses[max(i - 1, 0)], self.crosses[min(i + 1, last)]
            rise, run = two.true - one.true, two.x - one.x
            angle = float(np.arctan2(rise, run))
            band = float(np.hypot(one.band, two.band)) / run * np.cos(angle) ** 2
            found.append((angle, float(band)))
        return tuple(found)


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
    """The lines asked for, each in all views in which the table has it and it is not straight.

    Args:
        lines: their names; none: the sheer.
        room, tall: mm of paper for a grid, along the boat and across.
        metric: in millimetres whatever the table is written in.
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
    grid = _Room(along=room, across=tall, notation=Notation.MM if metric else boat.offsets.notation)
    names = dict.fromkeys(by_name[name.strip().casefold()] for name in wanted)
    views = [(name, view, cells) for name in names for view in VIEWS if (cells := _cells(boat, name, view))]
    return tuple(_exercise(boat, cells, grid) for _, _, cells in _bent(views))


_View = tuple[str, str, tuple[FairedCell, ...]]


def _bent(views: Sequence[_View]) -> list[_View]:
    """Those in which the line is not straight; all, where it is in every one."""
    found = [view for view in views if np.ptp([cell.faired for cell in view[2]]) > FLAT]
    return found or list(views)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Room:
    """The paper for a grid, mm, and how its lengths are written."""

    along: float
    across: float
    notation: Notation

    def written(self, mm: float, factor: float, scale: float) -> float:
        """A length as the sheet says it, mm: to whole mm or eighths, or finer where that shows on the grid.

        Args:
            factor: by which the table multiplies it, e.g. where whole breadths are given.
        """
        if self.notation.metric:
            step = 0.5 if scale * ROUNDED < 1.0 else 1.0
        else:
            step = least_count(self.notation)
            step = step if step > 1.0 else 2.0 * step
        near = round(mm * factor / step) * step
        return parse_length(format_length(near, self.notation), notation=self.notation) / factor


def _cells(boat: Boat, line: str, view: str) -> tuple[FairedCell, ...]:
    """The cells of a line in a view, from the bow aft; none where they are too few to be faired."""
    cells = [row for row in boat.lines.rows if row.line == line and row.view == view]
    return tuple(sorted(cells, key=lambda cell: cell.x)) if len(cells) >= FEW else ()


def _exercise(boat: Boat, cells: tuple[FairedCell, ...], room: _Room) -> Exercise:
    line, view = cells[0].line, cells[0].view
    curve = _curve(boat, line, view, cells)
    places = _places(cells)
    x = np.array([at for _, at in places])
    faired = {cell.label: cell.faired for cell in cells}
    true = np.array([faired.get(label, float(np.interp(at, *curve.T))) for label, at in places])
    along = lay_axis(x[0], x[-1], room.along, (1.0,))  # it has lines at stations alone
    steps = METRIC if room.notation.metric else FEET
    across = lay_axis(float(curve[:, 1].min()), float(curve[:, 1].max()), room.across, steps)
    factor = own_factor(boat.design, view)
    exact = np.array([room.written(v, factor, across.scale) for v in true])
    printed, planted = _planted(x / along.scale, true, exact, across)
    printed = np.array([room.written(v, factor, across.scale) for v in printed])
    held = band_of(x / along.scale, true / across.scale, printed / across.scale, planted) * across.scale
    slopes = np.arctan(np.interp(x, curve[:, 0], np.gradient(curve[:, 1], curve[:, 0])))
    return Exercise(
        line=line,
        view=view,
        notation=room.notation,
        crosses=tuple(
            Cross(
                label=label, x=float(x[i]), true=float(true[i]), printed=float(printed[i]),
                planted=bool(planted[i]), band=float(held[i]), slope=float(slopes[i]),
            )
            for i, (label, _) in enumerate(places)
        ),
        curve=curve,
        along=along,
        across=lay_axis(
            float(min(printed.min(), curve[:, 1].min())), float(max(printed.max(), curve[:, 1].max())),
            room.across, steps,
        ),
        bevels={
            label: found
            for label, at in places
            if view == "half-breadth" and (found := _bevels(boat, line, label, at))
        },
    )  # fmt: skip


def _places(cells: Sequence[FairedCell]) -> list[tuple[str, float]]:
    """Where offsets are given: at the table's own stations and ends, and half-way where those are few."""
    places = [(cell.label, cell.x) for cell in cells]
    while len(places) < CROSSES:
        gaps = [
            (two[1] - one[1], i)
            for i, (one, two) in enumerate(pairwise(places))
            if not {one[0], two[0]} & {BOW, STERN} and "½" not in one[0] + two[0]
        ]
        if not gaps:
            break
        _, i = max(gaps)
        places.insert(i + 1, (f"{places[i][0]}½", 0.5 * (places[i][1] + places[i + 1][1])))
    return places


def _planted(
    x: FloatArray, true: FloatArray, exact: FloatArray, across: Axis
) -> tuple[FloatArray, BoolArray]:
    """The offsets (n,) with one or two moved within the grid, true mm, and which these are.

    Args:
        x: mm of paper.
        true, exact: the line's offsets, and the same as the table would write them.
    """
    printed = exact.copy()
    planted = np.zeros(len(x), dtype=bool)
    found = places_to_plant(x, true / across.scale, exact / across.scale)
    for place, move, way in zip(found, MOVES, (1.0, -1.0), strict=False):
        moves = [exact[place] + sign * move * across.scale for sign in (way, -way)]
        inside = [value for value in moves if across.low <= value <= across.high]
        printed[place] = (inside or moves)[0]
        planted[place] = True
    return printed, planted


def _curve(boat: Boat, line: str, view: str, cells: Sequence[FairedCell]) -> FloatArray:
    """The line as faired from its first cell to its last, (n, 2): distance aft, rising, and offset, mm."""
    points = _whole_curve(boat, line, view)
    points = points[np.argsort(points[:, 0], kind="stable")]
    first, last = cells[0], cells[-1]
    inner = points[(points[:, 0] > first.x + 1e-3) & (points[:, 0] < last.x - 1e-3)]
    kept = np.append(True, np.diff(inner[:, 0]) > 1e-3)
    return np.vstack([[first.x, first.faired], inner[kept], [last.x, last.faired]])


def _whole_curve(boat: Boat, line: str, view: str) -> FloatArray:
    own: dict[str, Curve] = dict(every_line(boat))
    if line in own and view in AXES:
        curve = own[line]
        return curve.at(np.linspace(curve.start, curve.end, SAMPLES))[:, AXES[view]]
    for level, points in level_runs(boat):
        if level.name == line:
            off = np.hypot(points[:, 1] - level.start[0], points[:, 2] - level.start[1])
            return np.column_stack([points[:, 0], off])
    raise PatternsError(f"{line} has no {view}")


def _bevels(boat: Boat, line: str, label: str, x: float) -> tuple[tuple[str, float], ...]:
    """The bevels beside a line on a frame at a station; none at the ends, and where no frame can be."""
    if label in (BOW, STERN) or line == boat.hull.keel:
        return ()
    try:
        section = cut_hull(boat.hull, station_plane(x))
    except PatternsError:
        return ()
    corner = section.corner(line)
    if corner is None:
        return ()
    siding = np.array([-1.0 if x < boat.hull.widest else 1.0, 0.0, 0.0])
    found = []
    for strake in boat.hull.strakes:
        normal = corner.below if strake.upper == line else corner.above if strake.lower == line else None
        if normal is not None:
            found.append((strake.name, float(np.arccos(np.clip(normal @ siding, -1.0, 1.0)))))
    return tuple(found)
