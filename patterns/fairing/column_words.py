"""What is said of a column that is wrong as a whole: the one place where its findings become words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from patterns.errors import Problem
from patterns.fairing.columns import ColumnFault
from patterns.measure import format_length, rough_length
from patterns.table.values import STERN, column_letters

if TYPE_CHECKING:
    from patterns.design.file import Design
    from patterns.table.offsets import Offsets

__all__ = ["CODES", "SPACING", "fault_problem", "spacing_problem"]

CODES = {
    "breadths": "station-breadths",
    "heights": "station-heights",
    "position": "station-position",
    "exchanged": "stations-exchanged",
}
SPACING = "station-spacing"
NAMED = 3  # rows whose wanted values are listed


def fault_problem(
    fault: ColumnFault,
    offsets: Offsets,
    design: Design,
    rivals: Sequence[ColumnFault],
    *,
    sure: bool = True,
    together: bool = False,
) -> Problem:
    """The finding on one column.

    Args:
        rivals: other faults that are nearly as likely.
        sure: whether the fault is much likelier than single wrong cells.
        together: whether the lines that cross the column are doubted there by this finding alone.
    """
    words = _Words(offsets, design)
    what = words.what(fault, "" if sure else "perhaps ")
    want = words.want(fault)
    for other in rivals:
        want += f"; or else: {words.what(other)}"
    if not sure:
        want += f"; or else {'the lines do bend there' if together else 'only the suspect offsets are wrong'}"
    return Problem(_place(fault, offsets), what, want, code=CODES[fault.kind])


def spacing_problem(offsets: Offsets, label: str, wanted: float) -> Problem:
    """A station that breaks an otherwise even spacing, while the lines cannot show whether it is right."""
    k = offsets.stations.index(label)
    return Problem(
        _position_place(offsets, label),
        f"station {label} is {format_length(float(offsets.station_x[k]), offsets.notation)} aft; the other "
        f"stations are spaced evenly, with station {label} at {format_length(wanted, offsets.notation)}",
        "compare the position with the plan",
        code=SPACING,
    )


def _position_place(offsets: Offsets, label: str) -> str:
    k = offsets.stations.index(label)
    return str(offsets.station_places[k]) if k < len(offsets.station_places) else offsets.file


def _place(fault: ColumnFault, offsets: Offsets) -> str:
    """The cell of the position, or the column."""
    if fault.kind == "position":
        return _position_place(offsets, fault.label)
    place = next((row.places[i] for row, i, _ in fault.cells if row.places[i] is not None), None)
    if place is None:
        return offsets.file
    heading = f" ({place.heading})" if place.heading else ""
    return f"{place.file}, column {column_letters(place.column)}{heading}"


class _Words:
    """Lengths and rows in the table's own way."""

    def __init__(self, offsets: Offsets, design: Design) -> None:
        self.offsets = offsets
        self.down = design.table.heights == "down from set-up line"
        self.full = design.table.breadths == "full"

    def what(self, fault: ColumnFault, perhaps: str = "") -> str:
        """What seems to be wrong; ``perhaps`` goes before it."""
        where = "the stern" if fault.label == STERN else f"station {fault.label}"
        if fault.kind == "exchanged":
            seem = f"are {perhaps}" if perhaps else "seem "
            stations = f"stations {fault.label} and {fault.other}"
            return f"the {self._rows(fault)} of {stations} {seem}exchanged"
        if fault.kind == "position":
            k = self.offsets.stations.index(fault.label)
            typed = float(self.offsets.station_x[k])
            way = "aft" if fault.amount > 0 else "forward"
            away = rough_length(abs(fault.amount), self.offsets.notation)
            return (
                f"{where} is {format_length(typed, self.offsets.notation)} aft, {perhaps}about "
                f"{away} too far {way} for the lines that cross it"
            )
        amount, rows = fault.amount, self._rows(fault)
        if fault.scaled:
            size = f"{100 * abs(amount):.1f} %"
        else:
            amount *= self._sign(fault.views[0])
            size = rough_length(abs(amount), self.offsets.notation)
        return f"{where}: {perhaps}all {rows} are about {size} too {'large' if amount > 0 else 'small'}"

    def want(self, fault: ColumnFault) -> str:
        """What to do, and the values that the battens want."""
        if fault.kind == "exchanged":
            return "compare both columns with the plan"
        if fault.kind == "position":
            k = self.offsets.stations.index(fault.label)
            wanted = float(self.offsets.station_x[k]) - fault.amount
            where = f"{format_length(round(wanted), self.offsets.notation)} aft"
            also = ", where an even spacing has it" if fault.even else ""
            return f"compare the plan: the lines want it about {where}{also}"
        listed = [
            f"{row.line} {format_length(self._sign(row.view) * value, self.offsets.notation)}"
            for row, _, value in fault.cells
            if not row.keel or fault.keel
        ]
        more = f" and {len(listed) - NAMED} more" if len(listed) > NAMED else ""
        return f"compare the plan: the lines want about {', '.join(listed[:NAMED])}{more}"

    def _rows(self, fault: ColumnFault) -> str:
        if fault.kind == "exchanged" and len(fault.views) > 1:
            return "columns"
        if fault.views[0] == "height":
            return "heights"
        return "breadths" if self.full else "half-breadths"

    def _sign(self, view: str) -> float:
        """The table's own figure for a mm of an offset."""
        if view == "height":
            return -1.0 if self.down else 1.0
        return 2.0 if self.full and view == "half-breadth" else 1.0
