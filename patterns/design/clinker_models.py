"""How clinker planks lap, as the design file says it."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from patterns.design.part import Part
from patterns.design.quantities import Length, Wood

__all__ = ["UPPER_EDGE", "ClinkerSpec"]

UPPER_EDGE = "upper edge of the lower plank"
LOWER_EDGE = "lower edge of the upper plank"


class ClinkerSpec(Part):
    """Clinker planking: every strake but the lowest laps over the one below it."""

    land_to: Literal["upper edge of the lower plank", "lower edge of the upper plank"] = Field(
        description="What the lines between the strakes are on the plan: the upper outside edges of the planks "
        "below them, or the lower inside edges of the planks above, where these rest on the lower planks."
    )
    lap: Wood = Field(description="The width of the lap, square to the planks' edges.")
    gain: Length | None = Field(
        default=None,
        description="The length over which the planks are let into each other at a stem, so that their hood ends "
        "lie flush; required where there is a stem.",
    )
    gain_at_transom: Length | None = Field(
        default=None,
        description="The same at a transom; left out, the planks keep their steps there, and so does the transom.",
    )
