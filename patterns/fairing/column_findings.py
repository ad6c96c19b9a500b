"""What is said of columns of the table: found, put right to see what is left, and in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from patterns.errors import Problem
from patterns.fairing.column_words import fault_problem, spacing_problem
from patterns.fairing.columns import ColumnFault, column_faults
from patterns.fairing.spacing import uneven_station
from patterns.fairing.suspects import Suspect, written_to
from patterns.fairing.table_rows import rows_of
from patterns.table.values import LineOffsets

if TYPE_CHECKING:
    from patterns.design.file import Design
    from patterns.table.offsets import Offsets

__all__ = ["ColumnFindings", "column_findings", "doubted_together", "put_right"]

SURE = 4.0  # logarithm of the odds from which single cells that it explains are no longer doubted
RIVAL = 3.0  # and by which another explanation may be less likely and is still named
REFUTED = 3.0  # by which the battens must prefer the typed position before an uneven spacing is believed
TOGETHER = 3  # lines that are doubted at one station, the same way, from which they are one doubt
MOST = 3  # columns that are looked for; a table with more is past naming them


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnFindings:
    """What was found.

    Attributes:
        problems: what the battens, or the spacing, say for sure, as warnings.
        possible: what may be the case instead of single wrong cells; worth reporting only where there are any.
        table: the table with the sure faults put right; None where there are none.
    """

    problems: tuple[Problem, ...] = ()
    possible: ColumnFault | None = None
    table: Offsets | None = None


def column_findings(offsets: Offsets, design: Design) -> ColumnFindings:
    """The columns that are wrong as a whole, the surest first, and the station that breaks an even spacing."""
    problems: list[Problem] = []
    possible: ColumnFault | None = None
    table = offsets
    while len(problems) < MOST:
        known = np.isfinite(table.station_x)
        at = table.station_x[known]
        stations = [label for label, has in zip(table.stations, known, strict=True) if has]
        uneven = uneven_station(at, step=written_to(at, table.notation))
        even = {} if uneven is None else {stations[uneven[0]]: uneven[1]}
        faults, by_even = column_faults(rows_of(table, design), stations, at, even=even)
        first = faults[0] if faults else None
        if first is not None and first.odds > SURE and first.agreed:
            rivals = [other for other in faults[1:] if _rival(other, first)]
            problems.append(fault_problem(first, offsets, design, rivals[:1]))
            table = put_right(table, first)
            continue
        possible = first
        for label, wanted in even.items():
            if by_even.get(label, 0.0) > -REFUTED:
                problems.append(spacing_problem(offsets, label, wanted))
        break
    return ColumnFindings(
        problems=tuple(problems),
        possible=possible,
        table=None if table is offsets else table,
    )


def doubted_together(fault: ColumnFault | None, suspects: Sequence[Suspect]) -> tuple[Suspect, ...]:
    """The suspects that are one doubt of a whole column: three lines or more that spring the same way there.

    That so many cells of one column were typed wrongly, each by itself and each the same way, is far less likely
    than that the column is wrong, or that all the lines do bend there.
    """
    if fault is None or fault.kind not in ("breadths", "heights"):
        return ()
    mine = tuple(
        suspect
        for suspect in suspects
        if suspect.label == fault.label
        and suspect.view in fault.views
        and np.sign(suspect.deviation) == np.sign(fault.amount)
    )
    return mine if len({suspect.line for suspect in mine}) >= TOGETHER else ()


def _rival(other: ColumnFault, first: ColumnFault) -> bool:
    """Whether another fault is nearly as likely, and another thing to look for on the plan."""
    same = other.label == first.label and other.kind == first.kind
    return not same and other.kind != "exchanged" and other.odds > max(first.odds - RIVAL, SURE - RIVAL)


def put_right(offsets: Offsets, fault: ColumnFault) -> Offsets:
    """The table as it would be without a fault."""
    if fault.kind == "position":
        k = offsets.stations.index(fault.label)
        station_x = offsets.station_x.copy()
        station_x[k] -= fault.amount
        return replace(
            offsets,
            station_x=station_x,
            lines={name: _moved(line, fault) for name, line in offsets.lines.items()},
            diagonals={name: _moved(line, fault) for name, line in offsets.diagonals.items()},
        )
    wanted: dict[tuple[str, str, str], float] = {
        (row.line, row.view, row.labels[i]): value for row, i, value in fault.cells
    }
    return replace(
        offsets,
        lines={name: _rewritten(line, wanted) for name, line in offsets.lines.items()},
        diagonals={name: _rewritten(line, wanted, diagonal=True) for name, line in offsets.diagonals.items()},
    )


def _moved(line: LineOffsets, fault: ColumnFault) -> LineOffsets:
    x = line.x.copy()
    x[line.column(fault.label)] -= fault.amount
    return replace(line, x=x)


def _rewritten(
    line: LineOffsets, wanted: Mapping[tuple[str, str, str], float], *, diagonal: bool = False
) -> LineOffsets:
    y, z = line.y.copy(), line.z.copy()
    for i, label in enumerate(line.labels):
        y[i] = wanted.get((line.name, "diagonal" if diagonal else "half-breadth", label), y[i])
        z[i] = wanted.get((line.name, "height", label), z[i])
    return replace(line, y=y, z=z)
