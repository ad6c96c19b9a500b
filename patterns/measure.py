"""Lengths and angles, from words to numbers and back: the only place where units are turned into mm.

Inside, a length is an exact fraction until it is handed out, so that what was read is written back as it was.

Source of the feet-inches-eighths notation:
    R. C. Anderson, Guidelines for Recording Historic Ships, HABS/HAER, US National Park Service,
    3rd ed. 2004, p. 4.3.6: 6'-0 1/2" is written 6-0-4.  The trailing + and - of a sixteenth: common practice.
"""

from __future__ import annotations

import math
import re
from enum import Enum
from fractions import Fraction

from patterns.errors import PatternsError

__all__ = [
    "BadLength",
    "Notation",
    "exact_length",
    "format_length",
    "format_typed",
    "forms",
    "least_count",
    "parse_angle",
    "parse_length",
    "parse_rate",
    "tidy",
]


class Notation(Enum):
    """How a table writes its lengths; the value is the word that the design file uses."""

    FEET_INCHES_EIGHTHS = "feet-inches-eighths"
    FEET_INCHES = "feet-inches"
    DECIMAL_INCHES = "inches"
    DECIMAL_FEET = "feet"
    MM = "mm"
    CM = "cm"
    M = "m"


class BadLength(PatternsError):  # noqa: N818 - what is bad is the length
    """Words that are no length (or angle).

    Attributes:
        text: what was written.
        what: what is wrong with it.
        want: the forms that are accepted.
    """

    def __init__(self, *, text: str, what: str, want: str) -> None:
        super().__init__(f"{what}; {want}")
        self.text, self.what, self.want = text, what, want


MM_PER_INCH = Fraction(254, 10)  # exact by definition since 1959
MM_PER_FOOT = 12 * MM_PER_INCH

# mm in one unit of a notation that is written as a plain number
UNIT = {
    Notation.DECIMAL_INCHES: MM_PER_INCH,
    Notation.DECIMAL_FEET: MM_PER_FOOT,
    Notation.MM: Fraction(1),
    Notation.CM: Fraction(10),
    Notation.M: Fraction(1000),
}
METRIC = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000)}

# Decimals of a value that was typed, and of one that was worked out: about 0.1 mm, 0.01 in, 0.001 ft.
TYPED_DECIMALS = {
    Notation.DECIMAL_INCHES: 6,  # 1/64 in is 0.015625
    Notation.DECIMAL_FEET: 6,
    Notation.MM: 3,
    Notation.CM: 4,
    Notation.M: 6,
}
WRITTEN_DECIMALS = {
    Notation.DECIMAL_INCHES: 2,
    Notation.DECIMAL_FEET: 3,
    Notation.MM: 1,
    Notation.CM: 2,
    Notation.M: 4,
}
SAME = Fraction(1, 10**9)  # mm: a typed value comes back from a float within this, a computed one hardly ever

FORMS = {
    Notation.FEET_INCHES_EIGHTHS: "write feet-inches-eighths, as 2-7-3 for 2 ft 7 3/8 in "
    "(2-7-3+ adds a sixteenth, 2-7-3- takes one off; 2 7 3 with spaces will do)",
    Notation.FEET_INCHES: "write feet and inches with their marks, as 2' 7 3/8\", 7 3/8 in or 2 ft 7 in",
    Notation.DECIMAL_INCHES: "write inches as a plain number, as 31.375",
    Notation.DECIMAL_FEET: "write feet as a plain number, as 2.615",
    Notation.MM: "write mm as a plain number, as 797 or 797.5",
    Notation.CM: "write cm as a plain number, as 79.7",
    Notation.M: "write metres as a plain number, as 0.797",
}
WITH_UNIT = (
    'write a length with its unit, as "18 mm", "5/8 in", "2 ft 7 3/8 in" or "1-0-4" (feet-inches-eighths)'
)
ANGLES = 'write an angle with its unit, as "12 deg"'
RATES = 'write so much per length, as "1/2 in per 1 ft", or "1 in 24"'

