"""How a table writes its lengths: the notations, their units, and text in plain signs."""

from __future__ import annotations

import re
from enum import Enum
from fractions import Fraction

from patterns.errors import PatternsError

__all__ = [
    "LONGEST",
    "METRIC",
    "MM_PER_FOOT",
    "MM_PER_INCH",
    "NUMBER",
    "PLAIN",
    "UNIT",
    "BadLength",
    "Notation",
    "forms",
    "not_too_long",
    "quoted",
    "signed",
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

    @property
    def metric(self) -> bool:
        """Whether its unit is a metric one, which is then its word too."""
        return self in (Notation.MM, Notation.CM, Notation.M)


class BadLength(PatternsError):  # noqa: N818 - what is bad is the length
    """Text that is not a valid length (or angle).

    Attributes:
        text: what was written.
        what: what is wrong with it.
        want: the forms that are accepted.
        code: which finding it is, e.g. ``stray-minus``.
    """

    def __init__(self, *, text: str, what: str, want: str, code: str = "length-unreadable") -> None:
        super().__init__(f"{what}; {want}")
        self.text, self.what, self.want, self.code = text, what, want, code


LONGEST = 40  # characters; the longest length that anyone writes, "12 feet 11 63/64 inches", has 24

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

FORMS = {
    Notation.FEET_INCHES_EIGHTHS: "write feet-inches-eighths, e.g. 2-7-3 for 2 ft 7 3/8 in "
    "(2-7-3+ adds a sixteenth, 2-7-3- takes one off; 2 7 3 with spaces will do)",
    Notation.FEET_INCHES: "write feet and inches, e.g. 2' 7 3/8\", 2' 7 3/8, 2 7 3/8 or 7 3/8 in",
    Notation.DECIMAL_INCHES: "write inches as a plain number, e.g. 31.375",
    Notation.DECIMAL_FEET: "write feet as a plain number, e.g. 2.615",
    Notation.MM: "write mm as a plain number, e.g. 797 or 797.5",
    Notation.CM: "write cm as a plain number, e.g. 79.7",
    Notation.M: "write metres as a plain number, e.g. 0.797",
}
WITH_UNIT = (
    'write a length with its unit, e.g. "18 mm", "5/8 in", "2 ft 7 3/8 in" or "1-0-4" (feet-inches-eighths)'
)

_LOOKALIKES = str.maketrans(
    dict.fromkeys("−‐‑‒–—―﹣－", "-")
    | dict.fromkeys("′’‘ʹʼ‛´`＇", "'")
    | dict.fromkeys("″”“ʺ‟˝〃＂", '"')
    | dict.fromkeys("\xa0\u2007\u2009\u202f", " ")
    | {"⁄": "/", "＋": "+"}
)
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}

NUMBER = r"(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
PLAIN = re.compile(rf"(-)? ?({NUMBER})")


def tidy(text: str) -> str:
    """The same words in plain signs: one kind of dash, quote and space, no spaces at the ends."""
    plain = text.translate(_LOOKALIKES)
    for sign, fraction in _VULGAR.items():
        plain = plain.replace(sign, f" {fraction}")
    return " ".join(plain.split())


def forms(notation: Notation | None) -> str:
    """The accepted forms in words; None is a length that carries its own unit."""
    return WITH_UNIT if notation is None else FORMS[notation]


def not_too_long(text: str) -> None:
    """Nothing where the text may be a length or an angle.

    Raises:
        BadLength: more characters than any of them has.
    """
    if len(text) > LONGEST and len(tidy(text)) > LONGEST:
        raise BadLength(
            text=text,
            what=f"{quoted(text)} is too long",
            want=f"write at most {LONGEST} characters",
            code="too-long",
        )


def quoted(text: str) -> str:
    """The text in quotes, shortened where it is longer than any length."""
    return f'"{text}"' if len(text) <= LONGEST else f'"{text[:20]}..." ({len(text):,} characters)'


def signed(sign: str | None, value: Fraction) -> Fraction:
    """The value, negative where a minus was written before it."""
    return -value if sign else value
