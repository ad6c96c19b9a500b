"""Hydrostatic figures in words: rows of label and value, in the units of the table with the others beside them."""

from __future__ import annotations

from patterns.design.water_quantities import KG_PER_LB, M2_PER_FT2, M3_PER_FT3
from patterns.hull.hydrostatics import Hydrostatics
from patterns.measure import MM_PER_INCH, Notation, rough_length

__all__ = ["CAUTION", "area_words", "figure_words", "mass_words", "rows"]

CAUTION = "Bare hull, to check the table by. For stability and load ask a qualified designer."
DRY = 1e-4  # m2; a transom with less of it under water is clear of it


def _both(
    value: float, unit: str, other: float, other_unit: str, notation: Notation, figures: int = 3
) -> str:
    """A metric value and the same in feet and pounds; the table's own unit first."""
    metric, feet = (f"{_rounded(v, figures)} {u}" for v, u in ((value, unit), (other, other_unit)))
    return metric if notation.metric else f"{feet} ({metric})"


def _rounded(value: float, figures: int) -> str:
    """A value to so many figures, without an exponent."""
    if value == 0.0:
        return "0"
    places = figures - 1 - int(f"{abs(value):e}".partition("e")[2])
    return f"{round(value, places):.{max(places, 0)}f}"


def mass_words(kg: float, notation: Notation) -> str:
    """A mass, the unit of the table first."""
    return _both(kg, "kg", kg / KG_PER_LB, "lb", notation)


def area_words(m2: float, notation: Notation) -> str:
    """An area, the unit of the table first."""
    return _both(m2, "m2", m2 / M2_PER_FT2, "ft2", notation)


def figure_words(key: str, value: float, notation: Notation) -> str:
    """One figure by its key in the design file: a mass, a length, an area or a coefficient."""
    if key == "displacement":
        return mass_words(value, notation)
    if key in ("waterplane", "greatest_section", "wetted_surface"):
        return area_words(value, notation)
    if key in ("prismatic", "block"):
        return f"{value:.3f}"
    words = rough_length(value, notation)
    return f"{words} aft" if key == "centre_of_buoyancy" else words


def rows(found: Hydrostatics, notation: Notation) -> list[tuple[str, str]]:
    """Label and value of every figure, in the order of a plan's list."""

    def length(mm: float) -> str:
        return rough_length(mm, notation)

    water = _both(
        found.density, "kg/m3", found.density * M3_PER_FT3 / KG_PER_LB, "lb/ft3", notation, figures=4
    )
    volume = _both(found.volume, "m3", found.volume / M3_PER_FT3, "ft3", notation)
    sinking = f"{_rounded(found.immersion, 3)} kg per mm"
    if not notation.metric:
        sinking = f"{_rounded(found.immersion * float(MM_PER_INCH) / KG_PER_LB, 3)} lb per inch ({sinking})"
    made = [
        ("Designed waterline", f"{length(found.waterline)} above base, upright and level"),
        ("Water", water),
        ("Displacement", mass_words(found.mass, notation)),
        ("Volume", volume),
        ("Centre of buoyancy", f"{length(found.centre_aft)} aft of the table's origin"),
        ("From the waterline's fore end", f"{100.0 * found.centre_share:.1f} % of its length"),
        ("Height of that centre", f"{length(found.centre_up)} above base"),
        ("Waterplane", area_words(found.waterplane, notation)),
        ("Waterplane's centre", f"{length(found.waterplane_aft)} aft of the table's origin"),
        ("Waterline length", length(found.length)),
        ("Waterline breadth", length(found.breadth)),
        ("Draught of the hull, no keel", length(found.draught)),
        ("Greatest section", f"{area_words(found.section, notation)}, {length(found.section_aft)} aft"),
        ("Wetted surface, no transom", area_words(found.wetted, notation)),
    ]
    if found.transoms > DRY:
        made.append(("Transom under water", area_words(found.transoms, notation)))
    return [
        *made,
        ("Prismatic coefficient", f"{found.prismatic:.3f}"),
        ("Block coefficient", f"{found.block:.3f}"),
        ("Immersion", sinking),
    ]
