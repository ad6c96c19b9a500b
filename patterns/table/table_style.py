"""How a table of offsets is written, and in which files: what the design says of it before it is read."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from patterns.measure import Notation
from patterns.table.stations import MeasuredFrom, Order

__all__ = [
    "BREADTH",
    "DIAGONAL",
    "HALF_BREADTH",
    "HEIGHT",
    "POSITION",
    "Breadths",
    "Heights",
    "TableFiles",
    "TableStyle",
]

Heights = Literal["up from base", "down from set-up line"]
Breadths = Literal["half", "full"]
POSITION, HEIGHT, HALF_BREADTH, BREADTH, DIAGONAL = (
    "position",
    "height",
    "half-breadth",
    "breadth",
    "diagonal",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TableFiles:
    """The files of a table.

    Attributes:
        table: its offsets.
        stem, sternpost: the points of the stems at bow and stern; None where there is no such file.
    """

    table: Path
    stem: Path | None = None
    sternpost: Path | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TableStyle:
    """How a table is written, the files of the stems' points included.

    Attributes:
        notation: how its lengths are written.
        heights: which way its heights are measured; they come out up from base.
        breadths: whether it gives half-breadths or whole ones; they come out as half.
        stations: in which order its columns run.
        positions: from where and which way its positions are measured.
        level: the two lines between which the bottom is flat athwartships: where one has no height at a station it
            takes the other's, with its cell.
        stems: the ends, bow or stern, at which there is a stem.
        names: the lines' names in the design; the table may write them in capitals, or with more spaces.
    """

    notation: Notation
    heights: Heights = "up from base"
    breadths: Breadths = "half"
    stations: Order = "from forward aft"
    positions: MeasuredFrom = "aft from bow"
    level: tuple[str, str] | None = None
    stems: Collection[str] = ()
    names: Collection[str] = ()

    @property
    def down(self) -> bool:
        """Whether heights are measured down."""
        return self.heights == "down from set-up line"

    @property
    def forward(self) -> bool:
        """Whether positions are measured forward."""
        return self.positions == "forward from stern"

    @property
    def breadth(self) -> str:
        """The name of its blocks of breadths."""
        return BREADTH if self.breadths == "full" else HALF_BREADTH
