"""What in a fact or a label depends on the end of the boat, as values that can be turned with her."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

__all__ = ["Aft", "HullEnd", "Way", "turned_value"]


class HullEnd(Enum):
    """What closes the hull at an end; its value is what it is called."""

    STEM = "stem"
    STERNPOST = "sternpost"
    TRANSOM = "transom"
    BOW_TRANSOM = "bow transom"

    def __str__(self) -> str:
        return self.value


class Way(Enum):
    """A direction along the boat; its value is what it is called."""

    AFT = "aft"
    FORWARD = "forward"

    def __str__(self) -> str:
        return self.value


@dataclass(frozen=True, slots=True)
class Aft:
    """A distance aft in the table of offsets, mm."""

    mm: float


_OTHER: dict[object, object] = {
    HullEnd.STEM: HullEnd.STERNPOST,
    HullEnd.STERNPOST: HullEnd.STEM,
    HullEnd.TRANSOM: HullEnd.BOW_TRANSOM,
    HullEnd.BOW_TRANSOM: HullEnd.TRANSOM,
    Way.AFT: Way.FORWARD,
    Way.FORWARD: Way.AFT,
}


def turned_value(value: object) -> object:
    """A value as it is with the boat turned end for end; what does not depend on her ends stays."""
    if isinstance(value, Aft):
        return Aft(-value.mm)
    if isinstance(value, tuple):
        return tuple(turned_value(each) for each in value)
    return _OTHER.get(value, value) if isinstance(value, HullEnd | Way) else value
