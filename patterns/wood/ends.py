"""What in a fact or a label depends on the end of the boat, as values that can be turned with her."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from patterns.errors import PatternsError

__all__ = [
    "Aft",
    "BoatEnd",
    "EndError",
    "EndText",
    "HullEnd",
    "Lean",
    "Way",
    "error_about",
    "turned_text",
    "turned_value",
]


class Way(Enum):
    """A direction along the boat; its value is what it is called."""

    AFT = "aft"
    FORWARD = "forward"

    def __str__(self) -> str:
        return self.value

    @property
    def which(self) -> str:
        """The one of two faces or ends that lies that way."""
        return "after" if self is Way.AFT else "fore"

    @property
    def past(self) -> str:
        """What lies farther that way is this of the other."""
        return "abaft" if self is Way.AFT else "ahead of"


class BoatEnd(Enum):
    """An end of the boat; its value is what it is called."""

    BOW = "bow"
    STERN = "stern"

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
    def outside(self) -> str:
        """What the face out of the hull is called of a piece there."""
        return "forward face" if self.inward is Way.AFT else "after face"

    @property
    def inward(self) -> Way:
        """The way from it into the hull."""
        return Way.AFT if self in (HullEnd.STEM, HullEnd.BOW_TRANSOM) else Way.FORWARD

    @property
    def outward(self) -> Way:
        """The way from it out of the hull."""
        return Way.FORWARD if self.inward is Way.AFT else Way.AFT

    @property
    def of_boat(self) -> BoatEnd:
        """The end of the boat that it closes."""
        return BoatEnd.BOW if self.inward is Way.AFT else BoatEnd.STERN


@dataclass(frozen=True, slots=True)
class Aft:
    """A distance aft in the table of offsets, mm."""

    mm: float


@dataclass(frozen=True, slots=True)
class Lean:
    """How far a face leans, its top aft positive, radians."""

    aft: float


class EndText(str):
    """A text with one name of an end in it, e.g. a piece's: ``inner stem``; with more added it stays one.

    Attributes:
        end: what is named; the text is turned with it.
        before, after: the rest of the text, which stays.
    """

    end: HullEnd | BoatEnd
    before: str
    after: str

    def __new__(cls, end: HullEnd | BoatEnd, *, before: str = "", after: str = "") -> EndText:
        text = super().__new__(cls, f"{before}{end}{after}")
        text.end, text.before, text.after = end, before, after
        return text

    def __add__(self, more: str) -> EndText:
        return EndText(self.end, before=self.before, after=self.after + more)


_OTHER: dict[object, object] = {
    HullEnd.STEM: HullEnd.STERNPOST,
    HullEnd.STERNPOST: HullEnd.STEM,
    HullEnd.TRANSOM: HullEnd.BOW_TRANSOM,
    HullEnd.BOW_TRANSOM: HullEnd.TRANSOM,
    Way.AFT: Way.FORWARD,
    Way.FORWARD: Way.AFT,
    BoatEnd.BOW: BoatEnd.STERN,
    BoatEnd.STERN: BoatEnd.BOW,
}


def turned_value(value: object) -> object:
    """A value as it is with the boat turned end for end; what does not depend on her ends stays."""
    if isinstance(value, Aft):
        return Aft(-value.mm)
    if isinstance(value, Lean):
        return Lean(-value.aft)
    if isinstance(value, tuple):
        return tuple(turned_value(each) for each in value)
    if isinstance(value, str):
        return turned_text(value)
    return _OTHER.get(value, value) if isinstance(value, HullEnd | Way | BoatEnd) else value


def turned_text(text: str) -> str:
    """A name or another text as it is with the boat turned end for end: only an `EndText` depends on her ends."""
    if not isinstance(text, EndText):
        return text
    other = _OTHER[text.end]
    assert isinstance(other, HullEnd | BoatEnd)
    return EndText(other, before=text.before, after=text.after)


class EndError(PatternsError):
    """A piece cannot be made at an end of the boat.

    Attributes:
        end: what closes the hull there.
        words: what is wrong, with ``{end}`` for its name, ``{end.inside}`` for that of its face within the hull,
            and ``{end.inward}`` for the way from it into the hull.
        values: for other places in the words; they are turned with the end.
    """

    def __init__(self, end: HullEnd, words: str, **values: object) -> None:
        self.end, self.words, self.values = end, words, values
        super().__init__(words.format(end=end, **values))

    def turned(self) -> EndError:
        """The same with the boat turned end for end."""
        other = turned_value(self.end)
        assert isinstance(other, HullEnd)
        return EndError(
            other, self.words, **{name: turned_value(value) for name, value in self.values.items()}
        )


def error_about(words: str, *on: str | HullEnd) -> PatternsError:
    """An error that names what a piece lies on: ``{}`` for each, with its article."""
    ends = [each for each in on if isinstance(each, HullEnd)]
    filled = words.format(*("the {end}" if isinstance(each, HullEnd) else each for each in on))
    return EndError(ends[0], filled) if ends else PatternsError(filled)
