"""Lengths and angles from words and back."""

from __future__ import annotations

import csv
import math
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.measure import (
    BadLength,
    Notation,
    exact_length,
    format_length,
    format_typed,
    least_count,
    parse_angle,
    parse_length,
    parse_rate,
)

DATA = Path(__file__).parent.parent / "data"
EIGHTHS = Notation.FEET_INCHES_EIGHTHS


def published() -> list[dict[str, str]]:
    """Lengths with their meaning as published; each row of the file names its source."""
    lines = (DATA / "notation_samples.csv").read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


@pytest.mark.parametrize("row", published(), ids=lambda row: row["written"])
def test_a_published_length_is_read_as_its_convention_says(row: dict[str, str]) -> None:
    if not row["convention"].startswith("feet-inches-eighths"):
        with pytest.raises(BadLength) as caught:  # the old forms without dashes
            parse_length(row["written"], notation=EIGHTHS)
        meant = caught.value.what.rpartition("is ")[2].removesuffix(" meant?)")
        assert float(exact_length(meant)) == pytest.approx(float(row["value_mm"]), abs=1e-9)
        return
    assert exact_length(row["written"], notation=EIGHTHS) == Fraction(row["value_in"]) * Fraction("25.4")
    assert parse_length(row["written"], notation=EIGHTHS) == pytest.approx(float(row["value_mm"]), abs=1e-9)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("2-7-3", "31.375"),
        ("2-07-3", "31.375"),
        ("2 7 3", "31.375"),
        ("2 7 3+", "31.4375"),
        (" 2 - 7 - 3 + ", "31.4375"),
        ("2–7–3", "31.375"),  # en dashes
        ("2−7−3−", "31.3125"),  # minus signs
        ("-0-6-0", "-6"),
        ("-0-6-0-", "-5.9375"),
        ("−0-6-0+", "-6.0625"),
        ("0-0-0", "0"),
        ("0", "0"),
        ("13-11-7+", "167.9375"),
        ("2' 7 3/8\"", "31.375"),
        ("2′ 7 3⁄8″", "31.375"),
        ("2’ 7⅜”", "31.375"),
        ("2'-7 3/8\"", "31.375"),
        ("2' 7-3/8\"", "31.375"),
        ("2 ft 7 3/8 in", "31.375"),
        ("2 feet 7 inches", "31"),
        ("2 ft 3/8 in", "24.375"),
        ("7 3/8 in", "7.375"),
        ("7½ in", "7.5"),
        ("5/8 in", "0.625"),
        ("-5/8 in", "-0.625"),
        ("31.375 in", "31.375"),
        ("2.5 ft", "30"),
        ("2 ft", "24"),
    ],
)
def test_feet_and_inches_carry_their_own_unit(text: str, inches: str) -> None:
    for notation in (None, EIGHTHS, Notation.FEET_INCHES):
        if notation is Notation.FEET_INCHES and not any(sign in text for sign in "'′’fi"):
            continue
        assert exact_length(text, notation=notation) == Fraction(inches) * Fraction("25.4")


@pytest.mark.parametrize(
    ("text", "notation", "mm"),
    [
        ("18 mm", None, 18.0),
        ("18mm", EIGHTHS, 18.0),
        ("1.8 CM", None, 18.0),
        ("0.018 m", None, 18.0),
        (".5 in", None, 12.7),
        ("812.5", Notation.MM, 812.5),
        ("-81.25", Notation.CM, -812.5),
        ("0.8125", Notation.M, 812.5),
        ("31.375", Notation.DECIMAL_INCHES, 796.925),
        ("2.5", Notation.DECIMAL_FEET, 762.0),
        ("5/8 in", Notation.MM, 15.875),
    ],
)
def test_metric_and_decimal_lengths(text: str, notation: Notation | None, mm: float) -> None:
    assert parse_length(text, notation=notation) == mm


