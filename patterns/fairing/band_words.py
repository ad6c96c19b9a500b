"""What is said of a span that is known too little: the same words for lines, keel and the round bilge's surface."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

from patterns.errors import Problem
from patterns.measure import MM_PER_INCH, Notation, with_unit
from patterns.table.values import BOW, STERN

__all__ = ["column_called", "near", "plus_or_minus", "wide_problem"]

TENTH, SIXTEENTH = Fraction(1, 10), MM_PER_INCH / 16  # mm, to which a band is rounded up
PLACE = 10.0  # mm, or an inch: a place to measure at is found to that


def wide_problem(
    place: str,
    ends: tuple[str, str],
    what: str,
    half_width: float,
    where: str,
    *,
    code: str,
    notation: Notation,
) -> Problem:
    """The warning of one span.

    Args:
        ends: what the span's two points are called.
        what: what is uncertain, e.g. ``the sheer's height``.
        half_width: mm.
        where: the place that one more point helps most.
        notation: the table's.
    """
    return Problem(
        place,
        f"between {ends[0]} and {ends[1]} {what} is known only to {plus_or_minus(half_width, notation)}",
        f"measure one more point near {where}",
        code=code,
    )


def column_called(label: str) -> str:
    """A column of the table in a sentence."""
    return f"the {label}" if label in (BOW, STERN) else f"station {label}"


def near(mm: float, notation: Notation) -> str:
    """A place along the boat, or a height, to what one can find again."""
    step = PLACE if notation.metric else float(MM_PER_INCH)
    return with_unit(round(mm / step) * step, notation)


def plus_or_minus(mm: float, notation: Notation) -> str:
    """A band's half-width rounded up: in the table's metric unit, or in sixteenths of an inch with mm beside."""
    tenths = float(_rounded_up(mm, TENTH))
    if notation.metric:
        return f"±{with_unit(tenths, notation)}"
    whole, part = divmod(_rounded_up(mm, SIXTEENTH) / MM_PER_INCH, 1)
    return f"±{' '.join(str(word) for word in (whole, part) if word)} in ({with_unit(tenths, Notation.MM)})"


def _rounded_up(mm: float, step: Fraction) -> Fraction:
    return max(ceil(Fraction(mm) / step - Fraction(1, 10**9)), 1) * step
