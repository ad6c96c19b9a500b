"""What `check` lists on request: each line's moves, how sheets and timbers lie, the hydrostatics."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from patterns.boat import Boat
from patterns.fairing.cells import FairedCell
from patterns.hull.hydrostatics_words import CAUTION
from patterns.hull.hydrostatics_words import rows as hydrostatic_rows
from patterns.hull.sheet_doubts import lie_of_sheets
from patterns.measure import Notation, format_length, format_typed
from patterns.shop.timber_report import lie_of_timbers, tightest_bend

__all__ = ["at_a_glance", "details", "moves"]


def at_a_glance(boat: Boat) -> Iterator[str]:
    """The largest move of the batten, the tightest bend and the displacement, a line each."""
    notation = boat.offsets.notation
    worst = max(boat.lines.rows, key=lambda row: abs(row.move), default=None)
    if worst is not None and worst.view == "position":
        yield f"  largest move: {_end_moved(worst, notation)}"
    elif worst is not None:
        yield f"  largest move: {worst.line}, {worst.view} at {_where(worst)}, {_moved(worst, notation)}"
    tightest = tightest_bend(boat)
    if tightest:
        yield f"  tightest bend: {tightest}; bend a trial piece first"
    if boat.hydrostatics is not None:
        found = dict(hydrostatic_rows(boat.hydrostatics, notation))
        yield f"  displacement to the designed waterline: {found['Displacement']}; compare it with the plan"


def details(boat: Boat) -> Iterator[str]:
    """Every line's moves, how sheets and timbers lie, and the hydrostatics, a line each."""
    yield from moves(boat.lines.rows, boat.offsets.notation)
    yield from (f"  {words}" for words in lie_of_sheets(boat.hull))
    yield from lie_of_timbers(boat)
    if boat.hydrostatics is not None:
        yield "Hydrostatics of the faired hull to the outside of planking, for comparison with the plan:"
        for label, value in hydrostatic_rows(boat.hydrostatics, boat.offsets.notation):
            yield f"  {label:30} {value}"
        yield f"  {CAUTION}"


def moves(every: Sequence[FairedCell], notation: Notation) -> Iterator[str]:
    """How far fairing moved each line in each view, and each end of a line along the boat."""
    for name in dict.fromkeys(row.line for row in every):
        for view in dict.fromkeys(row.view for row in every if row.line == name):
            rows = [row for row in every if row.line == name and row.view == view]
            if view == "position":
                yield from (f"  {_end_moved(row, notation)}" for row in rows)
                continue
            worst = max(rows, key=lambda row: abs(row.move))
            largest = f"largest move {_moved(worst, notation)} at {_where(worst)}"
            yield f"  {name}, {view}: {largest if round(worst.move, 2) else 'nothing moved'}"


def _where(row: FairedCell) -> str:
    """The point of a line that a row is about."""
    if row.view in ("stem", "sternpost"):
        return f"point {row.label}"
    return row.label if row.label in ("bow", "stern") else f"station {row.label}"


def _moved(row: FairedCell, notation: Notation) -> str:
    return f"{row.move:+.2f} mm{_typed_to(row, notation)}"


def _end_moved(row: FairedCell, notation: Notation) -> str:
    """How far one end of a line was moved along the boat; the profile line gives it its place."""
    end = f"{row.line}: its {'after' if row.label == 'stern' else 'fore'} end"
    move = round(row.move, 2)
    if not move:
        return f"{end} lies where the table has it"
    return f"{end} moved {abs(move):.2f} mm {'aft' if move > 0.0 else 'forward'}{_typed_to(row, notation)}"


def _typed_to(row: FairedCell, notation: Notation) -> str:
    """The figure as typed and as faired; empty where the notation writes both the same."""
    typed, faired = (format_length(v, notation) for v in (row.offset, row.faired))
    if typed == faired:
        return ""
    return f" ({format_typed(row.offset, notation, row.place.typed if row.place else '')} to {faired})"