@pytest.mark.parametrize(
    ("text", "notation", "words"),
    [
        ("", None, "the length is missing"),
        ("18", None, '"18" has no unit'),
        ("2-12-3", EIGHTHS, "has 12 inches, which run from 0 to 11"),
        ("2-7-8", EIGHTHS, "has 8 eighths, which run from 0 to 7"),
        ("2-7-9+", None, "has 9 eighths"),
        ("0-0-0-", EIGHTHS, "takes a sixteenth off nothing"),
        ("227", EIGHTHS, "is 1-10-7 meant?"),
        ("1-54", EIGHTHS, "is 1-5-4 meant?"),
        ("812.5", EIGHTHS, "is a bare number"),
        ("2-7-35", EIGHTHS, "too many figures"),
        ("2--7-3", EIGHTHS, "has a minus inside"),
        ("2-7-3++", EIGHTHS, "is not a valid length"),
        ("2/7/3", EIGHTHS, "is not a valid length"),
        ("2' 13\"", None, "13 inches beside feet"),
        ("2' 73/8\"", None, "a fraction of one or more"),
        ("73/8 in", None, "a fraction of one or more"),
        ("1/3 in", None, "other than halves"),
        ("1/0 in", None, "other than halves"),
        ("2.5' 3\"", None, "a decimal point and a smaller part"),
        ("7.5 3/8 in", None, "a decimal point and a smaller part"),
        ("12,5 mm", None, "has a comma"),
        ("'", None, "is not a valid length"),
        ("in", None, "is not a valid length"),
        ("-", None, "is not a valid length"),
        ("1e3", Notation.MM, "is not a valid length"),
        ("nan", Notation.MM, "is not a valid length"),
        ("٣ mm", None, "is not a valid length"),
        ("2-7-3", Notation.MM, "is not a valid length"),
        ("1 234", Notation.MM, "is not a valid length"),
        ("18 furlongs", None, "is not a valid length"),
    ],
)
def test_what_is_no_length_is_refused_with_the_reason_and_the_forms(
    text: str, notation: Notation | None, words: str
) -> None:
    with pytest.raises(BadLength) as caught:
        parse_length(text, notation=notation)
    assert words in caught.value.what
    assert caught.value.want.startswith("write ")


@given(st.integers(-40 * 192, 40 * 192))
def test_every_sixteenth_survives_the_way_to_mm_and_back(sixteenths: int) -> None:
    mm = float(Fraction(sixteenths, 16) * Fraction("25.4"))
    text = format_length(mm, EIGHTHS)
    assert parse_length(text, notation=EIGHTHS) == mm
    assert format_length(parse_length(text, notation=EIGHTHS), EIGHTHS) == text


@given(st.integers(0, 40), st.integers(0, 11), st.integers(0, 7), st.sampled_from(["", "+"]))
def test_canonical_text_comes_back_letter_for_letter(feet: int, inches: int, eighths: int, tail: str) -> None:
    text = f"{feet}-{inches}-{eighths}{tail}"
    assert format_length(parse_length(text, notation=EIGHTHS), EIGHTHS) == text


DECIMALS = {
    Notation.DECIMAL_INCHES: 6,
    Notation.DECIMAL_FEET: 6,
    Notation.MM: 3,
    Notation.CM: 4,
    Notation.M: 6,
}


@given(st.sampled_from(sorted(DECIMALS, key=str)), st.integers(-(10**7), 10**7))
def test_typed_decimals_come_back_as_they_were(notation: Notation, value: int) -> None:
    digits = DECIMALS[notation]
    text = f"{'-' if value < 0 else ''}{abs(value) // 10**digits}.{abs(value) % 10**digits:0{digits}d}"
    text = text.rstrip("0").rstrip(".")
    text = "0" if text == "-0" else text
    assert format_length(parse_length(text, notation=notation), notation) == text


@given(st.integers(-40 * 12 * 64, 40 * 12 * 64))
def test_fractions_of_an_inch_come_back_exactly(sixty_fourths: int) -> None:
    mm = float(Fraction(sixty_fourths, 64) * Fraction("25.4"))
    assert parse_length(format_length(mm, Notation.FEET_INCHES), notation=Notation.FEET_INCHES) == mm


@given(
    st.sampled_from(list(Notation)),
    st.floats(-12_000.0, 12_000.0, allow_nan=False, allow_infinity=False),
)
def test_a_worked_out_length_is_written_to_the_least_count(notation: Notation, mm: float) -> None:
    back = parse_length(format_length(mm, notation), notation=notation)
    assert abs(back - mm) <= 0.5 * least_count(notation) + 1e-9


