"""What in a fact or a label depends on the end of the boat, as values that can be turned with her."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from patterns.errors import PatternsError

__all__ = ["Aft", "EndError", "HullEnd", "Way", "error_about", "turned_value"]


class Way(Enum):
    """A direction along the boat; its value is what it is called."""

    AFT = "aft"
    FORWARD = "forward"

    def __str__(self) -> str:
        return self.value


class HullEnd(Enum):
    """What closes the hull at an end; its value is what it is called."""

    STEM = "stem"
    STERNPOST = "sternpost"
    TRANSOM = "transom"
    BOW_TRANSOM = "bow transom"

    def __str__(self) -> str:
        return self.value

    @property
    def inside(self) -> str:
        """What its face within the hull is called."""
        return {HullEnd.STEM: "after face", HullEnd.STERNPOST: "forward face"}.get(self, "face")

    @property
    def inward(self) -> Way:
        """The way from it into the hull."""
        return Way.AFT if self in (HullEnd.STEM, HullEnd.BOW_TRANSOM) else Way.FORWARD


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


class EndError(PatternsError):
    """A piece cannot be made at an end of the boat.

    Attributes:
        end: what closes the hull there.
        words: what is wrong, with ``{end}`` for its name, ``{end.inside}`` for that of its face within the hull,
            and ``{end.inward}`` for the way from it into the hull.
    """

    def __init__(self, end: HullEnd, words: str) -> None:
        self.end, self.words = end, words
        super().__init__(words.format(end=end))

    def turned(self) -> EndError:
        """The same with the boat turned end for end."""
        other = turned_value(self.end)
        assert isinstance(other, HullEnd)
        return EndError(other, self.words)


def error_about(words: str, *on: str | HullEnd) -> PatternsError:
    """An error that names what a piece lies on: ``{}`` for each, with its article."""
    ends = [each for each in on if isinstance(each, HullEnd)]
    filled = words.format(*("the {end}" if isinstance(each, HullEnd) else each for each in on))
    return EndError(ends[0], filled) if ends else PatternsError(filled)
