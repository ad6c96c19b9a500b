"""Drawings that are not full size: the scale in words, rulers as rendered, pages that nobody takes for true."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader, PdfWriter

from tests.tiling.readback import read
from tests.tiling.rendering import Picture, render
from tests.tiling.samples import plate, ring, small_job
from tests.tiling.test_rulers import ruler_discs
from tiling.distances.checks import checks_of
from tiling.drawing import Distance
from tiling.errors import TilingError
from tiling.job import write_pdf
from tiling.layout.page_layout import lay_out
from tiling.pages.ruler_divisions import in_feet, in_millimetres
from tiling.paper import BANNER, Page, parse_paper
from tiling.paper.scale import parse_scale
from tiling.proof import prove

# Scales of draughtsmen of inches, each with the ratio that it is by arithmetic: so many inches in twelve.  That
# these are in use is common practice, no source.
TO_THE_FOOT = [
    ("6 in to the foot", 2),
    ("3 in to the foot", 4),
    ("1 1/2 in to the foot", 8),
    ("1-1/2 inches to the foot", 8),
    ("1.5 in = 1 ft", 8),
    ("1 in to the foot", 12),
    ('3/4" = 1\'-0"', 16),
    ("1/2 in to the foot", 24),
    ("3/8 in = 1 foot", 32),
    ("1/4 inch to the foot", 48),
    ("1/8 in to the foot", 96),
]
# Reduction scales that ISO 5455 recommends, from memory.
RECOMMENDED = [2, 5, 10, 20, 50, 100]


@pytest.mark.parametrize(("text", "over"), TO_THE_FOOT)
def test_inches_to_the_foot_are_read_and_said_again(text: str, over: int) -> None:
    scale = parse_scale(text)
    assert scale.ratio == Fraction(1, over)
    assert scale.name == f"1:{over}"
    if over != 96 and over != 32:
        assert parse_scale(scale.words.split("(")[1].rstrip(")")) == scale


@pytest.mark.parametrize("over", RECOMMENDED)
def test_ratios_are_read_in_every_form(over: int) -> None:
    forms = (f"1:{over}", f"1/{over}", f" 1 : {over} ", f"scale 1:{over}", f"2:{2 * over}", f"1 to {over}")
    assert {parse_scale(form).ratio for form in forms} == {Fraction(1, over)}
    assert parse_scale(forms[0]).of(1000.0) == 1000.0 / over
    assert parse_scale(forms[0]).true(1000.0 / over) == pytest.approx(1000.0, abs=1e-9)


def test_full_size_says_nothing_and_others_warn() -> None:
    assert parse_scale("1:1") == parse_scale("full size")
    assert parse_scale("1:1").warning == parse_scale("1:1").in_names == ""
    assert parse_scale("2:9").name == "1:4.5"
    assert parse_scale("3:10").name == "3:10"
    assert parse_scale("1:4").warning == "SCALE 1:4, NOT FULL SIZE"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("0.25", "write it as 1:4"),
        ("", "cannot read"),
        ("4:1", "larger than full size"),
        ("1:0", "cannot read"),
        ("0:4", "cannot read"),
        ("1:200", "smaller than 1:100"),
        ("1/0 in to the foot", "cannot read"),
        ("half", "cannot read"),
        ("1:" + "9" * 5000, "cannot read"),
        ("13 in to the foot", "larger than full size"),
    ],
)
def test_scales_that_will_not_do_are_refused(text: str, words: str) -> None:
    with pytest.raises(TilingError, match=words):
        parse_scale(text)


@pytest.mark.parametrize("over", [*RECOMMENDED, 4, 8, 12, 16, 24, 48])
def test_divisions_are_round_lengths_of_the_boat_and_far_enough_apart(over: int) -> None:
    scale = parse_scale(f"1:{over}")
    metric, feet = in_millimetres(scale, 150.0, 2.5), in_feet(scale, 150.0, 2.5)
    for index in (0, metric.long, 3 * metric.long):
        assert float(metric.figure(index)) == pytest.approx(index * metric.step * over, abs=1e-9)
        whole, inches = feet.figure(index * feet.long // metric.long).split("-")
        along = index * feet.long // metric.long * feet.step * over
        assert 25.4 * (12.0 * int(whole) + float(inches)) == pytest.approx(along, abs=1e-9)
    for side in (metric, feet):
        assert side.step >= 0.999
        assert side.step * side.long >= 8.0
        assert side.long % side.middle == 0


def edges(
    picture: Picture, start: tuple[float, float], way: tuple[float, float], length: float
) -> list[float]:
    """Where dark begins and ends again along a line, as the middle of each dark stretch, mm from its start."""
    along = np.arange(0.0, length, 0.01)
    columns = ((start[0] + along * way[0]) / picture.width * picture.shape[1]).astype(int)
    rows = ((1.0 - (start[1] + along * way[1]) / picture.height) * picture.shape[0]).astype(int)
    dark = np.concatenate([[False], picture.dark(rows, columns) > 0.5, [False]])
    turns = np.flatnonzero(np.diff(dark.astype(int)))
    return [float(along[[a, b - 1]].mean()) for a, b in zip(turns[::2], turns[1::2], strict=True)]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("text", "paper"), [("1:4", "A4"), ("1:10", "letter"), ("1:5", "A3"), ("1:8", "letter")]
)
def test_rendered_rulers_read_lengths_of_the_boat_and_of_the_paper(
    tmp_path: Path, text: str, paper: str
) -> None:
    """Every tick that the renderer shows on the boat's side stands at a whole division, none is missing."""
    scale = parse_scale(text)
    path = tmp_path / "job.pdf"
    write_pdf(small_job(page=Page(paper=parse_paper(paper), scale=scale), pieces=(plate(),)), path)
    pages = len(read(path))
    discs = ruler_discs(read(path)[-1])
    picture = render(path, pages - 1, dpi=600.0)
    for (start, end), way, aside, divided in (
        (discs[:2], (1.0, 0.0), (0.0, -0.5), in_millimetres),
        (discs[2:], (0.0, 1.0), (0.5, 0.0), in_feet),
    ):
        seen = [picture.centre(*place) for place in (start, end)]
        assert np.hypot(*np.subtract(*seen)) == pytest.approx(150.0, abs=0.02)
        step = divided(scale, 150.0, 2.5).step
        begin = (start[0] + aside[0] + 2.5 * way[0], start[1] + aside[1] + 2.5 * way[1])
        ticks = np.array(edges(picture, begin, way, 120.0)) + 2.5
        places = np.round(ticks / step)
        assert (np.diff(places) == 1.0).all()
        assert places[0] * step < 5.0
        assert places[-1] * step > 119.0
        assert np.abs(ticks - places * step).max() < 0.05


