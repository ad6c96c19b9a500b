"""A band in words is in the table's unit and never narrower than the band."""

from __future__ import annotations

import pytest

from patterns.fairing.band_words import near, plus_or_minus
from patterns.measure import Notation, parse_length

EIGHTHS = Notation.FEET_INCHES_EIGHTHS


@pytest.mark.parametrize(
    ("mm", "notation", "words"),
    [
        (2.13, Notation.MM, "±2.2 mm"),
        (2.13, Notation.CM, "±0.22 cm"),
        (2.0, Notation.M, "±0.002 m"),
        (3.175, EIGHTHS, "±1/8 in (3.2 mm)"),
        (3.18, EIGHTHS, "±3/16 in (3.2 mm)"),
        (38.1, Notation.DECIMAL_FEET, "±1 1/2 in (38.1 mm)"),
    ],
)
def test_a_band_is_rounded_up_in_the_tables_unit(mm: float, notation: Notation, words: str) -> None:
    assert plus_or_minus(mm, notation) == words


@pytest.mark.parametrize("notation", list(Notation))
def test_a_place_to_measure_at_is_within_half_an_inch(notation: Notation) -> None:
    words = near(643.0, notation)
    assert words.endswith(f" {notation.value}") == notation.metric
    typed = words.removesuffix(f" {notation.value}") if notation.metric else words
    assert parse_length(typed, notation=notation) == pytest.approx(643.0, abs=12.8)
