"""The hull floated at the designed waterline, and held against the plan's own figures.

A wrong row or a wrong unit in the table shows at once in what the hull displaces.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from patterns.design.hydrostatics_models import PLAN_KEYS, HydrostaticsSpec
from patterns.design.models import Design
from patterns.design.parts import DESIGN_FILE
from patterns.design.water_quantities import KG_PER_LB, Displaced, WaterlineShare
from patterns.errors import PatternsError, Problem
from patterns.hull.hull import Hull
from patterns.hull.hydrostatics import Hydrostatics, float_hull
from patterns.hull.hydrostatics_words import figure_words
from patterns.measure import Notation, rough_length

__all__ = ["Floating", "hydrostatics_of"]

LEAST_PRISMATIC, MOST_PRISMATIC = 0.3, 0.95  # common practice, no source: boats lie between 0.5 and 0.8
OPEN = 0.005  # of the volume; surfaces that do not close by more have a hole


@dataclass(frozen=True, slots=True)
class _Kind:
    """How one figure is compared.

    Attributes:
        name: in words.
        band: how far hull and plan may differ: as a part of the plan's figure, or as it is where ``plain``.
        power: of a length: 3 for a volume; what a wrong unit of the table comes to. 0 for a bare number.
        breadths: it is twice as much where whole breadths are read as half-breadths.
    """

    name: str
    band: float
    power: int = 0
    breadths: bool = False
    plain: bool = False


# A plan's figures come from ten stations and a planimeter, and often count keel, skeg and outer stem: the bands
# leave room for that and for the table's rounding. Common practice, no source.
KINDS = {
    "displacement": _Kind("displacement", 0.06, power=3, breadths=True),
    "centre_of_buoyancy": _Kind("centre of buoyancy", 0.015, plain=True),
    "waterline_length": _Kind("waterline's length", 0.03, power=1),
    "waterline_breadth": _Kind("waterline's breadth", 0.02, power=1, breadths=True),
    "waterplane": _Kind("waterplane", 0.04, power=2, breadths=True),
    "greatest_section": _Kind("greatest section", 0.04, power=2, breadths=True),
    "wetted_surface": _Kind("wetted surface", 0.06, power=2),
    "prismatic": _Kind("prismatic coefficient", 0.03, plain=True),
    "block": _Kind("block coefficient", 0.04, plain=True),
}
NEAR = 0.04  # how close to a slip's ratio the two must lie, for it to be named
UNITS = {10.0: "mm and cm", 2.54: "cm and inches", 25.4: "mm and inches", 12.0: "inches and feet"}


@dataclass(frozen=True, slots=True)
class Floating:
    """What came of floating the hull.

    Attributes:
        figures: None where the design has no designed waterline, or one that the hull cannot float at.
        errors, doubts: what is wrong, and what the user may confirm.
    """

    figures: Hydrostatics | None = None
    errors: tuple[Problem, ...] = ()
    doubts: tuple[Problem, ...] = ()


def hydrostatics_of(design: Design, hull: Hull, notation: Notation) -> Floating:
    """Float the hull where the design says, and compare what the plan says.

    Args:
        notation: how the table writes its lengths; the words follow it.
    """
    spec = next(iter(design.all(HydrostaticsSpec)), None)
    if spec is None:
        return Floating()
    errors = tuple(_off_the_hull(spec.designed_waterline, hull, notation))
    if errors:
        return Floating(errors=errors)
    try:
        figures = float_hull(hull, spec.designed_waterline, density=spec.water)
    except PatternsError as error:
        # One optional figure must not stop the patterns.
        where = f"{DESIGN_FILE}, [hydrostatics], key designed_waterline"
        want = "check the waterline and where the lines end"
        return Floating(doubts=(Problem(where, str(error), want, code="hydrostatics-failed"),))
    return Floating(figures=figures, doubts=(*_unlikely(figures), *_differing(spec, figures, notation)))


def _off_the_hull(waterline: float, hull: Hull, notation: Notation) -> Iterator[Problem]:
    """A waterline that floods the sheer, or passes below the hull."""
    where = f"{DESIGN_FILE}, [hydrostatics], key designed_waterline"
    sheer = list(hull.lines.values())[-1]
    heights = [
        float(line.at(np.linspace(line.start, line.end, 400))[:, 2].min())
        for line in (sheer, hull.profile, *hull.lines.values())
    ]
    top, bottom = heights[0], min(heights[1:])
    typed, low, high = (rough_length(v, notation) for v in (waterline, bottom, top))
    want = f"write a height above base between {low} and {high}, or correct the heights in the table"
    if waterline >= top:
        yield Problem(
            where, f"{typed} is above the sheer's lowest place, {high}", want, code="waterline-above-sheer"
        )
    elif waterline <= bottom:
        yield Problem(
            where, f"{typed} is below the hull's lowest place, {low}", want, code="waterline-below-hull"
        )


def _unlikely(figures: Hydrostatics) -> Iterator[Problem]:
    """Figures that hardly any boat has."""
    where = f"{DESIGN_FILE}, [hydrostatics], key designed_waterline"
    if figures.gap > OPEN:
        yield Problem(
            where,
            f"the hull's surfaces do not close below it: its volumes from the sides and from the bottom differ by "
            f"{100.0 * figures.gap:.1f} %",
            "check where the lines end; do not compare these figures with the plan",
            code="hull-not-closed",
        )
    if not LEAST_PRISMATIC <= figures.prismatic <= MOST_PRISMATIC:
        yield Problem(
            where,
            f"the hull's prismatic coefficient there is {figures.prismatic:.2f}; boats have "
            f"{LEAST_PRISMATIC:g} to {MOST_PRISMATIC:g}",
            "check the waterline and the half-breadths",
            code="prismatic-unlikely",
        )


def _differing(spec: HydrostaticsSpec, figures: Hydrostatics, notation: Notation) -> Iterator[Problem]:
    """The plan's figures that the hull does not have."""
    for key in PLAN_KEYS:
        given = getattr(spec, key)
        if given is None:
            continue
        kind, (found, plan) = KINDS[key], _pair(key, given, figures)
        apart = (found - plan) / (
            figures.length if key == "centre_of_buoyancy" else 1.0 if kind.plain else plan
        )
        if abs(apart) <= kind.band:
            continue
        ours, theirs = (figure_words(key, value, notation) for value in (found, plan))
        slip = _slip(kind, found / plan, by_mass=isinstance(given, Displaced) and given.mass is not None)
        yield Problem(
            f"{DESIGN_FILE}, [hydrostatics], key {key}",
            f"the faired hull's {kind.name} is {ours}, the plan's {theirs}" + (f": {slip}" if slip else ""),
            "compare the table with the plan row by row",
            code="hydrostatics-differ",
        )


