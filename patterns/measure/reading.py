"""Lengths from text to mm."""

from __future__ import annotations

import re
from fractions import Fraction

from patterns.measure.feet_inches import from_eighths, from_feet_and_inches, read_feet_and_inches
from patterns.measure.notation import (
    METRIC,
    NUMBER,
    PLAIN,
    UNIT,
    BadLength,
    Notation,
    forms,
    not_too_long,
    quoted,
    signed,
    tidy,
)

__all__ = ["exact_length", "parse_length"]

_METRIC = re.compile(rf"(-)? ?({NUMBER}) ?(mm|cm|m)")
_THREE_PARTS = re.compile(r"-? ?\d+ ?[- ] ?\d+ ?[- ] ?\d+ ?[+-]?")
# What ends in a sign: the sixteenth of feet, inches and eighths.
_SIXTEENTH = re.compile(r"-? ?\d+(?: - |- ?| )\d+(?: - |- ?| )\d+ ?-")


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
    not_too_long(text)
    plain = tidy(text).lower()
    if not plain:
        raise BadLength(text=text, what="the length is missing", want=forms(notation))
    if (value := _value(text, plain, notation)) is not None:
        return value
    if (before := _stray_minus(plain, notation)) is not None:
        raise BadLength(
            text=text,
            what=f"{quoted(text)} has a minus {before}",
            want="write one minus, before the whole length; between feet and inches write 2'-7\" or 2' 7\"",
            code="stray-minus",
        )
    raise BadLength(text=text, what=_why_not(text, plain, notation), want=forms(notation))


def _value(text: str, plain: str, notation: Notation | None) -> Fraction | None:
    """The length in whichever way it is written; None where it is written in none of them."""
    if notation in (None, Notation.FEET_INCHES_EIGHTHS):
        value = from_eighths(text, plain, notation)
        if value is not None:
            return value
    if (found := _METRIC.fullmatch(plain)) is not None:
        return signed(found[1], Fraction(found[2]) * METRIC[found[3]])
    if (found := PLAIN.fullmatch(plain)) is not None:
        if Fraction(found[2]) == 0:
            return Fraction(0)
        return signed(found[1], Fraction(found[2]) * UNIT[notation]) if notation in UNIT else None
    parts = read_feet_and_inches(plain, notation)
    return None if parts is None else from_feet_and_inches(text, parts, notation)


def _stray_minus(plain: str, notation: Notation | None) -> str | None:
    """Where there is a minus that is neither the length's own sign nor a dash between two parts."""
    if not re.search(r"\d", plain) or (notation in UNIT and _THREE_PARTS.fullmatch(plain)):
        return None
    feet = notation in (None, Notation.FEET_INCHES, Notation.FEET_INCHES_EIGHTHS)
    # In a plain number every dash is one too many; between feet and inches only one that is a sign.
    inner = re.search(r"(?<=.)(?: -(?=[\d./])|- ?-)(.*)" if feet else r"(?<=[^- ]) ?-(.*)", plain)
    if inner is not None and inner[1]:
        return f'inside, before "{inner[1].lstrip("- ")}"'
    if plain.startswith(("--", "- -")):
        return "too many at the beginning"
    if plain.endswith("-") and not _SIXTEENTH.fullmatch(plain):
        return "at the end"
    return None


def _why_not(text: str, plain: str, notation: Notation | None) -> str:
    """Why words are not a length, as nearly as that can be seen."""
    if notation is None and PLAIN.fullmatch(plain):
        return f"{quoted(text)} has no unit"
    if re.fullmatch(r"-?[\d.]+,[\d.,]*\D*", plain):
        return f"{quoted(text)} has a comma in a number; the decimal sign here is a point"
    if notation is Notation.FEET_INCHES_EIGHTHS:
        if (meant := _old_compact(plain)) is not None:
            return f"{quoted(text)} leaves out a dash (an old form that is not read: is {meant} meant?)"
        if PLAIN.fullmatch(plain):
            return f"{quoted(text)} is a bare number"
        if _THREE_PARTS.fullmatch(plain):
            return f"{quoted(text)} has too many figures for feet-inches-eighths"
    if notation is Notation.FEET_INCHES:
        if PLAIN.fullmatch(plain):
            return f"{quoted(text)} is a bare number: feet or inches"
        if re.fullmatch(r"-? ?\d+[- ]+\d+/\d+", plain):
            return f"{quoted(text)} has neither a foot mark nor an inch mark, and could be feet or inches"
        if _THREE_PARTS.fullmatch(plain):
            return f'{quoted(text)} is written in eighths, and the notation is "feet-inches"'
    return f"{quoted(text)} is not a valid length"


def _old_compact(plain: str) -> str | None:
    """Old tables wrote 227 for 22 7/8 in and 1-54 for 1 ft 5 4/8 in: the last figure was the eighths."""
    found = re.fullmatch(r"(?:(\d{1,2})[- ])?(\d{1,2})([0-7])", plain)
    if found is None or (found[1] and int(found[2]) > 11):
        return None
    feet, inches = divmod(int(found[2]), 12)
    return f"{int(found[1] or 0) + feet}-{inches}-{found[3]}"
