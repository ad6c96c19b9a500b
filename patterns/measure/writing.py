"""Lengths from mm to text, as a notation writes them."""

from __future__ import annotations

import math
import re
from fractions import Fraction

from patterns.measure.notation import MM_PER_INCH, UNIT, BadLength, Notation, tidy
from patterns.measure.reading import exact_length

__all__ = ["format_length", "format_typed", "least_count", "rough_length", "with_unit"]

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
    """A length letter by letter as it was typed, where that is this length; else as the notation writes it."""
    try:
        same = typed != "" and abs(exact_length(typed, notation=notation) - Fraction(mm)) <= SAME
    except BadLength:
        same = False
    return tidy(typed) if same else format_length(mm, notation)


def with_unit(mm: float, notation: Notation) -> str:
    """A length as the notation writes it, with the unit that a metric notation leaves out.

    Raises:
        ValueError: not a finite number.
    """
    words = format_length(mm, notation)
    return f"{words} {notation.value}" if notation.metric else words


def rough_length(mm: float, notation: Notation) -> str:
    """A length that is only about right: to whole mm, beside the notation's own where that is not metric.

    Raises:
        ValueError: not a finite number.
    """
    whole = f"{round(mm)} mm"
    return whole if notation.metric else f"{format_length(mm, notation)} ({whole})"


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
