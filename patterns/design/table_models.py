"""How the table of offsets is written, and what it is given to."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from patterns.design.part import Part
from patterns.design.quantities import FileName
from patterns.measure import Notation

__all__ = ["TableSpec"]


class TableSpec(Part):
    """The table of offsets, and what it is given to."""

    file: FileName = Field(description="The table's file in this folder, saved as CSV.")
    notation: Notation = Field(
        description="How the table writes its lengths: feet-inches-eighths (2-7-3), feet-inches "
        "(2' 7 3/8\"), inches, feet, mm, cm or m."
    )
    heights: Literal["up from base", "down from set-up line"] = Field(
        description="From where and which way the table's heights are measured."
    )
    breadths: Literal["half", "full"] = Field(
        description="Whether the table gives half-breadths (rows named half-breadth) or whole breadths "
        "(rows named breadth)."
    )
    stations: Literal["from forward aft", "from aft forward"] = Field(
        default="from forward aft",
        description="In which order the table's columns run. from aft forward: stern is the first, bow the last.",
    )
    positions: Literal["aft from bow", "forward from stern"] = Field(
        default="aft from bow",
        description="From where and which way positions are measured: in the table, in the stem's points (with "
        "forward from stern in a column forward instead of aft), and for every distance along the boat in this "
        "file. Messages and patterns always give distances aft; with forward from stern they count from the "
        "greatest position in the table.",
    )
    bottom: Literal["flat"] | None = Field(
        default=None,
        description="flat: the bottom is level athwartships, with rocker or without: the two lowest lines have one "
        "height at each station, and the table may give it once, as the height of either.",
    )
    lines_to: Literal["outside of planking", "inside of planking"] = Field(
        description="Which side of the planking the table's lines lie on."
    )
    sheer_to: Literal["top of planking", "top of deck", "underside of deck"] = Field(
        description="What the sheer's heights are given to."
    )
