"""The table of offsets as values: every length in mm, every cell with its place in the user's file.

Axes: x aft, y outboard (always the half-breadth), z up (always from base), whatever the table's own way is.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from patterns.measure import Notation
from patterns.measure.along import station_named

__all__ = [
    "BOW",
    "STERN",
    "FloatArray",
    "LineOffsets",
    "Offsets",
    "Place",
    "StemPoints",
    "column_letters",
    "turned_at",
]

FloatArray = NDArray[np.float64]
BOW, STERN = "bow", "stern"


def column_letters(column: int) -> str:
    """The letters that a spreadsheet shows above a column; column 0 is A, 26 is AA."""
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def turned_at(knuckles: Iterable[str]) -> frozenset[str]:
    """The columns at which a line turns on purpose, from the stations that the design names, e.g. ``station 3``."""
    return frozenset(station_named(knuckle) or knuckle for knuckle in knuckles)


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a cell stands.

    Attributes:
        file: the file's name within the design's folder.
        row: as a spreadsheet counts it, from 1, blank rows and comments counted.
        column: from 0.
        heading: what the column is, as ``station 4`` or ``height``; may be empty.
        typed: what stands in the cell.
    """

    file: str
    row: int
    column: int
    heading: str = ""
    typed: str = field(default="", compare=False)

    def __str__(self) -> str:
        words = f" ({self.heading})" if self.heading else ""
        return f"{self.file}, row {self.row}, column {column_letters(self.column)}{words}"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LineOffsets:
    """One line of the table, a value for each of the table's columns.

    Attributes:
        name: as the table writes it.
        labels: the columns, from the bow aft: ``bow``, the stations' names, ``stern``.
        x: mm aft, shape (n,): the station's position, or at an end the line's own; nan where an end has none.
        y: half-breadth, mm, shape (n,); nan is an empty cell.
        z: height above base, mm, shape (n,); nan is an empty cell.
        x_places, y_places, z_places: the cell of each value; None where the table has no such row.
    """

    name: str
    labels: tuple[str, ...]
    x: FloatArray
    y: FloatArray
    z: FloatArray
    x_places: tuple[Place | None, ...]
    y_places: tuple[Place | None, ...]
    z_places: tuple[Place | None, ...]

    def column(self, label: str) -> int:
        """The index of a label.

        Raises:
            ValueError: the table has no such column.
        """
        return self.labels.index(label)

    @property
    def complete(self) -> NDArray[np.bool_]:
        """Where all three of position, half-breadth and height are given, shape (n,)."""
        return np.asarray(~(np.isnan(self.x) | np.isnan(self.y) | np.isnan(self.z)))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StemPoints:
    """The points of the rabbet on a stem, from its head down and, at the bow, aft; at the stern, forward.

    Attributes:
        file: the file's name within the design's folder.
        x: mm aft, shape (n,).
        z: mm above base, shape (n,).
        measured: which of the two was measured; the other is the line that it was measured on.
        knuckle: where the rabbet turns on purpose.
        places: the cell of the measured value.
    """

    file: str
    x: FloatArray
    z: FloatArray
    measured: tuple[Literal["aft", "height"], ...]
    knuckle: tuple[bool, ...]
    places: tuple[Place, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Offsets:
    """The whole table as typed.

    Attributes:
        file: the table's name within the design's folder.
        notation: how its lengths are written.
        stations: the names of the stations between bow and stern, from forward aft.
        station_x: their positions, mm aft, shape (m,).
        lines: by name, in the order of the table.
        diagonals: the rows of the block diagonal by name; their distances stand in the half-breadth's place.
        stem, sternpost: the own points of the stem at the bow and of the one at the stern; None where no file
            was asked for.
        station_places: the cells of the positions.
        origin: where the table measures its positions forward: the one, mm, from which x is counted aft; else None.
        level: the line with the keel's height at every station, where the bottom is flat athwartships; else empty.
    """

    file: str
    notation: Notation
    stations: tuple[str, ...]
    station_x: FloatArray
    lines: Mapping[str, LineOffsets]
    diagonals: Mapping[str, LineOffsets] = field(default_factory=dict)
    stem: StemPoints | None = None
    sternpost: StemPoints | None = None
    station_places: tuple[Place, ...] = field(default=())
    origin: float | None = None
    level: str = ""
