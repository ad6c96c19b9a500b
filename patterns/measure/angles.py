"""Angles, and rises per length, from text."""

from __future__ import annotations

import math
import re
from fractions import Fraction

from patterns.measure.notation import NUMBER, PLAIN, BadLength, not_too_long, quoted, signed, tidy
from patterns.measure.reading import exact_length

__all__ = ["parse_angle", "parse_rate"]

ANGLES = 'write an angle with its unit, e.g. "12 deg"'
RATES = 'write so much per length, e.g. "1/2 in per 1 ft" or "1 in 24"'

_ANGLE = re.compile(rf"(-)? ?({NUMBER}) ?(?:°|deg\.?|degrees?)(?: ?({NUMBER}) ?(?:'|min\.?|minutes?))?")
_RATE = re.compile(rf"({NUMBER}) in ({NUMBER})")


def parse_angle(text: str) -> float:
    """An angle in radians, from degrees (and minutes): ``12 deg``, ``12.5°``, ``12° 30'``.

    Raises:
        BadLength: with what is wrong and the forms that are accepted.
    """
    not_too_long(text)
    plain = tidy(text).lower()
    bare = PLAIN.fullmatch(plain)
    if bare is not None and Fraction(bare[2]) == 0:
        return 0.0
    found = _ANGLE.fullmatch(plain)
    if found is None:
        what = f"{quoted(text)} has no unit" if bare else f"{quoted(text)} is not a valid angle"
        raise BadLength(
            text=text, what=what if plain else "the angle is missing", want=ANGLES, code="angle-unreadable"
        )
    degrees = Fraction(found[2]) + Fraction(found[3] or 0) / 60
    return math.radians(float(signed(found[1], degrees)))


def parse_rate(text: str) -> float:
    """So much per length, as a bare ratio: ``1/2 in per 1 ft`` and ``1 in 24`` are both 1/24.

    Raises:
        BadLength: with what is wrong and the forms that are accepted.
    """
    not_too_long(text)
    plain = tidy(text).lower()
    if (found := _RATE.fullmatch(plain)) is not None and Fraction(found[2]) > 0:
        return float(Fraction(found[1]) / Fraction(found[2]))
    rise, per, run = plain.partition(" per ")
    if not per:
        raise BadLength(
            text=text, what=f"{quoted(text)} does not say per what length", want=RATES, code="rate-unreadable"
        )
    if run[:1].isalpha():
        run = f"1 {run}"  # per foot, per m
    try:
        over, under = exact_length(rise), exact_length(run)
    except BadLength as error:
        raise BadLength(text=text, what=error.what, want=RATES, code="rate-unreadable") from error
    if under <= 0:
        raise BadLength(
            text=text,
            what=f"{quoted(text)} has no valid length after per",
            want=RATES,
            code="rate-unreadable",
        )
    return float(over / under)
