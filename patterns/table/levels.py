"""Waterlines, buttocks and diagonals: the rows of the table that lie in planes given by the design."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from patterns.design.round_models import ButtockSpec, DiagonalSpec, LevelSpec, WaterlineSpec
from patterns.errors import Problem
from patterns.table.values import BOW, STERN, FloatArray, LineOffsets, Offsets, Place
from patterns.words import nearest

if TYPE_CHECKING:
    from patterns.design.models import Design

__all__ = ["Level", "LevelView", "level_names", "level_problems", "level_warnings", "levels_of"]

LevelView = Literal["half-breadth", "height", "diagonal"]
EACH = (
    3  # offsets at a station, in the mean, with which a section between keel and sheer is no guess; our own
)
LEAST = 3  # offsets of a row; with fewer it is no line


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Level:
    """One such row: straight in the body plan, its offsets measured along it from a start.

    Attributes:
        name: the row's name.
        view: the row's block.
        start: shape (2,), half-breadth and height in the body plan where the offset 0 stands, mm.
        along: unit vector (2,) in which it grows.
        row: the offsets; those that are measured stand in `values`.
        values: shape (n,), mm; nan is an empty cell.
        places: their cells.
    """

    name: str
    view: LevelView
    start: FloatArray
    along: FloatArray
    row: LineOffsets
    values: FloatArray
    places: tuple[Place | None, ...]

    def points(self) -> FloatArray:
        """The typed points (n, 3), mm; nan where a cell is empty."""
        body = self.start + self.values[:, None] * self.along
        return np.column_stack([self.row.x, body])


def level_names(design: Design) -> set[str]:
    """The names of every row that the design gives a level."""
    return {spec.name for specs in _asked(design).values() for spec in specs}


def _asked(design: Design) -> dict[LevelView, tuple[LevelSpec, ...]]:
    """What the design gives a level, by the block in which the table has its row."""
    return {
        "half-breadth": design.all(WaterlineSpec),
        "height": design.all(ButtockSpec),
        "diagonal": design.all(DiagonalSpec),
    }


def levels_of(offsets: Offsets, design: Design) -> tuple[Level, ...]:
    """The rows that the design gives a level, as far as the table has them."""
    sign = -1.0 if design.table.heights == "down from set-up line" else 1.0
    found = []
    for waterline in design.all(WaterlineSpec):
        row = offsets.lines.get(waterline.name)
        if row is not None and row.y_places[0] is not None:
            start = np.array([0.0, sign * waterline.height])
            found.append(_level("half-breadth", row, row.y, row.y_places, start, np.array([1.0, 0.0])))
    for buttock in design.all(ButtockSpec):
        row = offsets.lines.get(buttock.name)
        if row is not None and row.z_places[0] is not None:
            start = np.array([buttock.half_breadth, 0.0])
            found.append(_level("height", row, row.z, row.z_places, start, np.array([0.0, 1.0])))
    for diagonal in design.all(DiagonalSpec):
        row = offsets.diagonals.get(diagonal.name)
        if row is not None:
            start = np.array([0.0, sign * diagonal.height])
            run = np.array([diagonal.through.half_breadth, sign * diagonal.through.height - start[1]])
            found.append(_level("diagonal", row, row.y, row.y_places, start, run / np.hypot(*run)))
    return tuple(found)


def _level(
    view: LevelView,
    row: LineOffsets,
    values: FloatArray,
    places: tuple[Place | None, ...],
    start: FloatArray,
    along: FloatArray,
) -> Level:
    return Level(
        name=row.name, view=view, start=start, along=along, row=row, values=values, places=places
    )  # fmt: skip


def level_problems(
    offsets: Offsets, design: Design, *, unread: Collection[Place] = frozenset()
) -> Iterator[Problem]:
    """Rows that a level asks for and the table has not, the wrong row of it, and ends without a position."""
    tables = {"half-breadth": "waterline", "height": "buttock", "diagonal": "diagonal"}
    for block, specs in _asked(design).items():
        rows = offsets.diagonals if block == "diagonal" else offsets.lines
        for spec in specs:
            row = rows.get(spec.name)
            places = () if row is None else row.z_places if block == "height" else row.y_places
            if not places or places[0] is None:
                free = [*offsets.lines, *offsets.diagonals]
                yield Problem(
                    f'design.toml, {tables[block]} "{spec.name}"',
                    f'{offsets.file} has no row "{block}" of it',
                    f"add a row {block},{spec.name},... ({nearest(spec.name, free) or 'or take it out'})",
                    code="missing-row",
                )
    levels = levels_of(offsets, design)
    given = sum(_crossing(levels, offsets).values())
    if levels and not unread and given < EACH * len(offsets.stations):
        yield Problem(
            offsets.file,
            f"between keel and sheer there are {given} offsets at {len(offsets.stations)} stations: too few to say "
            "how round she is",
            f"give rows of more waterlines, buttocks or diagonals: {EACH} offsets or more at a station",
            code="missing-cells",
        )
    for level in levels:
        first = level.places[0]
        where = offsets.file if first is None else f"{first.file}, row {first.row}"
        filled = [i for i, value in enumerate(level.values) if np.isfinite(value)]
        if len(filled) < LEAST and not any(place in unread for place in level.places):
            yield Problem(
                where,
                f'"{level.name}" has {len(filled)} offsets, fewer than {LEAST}',
                "give more, or take it out",
                code="missing-cells",
            )
        for label in (BOW, STERN):
            i = level.row.column(label)
            place = level.places[i]
            if np.isfinite(level.values[i]) and np.isnan(level.row.x[i]) and place not in unread:
                yield Problem(
                    str(place),
                    f'"{level.name}" has an offset at the {label} and no position there',
                    f"give the distance aft of its end in a row position,{level.name},...",
                    code="missing-cell",
                )


def _crossing(levels: tuple[Level, ...], offsets: Offsets) -> dict[str, int]:
    """How many offsets each station has between keel and sheer."""
    return {
        label: sum(bool(np.isfinite(level.values[level.row.column(label)])) for level in levels)
        for label in offsets.stations
    }


def level_warnings(offsets: Offsets, design: Design) -> Iterator[Problem]:
    """Stations whose section is hardly told."""
    levels = levels_of(offsets, design)
    if not levels:
        return
    for label, count in _crossing(levels, offsets).items():
        if count < 2:
            many = f"{count or 'no'} {'offset' if count == 1 else 'offsets'}"
            yield Problem(
                offsets.file,
                f"station {label} has {many} between keel and sheer",
                "its section is drawn as the stations beside it let it be; give it more",
            )