def _pair(key: str, given: object, figures: Hydrostatics) -> tuple[float, float]:
    """The hull's figure and the plan's, in one unit: mm, m2, kg or a bare number."""
    if isinstance(given, Displaced):
        return figures.mass, given.in_water(figures.density)
    if isinstance(given, WaterlineShare):
        return figures.centre_aft, figures.fore + given.part * figures.length
    assert isinstance(given, float)
    found = {
        "centre_of_buoyancy": figures.centre_aft,
        "waterline_length": figures.length,
        "waterline_breadth": figures.breadth,
        "waterplane": figures.waterplane,
        "greatest_section": figures.section,
        "wetted_surface": figures.wetted,
        "prismatic": figures.prismatic,
        "block": figures.block,
    }[key]
    return found, given


def _slip(kind: _Kind, ratio: float, *, by_mass: bool) -> str:
    """The slip that a ratio of the hull's figure to the plan's is clearly due to; empty where none is."""

    def is_near(other: float) -> bool:
        return abs(ratio / other - 1.0) <= NEAR

    if kind.breadths and is_near(2.0):
        return "about twice as much; whole breadths may be read as half-breadths"
    if kind.breadths and is_near(0.5):
        return "about half as much; half-breadths may be read as whole breadths"
    if by_mass and (is_near(1.0 / KG_PER_LB) or is_near(KG_PER_LB)):
        return "the plan's figure may have lb and kg exchanged"
    for step, units in UNITS.items():
        if kind.power and (is_near(step**kind.power) or is_near(step**-kind.power)):
            return f"{units} may be exchanged, here or in the table"
    return ""
