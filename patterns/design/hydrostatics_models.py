"""The waterline at which the hull is floated, and the plan's own figures to compare with."""

from __future__ import annotations

from pydantic import Field

from patterns.design.part import Part
from patterns.design.quantities import Length, Position
from patterns.design.water_quantities import Area, Coefficient, Displacement, Place, Water

__all__ = ["PLAN_KEYS", "HydrostaticsSpec"]

PLAN_KEYS = (
    "displacement",
    "centre_of_buoyancy",
    "waterline_length",
    "waterline_breadth",
    "waterplane",
    "greatest_section",
    "wetted_surface",
    "prismatic",
    "block",
)


class HydrostaticsSpec(Part):
    """The designed waterline: check reports what the faired hull displaces there, upright, to the outside of
    planking, without keel, skeg and rudder. Every further figure that the plan gives is compared with it."""

    designed_waterline: Position = Field(
        description='The designed waterline\'s height above base, e.g. "0-9-4"; it is level. Negative where the '
        "table counts heights down from the set-up line."
    )
    water: Water = Field(
        default="salt",
        validate_default=True,
        description='"salt" (1025 kg/m3), "fresh" (1000 kg/m3), or a density, e.g. "1010 kg/m3".',
    )
    displacement: Displacement | None = Field(
        default=None, description='The plan\'s displacement, by mass or by volume, e.g. "420 kg", "15 ft3".'
    )
    centre_of_buoyancy: Place | None = Field(
        default=None,
        description="The plan's centre of buoyancy: its distance aft of the table's origin, or its part of the "
        'waterline\'s length from forward, e.g. "54 %".',
    )
    waterline_length: Length | None = Field(default=None, description="The plan's length on the waterline.")
    waterline_breadth: Length | None = Field(
        default=None, description="The plan's greatest breadth on the waterline, both sides."
    )
    waterplane: Area | None = Field(
        default=None, description='The plan\'s area of the waterplane, e.g. "3.2 m2", "34 ft2".'
    )
    greatest_section: Area | None = Field(
        default=None, description="The plan's area of the greatest section, both sides."
    )
    wetted_surface: Area | None = Field(
        default=None, description="The plan's wetted surface, without transom and appendages."
    )
    prismatic: Coefficient | None = Field(
        default=None, description="The plan's prismatic coefficient, e.g. 0.56."
    )
    block: Coefficient | None = Field(
        default=None, description="The plan's block coefficient, by the draught of the hull without keel."
    )
