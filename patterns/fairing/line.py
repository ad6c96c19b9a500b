"""One line of the table, faired in both views and ended on the profile line."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from patterns.errors import Problem
from patterns.fairing.bands import SpanBand
from patterns.fairing.batten import Ends, Faired, fair, straight
from patterns.fairing.blame import Hint
from patterns.fairing.cells import FairedCell, View
from patterns.fairing.curves import FairCurve, Profile, SpaceLine, space_line
from patterns.fairing.end_hints import breadth_hints, height_hints
from patterns.fairing.ends import ASTRAY, blunt_from, landing, stands_at
from patterns.fairing.evenness import NOISE
from patterns.fairing.keel import foot
from patterns.fairing.level import level_end, level_heights
from patterns.fairing.line_bands import band_warnings, line_bands, straight_bands
from patterns.fairing.paths import FairedPath
from patterns.fairing.possible import possible
from patterns.fairing.suspects import Suspect, suspects_of, written_to
from patterns.hull.planes import FloatArray
from patterns.table.values import turned_at

if TYPE_CHECKING:
    from patterns.design.file import Design, LineSpec
    from patterns.table.offsets import LineOffsets, Offsets

__all__ = ["LineMade", "make_line", "off_straight"]

Curve = Callable[[FloatArray], FloatArray]

TOLD = 4.0  # mm between a line's typed end and its end on the profile line from which it is spoken of
ROOM = 5.0  # mm that a line's fore end must lie forward of its first station


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LineMade:
    """A faired line and what was found on the way.

    Attributes:
        line: the line in space.
        landing, landing_aft: the profile line's parameter at its fore and its after end; None at a transom.
        cells: its part of the as-faired table.
        bands: how well each of its spans is known, in both views.
        suspects, warnings, errors: what the builder should look at, or must correct.
    """

    line: SpaceLine
    landing: float | None
    landing_aft: float | None
    cells: tuple[FairedCell, ...]
    bands: tuple[SpanBand, ...]
    suspects: tuple[Suspect, ...]
    warnings: tuple[Problem, ...]
    errors: tuple[Problem, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Typed:
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
class _End:
    """An end on the profile line: its parameter, the point there, what is wrong."""

    landing: float
    x: float
    y: float
    z: float
    warnings: tuple[Problem, ...]
    errors: tuple[Problem, ...]


def _typed(row: LineOffsets, values: FloatArray, spec: LineSpec) -> _Typed:
    columns = np.nonzero(np.isfinite(row.x) & np.isfinite(values))[0]
    turned = turned_at(spec.knuckles)
    return _Typed(
        x=row.x[columns],
        y=values[columns],
        columns=tuple(int(i) for i in columns),
        knuckles=tuple(k for k, i in enumerate(columns) if row.labels[i] in turned),
    )


def _fair(view: _Typed, spec: LineSpec, tolerance: FloatArray, ends: Ends) -> Faired:
    if spec.straight:
        return straight(view.x, view.y, tolerance=tolerance, knuckles=view.knuckles)
    return fair(view.x, view.y, tolerance=tolerance, ends=ends, knuckles=view.knuckles)


def _cells(row: LineOffsets, view: _Typed, faired: Faired, name: View) -> list[FairedCell]:
    places = row.z_places if name == "height" else row.y_places
    return [
        FairedCell(
            line=row.name,
            view=name,
            label=row.labels[i],
            x=float(view.x[k]),
            offset=float(view.y[k]),
            faired=float(faired.values[k]),
            move=float(faired.values[k] - view.y[k]),
            load=float(faired.loads[k]),
            place=places[i],
        )
        for k, i in enumerate(view.columns)
    ]


def _ended(cell: FairedCell, *, x: float, faired: float) -> FairedCell:
    """The cell of a line's fore end, which the profile line holds."""
    return replace(cell, x=x, faired=faired, move=faired - cell.offset, load=float("nan"))


def off_straight(cells: Sequence[FairedCell], allow: float) -> list[Problem]:
    """Offsets of a line that is declared straight which lie farther off it than an offset may be moved."""
    return [
        Problem(
            stands_at(cell.place, line=cell.line),
            f"{cell.line} is declared straight, but its {cell.view} here lies {abs(cell.move):.1f} mm off",
            "correct the offset, or leave out straight",
            code="off-straight",
        )
        for cell in cells
        if abs(cell.move) > allow + 1e-9
    ]


