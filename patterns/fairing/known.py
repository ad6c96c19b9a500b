"""The lines of a half-typed table: what is complete is faired as in a whole table, the rest view by view.

Lines that have both views and their ends are faired by :func:`patterns.fairing.lines.fair_lines`, as a table that
has no others.  Any other row with enough offsets is one batten in one view, judged by the same doubts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from patterns.design.models import LineSpec
from patterns.fairing.batten import fair, straight
from patterns.fairing.cells import FairedCell, View
from patterns.fairing.lines import Lines, fair_lines
from patterns.fairing.suspects import Suspect, TypedRow, suspects_of
from patterns.hull.planes import FloatArray
from patterns.table.end_checks import rabbet_of
from patterns.table.levels import levels_of
from patterns.table.values import BOW, STERN, LineOffsets, Offsets, Place, turned_at

if TYPE_CHECKING:
    from patterns.design.file import Design

__all__ = ["KnownLines", "KnownRun", "fair_known"]

LEAST_POINTS = 4  # of a line in one view; the same as the checks of a whole table ask for
STEEP_ENDS = 2  # offsets at each end of a waterline, buttock or diagonal that one batten alone cannot judge
EACH = ("height", "half-breadth")  # the views in which a line is faired by itself
UNSETTLED = 2  # neighbours on each side that an offset must have to be doubted
SAMPLES = 400


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class KnownRun:
    """A faired line in one view.

    Attributes:
        line: its name.
        view: ``height`` (seen from the side), ``half-breadth`` (from above) or ``diagonal`` (along it).
        points: shape (n, 2), distance aft and offset, mm, close enough to be drawn.
    """

    line: str
    view: View
    points: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class KnownLines:
    """What could be faired.

    Attributes:
        whole: the profile line and the lines that are known in both views with their ends; None without a keel.
        runs: every faired line in every view in which it is known, those of ``whole`` first.
        rows: the faired cells.
        suspects: offsets that the batten doubts.
    """

    whole: Lines | None
    runs: tuple[KnownRun, ...]
    rows: tuple[FairedCell, ...]
    suspects: tuple[Suspect, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Row:
    """One row of the table that a batten may be laid through: its line in one view.

    ``level`` says that it is a waterline, a buttock or a diagonal.
    """

    spec: LineSpec
    view: View
    row: LineOffsets
    values: FloatArray
    places: tuple[Place | None, ...]
    level: bool = False


def fair_known(offsets: Offsets, design: Design) -> KnownLines:
    """Fair what can be faired.

    Args:
        offsets: the usable part of the table; nan where a cell is empty or cannot be used.
        design: as far as it could be read.
    """
    whole = _whole(offsets, design)
    runs = [] if whole is None else _runs(whole, sided=_has_siding(offsets, design))
    done = {(run.line, run.view) for run in runs}
    own = {line for line, _ in done}
    rows, suspects = (
        ([], [])
        if whole is None
        else (
            [cell for cell in whole.rows if cell.view not in EACH or (cell.line, cell.view) in done],
            [doubt for doubt in whole.suspects if doubt.view not in EACH or (doubt.line, doubt.view) in done],
        )
    )
    for row in _rows(offsets, design):
        if (row.spec.name, row.view) in done or (row.level and row.spec.name in own):
            continue
        made = _alone(row, offsets, design)
        if made is not None:
            runs.append(made[0])
            rows += made[1]
            suspects += made[2]
    sure = [doubt for doubt in suspects if _settled(doubt, offsets, design)]
    return KnownLines(whole=whole, runs=tuple(runs), rows=tuple(rows), suspects=tuple(sure))


def _settled(doubt: Suspect, offsets: Offsets, design: Design) -> bool:
    """Whether enough is typed around an offset to doubt it.

    Beside a gap the batten is as loose as at its end, and the foremost heights of the keel want the stem's points.
    """
    if doubt.view in ("stem", "sternpost"):
        return rabbet_of(offsets, design) is not None
    row = offsets.diagonals.get(doubt.line) or offsets.lines[doubt.line]
    i = row.column(doubt.label)
    values = row.z if doubt.view == "height" else row.y
    ends = row.x[row.column(BOW)], row.x[row.column(STERN)]
    crossed = ~((row.x < ends[0]) | (row.x > ends[1]))  # a station without position may be crossed
    known = np.isfinite(row.x) & np.isfinite(values)
    keel = bool(design.lines) and doubt.line == design.lines[0].name
    if keel:
        first = np.nonzero(known)[0][: UNSETTLED + 1]
        if doubt.view == "height" and i in first and rabbet_of(offsets, design) is None:
            return False
        crossed &= np.arange(len(values)) >= first[0]
    near = slice(max(i - UNSETTLED, 0), i + UNSETTLED + 1)
    return bool(known[near][crossed[near]].all())


def _whole(offsets: Offsets, design: Design) -> Lines | None:
    """The lines that are complete, faired as a table of their own; the keel alone where they do not end on it.

    That they do not is no error here: the profile may lack points yet.  What contradicts the table as far as it is
    typed its own checks find.
    """
    keel = offsets.lines.get(design.lines[0].name) if design.lines else None
    if keel is None or not _has_profile(keel, offsets, design):
        return None
    complete = [spec for spec in design.lines[1:] if _complete(offsets.lines.get(spec.name), spec, design)]
    for lines in ([design.lines[0], *complete], [design.lines[0]]):
        # Without strakes there is no round bilge: a surface is laid through a whole table only.
        part = design.model_copy(update={"lines": tuple(lines), "strakes": ()})
        try:
            return fair_lines(replace(offsets, lines={**offsets.lines, keel.name: _paired(keel)}), part)
        except ValueError:  # a DesignError, or figures so far apart that no batten passes them in turn
            continue
    return None


def _paired(keel: LineOffsets) -> LineOffsets:
    """The keel's row without half-breadths where it has no height: the profile line may not reach there yet."""
    return replace(keel, y=np.where(np.isfinite(keel.z), keel.y, np.nan))


