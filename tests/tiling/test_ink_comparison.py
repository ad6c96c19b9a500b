"""A page held against its record: each difference is found, named and measured; a rewriting of numbers is none."""

from __future__ import annotations

import pytest

from tests.tiling.test_interpreter import painted
from tiling.proof.ink_comparison import differences, same

PAGE = (
    b"0.7 w 10 10 m 60 10 l 60 90 l S 0.25 w 14 20 m 14 22.2 12.2 24 10 24 c 7.8 24 6 22.2 6 20 c "
    b"6 17.8 7.8 16 10 16 c 12.2 16 14 17.8 14 20 c s BT /F 5 Tf 1 0 0 1 20 200 Tm (moulded face) Tj ET "
    b"q 1 0 0 1 50 50 cm /Mark Do Q"
)


def found(old: bytes, new: bytes) -> list[str]:
    changed = PAGE.replace(old, new)
    assert changed != PAGE
    return differences(painted(PAGE), painted(changed), lambda what: what.split(":")[2])


def test_the_same_page_has_no_differences() -> None:
    assert differences(painted(PAGE), painted(PAGE), str) == []
    assert found(b"60 90 l", b"60.004 89.996 l") == []
    assert found(b"1 0 0 1 50 50 cm", b"1 0 0 1 0 0 cm 1 0 0 1 50 50 cm") == []


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (b"60 90 l", b"60 90.1 l", ["the line", "0.100 mm off"]),
        (b"10 10 m 60 10 l 60 90 l", b"10.3 10 m 60.3 10 l 60.3 90 l", ["0.300 mm off", "+0.300 mm across"]),
        (b"10 10 m 60 10 l 60 90 l S", b"", ["the line", "is missing"]),
        (b"0.7 w", b"0.05 w", ["0.05 mm wide where 0.70 mm are due"]),
        (b"0.7 w", b"0.7 w 1 G", ["is white where black is due"]),
        (b"0.25 w", b"0.25 w [1 1] 0 d", ["dashed 1 1 mm where a line unbroken is due"]),
        (b"(moulded face)", b"(standing face)", ["moulded face", "standing face"]),
        (b"20 200 Tm", b"20 200.5 Tm", ["moulded face", "0.500 mm off"]),
        (b"BT ", b"BT 3 Tr ", ["invisible"]),
        (b"/Mark Do", b"", ["the form Mark", "is missing"]),
        (b"/Mark Do", b"/Mark Do 1 g 5 5 30 30 re f", ["white patch of 30.0 by 30.0 mm", "does not belong there"]),
        (b"0.7 w", b"/OC /x BDC EMC 0 0 50 50 re W n 0.7 w", ["cut off"]),
        (b"50 50 cm", b"52 50 cm", ["the form Mark", "2.000 mm off"]),
    ],
)  # fmt: skip
def test_a_difference_is_named_and_measured(old: bytes, new: bytes, words: list[str]) -> None:
    said = "\n".join(found(old, new))
    assert all(each in said for each in words), said


def test_an_order_by_which_ink_is_covered_is_found() -> None:
    black, white = b"0 g 0 0 10 10 re f ", b"1 g 2 2 3 3 re f "
    assert not same(painted(black + white), painted(white + black))
    (only,) = differences(painted(black + white), painted(white + black), str)
    assert "order" in only