_LOOKALIKES = str.maketrans(
    dict.fromkeys("−‐‑‒–—―﹣-", "-")
    | dict.fromkeys("′’‘ʹ", "'")
    | dict.fromkeys("″”“ʺ", '"')
    | dict.fromkeys("\xa0\u2007\u2009\u202f", " ")
    | {"⁄": "/", "＋": "+"}
)
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}

_NUMBER = r"(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_EIGHTHS = re.compile(r"(-)? ?(\d{1,3}) ?[- ] ?(\d{1,2}) ?[- ] ?(\d) ?([+-])?", re.ASCII)
_THREE_PARTS = re.compile(r"-? ?\d+ ?[- ] ?\d+ ?[- ] ?\d+ ?[+-]?")
_FEET_AND_INCHES = re.compile(
    rf"(?P<sign>-)? ?(?:(?P<feet>{_NUMBER}) ?(?:'|ft\.?|foot|feet)(?: ?- ?| )?)?"
    rf"(?:(?:(?P<inches>{_NUMBER})(?![0-9/.]))?(?:[ -]?(?P<over>[0-9]+)/(?P<under>[0-9]+))?"
    rf" ?(?:\"|''|in\.?|inch|inches))?"
)
_METRIC = re.compile(rf"(-)? ?({_NUMBER}) ?(mm|cm|m)")
_PLAIN = re.compile(rf"(-)? ?({_NUMBER})")
_ANGLE = re.compile(rf"(-)? ?({_NUMBER}) ?(?:°|deg\.?|degrees?)(?: ?({_NUMBER}) ?(?:'|min\.?|minutes?))?")
_RATE = re.compile(rf"({_NUMBER}) in ({_NUMBER})")


def tidy(text: str) -> str:
    """The same words in plain signs: one kind of dash, quote and space, no spaces at the ends."""
    plain = text.translate(_LOOKALIKES)
    for sign, fraction in _VULGAR.items():
        plain = plain.replace(sign, f" {fraction}")
    return " ".join(plain.split())


def forms(notation: Notation | None) -> str:
    """The accepted forms in words; None is a length that carries its own unit."""
    return WITH_UNIT if notation is None else FORMS[notation]


def parse_length(text: str, *, notation: Notation | None = None) -> float:
    """A length in mm.

    Args:
        text: a length that carries its unit (or 0); or, where ``notation`` is given, one in that notation.
        notation: how plain lengths are to be understood; None refuses them.

    Raises:
        BadLength: with what is wrong and the forms that are accepted.
    """
    return float(exact_length(text, notation=notation))


def exact_length(text: str, *, notation: Notation | None = None) -> Fraction:
    """The same as :func:`parse_length`, as an exact fraction of mm."""
    plain = tidy(text).lower()
    eighths = notation in (None, Notation.FEET_INCHES_EIGHTHS)
    if not plain:
        raise BadLength(text=text, what="nothing stands here", want=forms(notation))
    if eighths and (found := _EIGHTHS.fullmatch(plain)):
        return _from_eighths(text, found, notation)
    if (found := _METRIC.fullmatch(plain)) is not None:
        return _signed(found[1], Fraction(found[2]) * METRIC[found[3]])
    if (found := _PLAIN.fullmatch(plain)) is not None:
        if Fraction(found[2]) == 0:
            return Fraction(0)
        if notation in UNIT:
            return _signed(found[1], Fraction(found[2]) * UNIT[notation])
    elif (found := _FEET_AND_INCHES.fullmatch(plain)) is not None and any(found.groups()[1:]):
        return _from_feet_and_inches(text, found, notation)
    raise BadLength(text=text, what=_why_not(text, plain, notation), want=forms(notation))


def _quoted(text: str) -> str:
    return f'"{text}"'


def _signed(sign: str | None, value: Fraction) -> Fraction:
    return -value if sign else value