@pytest.mark.slow
def test_every_page_says_large_that_it_is_not_full_size(tmp_path: Path) -> None:
    page = Page(paper=parse_paper("A4"), scale=parse_scale("1:4"))
    path = tmp_path / "job.pdf"
    write_pdf(small_job(page=page), path)
    assert page.window[1] == 10.0 + page.strip_bottom + BANNER
    reader = PdfReader(path)
    assert "1:4" in str(reader.metadata and reader.metadata.title)
    for sheet, read_page in zip(read(path), reader.pages, strict=True):
        said = next(said for said in sheet.said if said.text == "SCALE 1:4, NOT FULL SIZE")
        # DejaVu Sans: a capital is 1493 of 2048 units high (its OS/2 table)
        assert said.size * 1493 / 2048 == pytest.approx(7.0, abs=0.01)
        assert [float(side) for side in read_page.mediabox] == pytest.approx(
            [0, 0, 595.2756, 841.8898], abs=1e-3
        )
    assert "reads the boat's lengths" in reader.pages[0].extract_text().replace("\n", " ")


@pytest.mark.slow
def test_a_file_at_a_scale_is_proved_and_a_lost_warning_is_found(tmp_path: Path) -> None:
    path = tmp_path / "job.pdf"
    page = Page(paper=parse_paper("A4"), scale=parse_scale("1:4"))
    write_pdf(small_job(page=page, pieces=(ring(), plate())), path)
    proof = prove(path)
    assert proof.findings == []
    assert proof.drawn_at == "1:4"
    assert proof.rulers == 2 * proof.pages
    full = tmp_path / "full.pdf"
    write_pdf(small_job(page=Page(paper=parse_paper("A4")), pieces=(ring(), plate())), full)
    assert prove(full).drawn_at == "1:1"
    writer = PdfWriter(clone_from=path)
    strips = writer.pages[0]["/Resources"].get_object()["/XObject"].get_object()["/Strips"].get_object()  # type: ignore[union-attr,index]
    before = strips.get_data()
    words = [line for line in before.split(b"\n") if line.startswith(b"BT 1 0 0 1 10.000 10.000 Tm")]
    assert len(words) == 1
    strips.set_data(before.replace(words[0], b""))
    writer.write(tmp_path / "spoiled.pdf")
    findings = prove(tmp_path / "spoiled.pdf").findings
    assert any("page 1" in found and "does not say SCALE 1:4, NOT FULL SIZE" in found for found in findings)


def test_long_distances_are_told_on_paper_and_on_the_boat() -> None:
    page = Page(paper=parse_paper("A4"), scale=parse_scale("1:4"))
    distance = Distance(name="across", start=(-420.0, 0.0), end=(420.0, 0.0))
    (check,) = checks_of([distance], lay_out(ring().drawing, page))
    assert check.distance.length == 840.0
    assert check.true == pytest.approx(3360.0)
