"""The list of a class: what is read of it, and every slip told with its row and its cure; what paper costs."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from patterns.errors import DesignError, RequestError
from patterns.lesson.class_list import Owner, read_class
from patterns.lesson.paper_cost import parse_mass, parse_price, pile_mass
from patterns.lesson.picked import picked_sets
from tests.patterns.folders import codes_of, places_of


def listed(folder: Path, text: str) -> Path:
    path = folder / "class.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_names_and_worksheets_are_read_in_the_order_of_the_list(tmp_path: Path) -> None:
    path = listed(tmp_path, '# a remark\nName;Worksheets\n\nZeta Orme;2\n"Quill; Bas";\n  Ada \t Flint ;0\n')
    assert read_class(path) == (
        Owner(name="Zeta Orme", worksheets=2),
        Owner(name="Quill; Bas", worksheets=1),
        Owner(name="Ada Flint", worksheets=0),
    )


SLIPS = [
    ("name\nAda\nada\n", [("row 3, column A (name)", "same-name")]),
    ("name\nAda 🙂\nAda\n", [("row 2, column A (name)", "name-unprintable")]),
    ("name,worksheets\n,3\nAda,\n", [("row 2, column A (name)", "name-empty")]),
    ("name,worksheets\nAda,lots\n", [("row 2, column B (worksheets)", "worksheets-count")]),
    (
        "name,worksheets\nAda,-1\nBo,41\n",
        [
            ("row 2, column B (worksheets)", "worksheets-count"),
            ("row 3, column B (worksheets)", "worksheets-count"),
        ],
    ),
    ("name\nFerrow, Odalind\n", [("row 2, column B", "cell-beyond-headings")]),
    ("name\n名前\n", [("row 2, column A (name)", "name-unprintable")]),
    ("Ada\nBo\n", [("row 1", "first-row-headings")]),
    ("name,worksheet\nAda,2\n", [("row 1, column B", "unknown-heading")]),
    ("name,name\nAda,Bo\n", [("row 1, column B", "heading-twice")]),
    ("name\n", [("", "no-names")]),
    ("", [("", "missing-rows")]),
]


@pytest.mark.parametrize(("text", "found"), SLIPS)
def test_every_slip_is_reported_with_its_row_and_its_cure(
    tmp_path: Path, text: str, found: list[tuple[str, str]]
) -> None:
    with pytest.raises(DesignError) as caught:
        read_class(listed(tmp_path, text))
    assert places_of(caught.value) == [
        (f"class.csv, {place}" if place else "class.csv", code) for place, code in found
    ]
    assert all(problem.want or problem.missing for problem in caught.value.problems)


def test_all_slips_of_a_list_are_told_together(tmp_path: Path) -> None:
    path = listed(tmp_path, "name,worksheets\nAda,x\nAda,\n,1\n★,1\n")
    with pytest.raises(DesignError) as caught:
        read_class(path)
    assert [problem.place.split(", ")[1] for problem in caught.value.problems] == [
        "row 2",
        "row 3",
        "row 4",
        "row 5",
    ]


def test_a_list_that_is_not_there_is_told_plainly(tmp_path: Path) -> None:
    with pytest.raises(DesignError) as caught:
        read_class(tmp_path / "none.csv")
    assert codes_of(caught.value) == ["file-not-found"]


@pytest.mark.parametrize(
    ("text", "sheets", "words"),
    [
        ("0.04", 287, "11.48"),
        ("0,04 EUR", 287, "11.48 EUR"),
        ("$0.05", 1000, "$50.00"),
        ("€ 0.035", 175, "€6.13"),  # 6.125: half a cent goes up
        ("4 cents", 25, "100 cents"),
    ],
)
def test_the_price_is_the_sheets_times_one_to_the_cent(text: str, sheets: int, words: str) -> None:
    price = parse_price(text)
    assert price.of(sheets) == words
    assert isinstance(price.amount, Decimal)


@pytest.mark.parametrize(
    "text",
    ["", "free", "-1", "0.04 0.05", "1e3", "1.2.3", "(0.04)", "0.04 (EUR)", "[0.04", "0.04 %", "1,000,000"],
)
def test_what_is_no_price_is_refused_with_the_forms(text: str) -> None:
    with pytest.raises(RequestError, match="write it as"):
        parse_price(text)


@pytest.mark.parametrize(("text", "ways"), [("1,000", ("1000", "1.000")), ("12,500 Kr", ("12500", "12.500"))])
def test_a_comma_before_three_figures_is_asked_about(text: str, ways: tuple[str, str]) -> None:
    """It parts thousands in one country and decimals in another; with a nought before it only decimals."""
    with pytest.raises(RequestError) as caught:
        parse_price(text)
    assert all(f"as {way}" in str(caught.value) for way in ways)
    assert parse_price("0,035 EUR").amount == Decimal("0.035")
    assert parse_price("1000").amount == 1000


def test_a_ream_weighs_what_its_paper_does() -> None:
    """500 sheets of A4 at 80 g/m2 weigh 2.4948 kg.

    ISO 216: A4 is 210 by 297 mm; ISO 536: grammage is mass over area.
    """
    for text in ("80 g/m2", "80 gsm", "80g", "80 g/m²"):
        assert parse_mass(text) == 80.0
    assert pile_mass(500, width=210.0, height=297.0, grams=80.0) == pytest.approx(2.4948)
    for text in ("", "80 kg", "-80 g", "0 g"):
        with pytest.raises(RequestError):
            parse_mass(text)


CLASS = tuple(
    Owner(name=name) for name in ("Nguyễn Thị Ánh", "Łukasz Orme", "Ἀθηνᾶ", "Ладья", "Ada Flint", "Ada Flynt")
)


@pytest.mark.parametrize(
    ("typed", "number"),
    [("nguyen thi anh", 1), ("lukasz  orme", 2), ("αθηνα", 3), ("ЛАДЬЯ", 4), ("Ada Flynt", 6), ("5", 5)],
)
def test_a_name_is_found_without_its_capitals_and_accents(typed: str, number: int) -> None:
    assert picked_sets(CLASS, [typed]) == [number]


@pytest.mark.parametrize(
    ("typed", "near"),
    [("Lukas", '"Łukasz Orme" (set 2)'), ("Ada Flimt", '"Ada Flint" (set 5), "Ada Flynt" (set 6)')],
)
def test_a_name_that_is_not_in_the_list_brings_the_nearest(typed: str, near: str) -> None:
    with pytest.raises(RequestError) as caught:
        picked_sets(CLASS, [typed])
    assert near in str(caught.value)


def test_a_name_like_none_brings_no_guess() -> None:
    with pytest.raises(RequestError) as caught:
        picked_sets(CLASS, ["Quill"])
    assert not any(owner.name in str(caught.value) for owner in CLASS)
