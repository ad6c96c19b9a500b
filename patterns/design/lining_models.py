"""How a hull is lined off for planks, as the design file says it."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, Field, StrictInt

from patterns.design.part import Part
from patterns.design.quantities import At, Lengths, shown, trouble

__all__ = ["LiningSpec"]

MOST_PLANKS = 60


def _planks(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 2 <= value <= MOST_PLANKS:
        raise trouble(
            f"{shown(value)} is not a valid number of planks",
            f"write a whole number from 2 to {MOST_PLANKS}, e.g. 9",
            code="invalid-value",
        )
    return value


class LiningSpec(Part):
    """The hull lined off: the planks' edges as fair lines over it, from its rabbet to its sheer."""

    planks: Annotated[StrictInt, BeforeValidator(_planks)] = Field(description="How many planks to a side.")
    widths: Lengths = Field(
        default=(),
        description="The planks' widths at the station of greatest girth, from the garboard up, without the "
        'uppermost, which takes the rest, as ["130 mm", "110 mm"]; left out, all are of one width there.',
    )
    garboard_hood: At | None = Field(
        default=None,
        description="Where aft the garboard's upper edge meets the stem's rabbet; above it all hood ends are of "
        "one width. Required where there is a stem.",
    )
