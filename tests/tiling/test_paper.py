"""Sizes of papers against the standards, and the parts of a page."""

import re

import pytest
from pypdf import PdfReader

from tests.tiling.samples import small_job
from tiling.errors import TilingError
from tiling.job import write_pdf
from tiling.paper import (
    MM_PER_INCH,
    NAMES_BELOW,
    PAPERS,
    POINTS_PER_INCH,
    STRIP_BOTTOM,
    STRIP_LEFT,
    Page,
    Paper,
    parse_paper,
)
from tiling.proof import prove


def points(mm):
    return mm / MM_PER_INCH * POINTS_PER_INCH


@pytest.mark.parametrize(
    ("name", "width", "height"),
    [
        # ISO 216:2007, A series, mm.
        ("A0", 841, 1189),
        ("A1", 594, 841),
        ("A2", 420, 594),
        ("A3", 297, 420),
        ("A4", 210, 297),
        ("A5", 148, 210),
        # ISO 216:2007, B series, mm (from memory).
        ("B0", 1000, 1414),
        ("B1", 707, 1000),
        ("B2", 500, 707),
        ("B3", 353, 500),
        ("B4", 250, 353),
        ("B5", 176, 250),
    ],
)
def test_iso_papers_have_the_sizes_of_the_standard(name, width, height):
    paper = parse_paper(name)
    assert (paper.width, paper.height) == (width, height)
    # ISO 216 halves a sheet for the next size and rounds down; the ratio is that of the root of 2.
    assert paper.height / paper.width == pytest.approx(2**0.5, rel=0.006)


def test_a4_is_595_2756_by_841_8898_points():
    """ISO 32000: one unit of user space is 1/72 inch."""
    paper = parse_paper("A4")
    assert (points(paper.width), points(paper.height)) == pytest.approx((595.2756, 841.8898), abs=1e-4)


@pytest.mark.parametrize(
    ("name", "width_pt", "height_pt"),
    # ASME Y14.1 sizes A and B; legal from memory (8.5 x 14 in, common practice).
    [
        ("letter", 612, 792),
        ("tabloid", 792, 1224),
        ("legal", 612, 1008),
        ("ANSI C", 1224, 1584),
        ("ANSI D", 1584, 2448),
        ("ANSI E", 2448, 3168),
        ("Arch D", 1728, 2592),
    ],
)
def test_inch_papers_are_whole_numbers_of_points(name, width_pt, height_pt):
    paper = parse_paper(name)
    assert (points(paper.width), points(paper.height)) == pytest.approx((width_pt, height_pt), abs=1e-9)


def test_every_paper_is_held_portrait_and_is_found_by_its_own_name():
    for paper in PAPERS.values():
        assert paper.width <= paper.height
        assert parse_paper(f" {paper.name.upper()} ") is paper


@pytest.mark.parametrize(
    ("text", "width", "height"),
    [
        ("330 x 480 mm", 330.0, 480.0),
        ("480x330mm", 330.0, 480.0),
        ("13 x 19 in", 330.2, 482.6),
        ("33 cm × 480 mm", 330.0, 480.0),
    ],
)
def test_any_size_can_be_said(text, width, height):
    paper = parse_paper(text)
    assert (paper.width, paper.height) == pytest.approx((width, height))
    assert parse_paper(paper.name).width == pytest.approx(width, abs=1e-3)


@pytest.mark.parametrize(
    ("text", "words"), [("330 x 480", "has no unit"), ("1 x 6 m", "longer than"), ("x 480 mm", "not known")]
)
def test_sizes_that_will_not_do_are_refused(text, words):
    with pytest.raises(TilingError, match=words):
        parse_paper(text)


def test_an_unknown_paper_is_refused_with_the_list_of_all():
    with pytest.raises(TilingError) as caught:
        parse_paper("foolscap")
    for paper in PAPERS.values():
        assert paper.name in str(caught.value)
    assert "'foolscap'" in str(caught.value)


@pytest.mark.parametrize("name", [paper.name for paper in PAPERS.values()])
@pytest.mark.parametrize("landscape", [False, True])
def test_margin_strips_and_window_make_up_the_page(name, landscape):
    page = Page(paper=parse_paper(name), landscape=landscape, margin=11.0, overlap=14.0)
    assert (page.width > page.height) is landscape
    x0, y0, x1, y1 = page.window
    assert x0 == 11.0 + STRIP_LEFT
    assert y0 == 11.0 + STRIP_BOTTOM + (0.0 if page.names_up else NAMES_BELOW)
    assert page.names_up == (page.height - 22.0 >= 255.0)
    assert x1 + 11.0 == page.width
    assert y1 + 11.0 == page.height
    assert page.step == pytest.approx((x1 - x0 - 14.0, y1 - y0 - 14.0))


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"margin": 9.9}, "margin 9.9 mm is too small.*write 10 mm or more"),
        ({"margin": float("nan")}, "margin nan mm"),
        ({"overlap": 9.0}, "overlap 9 mm is too small.*write 10 mm or more"),
        ({"overlap": 80.0}, "leaves a window only"),
        ({"margin": 200.0}, "window only 0 mm across.*make the margin or the overlap smaller"),
    ],
)
def test_margins_and_overlaps_that_cannot_work_are_refused(wrong, words):
    with pytest.raises(TilingError, match=words):
        Page(paper=parse_paper("A4"), **wrong)


def test_a_paper_too_small_for_two_marks_on_a_seam_is_refused():
    with pytest.raises(TilingError, match="larger paper"):
        Page(paper=Paper(name="card", width=85.6, height=54.0))


def test_a_page_for_a4_or_letter_fits_within_both():
    paper = parse_paper("A4 or letter")
    assert parse_paper("letter/A4") is paper
    # 210 mm of A4 (ISO 216), 11 in of letter
    assert (paper.width, paper.height) == (210.0, pytest.approx(279.4))
    for other in paper.onto:
        assert paper.width <= other.width
        assert paper.height <= other.height
    assert [other.name for other in paper.onto] == ["A4", "letter"]


@pytest.mark.slow
def test_pages_for_a4_or_letter_say_so_and_leave_the_tray_alone(tmp_path):
    path = tmp_path / "job.pdf"
    write_pdf(small_job(page=Page(paper=parse_paper("a4 or letter"))), path)
    reader = PdfReader(path)
    for page in reader.pages:
        assert [float(side) for side in page.mediabox] == pytest.approx([0.0, 0.0, 595.2756, 792.0], abs=1e-3)
        assert re.search(r"(At 100 % on A4 or letter|A4 or letter, at 100 %)\.", page.extract_text())
    assert "Load A4 or letter paper" in reader.pages[0].extract_text()
    preferences = reader.trailer["/Root"]["/ViewerPreferences"]
    assert (preferences["/PickTrayByPDFSize"], preferences["/PrintScaling"]) == (False, "/None")
    assert prove(path).findings == []
