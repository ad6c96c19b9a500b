"""A slip that was made is named when it is undone."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from patterns.fairing.slips import explain
from patterns.measure import Notation, parse_length

EIGHTHS = Notation.FEET_INCHES_EIGHTHS


def named(typed: str, meant: str, notation: Notation = EIGHTHS, *, off: float = 0.8) -> list[str]:
    """The words for a slip from one entry to another, the batten being off by so much."""
    wrong, right = (parse_length(text, notation=notation) for text in (typed, meant))
    return [slip.words for slip in explain(wrong, right + off, unsure=1.5, notation=notation)]


@pytest.mark.parametrize(
    ("typed", "meant", "words"),
    [
        ("2-8-3", "2-7-3", "a whole inch too much"),
        ("2-6-3", "2-7-3", "a whole inch too little"),
        ("3-7-3", "2-7-3", "a whole foot too much"),
        ("2-7-7", "2-7-3", "half an inch too much"),
        ("2-3-7", "2-7-3", "inches and eighths swapped"),
        ("7-2-3", "2-7-3", "feet and inches swapped"),
        ("1-6-3", "1-9-3", "inches: 6 for 9"),
        ("1-9-3", "1-6-3", "inches: 9 for 6"),
        ("1-6-5", "1-7-3", "the eighths taken off that should be added"),
        ("1-7-3", "1-6-5", "the eighths added that should be taken off"),
    ],
)
def test_a_slip_in_feet_inches_and_eighths_is_named(typed: str, meant: str, words: str) -> None:
    assert words in named(typed, meant)[:3]


def test_eight_inches_are_no_usual_slip() -> None:
    assert "inches: 2 for 10" not in named("0-2-3", "0-10-3")


def test_the_sign_of_a_sixteenth_is_named_where_the_batten_is_sure() -> None:
    right = parse_length("2-7-3-", notation=EIGHTHS)
    wrong = parse_length("2-7-3+", notation=EIGHTHS)
    slips = explain(wrong, right, unsure=0.4, notation=EIGHTHS)
    assert slips[0].words == "the sign of the sixteenth"
    assert slips[0].meant == pytest.approx(right)


@pytest.mark.parametrize(
    ("typed", "meant", "notation", "words"),
    [
        ("783", "738", Notation.MM, "two figures swapped"),
        ("873", "783", Notation.MM, "two figures swapped"),
        ("638", "938", Notation.MM, "6 for 9"),
        ("73.8", "738", Notation.MM, "the decimal point"),
        ("838", "738", Notation.MM, "100 mm too much"),
        ("7738", "738", Notation.MM, "a figure too many"),
        ("31.75", "37.15", Notation.DECIMAL_INCHES, "two figures swapped"),
        ("3.615", "2.615", Notation.DECIMAL_FEET, "a whole foot too much"),
        ("-45", "45", Notation.MM, "a minus sign too many or too few"),
    ],
)
def test_a_slip_in_a_plain_number_is_named(typed: str, meant: str, notation: Notation, words: str) -> None:
    assert any(found.startswith(words) for found in named(typed, meant, notation)[:3])


def test_a_value_from_another_cell_is_named() -> None:
    slips = explain(
        900.0, 402.0, unsure=2.0, notation=Notation.MM, elsewhere={"height and half-breadth exchanged": 401.0}
    )
    assert slips[0].words == "height and half-breadth exchanged"


def test_what_no_usual_slip_explains_is_not_explained() -> None:
    assert explain(1000.0, 943.3, unsure=0.3, notation=EIGHTHS) == ()


@given(st.integers(10, 500), st.sampled_from([-25.4, 25.4, -304.8, 304.8]), st.floats(-2.0, 2.0))
def test_whatever_is_named_comes_to_what_the_batten_wants(eighths: int, slip: float, off: float) -> None:
    right = eighths * 25.4 / 8
    assume(right + slip > 0)
    found = explain(right + slip, right + off, unsure=1.5, notation=EIGHTHS)
    assert any(name.meant == pytest.approx(right) for name in found)
    for name in found:
        assert abs(name.meant - (right + off)) <= 2.6 * 1.5 + 1e-9
        assert abs(name.meant - (right + slip)) > 1e-6
