"""Lengths and angles, from words to numbers and back: the only place where units are turned into mm.

Inside, a length is an exact fraction until it is handed out, so that what was read is written back as it was.
"""

from __future__ import annotations

from patterns.measure.angles import parse_angle, parse_rate
from patterns.measure.feet_inches import FeetInches, read_feet_and_inches
from patterns.measure.notation import MM_PER_INCH, BadLength, Notation, forms, tidy
from patterns.measure.reading import exact_length, parse_length
from patterns.measure.writing import format_length, format_typed, least_count, rough_length, with_unit

__all__ = [
    "MM_PER_INCH",
    "BadLength",
    "FeetInches",
    "Notation",
    "exact_length",
    "format_length",
    "format_typed",
    "forms",
    "least_count",
    "parse_angle",
    "parse_length",
    "parse_rate",
    "read_feet_and_inches",
    "rough_length",
    "tidy",
    "with_unit",
]
