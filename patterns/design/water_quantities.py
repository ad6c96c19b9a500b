"""Masses, volumes, areas and densities as the design file may hold them: text with a unit.

Sources: 1 lb is 0.45359237 kg and 1 in is 25.4 mm, exact by definition since 1959; a long ton is 2240 lb.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BeforeValidator

from patterns.design.quantities import MOST_LENGTH, shown, trouble
from patterns.measure import BadLength, parse_length, tidy

__all__ = [
    "KG_PER_LB",
    "M2_PER_FT2",
    "M3_PER_FT3",
    "Area",
    "Coefficient",
    "Displaced",
    "Displacement",
    "Place",
    "Water",
    "WaterlineShare",
    "WoodDensity",
]

KG_PER_LB = 0.45359237
M_PER_FT = 0.3048
M2_PER_FT2, M3_PER_FT3 = M_PER_FT**2, M_PER_FT**3
WATERS = {"salt": 1025.0, "fresh": 1000.0}  # kg/m3; about 64 and 62.4 lb/ft3; common practice, no source
LIGHTEST, HEAVIEST = 950.0, 1300.0  # kg/m3; warm fresh water and a salt lake lie between
LIGHTEST_WOOD, HEAVIEST_WOOD = 50.0, 1500.0  # kg/m3; balsa is about 100, lignum vitae 1250; from memory
MOST_VOLUME, MOST_AREA = 1_000.0, 1_000.0  # m3, m2; past them a number is a slip of the unit

MASSES = {"kg": 1.0, "t": 1000.0, "lb": KG_PER_LB, "lbs": KG_PER_LB, "long tons": 2240.0 * KG_PER_LB}
VOLUMES = {"m3": 1.0, "l": 1e-3, "ft3": M3_PER_FT3}
AREAS = {"m2": 1.0, "ft2": M2_PER_FT2}
DENSITIES = {"kg/m3": 1.0, "t/m3": 1000.0, "lb/ft3": KG_PER_LB / M3_PER_FT3}
_POWERS = str.maketrans({"²": "2", "³": "3", "^": ""})
_NUMBER = re.compile(r"([0-9]+(?:\.[0-9]+)?|\.[0-9]+) ?([^0-9 ].*)?")


@dataclass(frozen=True, slots=True)
class Displaced:
    """A displacement as the plan gives it: by mass, kg, or by volume, m3; the other is None."""

    mass: float | None = None
    volume: float | None = None

    def in_water(self, density: float) -> float:
        """The mass, kg, in water of a density in kg/m3."""
        return self.mass if self.mass is not None else (self.volume or 0.0) * density


@dataclass(frozen=True, slots=True)
class WaterlineShare:
    """A place along the waterline as a part of its length, from its fore end."""

    part: float


def _split(value: Any, kind: str, example: str) -> tuple[float, str]:
    """The number and the unit of a text."""
    want = f'write it in quotes with its unit, e.g. "{example}"'
    if isinstance(value, bool) or not isinstance(value, str):
        raise trouble(f"{shown(value)} is not a valid {kind}", want, code="invalid-value")
    text = tidy(value).lower().translate(_POWERS)
    text = re.sub(r"\b(?:cubic (feet|foot|ft)|cu\.? ?ft\.?)", "ft3", text)
    text = re.sub(r"\b(?:square (feet|foot|ft)|sq\.? ?ft\.?)", "ft2", text)
    found = _NUMBER.fullmatch(text)
    if found is None:
        raise trouble(f"{shown(value)} is not a valid {kind}", want, code="invalid-value")
    return float(found[1]), (found[2] or "").strip()


def _measured(value: Any, units: Mapping[str, float], kind: str, example: str) -> float | None:
    """A number in one of the units; None where the unit is another."""
    number, unit = _split(value, kind, example)
    return number * units[unit] if unit in units else None


def _displacement(value: Any) -> Displaced:
    kind, example = "displacement", "420 kg"
    mass, volume = (_measured(value, units, kind, example) for units in (MASSES, VOLUMES))
    if mass is None and volume is None:
        every = ", ".join([*MASSES, *VOLUMES])
        raise trouble(
            f"{shown(value)} has an unsupported unit",
            f'write e.g. "{example}"; units are {every}',
            code="invalid-value",
        )
    if not 0.0 < (mass or 0.0) / 1000.0 + (volume or 0.0) <= MOST_VOLUME:
        raise trouble(
            f"{shown(value)} is out of range",
            "it must be more than 0 and at most 1000 t or 1000 m3",
            code="out-of-range",
        )
    return Displaced(mass=mass, volume=volume)


def _area(value: Any) -> float:
    found = _measured(value, AREAS, "area", "3.2 m2")
    if found is None:
        raise trouble(
            f"{shown(value)} has an unsupported unit", 'write e.g. "3.2 m2" or "34 ft2"', code="invalid-value"
        )
    if not 0.0 < found <= MOST_AREA:
        raise trouble(
            f"{shown(value)} is out of range",
            "it must be more than 0 and at most 1000 m2",
            code="out-of-range",
        )
    return found


def _water(value: Any) -> float:
    if isinstance(value, str) and tidy(value).lower() in WATERS:
        return WATERS[tidy(value).lower()]
    want = 'write "salt", "fresh", or a density, e.g. "1010 kg/m3"'
    if not isinstance(value, str) or not tidy(value)[:1].isdigit():
        raise trouble(f"{shown(value)} is not a valid water", want, code="invalid-value")
    found = _measured(value, DENSITIES, "density", "1010 kg/m3")
    if found is None:
        raise trouble(f"{shown(value)} has an unsupported unit", want, code="invalid-value")
    if not LIGHTEST <= found <= HEAVIEST:
        raise trouble(
            f"{shown(value)} is out of range",
            f"it must be from {LIGHTEST:g} to {HEAVIEST:g} kg/m3",
            code="out-of-range",
        )
    return found


def _wood_density(value: Any) -> float:
    want = 'write it with its unit, e.g. "530 kg/m3" or "33 lb/ft3"'
    found = _measured(value, DENSITIES, "density", "530 kg/m3")
    if found is None:
        raise trouble(f"{shown(value)} has an unsupported unit", want, code="invalid-value")
    if not LIGHTEST_WOOD <= found <= HEAVIEST_WOOD:
        raise trouble(
            f"{shown(value)} is out of range",
            f"it must be from {LIGHTEST_WOOD:g} to {HEAVIEST_WOOD:g} kg/m3",
            code="out-of-range",
        )
    return found


def _coefficient(value: Any) -> float:
    try:
        number = float(tidy(value)) if isinstance(value, str) else float(value)
    except (TypeError, ValueError):
        number = 0.0
    if isinstance(value, bool) or not 0.05 <= number <= 1.0:
        raise trouble(
            f"{shown(value)} is not a valid coefficient",
            "write a number from 0.05 to 1, e.g. 0.56",
            code="invalid-value",
        )
    return number


def _place(value: Any) -> float | WaterlineShare:
    """A distance aft, or a part of the waterline's length in percent."""
    want = 'write a distance aft, e.g. "7-6-4" or "2300 mm", or a part of the waterline, e.g. "54 %"'
    if not isinstance(value, str):
        raise trouble(f"{shown(value)} is not a valid place", want, code="invalid-value")
    percent = re.fullmatch(r"([0-9]+(?:\.[0-9]+)?) ?%", tidy(value))
    if percent is not None:
        if not 0.0 < float(percent[1]) < 100.0:
            raise trouble(
                f"{shown(value)} is out of range", "it must lie between 0 % and 100 %", code="out-of-range"
            )
        return WaterlineShare(float(percent[1]) / 100.0)
    try:
        aft = parse_length(value)
    except BadLength as error:
        raise trouble(error.what, want, code=error.code) from error
    if abs(aft) > MOST_LENGTH:
        raise trouble(
            f"{shown(value)} is out of range",
            "it must lie within 30 m of the table's origin",
            code="out-of-range",
        )
    return aft


Displacement = Annotated[Displaced, BeforeValidator(_displacement)]
Area = Annotated[float, BeforeValidator(_area)]
Water = Annotated[float, BeforeValidator(_water)]
WoodDensity = Annotated[float, BeforeValidator(_wood_density)]
Coefficient = Annotated[float, BeforeValidator(_coefficient)]
Place = Annotated[float | WaterlineShare, BeforeValidator(_place)]