def _end_of(
    row: LineOffsets,
    high: _Typed,
    heights: Faired,
    *,
    profile: Profile,
    path: FairedPath,
    allow: float,
    aft: bool = False,
    t: float | None = None,
) -> _End:
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
    return _End(landing=t, x=x, y=y, z=z, warnings=tuple(warnings), errors=tuple(errors))


def _to_end(high: _Typed, at: Mapping[int, _End], spec: LineSpec, *, allow: float, ends: Ends) -> Faired:
    """The heights bent to the ends, where the line's own run does not cross the profile line clearly."""
    tolerance, x, y = np.full(len(high.x), allow), high.x.copy(), high.y.copy()
    for i, end in at.items():
        tolerance[i], x[i], y[i] = 0.0, end.x, end.z
    return _fair(replace(high, x=x, y=y), spec, tolerance, ends)


def _breadths(
    broad: _Typed,
    held: Mapping[int, _End],
    spec: LineSpec,
    *,
    own: Collection[int],
    allow: float,
    ends: Ends,
    noise: float,
) -> tuple[_Typed, Faired, float | None]:
    """The half-breadths, whose ends on the profile line its half siding holds.

    Args:
        held: those ends, by 0 for the fore one and -1 for the after one.
        own: those of them that the table has a half-breadth for.
        noise: standard deviation of an offset's own error, mm.
    Returns:
        The points that were faired, over the distance aft; the batten; and where the bow is blunt the distance
        aft from whose root the batten was laid, else None.
    """
    at, half, columns, knuckles = broad.x, broad.y, broad.columns, broad.knuckles
    if 0 in held and 0 not in own:
        at, half, columns = np.append(np.nan, at), np.append(np.nan, half), (-1, *columns)
        knuckles = tuple(k + 1 for k in knuckles)
    if -1 in held and -1 not in own:
        at, half, columns = np.append(at, np.nan), np.append(half, np.nan), (*columns, -1)
    at, half, tolerance = at.copy(), half.copy(), np.full(len(at), allow)
    for i, end in held.items():
        at[i], half[i], tolerance[i] = end.x, end.y, 0.0
    view = _Typed(x=at, y=half, columns=columns, knuckles=knuckles)
    forward = None
    if 0 in held and not spec.straight and not knuckles:
        forward = blunt_from(at, half, noise=noise)
    if forward is None:
        return view, _fair(view, spec, tolerance, ends), None
    start = float(at[0]) - forward
    return view, _fair(replace(view, x=np.sqrt(at - start)), spec, tolerance, ends), start


def _bands(
    row: LineOffsets, view: _Typed, name: View, curve: Curve, *, straight: bool, rounding: float, blunt: bool
) -> tuple[SpanBand, ...]:
    """How well the line is known between its points in one view; ``view`` has its ends where they are held."""
    places = row.z_places if name == "height" else row.y_places
    labels = [row.labels[i] if i >= 0 else ("stern" if k else "bow") for k, i in enumerate(view.columns)]
    noise = np.full(len(view.x), rounding * NOISE)
    if straight:
        return straight_bands(view.x, line=row.name, view=name, labels=labels, rounding=rounding)
    return line_bands(
        possible(view.x, view.y, noise=noise, knuckles=view.knuckles, blunt=blunt), curve,
        line=row.name, view=name, labels=labels, rounding=rounding,
        places=[places[i] if i >= 0 else None for i in view.columns],
    )  # fmt: skip


