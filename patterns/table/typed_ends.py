"""Where lines and rows end at the bow or the stern, as typed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.design.file import Design
from patterns.errors import Problem
from patterns.measure import format_length
from patterns.table.levels import levels_of
from patterns.table.mirror import Seen
from patterns.table.values import BOW, FloatArray, LineOffsets, Offsets, Place

__all__ = ["TypedEnd", "height_off", "height_words", "length_words", "line_ends_at", "row_ends_at"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TypedEnd:
    """One end.

    Attributes:
        name: of its line or row.
        line: the offsets.
        column: the table's column of the end.
        place: the cell of its position.
        at: shape (3,), mm; its half-breadth may be nan.
    """

    name: str
    line: LineOffsets
    column: int
    place: Place
    at: FloatArray


def line_ends_at(offsets: Offsets, design: Design, label: str) -> list[TypedEnd]:
    """The lines that have position and height at an end."""
    found = []
    for spec in design.lines:
        line = offsets.lines.get(spec.name)
        if line is None:
            continue
        i = line.column(label)
        place, at = line.x_places[i], np.array([line.x[i], line.y[i], line.z[i]])
        if place is not None and np.isfinite(at[[0, 2]]).all():
            found.append(TypedEnd(name=spec.name, line=line, column=i, place=place, at=at))
    return found


def row_ends_at(offsets: Offsets, design: Design, label: str) -> list[TypedEnd]:
    """The waterlines, buttocks and diagonals that have position and offset at an end."""
    found = []
    for level in levels_of(offsets, design):
        i = level.row.column(label)
        place, at = level.row.x_places[i], level.points()[i]
        if place is not None and np.isfinite(at).all():
            found.append(TypedEnd(name=level.name, line=level.row, column=i, place=place, at=at))
    return found


def length_words(mm: float, offsets: Offsets) -> str:
    """A length in the table's notation."""
    return format_length(mm, offsets.notation)


def height_words(mm: float, offsets: Offsets, design: Design) -> str:
    """A height as the table itself would give it."""
    down = design.table.heights == "down from set-up line"
    return f"{length_words(-mm if down else mm, offsets)} {'down' if down else 'up'}"


def height_off(end: TypedEnd, wanted: float, offsets: Offsets, design: Design, seen: Seen) -> Problem:
    """The height of a line's end that the line's own run and its stem or transom contradict."""
    at_bow = end.line.labels[end.column] == BOW
    where, face = (seen.bow, "rabbet") if at_bow else (seen.stern, seen.transom)
    place = end.line.z_places[end.column]
    return Problem(
        str(place) if place else offsets.file,
        f'the height of "{end.name}" at the {where}, {height_words(float(end.at[2]), offsets, design)}, disagrees '
        f"with its own run and with the {face}",
        f"compare it with the plan: where the line ends, the {face} is about "
        f"{height_words(wanted, offsets, design)}",
        code="end-height-off",
    )