def _has_siding(offsets: Offsets, design: Design) -> bool:
    """Whether every half-breadth of the keel has its height, and there is one: else they are faired alone."""
    keel = offsets.lines[design.lines[0].name]
    given = np.isfinite(keel.x) & np.isfinite(keel.y)
    return bool(given.any() and np.isfinite(keel.z[given]).all())


def _has_profile(keel: LineOffsets, offsets: Offsets, design: Design) -> bool:
    """Whether stem and keel have points enough for a line."""
    on_keel = int((np.isfinite(keel.x) & np.isfinite(keel.z)).sum())
    on_stems = sum(len(stem.x) for stem in (offsets.stem, offsets.sternpost) if stem is not None)
    if design.lines[0].straight:
        return on_keel >= 2
    return on_keel >= 1 and on_keel + on_stems >= LEAST_POINTS


def _complete(row: LineOffsets | None, spec: LineSpec, design: Design) -> bool:
    """Whether a line has both views and, at a stem, its end."""
    if row is None:
        return False
    high, across = np.isfinite(row.x) & np.isfinite(row.z), np.isfinite(row.x) & np.isfinite(row.y)
    if min(high.sum(), across.sum()) < (2 if spec.straight else LEAST_POINTS):
        return False
    stems = [
        label for label, end in ((BOW, design.fore_end), (STERN, design.after_end)) if end.kind == "stem"
    ]
    return all(high[row.column(label)] for label in stems)


def _rows(offsets: Offsets, design: Design) -> list[_Row]:
    """Every row of lines and of levels, in the order of the design."""
    found = []
    for spec in design.lines:
        line = offsets.lines.get(spec.name)
        if line is not None:
            found.append(_Row(spec=spec, view="height", row=line, values=line.z, places=line.z_places))
            found.append(_Row(spec=spec, view="half-breadth", row=line, values=line.y, places=line.y_places))
    found += [
        _Row(
            spec=LineSpec(name=level.name), view=level.view, row=level.row, values=level.values,
            places=level.places, level=True,
        )
        for level in levels_of(offsets, design)
    ]  # fmt: skip
    return found


def _alone(
    row: _Row, offsets: Offsets, design: Design
) -> tuple[KnownRun, list[FairedCell], list[Suspect]] | None:
    """One batten through one row; None where it has too few offsets."""
    columns = [int(i) for i in np.nonzero(np.isfinite(row.row.x) & np.isfinite(row.values))[0]]
    if len(columns) < (2 if row.spec.straight else LEAST_POINTS):
        return None
    allow, ends = design.fairing.allow, design.fairing.ends
    x, y = row.row.x[columns], row.values[columns]
    turned = turned_at(row.spec.knuckles)
    knuckles = tuple(k for k, i in enumerate(columns) if row.row.labels[i] in turned)
    if row.spec.straight:
        laid = straight(x, y, tolerance=np.full(len(x), allow), knuckles=knuckles)
    else:
        laid = fair(x, y, tolerance=allow, ends=ends, knuckles=knuckles)
    cells = [
        FairedCell(
            line=row.spec.name, view=row.view, label=row.row.labels[i], x=float(x[k]), offset=float(y[k]),
            faired=float(laid.values[k]), move=float(laid.moves[k]), load=float(laid.loads[k]), place=row.places[i],
        )
        for k, i in enumerate(columns)
    ]  # fmt: skip
    at = np.linspace(x[0], x[-1], SAMPLES)
    run = KnownRun(line=row.spec.name, view=row.view, points=np.stack([at, laid.curve(at)], axis=1))
    found: Sequence[Suspect] = ()
    if not row.spec.straight:
        # A diagonal's distances are held where a line's half-breadths are.
        table = replace(offsets, lines={**offsets.lines, row.spec.name: row.row})
        view = "half-breadth" if row.view == "diagonal" else row.view
        typed = TypedRow(line=row.spec.name, view=view, x=x, y=y, columns=tuple(columns), knuckles=knuckles)
        found = [replace(suspect, view=row.view) for suspect in suspects_of(table, typed, design.fairing)]
    if row.level:  # a buttock's or a waterline's ends run steeply, and nothing here says how
        inner = {row.row.labels[i] for i in columns[STEEP_ENDS:-STEEP_ENDS]}
        found = [suspect for suspect in found if suspect.label in inner]
    return run, cells, list(found)


def _runs(whole: Lines, *, sided: bool) -> list[KnownRun]:
    """The whole lines in both views; the profile line from above only where its half siding is known."""
    found = []
    for line in (whole.profile, *whole.lines):
        points = line.at(np.linspace(line.start, line.end, SAMPLES))
        found.append(KnownRun(line=line.name, view="height", points=points[:, [0, 2]]))
        if sided or line is not whole.profile:
            found.append(KnownRun(line=line.name, view="half-breadth", points=points[:, [0, 1]]))
    return found
