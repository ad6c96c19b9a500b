"""Feet and inches as plans write them: with their marks, or as bare numbers in their order.

Source of the feet-inches-eighths notation:
    R. C. Anderson, Guidelines for Recording Historic Ships, HABS/HAER, US National Park Service,
    3rd ed. 2004, p. 4.3.6: 6'-0 1/2" is written 6-0-4.  The trailing + and - of a sixteenth: common practice.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from patterns.measure.notation import (
    MM_PER_FOOT,
    MM_PER_INCH,
    NUMBER,
    BadLength,
    Notation,
    forms,
    quoted,
    signed,
)

__all__ = ["FeetInches", "from_eighths", "from_feet_and_inches", "read_feet_and_inches"]

# Between two parts: a space or a dash. A dash that only a space precedes is the sign of what follows it.
_BETWEEN = r"(?: - |- ?| )"
_SIGN = r"(?:(?P<sign>-) ?)?"
_FEET_MARK = r"(?:'|ft\.?|foot|feet)"
_INCH_MARK = r"(?:\"{1,2}|''|in\.?|inch|inches)"
# The number of whole inches may be left out before a fraction; 73/8 is not 7 3/8.
_INCHES = (
    rf"(?:(?P<inches>{NUMBER})(?![0-9/.]))?(?:(?(inches){_BETWEEN}|)(?P<over>[0-9]+)/(?P<under>[0-9]+))?"
)
_WITH_FEET = re.compile(rf"{_SIGN}(?P<feet>{NUMBER}) ?{_FEET_MARK}(?:{_BETWEEN}?{_INCHES} ?{_INCH_MARK}?)?")
_INCHES_ALONE = re.compile(rf"{_SIGN}(?P<feet>(?!))?{_INCHES} ?{_INCH_MARK}")
_BARE = re.compile(rf"{_SIGN}(?P<feet>[0-9]+){_BETWEEN}{_INCHES} ?{_INCH_MARK}?")
_EIGHTHS = re.compile(
    rf"{_SIGN}([0-9]{{1,3}}){_BETWEEN}([0-9]{{1,2}}){_BETWEEN}([0-9]) ?([+-])?",
)
FRACTIONS = (2, 4, 8, 16, 32, 64)


@dataclass(frozen=True, slots=True, kw_only=True)
class FeetInches:
    """A length in feet and inches as it was written; a part that was left out is None."""

    sign: str | None
    feet: str | None
    inches: str | None
    over: str | None
    under: str | None

    @property
    def padded(self) -> bool:
        """Whether a nought was written before a figure of the inches, e.g. ``4' 01"``."""
        return self.inches is not None and re.fullmatch(r"0[0-9]", self.inches) is not None

    @property
    def one_figure(self) -> bool:
        """Whether the inches were written as a single figure, e.g. ``4' 1"``."""
        return self.inches is not None and len(self.inches) == 1


def read_feet_and_inches(plain: str, notation: Notation | None) -> FeetInches | None:
    """The parts of a length in feet and inches; None where it is written in another way.

    Args:
        plain: the text in plain signs and small letters.
        notation: bare numbers are feet and inches where it is that of feet and inches; where it is that of
            eighths, only those that end in a fraction.
    """
    found = _INCHES_ALONE.fullmatch(plain) or _WITH_FEET.fullmatch(plain)
    if found is None and notation in (Notation.FEET_INCHES, Notation.FEET_INCHES_EIGHTHS):
        found = _BARE.fullmatch(plain)
        # 2 7/8 without a mark may be 2 ft 7/8 in or 2 7/8 in.
        if found is not None and found["inches"] is None:
            return None
        if found is not None and notation is Notation.FEET_INCHES_EIGHTHS and found["over"] is None:
            return None
    if found is None or not any(found.group("feet", "inches", "over")):
        return None
    return FeetInches(**{name: found[name] for name in ("sign", "feet", "inches", "over", "under")})


def from_feet_and_inches(text: str, found: FeetInches, notation: Notation | None) -> Fraction:
    """The length in mm.

    Args:
        text: as it was written, for what is wrong with it.

    Raises:
        BadLength: a fraction or a number of inches that does not exist.
    """

    def bad(what: str) -> BadLength:
        return BadLength(text=text, what=f"{quoted(text)} has {what}", want=forms(notation))

    smaller = {found.feet: found.inches or found.over, found.inches: found.over}
    if any(part and "." in (whole or "") for whole, part in smaller.items()):
        raise bad("a decimal point and a smaller part")
    part = Fraction(found.inches or 0)
    if found.over is not None and found.under is not None:
        over, under = int(found.over), int(found.under)
        if under not in FRACTIONS:
            raise bad("a fraction other than halves, quarters ... 64ths")
        if over >= under:
            raise bad("a fraction of one or more")
        part += Fraction(over, under)
    if found.feet and part >= 12:
        raise bad(f"{found.inches} inches beside feet; they run to 11")
    return signed(found.sign, Fraction(found.feet or 0) * MM_PER_FOOT + part * MM_PER_INCH)


def from_eighths(text: str, plain: str, notation: Notation | None) -> Fraction | None:
    """The length in mm of feet, inches and eighths; None where it is written in another way.

    Raises:
        BadLength: more than 11 inches or 7 eighths, or a sixteenth off nothing.
    """
    found = _EIGHTHS.fullmatch(plain)
    if found is None:
        return None
    sign, feet, inches, eighths, sixteenth = found.groups()

    def bad(what: str) -> BadLength:
        return BadLength(text=text, what=f"{quoted(text)} {what}", want=forms(notation))

    if int(inches) > 11:
        raise bad(f"has {inches} inches, which run from 0 to 11")
    if int(eighths) > 7:
        raise bad(f"has {eighths} eighths, which run from 0 to 7")
    value = 12 * int(feet) + int(inches) + Fraction(int(eighths), 8)
    if sixteenth == "-" and value == 0:
        raise bad("takes a sixteenth off nothing")
    value += {"+": Fraction(1, 16), "-": Fraction(-1, 16)}.get(sixteenth, Fraction(0))
    return signed(sign, value * MM_PER_INCH)
