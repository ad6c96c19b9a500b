"""Feet and inches as plans write them, each spelling against its meaning in exact fractions."""

from __future__ import annotations

import csv
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.measure import BadLength, Notation, exact_length, format_length
from patterns.table.offsets import TableFiles, TableStyle, draft_offsets

DATA = Path(__file__).parent.parent / "data"
FEET, EIGHTHS = Notation.FEET_INCHES, Notation.FEET_INCHES_EIGHTHS
INCH = Fraction(254, 10)

FOOT_MARKS = ("'", "’", "′", "ʹ", "´", "`", " ft", " ft.", " feet", "＇")
INCH_MARKS = ("", '"', "”", "″", '""', "''", "′′", " in", " in.", " inches", "＂", "’’")
BETWEEN = ("", " ", "-", "- ", " - ", "–", " — ", "\u00a0")
BARE_BETWEEN = (" ", "-", "- ", " - ", "–", "\u00a0")

lengths = st.builds(
    lambda feet, inches, under, over: (feet, inches, Fraction(over % under, under)),
    st.integers(0, 60),
    st.integers(0, 11),
    st.sampled_from([2, 4, 8, 16, 32, 64]),
    st.integers(0, 63),
)


def as_fraction(part: Fraction) -> str:
    return f"{part.numerator}/{part.denominator}"


@given(
    lengths,
    st.sampled_from(["", "-", "- ", "−"]),
    st.sampled_from(FOOT_MARKS),
    st.sampled_from(BETWEEN),
    st.sampled_from(BARE_BETWEEN),
    st.sampled_from(INCH_MARKS),
)
def test_every_spelling_with_marks_is_the_same_length(
    length: tuple[int, int, Fraction], sign: str, foot: str, between: str, before_part: str, inch: str
) -> None:
    feet, inches, part = length
    fraction = f"{before_part}{as_fraction(part)}" if part else ""
    text = f"{sign}{feet}{foot}{between}{inches}{fraction}{inch}"
    want = (12 * feet + inches + part) * INCH * (-1 if sign else 1)
    for notation in (FEET, EIGHTHS, None, Notation.MM):
        assert exact_length(text, notation=notation) == want


@given(lengths, st.sampled_from(BARE_BETWEEN), st.sampled_from(BARE_BETWEEN), st.sampled_from(INCH_MARKS))
def test_bare_numbers_are_feet_inches_and_a_fraction(
    length: tuple[int, int, Fraction], between: str, before_part: str, inch: str
) -> None:
    feet, inches, part = length
    fraction = f"{before_part}{as_fraction(part)}" if part else ""
    text = f"{feet}{between}{inches}{fraction}{inch}"
    assert exact_length(text, notation=FEET) == (12 * feet + inches + part) * INCH


@given(st.sampled_from([FEET, EIGHTHS]), st.integers(-60 * 12 * 64, 60 * 12 * 64))
def test_what_is_written_is_read_as_the_same_length(notation: Notation, sixty_fourths: int) -> None:
    step = Fraction(1, 64) if notation is FEET else Fraction(4, 64)
    mm = sixty_fourths * step * INCH
    assert exact_length(format_length(float(mm), notation), notation=notation) == mm


@given(st.text(alphabet="0123456789 -+/.'\"ftin", max_size=14))
def test_any_text_is_a_length_or_is_refused(text: str) -> None:
    for notation in (FEET, EIGHTHS, None, Notation.MM):
        try:
            value = exact_length(text, notation=notation)
        except BadLength:
            continue
        if notation is FEET:  # whatever was read is written and read again as nearly as the notation writes
            again = exact_length(format_length(float(value), FEET), notation=FEET)
            assert abs(again - value) <= INCH / 64 + Fraction(1, 10**6)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("1' 8", "20"),
        ("2' 7 1/4", "31.25"),
        ("2'- 0 5/8", "24.625"),
        ("2 7 1/4", "31.25"),
        ("2-7 1/4", "31.25"),
        ("2 7", "31"),
        ("1' 1/2", "12.5"),
        ('1\'8""', "20"),
        ("7 1/4''", "7.25"),
        ('7-1/4"', "7.25"),
        ("0' 0 1/2", "0.5"),
        ("2' 7⅜", "31.375"),
        ("0", "0"),
    ],
)
def test_lengths_as_plans_write_them(text: str, inches: str) -> None:
    assert exact_length(text, notation=FEET) == Fraction(inches) * INCH


@pytest.mark.parametrize(
    "text",
    ["1' -8", "2' 7 -1/4", "1'- -3/8", "--1' 8", "1' 8-", "2 -7 1/4", "2' --7", "2' 7--1/4", '7 -1/4"'],
)
def test_a_stray_minus_inside_a_length_is_refused(text: str) -> None:
    for notation in (FEET, EIGHTHS, None):
        with pytest.raises(BadLength) as caught:
            exact_length(text, notation=notation)
        assert caught.value.code == "stray-minus"


