"""A printer's own error: measured, doubted, kept, undone; a print by a simulated printer comes out true."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from patterns.cli import main
from tests.tiling.rendering import render
from tests.tiling.samples import small_job
from tiling.errors import TilingError
from tiling.job import write_pdf
from tiling.pages.ruler_page import ruler_lengths, write_ruler_page
from tiling.paper import Page, parse_paper
from tiling.paper.printers import Correction, doubts, keep_printer, kept_printers, printer_named
from tiling.proof import prove

A4 = Page(paper=parse_paper("a4"))
LYING = Page(paper=parse_paper("a4"), landscape=True)


def measured(short: float, long: float, *, paper: str = "A4") -> Correction:
    """160 and 240 mm measured so."""
    return Correction(printer="hall laser", paper=paper, short=(160.0, short), long=(240.0, long))


def test_the_stretch_undoes_the_error_on_either_way_of_the_page() -> None:
    correction = measured(159.4, 241.0)
    across, up = correction.stretch(A4)
    assert across * 159.4 / 160.0 == pytest.approx(1.0)
    assert up * 241.0 / 240.0 == pytest.approx(1.0)
    assert correction.stretch(LYING) == (up, across)  # the error belongs to the paper's sides


def test_a_factor_as_published_for_a_ruler_that_reads_99_4() -> None:
    # "factor = nominal / measured, X and Y separately": a printer calibration page, a-d-c.ca
    correction = Correction(printer="p", paper="A4", short=(100.0, 99.4), long=(100.0, 99.4))
    assert correction.stretch(A4)[0] * 100.0 == pytest.approx(100.604, abs=5e-4)


def test_below_the_reading_error_nothing_is_corrected() -> None:
    assert measured(160.2, 239.8).stretch(A4) == (1.0, 1.0)
    assert measured(160.3, 239.8).stretch(A4)[0] != 1.0


@pytest.mark.parametrize(
    ("short", "long", "words"),
    [
        (150.6, 225.9, "fitted or shrunk"),  # a page fitted to its own printable part
        (155.6, 233.4, "fitted or shrunk"),  # letter fitted to A4: 2.73 % small
        (158.9, 238.3, "page fitting"),  # both short alike, 0.7 %
        (6.3, 239.6, "inches"),
        (239.8, 160.1, "changed over"),
    ],
)
def test_readings_that_look_like_something_else_are_doubted(short: float, long: float, words: str) -> None:
    assert any(words in doubt for doubt in doubts(measured(short, long)))


@pytest.mark.parametrize(("short", "long"), [(159.0, 240.9), (159.5, 239.4), (161.2, 241.7), (160.0, 238.0)])
def test_a_printer_s_usual_errors_are_not_doubted(short: float, long: float) -> None:
    assert doubts(measured(short, long)) == []


def test_an_enlarged_page_must_keep_off_the_blank_edge() -> None:
    large = Page(paper=parse_paper("a0"))
    with pytest.raises(TilingError, match=r"make the margin \d+ mm or more"):
        measured(158.5, 237.7, paper="A0").stretch(large)
    with pytest.raises(TilingError, match="measured with A4, not letter"):
        measured(159.0, 239.0).stretch(Page(paper=parse_paper("letter")))


def test_printers_are_kept_and_found_by_name(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "printers.json"
    assert kept_printers(path) == {}
    keep_printer(path, measured(159.0, 240.0))
    keep_printer(
        path, Correction(printer="Käthe's", paper="A3", tray="2", short=(270.0, 270.9), long=(380.0, 380.0))
    )
    keep_printer(path, measured(159.2, 240.0))
    assert len(kept_printers(path)) == 2
    assert printer_named(path, " Hall Laser").short == (160.0, 159.2)
    with pytest.raises(TilingError, match="known: hall laser, Käthe's"):
        printer_named(path, "other")
    path.write_text("{", encoding="utf-8")
    with pytest.raises(TilingError, match="cannot be read; move it away"):
        kept_printers(path)


@pytest.mark.parametrize("page", [A4, LYING])
def test_a_corrected_page_is_true_as_that_printer_prints_it(tmp_path: Path, page: Page) -> None:
    correction = measured(159.2, 241.1)
    path = tmp_path / "ruler.pdf"
    write_ruler_page(page, path, correction=correction)
    picture = render(path, 0, dpi=150.0)
    short, long = ruler_lengths(page)
    prints = {"short": 159.2 / 160.0, "long": 241.1 / 240.0}  # what this printer makes of a mm
    across, up = (prints["long"], prints["short"]) if page.landscape else (prints["short"], prints["long"])
    from tiling.pages.strips import lay_strips

    strips = lay_strips(page, mark="", tags=("1",), long=True)
    stretch = correction.stretch(page)
    for ruler, due, by in ((strips.across, long if page.landscape else short, across), (
        strips.upright, short if page.landscape else long, up
    )):  # fmt: skip
        ends = []
        for disc in ruler.discs:
            x = 0.5 * page.width + (disc.centre[0] - 0.5 * page.width) * stretch[0]
            y = 0.5 * page.height + (disc.centre[1] - 0.5 * page.height) * stretch[1]
            ends.append(picture.centre(x, y))
        apart = ((ends[1][0] - ends[0][0]) ** 2 + (ends[1][1] - ends[0][1]) ** 2) ** 0.5
        assert apart * by == pytest.approx(due, abs=0.02)


def test_a_corrected_file_is_proved_and_says_so(tmp_path: Path) -> None:
    from dataclasses import replace

    path = tmp_path / "job.pdf"
    write_pdf(replace(small_job(), correction=measured(159.2, 241.1)), path)
    proof = prove(path)
    assert proof.findings == []
    assert proof.scale == pytest.approx(1.0, abs=1e-9)
    assert proof.stretch == pytest.approx((160.0 / 159.2, 240.0 / 241.1))
    from pypdf import PdfReader

    text = PdfReader(path).pages[5].extract_text()
    assert "For printer hall laser: short ×1.0050, long ×0.9954" in text


def test_the_whole_way_on_the_command_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    run = CliRunner().invoke
    said = ["ruler", "--paper", "a4", "--printer", "hall laser"]
    doubted = run(main, [*said, "--short-side", "151 mm", "--long-side", "226.5 mm"])
    assert doubted.exit_code == 2
    assert "100 %, actual size" in doubted.output
    half = run(main, [*said, "--short-side", "159.2 mm"])
    assert half.exit_code == 2
    assert "together" in half.output
    unknown = run(main, [*said, "--output", str(tmp_path / "r.pdf")])
    assert unknown.exit_code == 2
    assert "not measured yet" in unknown.output
    assert not (tmp_path / "r.pdf").exists()
    kept = run(main, [*said, "--short-side", "159.2 mm", "--long-side", "9 13/16 in"])
    assert kept.exit_code == 0, kept.output
    again = run(main, [*said, "--output", str(tmp_path / "r.pdf")])
    assert again.exit_code == 0, again.output
