"""The flat patterns of strakes, as the design file asks for them."""

from __future__ import annotations

import re
from typing import Annotated

from pydantic import Field

from patterns.design.quantities import At, Lengths, Names, NotNegative, ScarfRatio, Words
from patterns.design.refs import Ref
from patterns.design.shared_keys import PrintedKeys

__all__ = ["StrakePatternSpec", "lap_of"]


class StrakePatternSpec(PrintedKeys):
    """A strake laid flat as a full-size pattern of its inside face."""

    strake: Annotated[Words, Ref("strake")] = Field(description="Which strake it is.")
    stock: Words = Field(description="Its plywood, as named in the cut list.")
    trim: NotNegative = Field(
        description="How much is left all round, outside of the net edges, to be trimmed when it is fitted."
    )
    laps: Names = Field(
        default=(),
        description='For each of its chines which strake covers the other\'s edge there, as ["side over bottom"].',
    )
    laps_from: At | None = Field(
        default=None,
        description='From where aft the laps hold, e.g. "station 2"; forward of it, where the chine flattens, the '
        "two sheets are butted at the line.",
    )
    sheets: Lengths = Field(
        default=(),
        description="The lengths of the sheets that are scarfed together for it, from forward aft, e.g. "
        '["2440 mm", "2440 mm"]; left out, it is one piece.',
    )
    scarf_ratio: ScarfRatio | None = Field(
        default=None, description='The length of its scarfs against the planking\'s thickness, e.g. "8:1".'
    )


def lap_of(words: str) -> tuple[str, str] | None:
    """The strake that covers and the one that is covered, of "side over bottom"; None if it is not so written."""
    found = re.fullmatch(r"(.+?) over (.+)", words)
    return (found[1].strip(), found[2].strip()) if found else None