def _from_eighths(text: str, found: re.Match[str], notation: Notation | None) -> Fraction:
    sign, feet, inches, eighths, sixteenth = found.groups()
    want = forms(notation)
    if int(inches) > 11:
        raise BadLength(
            text=text, what=f"{_quoted(text)} has {inches} inches, which run from 0 to 11", want=want
        )
    if int(eighths) > 7:
        raise BadLength(
            text=text, what=f"{_quoted(text)} has {eighths} eighths, which run from 0 to 7", want=want
        )
    value = 12 * int(feet) + int(inches) + Fraction(int(eighths), 8)
    if sixteenth == "-" and value == 0:
        raise BadLength(text=text, what=f"{_quoted(text)} takes a sixteenth off nothing", want=want)
    value += {"+": Fraction(1, 16), "-": Fraction(-1, 16)}.get(sixteenth, Fraction(0))
    return _signed(sign, value * MM_PER_INCH)


def _from_feet_and_inches(text: str, found: re.Match[str], notation: Notation | None) -> Fraction:
    want = forms(notation)
    feet, inches, over, under = found["feet"], found["inches"], found["over"], found["under"]
    smaller = {"feet": inches or over, "inches": over}
    if any(smaller[name] and "." in (found[name] or "") for name in smaller):
        raise BadLength(text=text, what=f"{_quoted(text)} has a decimal point and a smaller part", want=want)
    if under is not None and int(under) not in (2, 4, 8, 16, 32, 64):
        raise BadLength(
            text=text, what=f"{_quoted(text)} has a fraction that is no half, quarter ... 64th", want=want
        )
    if over is not None and int(over) >= int(under):
        raise BadLength(text=text, what=f"{_quoted(text)} has a fraction of one or more", want=want)
    part = Fraction(inches or 0) + (Fraction(int(over), int(under)) if over else 0)
    if feet and part >= 12:
        raise BadLength(
            text=text, what=f"{_quoted(text)} has {inches} inches beside feet; they run to 11", want=want
        )
    return _signed(found["sign"], Fraction(feet or 0) * MM_PER_FOOT + part * MM_PER_INCH)


def _why_not(text: str, plain: str, notation: Notation | None) -> str:
    """Why words are no length, as nearly as can be told."""
    if notation is None and _PLAIN.fullmatch(plain):
        return f"{_quoted(text)} has no unit"
    if re.fullmatch(r"-?[\d.]+,[\d.,]*\D*", plain):
        return f"{_quoted(text)} has a comma in a number; the decimal sign here is a point"
    if notation is Notation.FEET_INCHES_EIGHTHS:
        if (meant := _old_compact(plain)) is not None:
            return f"{_quoted(text)} leaves out a dash (an old form that is not read: is {meant} meant?)"
        if _PLAIN.fullmatch(plain):
            return f"{_quoted(text)} is a bare number"
        if _THREE_PARTS.fullmatch(plain):
            return f"{_quoted(text)} has too many figures for feet-inches-eighths"
    return f"{_quoted(text)} is no length"


def _old_compact(plain: str) -> str | None:
    """Old tables wrote 227 for 22 7/8 in and 1-54 for 1 ft 5 4/8 in: the last figure was the eighths."""
    found = re.fullmatch(r"(?:(\d{1,2})[- ])?(\d{1,2})([0-7])", plain)
    if found is None or (found[1] and int(found[2]) > 11):
        return None
    feet, inches = divmod(int(found[2]), 12)
    return f"{int(found[1] or 0) + feet}-{inches}-{found[3]}"


def least_count(notation: Notation) -> float:
    """The smallest step, mm, to which a worked-out length is written."""
    if notation is Notation.FEET_INCHES_EIGHTHS:
        return float(MM_PER_INCH / 16)
    if notation is Notation.FEET_INCHES:
        return float(MM_PER_INCH / 32)
    return float(UNIT[notation] / 10 ** WRITTEN_DECIMALS[notation])


def format_length(mm: float, notation: Notation) -> str:
    """A length as the notation writes it.

    A length that was typed in the notation comes back as it was; another is rounded to the
    :func:`least_count`.  Sixteenths are written with ``+`` only.

    Raises:
        ValueError: not a finite number.
    """
    if not math.isfinite(mm):
        raise ValueError("only a finite length can be written")
    exact = Fraction(mm)
    sign = "-" if exact < 0 else ""
    words = _magnitude(abs(exact), notation)
    return sign + words if re.search(r"[1-9+]", words) else words