@pytest.mark.parametrize("text", ["12-5", "12 -5", "--5", "12-"])
def test_a_stray_minus_inside_a_plain_number_is_refused(text: str) -> None:
    with pytest.raises(BadLength) as caught:
        exact_length(text, notation=Notation.MM)
    assert caught.value.code == "stray-minus"


@pytest.mark.parametrize(
    "text",
    [
        "8",  # feet or inches
        "7/8",
        "2 7/8",  # 2 ft 7/8 in, or 2 7/8 in
        "2-7/8",
        "1 54",  # 1 ft 5 4/8 in in some old tables
        "2-7-3",
        "2' 12\"",
        "2' 7 3/3",
        "2' 7 1/3",
        "2' 7.5 1/4",
        "2' 7 1/4 1/8",
        "2' 7' 3",
        '" 7',
    ],
)
def test_what_could_be_two_lengths_or_none_is_refused(text: str) -> None:
    with pytest.raises(BadLength):
        exact_length(text, notation=FEET)


def test_bare_numbers_need_a_notation_that_says_what_they_are() -> None:
    for text, notation in (("2 7 1/4", None), ("2 7", None), ("2 7", EIGHTHS), ("2 7 1/4", Notation.MM)):
        with pytest.raises(BadLength):
            exact_length(text, notation=notation)
    assert exact_length("2 7 1/4", notation=EIGHTHS) == exact_length("2-7-2", notation=EIGHTHS)


@pytest.mark.parametrize("digits", [41, 400, 5_000])
def test_more_digits_than_any_length_has_are_refused(digits: int) -> None:
    for text in ("1" * digits, "1." + "1" * digits, "1' " + "1" * digits, f"1' 1/{'1' * digits}"):
        for notation in (None, *Notation):
            with pytest.raises(BadLength) as caught:
                exact_length(text, notation=notation)
            assert caught.value.code == "too-long"
            assert len(caught.value.what) < 100


def published() -> tuple[list[str], list[list[str]]]:
    """A table printed in 1889, its eighths parted by dashes; the file's head names the source."""
    lines = (DATA / "racing_canoe_1889_forebody.csv").read_text(encoding="utf-8").splitlines()
    head, *rows = list(csv.reader(line for line in lines if not line.startswith("#")))
    return head, rows


def in_feet_and_inches(cell: str, style: int) -> str:
    """An entry of the published table as plans of its time write feet and inches, in one of three ways."""
    if not cell:
        return ""
    feet, inches, eighths = (int(part) for part in cell.split("-"))
    part = f" {Fraction(eighths, 8)}" if eighths else ""
    return (f"{feet}' {inches}{part}", f"{feet}'- {inches}{part}", f"{feet} {inches}{part}")[style]


def write_table(path: Path, style: int | None) -> None:
    """The published heights and half-breadths as a table of offsets, a row for each line."""
    head, rows = published()
    lines = [["block", "line", "bow", *(row[0] for row in rows[1:]), "stern"]]
    # A station each foot, as the file's head infers; only the heights and half-breadths are published.
    lines.append(["position", "", "0", *(f"{i} ft" for i in range(1, len(rows))), ""])
    for column, name in enumerate(head[1:], start=1):
        block, line = (
            ("height", name.removesuffix("_height")) if "height" in name else ("half-breadth", name[3:])
        )
        cells = [row[column] if style is None else in_feet_and_inches(row[column], style) for row in rows]
        lines.append([block, line, *cells, ""])
    path.write_text("\n".join(",".join(row) for row in lines) + "\n", encoding="utf-8")


@pytest.mark.parametrize("style", [0, 1, 2])
def test_a_published_table_in_feet_and_inches_is_read_cell_by_cell(tmp_path: Path, style: int) -> None:
    write_table(tmp_path / "eighths.csv", None)
    write_table(tmp_path / "feet.csv", style)
    want = draft_offsets(TableFiles(table=tmp_path / "eighths.csv"), TableStyle(notation=EIGHTHS))
    found = draft_offsets(TableFiles(table=tmp_path / "feet.csv"), TableStyle(notation=FEET))
    assert found.problems == want.problems == ()
    assert found.doubts == ()
    assert want.offsets is not None
    assert found.offsets is not None
    cells = 0
    for name, line in want.offsets.lines.items():
        other = found.offsets.lines[name]
        for mine, theirs in ((line.y, other.y), (line.z, other.z)):
            assert mine.tolist() == pytest.approx(theirs.tolist(), abs=0.0, nan_ok=True)
            cells += int((mine == mine).sum())
    assert cells == 84
