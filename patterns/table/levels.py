"""Waterlines, buttocks and diagonals: the rows of the table that lie in planes given by the design."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

import numpy as np

from patterns.design.round_models import ButtockSpec, DiagonalSpec, LevelSpec, WaterlineSpec
from patterns.errors import Problem
from patterns.measure.nearest import nearest
from patterns.table.values import BOW, STERN, FloatArray, LineOffsets, Offsets, Place

if TYPE_CHECKING:
    from patterns.design.models import Design

__all__ = ["LevelRow", "LevelView", "level_names", "level_problems", "level_warnings", "levels_of"]

LevelView = Literal["half-breadth", "height", "diagonal"]
ENOUGH = 4  # stations with which two rows are compared
EACH = 1  # offsets at a station, on average, without which nothing shows how round the boat is
FEW = 2  # offsets between keel and sheer; a station with fewer is drawn by its neighbours' sections


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LevelRow:
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


def levels_of(offsets: Offsets, design: Design) -> tuple[LevelRow, ...]:
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
) -> LevelRow:
    return LevelRow(
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
                    f'{offsets.file} has no row "{block}" for it',
                    f"add a row {block},{spec.name},... ({nearest(spec.name, free) or 'or remove it'})",
                    code="missing-row",
                )
    levels = levels_of(offsets, design)
    given = sum(_crossing(levels, offsets).values())
    if levels and not unread and given < EACH * len(offsets.stations):
        yield Problem(
            offsets.file,
            f"between keel and sheer there are {given} offsets at {len(offsets.stations)} stations: too few to "
            "show how round the boat is",
            "add rows of waterlines, buttocks or diagonals: two offsets or more at a station",
            code="missing-offsets",
        )
    for level in levels:
        first = level.places[0]
        where = offsets.file if first is None else f"{first.file}, row {first.row}"
        if not np.isfinite(level.values).any() and not any(place in unread for place in level.places):
            yield Problem(
                where,
                f'"{level.name}" has no offsets',
                "add its offsets, or remove the row and its entry in design.toml",
                code="missing-row-offsets",
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


def _crossing(levels: tuple[LevelRow, ...], offsets: Offsets) -> dict[str, int]:
    """How many offsets each station has between keel and sheer."""
    return {
        label: sum(bool(np.isfinite(level.values[level.row.column(label)])) for level in levels)
        for label in offsets.stations
    }


def level_warnings(offsets: Offsets, design: Design) -> Iterator[Problem]:
    """Levels whose rows lie the other way round, and stations whose section has hardly an offset."""
    levels = levels_of(offsets, design)
    if not levels:
        return
    yield from _out_of_order(levels)
    crossing = _crossing(levels, offsets)
    for count in range(FEW):
        few = [label for label, given in crossing.items() if given == count]
        if few:
            many = "one offset" if count else "no offsets"
            yield Problem(
                offsets.file,
                f"station{'s' if len(few) > 1 else ''} {', '.join(few)} "
                f"{'have' if len(few) > 1 else 'has'} {many} between keel and sheer",
                "their sections follow those of the neighbouring stations: add offsets",
                code="station-few-offsets",
            )


def _out_of_order(levels: tuple[LevelRow, ...]) -> Iterator[Problem]:
    """Two waterlines of which the lower is wider all along, two buttocks of which the inner is higher all along.

    Under the greatest breadth no boat is so, and above it none is so at her ends.
    """
    for view, table, key, axis in (
        ("half-breadth", "waterline", "height", 1),
        ("height", "buttock", "half_breadth", 0),
    ):
        own = sorted((level for level in levels if level.view == view), key=lambda level: level.start[axis])
        for first, second in pairwise(own):
            apart = second.values - first.values
            apart = apart[np.isfinite(apart)]
            if len(apart) >= ENOUGH and bool(np.all(apart < 0.0)):
                yield Problem(
                    f'design.toml, {table} "{second.name}", key {key}',
                    f'by their places "{second.name}" lies beyond "{first.name}", and its {view}s are all smaller',
                    f"check the {key} of both and whether their rows are exchanged",
                    code="levels-exchanged",
                )