def format_typed(mm: float, notation: Notation, typed: str) -> str:
    """A length as it was typed, where that is this length; else as the notation writes it."""
    try:
        same = typed != "" and abs(exact_length(typed, notation=notation) - Fraction(mm)) <= SAME
    except BadLength:
        same = False
    plain = tidy(typed)
    # Feet, inches and eighths may be written in two ways; other notations are told in one.
    return plain if same and notation is Notation.FEET_INCHES_EIGHTHS else format_length(mm, notation)


def _magnitude(mm: Fraction, notation: Notation) -> str:
    if notation is Notation.FEET_INCHES_EIGHTHS:
        sixteenths = _nearest(mm, MM_PER_INCH / 16)
        feet, rest = divmod(sixteenths, 16 * 12)
        inches, rest = divmod(rest, 16)
        return f"{feet}-{inches}-{rest // 2}{'+' if rest % 2 else ''}"
    if notation is Notation.FEET_INCHES:
        finest = MM_PER_INCH / 64
        typed = _nearest(mm, finest)
        if abs(typed * finest - mm) > SAME:
            typed = 2 * _nearest(mm, 2 * finest)
        feet, rest = divmod(typed, 64 * 12)
        inches, part = divmod(rest, 64)
        fraction = f" {Fraction(part, 64)}" if part else ""
        whole = f"{inches}{fraction}" if inches or not part else fraction.strip()
        return f"{feet}' {whole}\"" if feet else f'{whole}"'
    unit, decimals = UNIT[notation], TYPED_DECIMALS[notation]
    typed = _nearest(mm, unit / 10**decimals)
    if abs(typed * unit / 10**decimals - mm) > SAME:
        decimals = WRITTEN_DECIMALS[notation]
        typed = _nearest(mm, unit / 10**decimals)
    whole, part = divmod(typed, 10**decimals)
    tail = f"{part:0{decimals}d}".rstrip("0")
    return f"{whole}.{tail}" if tail else str(whole)


def _nearest(value: Fraction, step: Fraction) -> int:
    """The nearest whole number of steps, halves upward."""
    return math.floor(value / step + Fraction(1, 2))


def parse_angle(text: str) -> float:
    """An angle in radians, from degrees (and minutes): ``12 deg``, ``12.5°``, ``12° 30'``.

    Raises:
        BadLength: with what is wrong and the forms that are accepted.
    """
    plain = tidy(text).lower()
    bare = _PLAIN.fullmatch(plain)
    if bare is not None and Fraction(bare[2]) == 0:
        return 0.0
    found = _ANGLE.fullmatch(plain)
    if found is None:
        what = f"{_quoted(text)} has no unit" if bare else f"{_quoted(text)} is no angle"
        raise BadLength(text=text, what=what if plain else "nothing stands here", want=ANGLES)
    degrees = Fraction(found[2]) + Fraction(found[3] or 0) / 60
    return math.radians(float(_signed(found[1], degrees)))


def parse_rate(text: str) -> float:
    """So much per length, as a bare ratio: ``1/2 in per 1 ft`` and ``1 in 24`` are both 1/24.

    Raises:
        BadLength: with what is wrong and the forms that are accepted.
    """
    plain = tidy(text).lower()
    if (found := _RATE.fullmatch(plain)) is not None and Fraction(found[2]) > 0:
        return float(Fraction(found[1]) / Fraction(found[2]))
    rise, per, run = plain.partition(" per ")
    if not per:
        raise BadLength(text=text, what=f"{_quoted(text)} does not say per what length", want=RATES)
    if run[:1].isalpha():
        run = f"1 {run}"  # per foot, per m
    try:
        over, under = exact_length(rise), exact_length(run)
    except BadLength as error:
        raise BadLength(text=text, what=error.what, want=RATES) from error
    if under <= 0:
        raise BadLength(text=text, what=f"{_quoted(text)} is per no length", want=RATES)
    return float(over / under)
