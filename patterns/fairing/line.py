"""One line of the table, faired in both views and ended on the profile line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from patterns.errors import Problem
from patterns.fairing.bands import SpanBand
from patterns.fairing.batten import Faired
from patterns.fairing.blame import Hint
from patterns.fairing.cells import FairedCell, View
from patterns.fairing.curves import Profile, SpaceLine, space_line
from patterns.fairing.end_hints import breadth_hints, height_hints
from patterns.fairing.ends import stands_at
from patterns.fairing.evenness import NOISE
from patterns.fairing.held_ends import TypedView
from patterns.fairing.line_bands import band_warnings, line_bands, straight_bands
from patterns.fairing.line_views import Curve, LineBreadths, LineHeights, fair_breadths, fair_heights
from patterns.fairing.paths import FairedPath
from patterns.fairing.possible import possible
from patterns.fairing.suspects import Suspect, TypedRow, suspects_of

if TYPE_CHECKING:
    from patterns.design.file import Design, LineSpec
    from patterns.table.offsets import LineOffsets, Offsets

__all__ = ["LineMade", "make_line", "off_straight"]


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


def _cells(row: LineOffsets, view: TypedView, faired: Faired, name: View) -> list[FairedCell]:
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


def _all_cells(
    row: LineOffsets, high: LineHeights, across: LineBreadths
) -> tuple[list[FairedCell], list[FairedCell], list[FairedCell]]:
    """The line's part of the as-faired table: its ends' positions, its heights, its half-breadths."""
    cells = _cells(row, high.typed, high.faired, "height")
    for i, end in high.held.items():
        cells[i] = _ended(cells[i], x=end.x, faired=end.z)
    given = [k for k, column in enumerate(across.view.columns) if column >= 0]
    faired = replace(across.faired, values=across.faired.values[given], loads=across.faired.loads[given])
    breadths = _cells(row, across.typed, faired, "half-breadth")
    for i in across.own:
        breadths[i] = _ended(breadths[i], x=high.held[i].x, faired=high.held[i].y)
    x, columns = high.typed.x, high.typed.columns
    positions = [
        FairedCell(
            line=row.name, view="position", label=row.labels[columns[i]], x=end.x, offset=float(x[i]),
            faired=end.x, move=end.x - float(x[i]), load=float("nan"), place=row.x_places[columns[i]],
        )
        for i, end in high.held.items()
    ]  # fmt: skip
    return positions, cells, breadths


def _suspects(
    row: LineOffsets,
    high: LineHeights,
    across: LineBreadths,
    *,
    offsets: Offsets,
    path: FairedPath,
    design: Design,
) -> list[Suspect]:
    """The doubtful figures of both views."""
    view = across.view
    seen = view.y.copy()
    for i in across.own:
        seen[i] = across.typed.y[i]  # as typed; the fair line has the profile line's half siding there
    high_hints = height_hints(
        offsets, design, row.name, path=path, tolerance=high.step, count=len(high.typed.x)
    )
    siding = breadth_hints(design, first=view.columns[0] == row.column("bow"), tolerance=across.step)
    views: tuple[tuple[View, TypedView, list[Hint]], ...] = (
        ("height", high.typed, high_hints), ("half-breadth", replace(view, y=seen), siding),
    )  # fmt: skip
    suspects: list[Suspect] = []
    for name, typed, hints in views[1:] if high.level else views:  # a level bottom's heights are the keel's
        doubted = TypedRow(
            line=row.name, view=name, x=typed.x, y=typed.y, columns=tuple(typed.columns),
            knuckles=typed.knuckles, blunt=name == "half-breadth" and across.root_from is not None, hints=hints,
        )  # fmt: skip
        suspects += suspects_of(offsets, doubted, design.fairing)
    return suspects


def _bands_of(
    row: LineOffsets,
    view: TypedView,
    name: View,
    curve: Curve,
    *,
    straight: bool,
    rounding: float,
    blunt: bool,
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


def _bands(
    row: LineOffsets, high: LineHeights, across: LineBreadths, *, straight: bool
) -> tuple[tuple[SpanBand, ...], tuple[SpanBand, ...]]:
    """Those of the heights and those of the half-breadths; how well a level bottom is known is said of the keel."""
    heights = () if high.level else _bands_of(
        row, high.ended, "height", high.curve, straight=straight, rounding=high.step, blunt=False
    )  # fmt: skip
    breadths = _bands_of(
        row, across.view, "half-breadth", across.curve,
        straight=straight, rounding=across.step, blunt=across.root_from is not None,
    )  # fmt: skip
    return heights, breadths


def make_line(
    row: LineOffsets, spec: LineSpec, *, offsets: Offsets, profile: Profile, path: FairedPath, design: Design
) -> LineMade:
    """Fair one line in both views and end it on the profile line, or on a transom.

    Args:
        row, spec: the line's offsets, and what the design says of it.
        profile, path: the profile line in space and in its own plane.
    """
    high = fair_heights(row, spec, offsets=offsets, profile=profile, path=path, design=design)
    across = fair_breadths(row, spec, high, offsets=offsets, design=design)
    held = high.held
    positions, cells, breadths = _all_cells(row, high, across)
    warnings = [problem for end in held.values() for problem in end.warnings]
    suspects: list[Suspect] = []
    if spec.straight:
        fixed = {id(cells[i]) for i in held} | {id(breadths[i]) for i in across.own}
        loose = [cell for cell in (*cells, *breadths) if id(cell) not in fixed]
        warnings += off_straight(loose, design.fairing.allow)
    else:
        suspects = _suspects(row, high, across, offsets=offsets, path=path, design=design)
    bands = _bands(row, high, across, straight=spec.straight)
    warnings += [warning for view in bands for warning in band_warnings(view, offsets.notation)]
    return LineMade(
        line=space_line(
            row.name,
            y=across.faired.curve,
            z=high.curve,
            root_from=across.root_from,
            knuckles=[float(across.view.x[k]) for k in across.view.knuckles],
        ),
        landing=held[0].landing if 0 in held else None,
        landing_aft=held[-1].landing if -1 in held else None,
        cells=(*positions, *cells, *breadths),
        bands=(*bands[0], *bands[1]),
        suspects=tuple(suspects),
        warnings=tuple(warnings),
        errors=tuple(problem for end in held.values() for problem in end.errors),
    )
