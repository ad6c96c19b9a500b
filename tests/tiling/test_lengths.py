"""Lengths on paper: a number and its unit."""

import pytest

from tiling.errors import TilingError
from tiling.paper.lengths import parse_length


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("12 mm", 12.0),
        ("12mm", 12.0),
        (" 1.2 cm ", 12.0),
        ("0,5 in", 12.7),
        (".5 in", 12.7),
        ("0.01 m", 10.0),
        ("3/4 in", 19.05),
        ('3/4"', 19.05),
        ("1 1/8 in", 28.575),
        ("1-1/2 inches", 38.1),
        ("0 mm", 0.0),
    ],
)
def test_a_length_with_its_unit_is_read(text, mm):
    assert parse_length(text) == pytest.approx(mm, abs=1e-12)


@pytest.mark.parametrize("text", ["12", "3/4", "1 1/8", "0.5"])
def test_a_bare_number_is_refused_and_the_forms_are_told(text):
    with pytest.raises(TilingError, match=r"has no unit; write it as 12 mm, .* 3/4 in"):
        parse_length(text)


@pytest.mark.parametrize(
    "text", ["", "mm", "-3 mm", "twelve mm", "1/0 in", "12 furlongs", "1/2/3 in", "nan mm"]
)
def test_what_is_not_a_length_is_refused_by_name(text):
    with pytest.raises(TilingError, match="write it as") as caught:
        parse_length(text)
    assert repr(text) in str(caught.value)
