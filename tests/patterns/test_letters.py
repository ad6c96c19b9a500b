"""Letters of names: what a name may have is what the pages' font can print."""

from __future__ import annotations

import unicodedata
from pathlib import Path

import pytest
from PIL import ImageFont

from patterns.design.file import read_design
from patterns.errors import DesignError
from patterns.measure.letters import composed, letters, shown_letters, unprintable
from tests.patterns.folders import DESIGN, changed, write_folder
from tiling.text.typeface import font_file, printable


def test_the_font_has_every_letter_that_a_name_may_have() -> None:
    every = "".join(sorted(letters()))
    assert printable(every) == every
    font = ImageFont.truetype(str(font_file()), 40)
    empty = bytes(
        font.getmask("\U0001f6f6")
    )  # what an independent reader draws for a letter that is not there
    drawn = {sign: bytes(font.getmask(sign)) for sign in every}
    assert [sign for sign, shape in drawn.items() if shape == empty] == [" "]


@pytest.mark.parametrize(
    "name",
    [
        "Thuyền Nguyễn",
        "Łódź",
        "Αργώ",
        "Ладья",
        "Șoimul",
        "Ǆ – ⅝″",
        "İğdır",
        "Ἀθηνᾶ",
        "Hawaiʻi",
        "Ḥusayn ʿAlī",
    ],
)
def test_names_in_latin_greek_and_cyrillic_letters_are_printed(name: str) -> None:
    assert unprintable(name) == ()
    assert composed(unicodedata.normalize("NFD", name)) == name  # as some systems type it


@pytest.mark.parametrize(
    ("name", "lacking"),
    [
        ("春風", '"春" (U+6625), "風" (U+98A8)'),
        ("a⛵", '"⛵" (U+26F5)'),
        ("a\x00b", "U+0000"),
        ("Ọ̀rẹ́", '"Ọ̀" (U+0300), "ẹ́" (U+0301)'),
    ],
)
def test_other_letters_are_named(name: str, lacking: str) -> None:
    assert shown_letters(unprintable(name)) == lacking


@pytest.mark.parametrize("name", ["春風", "Boat ⛵", "سفينة", "a\\u0000b"])
def test_a_boat_s_name_that_cannot_be_printed_is_refused(name: str, tmp_path: Path) -> None:
    design = changed(DESIGN, 'name = "Rushlight"', f'name = "{name}"')
    with pytest.raises(DesignError) as caught:
        read_design(write_folder(tmp_path, design=design))
    assert [problem.code for problem in caught.value.problems] == ["name-unprintable"]