def make_line(
    row: LineOffsets, spec: LineSpec, *, offsets: Offsets, profile: Profile, path: FairedPath, design: Design
) -> LineMade:
    """Fair one line in both views and end it on the profile line, or on a transom.

    Args:
        row, spec: the line's offsets, and what the design says of it.
        profile, path: the profile line in space and in its own plane.
    """
    allow, ends = design.fairing.allow, design.fairing.ends
    high = _typed(row, row.z, spec)
    broad = _typed(row, row.y, spec)
    step_z, step_y = (max(allow, 0.5 * written_to(view.y, offsets.notation)) for view in (high, broad))
    stems = [i for i, end in ((0, design.fore_end), (-1, design.after_end)) if end.kind == "stem"]
    level = row.name == offsets.level
    landed: dict[int, float] = {}
    if level:
        landed = {i: level_end(profile, path, float(high.x[i]), float(high.y[i])) for i in stems}
        run = [landed.get(i, float(profile.t_at_x(high.x[i]))) for i in (0, -1)]
        heights = level_heights(profile, high.x, high.y, start=run[0], end=run[1])
    else:
        heights = _fair(high, spec, np.full(len(high.x), allow), ends)
    held = {
        i: _end_of(row, high, heights, profile=profile, path=path, allow=allow, aft=i == -1, t=landed.get(i))
        for i in stems
    }
    if not level and any(abs(float(heights.curve(end.x)) - end.z) > 1e-6 for end in held.values()):
        heights = _to_end(high, held, spec, allow=allow, ends=ends)
    z: FairCurve = heights.curve
    z = z.starting(held[0].x) if 0 in held else z
    z = z.ending(held[-1].x) if -1 in held else z
    cells = _cells(row, high, heights, "height")
    for i, end in held.items():
        cells[i] = _ended(cells[i], x=end.x, faired=end.z)

    own = {i for i in held if broad.columns[i] == high.columns[i]}
    view, breadths, root_from = _breadths(
        broad, held, spec, own=own, allow=allow, ends=ends, noise=step_y * NOISE
    )
    given = [k for k, column in enumerate(view.columns) if column >= 0]
    across = _cells(
        row,
        broad,
        replace(breadths, values=breadths.values[given], loads=breadths.loads[given]),
        "half-breadth",
    )
    for i in own:
        across[i] = _ended(across[i], x=held[i].x, faired=held[i].y)
    positions = [
        FairedCell(
            line=row.name, view="position", label=row.labels[high.columns[i]], x=end.x, offset=float(high.x[i]),
            faired=end.x, move=end.x - float(high.x[i]), load=float("nan"), place=row.x_places[high.columns[i]],
        )
        for i, end in held.items()
    ]  # fmt: skip

    warnings, suspects = [problem for end in held.values() for problem in end.warnings], []
    if spec.straight:
        fixed = {id(cells[i]) for i in held} | {id(across[i]) for i in own}
        warnings += off_straight([cell for cell in (*cells, *across) if id(cell) not in fixed], allow)
    else:
        seen = view.y.copy()
        for i in own:
            seen[i] = broad.y[i]  # as typed; the fair line has the profile line's half siding there
        high_hints = height_hints(offsets, design, row.name, path=path, tolerance=step_z, count=len(high.x))
        siding = breadth_hints(design, first=view.columns[0] == row.column("bow"), tolerance=step_y)
        views: tuple[tuple[View, _Typed, list[Hint]], ...] = (
            ("height", high, high_hints), ("half-breadth", replace(view, y=seen), siding),
        )  # fmt: skip
        for name, typed, hints in views[1:] if level else views:  # a level bottom's heights are the keel's
            suspects += suspects_of(
                offsets, row.name, name, x=typed.x, y=typed.y, columns=typed.columns, allow=allow, ends=ends,
                knuckles=typed.knuckles, blunt=name == "half-breadth" and root_from is not None, hints=hints,
            )  # fmt: skip

    ended = replace(high, x=high.x.copy(), y=high.y.copy())
    for i, end in held.items():
        ended.x[i], ended.y[i] = end.x, end.z
    bands: tuple[SpanBand, ...] = ()
    if not level:  # else how well it is known is said of the keel
        bands = _bands(row, ended, "height", z, straight=spec.straight, rounding=step_z, blunt=False)
    across_bands = _bands(
        row, view, "half-breadth",
        breadths.curve if root_from is None else lambda x: breadths.curve(np.sqrt(np.maximum(x - root_from, 0.0))),
        straight=spec.straight, rounding=step_y, blunt=root_from is not None,
    )  # fmt: skip
    warnings += [*band_warnings(bands, offsets.notation), *band_warnings(across_bands, offsets.notation)]
    return LineMade(
        line=space_line(
            row.name,
            y=breadths.curve,
            z=z,
            root_from=root_from,
            knuckles=[float(view.x[k]) for k in view.knuckles],
        ),
        landing=held[0].landing if 0 in held else None,
        landing_aft=held[-1].landing if -1 in held else None,
        cells=(*positions, *cells, *across),
        bands=(*bands, *across_bands),
        suspects=tuple(suspects),
        warnings=tuple(warnings),
        errors=tuple(problem for end in held.values() for problem in end.errors),
    )
