"""The typeface, against FreeType (by way of Pillow) and reportlab as independent readers of the file."""

import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont

from tiling.text.typeface import (
    ASCENT,
    DESCENT,
    FONT_NAME,
    REPLACEMENT,
    font_file,
    printable,
    register,
    size_for,
    text_extent,
    text_width,
)

EM = 2048
NEEDED = (
    "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789 .,;:!?()[]+-=/*\"'%&@#<>"
    "°′″‘’“”–—…×−±½¼¾⅛⅜⅝⅞←↑→↓↔↕" + "ÀÉÎÕÜßàéîõüÿŁłŞşŽžαβπΩДЖя□"
)
SHIPPED = st.text(alphabet=sorted(NEEDED), max_size=40)


@pytest.fixture(scope="module")
def reference():
    return ImageFont.truetype(str(font_file()), EM, layout_engine=ImageFont.Layout.BASIC)


@pytest.fixture(scope="module")
def capital(reference):
    """Height of the letter H in font units."""
    _, top, _, bottom = reference.getbbox("H", anchor="ls")
    return bottom - top


def test_capitals_are_as_high_as_asked(capital):
    assert size_for(3.5) == pytest.approx(3.5 * EM / capital, abs=0.003)


@given(SHIPPED)
def test_widths_agree_with_freetype(text):
    reference = ImageFont.truetype(str(font_file()), EM, layout_engine=ImageFont.Layout.BASIC)
    assert text_width(text, 3.5) == pytest.approx(reference.getlength(text) / EM * size_for(3.5), abs=0.02)


def test_widths_agree_with_reportlab_which_writes_the_pages():
    from reportlab.pdfbase.pdfmetrics import stringWidth

    assert register() == FONT_NAME
    for text in ("78° under (saw tilt 12°)", "PORT 1-7/8″ ⅝ × 3", "Ökonomie Łódź Ωmega"):
        assert text_width(text, 10.0) == pytest.approx(stringWidth(text, FONT_NAME, size_for(10.0)), rel=1e-4)


@pytest.mark.parametrize("char", sorted(set(NEEDED) - {" "}))
def test_every_needed_character_has_a_shape_that_stands_within_its_extent(char, reference):
    assert printable(char) == char
    left, top, right, bottom = reference.getbbox(char, anchor="ls")
    assert right > left
    rise, drop = text_extent(char, 1.0)
    unit = size_for(1.0) / EM
    assert rise == pytest.approx(max(-top * unit, 1.0), abs=2 * unit)
    assert drop == pytest.approx(max(bottom * unit, 0.2), abs=2 * unit)
    assert rise <= ASCENT
    assert drop <= DESCENT


@pytest.mark.slow
@given(st.text(max_size=30))
def test_any_text_can_be_measured_and_what_the_font_lacks_becomes_a_box(text):
    shown = printable(text)
    assert len(shown) == len(text)
    assert text_width(shown, 3.5) == text_width(text, 3.5) >= 0.0
    assert all(a == b or b == REPLACEMENT for a, b in zip(text, shown, strict=True))
    assert printable(shown) == shown


def test_a_character_that_the_font_lacks_is_not_silently_left_out():
    assert printable("a漢b\U0001f6a4") == f"a{REPLACEMENT}b{REPLACEMENT}"


def test_the_licence_lies_beside_the_font():
    words = font_file().with_name("LICENSE-DejaVuSans.txt").read_text(encoding="utf-8")
    assert "Permission is hereby granted, free of charge" in words


def test_measuring_words_does_not_import_reportlab():
    code = (
        "import sys, tiling.text.typeface as f; f.text_width('a', 1.0); sys.exit('reportlab' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
