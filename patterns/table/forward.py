"""A design whose distances are measured forward from the stern, as its table's are: turned to distances aft."""

from __future__ import annotations

from typing import TypeVar

from patterns.design.file import Design
from patterns.design.part import Part
from patterns.design.refs import along_fields
from patterns.measure import BadLength, exact_length

__all__ = ["measured_aft"]

MEASURED = ("foot", "centre_of_buoyancy")  # keys that hold it as a number, mm
Kind = TypeVar("Kind", bound=Part)


def measured_aft(design: Design, origin: float | None) -> Design:
    """The design with every distance along the boat counted aft.

    Args:
        origin: the position, mm, from which distances aft are counted; None where they are measured aft already.
    """
    if origin is None:
        return design
    changed = {
        name: tuple(_turned(part, origin) for part in getattr(design, name)) for name in ("strakes", "wanted")
    }
    ends = {name: _turned(getattr(design, name), origin) for name in ("fore_end", "after_end")}
    return design.model_copy(update=changed | ends)


def _turned(part: Kind, origin: float) -> Kind:
    update: dict[str, object] = {
        name: f"{origin - distance:.6f} mm"
        for name in along_fields(type(part))
        if isinstance(text := getattr(part, name, None), str) and (distance := _distance(text)) is not None
    }
    update |= {
        name: origin - distance
        for name in MEASURED
        if isinstance(distance := getattr(part, name, None), float)
    }
    return part.model_copy(update=update) if update else part


def _distance(text: str) -> float | None:
    """The distance, mm, that a place along the boat is given by; None for a station, a frame or an end."""
    try:
        return float(exact_length(text))
    except BadLength:
        return None