def test_the_canonical_form_writes_sixteenths_with_a_plus() -> None:
    assert format_length(19.4375 * 25.4, EIGHTHS) == "1-7-3+"  # also 1-7-4-
    assert format_length(-5.9375 * 25.4, EIGHTHS) == "-0-5-7+"
    assert format_length(-0.2, EIGHTHS) == "0-0-0"
    assert format_length(11.99 * 25.4, EIGHTHS) == "1-0-0"
    assert format_length(31.375 * 25.4, Notation.FEET_INCHES) == "2' 7 3/8\""
    assert format_length(0.625 * 25.4, Notation.FEET_INCHES) == '5/8"'
    assert format_length(24 * 25.4, Notation.FEET_INCHES) == "2' 0\""
    assert format_length(123.456789, Notation.MM) == "123.5"
    assert format_length(123.0, Notation.MM) == "123"


def test_every_value_of_a_published_table_survives_the_round_trip() -> None:
    """84 cells of a table printed in 1889; the file's head names its source."""
    lines = (DATA / "racing_canoe_1889_forebody.csv").read_text(encoding="utf-8").splitlines()
    rows = list(csv.reader(line for line in lines if not line.startswith("#")))
    cells = [cell for row in rows[1:] for cell in row[1:] if cell]
    assert len(cells) == 84
    assert [format_length(parse_length(cell, notation=EIGHTHS), EIGHTHS) for cell in cells] == cells


def test_least_counts() -> None:
    assert least_count(EIGHTHS) == pytest.approx(1.5875)
    assert least_count(Notation.FEET_INCHES) == pytest.approx(0.79375)
    assert least_count(Notation.MM) == pytest.approx(0.1)
    assert least_count(Notation.M) == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("text", "degrees"),
    [("12 deg", 12.0), ("12°", 12.0), ("-7.5 degrees", -7.5), ("12° 30'", 12.5), ("0", 0.0)],
)
def test_angles_are_read_in_degrees(text: str, degrees: float) -> None:
    assert parse_angle(text) == pytest.approx(math.radians(degrees), abs=1e-15)


@pytest.mark.parametrize(
    ("text", "words"),
    [("12", "has no unit"), ("12 mm", "is not a valid angle"), ("", "the angle is missing")],
)
def test_what_is_no_angle_is_refused(text: str, words: str) -> None:
    with pytest.raises(BadLength, match=words):
        parse_angle(text)


@pytest.mark.parametrize(
    ("text", "rate"),
    [
        ("1/2 in per 1 ft", Fraction(1, 24)),
        ("3/8 in per foot", Fraction(1, 32)),
        ("20 mm per m", Fraction(1, 50)),
        ("1 in 20", Fraction(1, 20)),
    ],
)
def test_a_rise_is_so_much_per_length(text: str, rate: Fraction) -> None:
    assert parse_rate(text) == float(rate)


@pytest.mark.parametrize("text", ["1/2 in", "1/2 per 12", "1 in 0", "1/2 in per 0", "per foot"])
def test_what_is_no_rise_is_refused(text: str) -> None:
    with pytest.raises(BadLength):
        parse_rate(text)


def test_non_finite_lengths_are_not_written() -> None:
    with pytest.raises(ValueError, match="finite"):
        format_length(math.nan, Notation.MM)


@pytest.mark.parametrize(
    ("mm", "typed", "words"),
    [
        (30.0 * 25.4 - 25.4 / 16, "2-6-0-", "2-6-0-"),  # told as it was typed, not as 2-5-7+
        (30.0 * 25.4 - 25.4 / 16, "2 6 0 -", "2 6 0 -"),
        (30.0 * 25.4 - 25.4 / 16, "", "2-5-7+"),
        (30.0 * 25.4, "2-6-0-", "2-6-0"),  # another length than stands there
        (30.0 * 25.4, "none", "2-6-0"),
    ],
)
def test_a_length_is_told_as_it_was_typed(mm: float, typed: str, words: str) -> None:
    assert format_typed(mm, Notation.FEET_INCHES_EIGHTHS, typed) == words
