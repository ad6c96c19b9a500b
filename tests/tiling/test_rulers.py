"""Rulers read true, on the paper as drawn and as rendered, in both directions."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from tests.tiling.readback import Sheet, read
from tests.tiling.rendering import render
from tests.tiling.samples import plate, small_job
from tiling.job import write_pdf
from tiling.pages.ruler_page import write_ruler_page
from tiling.pages.strips import lay_strips
from tiling.paper import Page, parse_paper

PAGES = [("A4", False), ("letter", True), ("A5", False)]


def ruler_discs(sheet: Sheet) -> list[tuple[float, float]]:
    """The discs of 2 mm that every page shares."""
    return [spot.centre for spot in sheet.spots if spot.form == "Strips" and abs(spot.radius - 1.0) < 0.001]


@pytest.fixture(scope="module", params=PAGES, ids=lambda p: f"{p[0]}-{'landscape' if p[1] else 'portrait'}")
def made(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Page]:
    name, landscape = request.param
    page = Page(paper=parse_paper(name), landscape=landscape)
    path = tmp_path_factory.mktemp("rulers") / "job.pdf"
    write_pdf(small_job(page=page, pieces=(plate(),)), path)
    return path, page


def check_length(page: Page, *, upright: bool) -> float:
    """150 mm wherever the strip allows: ruler, its last figure and the corner with the page's name."""
    room = page.height - 2 * page.margin - 18 if upright else page.width - 2 * page.margin - 20
    return 150.0 if room > 160.0 else 100.0


@pytest.mark.slow
def test_the_discs_are_apart_as_said_in_both_directions_on_every_page(made: tuple[Path, Page]) -> None:
    path, page = made
    for sheet in read(path):
        (ax, ay), (bx, by), (cx, cy), (dx, dy) = ruler_discs(sheet)
        assert (bx - ax, by - ay) == pytest.approx((check_length(page, upright=False), 0.0), abs=0.001)
        assert (dx - cx, dy - cy) == pytest.approx((0.0, check_length(page, upright=True)), abs=0.001)


@pytest.mark.slow
@pytest.mark.parametrize("dpi", [100.0, 203.0, 300.0])
def test_a_renderer_measures_the_rulers_within_two_hundredths(made: tuple[Path, Page], dpi: float) -> None:
    path, page = made
    discs = ruler_discs(read(path)[-1])
    picture = render(path, len(read(path)) - 1, dpi=dpi)
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = (picture.centre(x, y) for x, y in discs)
    assert bx - ax == pytest.approx(check_length(page, upright=False), abs=0.02)
    assert dy - cy == pytest.approx(check_length(page, upright=True), abs=0.02)
    assert abs(by - ay) < 0.02
    assert abs(dx - cx) < 0.02


def ticks(sheet: Sheet, *, upright: bool, beyond: float) -> list[float]:
    """Where the ticks of the upper (left) side of a ruler stand, from its first disc on."""
    discs = ruler_discs(sheet)
    (x0, y0) = discs[2 if upright else 0]
    found = []
    for line in sheet.lines:
        if line.form != "Strips" or len(line.points) != 2:
            continue
        (ax, ay), (bx, by) = line.points
        along, across = (ay - y0, x0 - bx) if upright else (ax - x0, by - y0)
        square = abs(ay - by) < 1e-6 if upright else abs(ax - bx) < 1e-6
        near = -6.0 < across < 0.0 if beyond < 0.0 else 0.0 < across < 6.0
        if square and near:
            found.append(along)
    return sorted(found)


@pytest.mark.slow
@pytest.mark.parametrize("upright", [False, True])
@pytest.mark.parametrize(("side", "step"), [(1.0, 1.0), (-1.0, 25.4 / 16.0)])  # an inch is 25.4 mm, exactly
def test_every_tick_stands_on_a_whole_millimetre_or_sixteenth(
    made: tuple[Path, Page], upright: bool, side: float, step: float
) -> None:
    sheet = read(made[0])[0]
    found = np.array(ticks(sheet, upright=upright, beyond=side))
    whole = np.round(found / step)
    assert found == pytest.approx(whole * step, abs=0.002)
    assert whole[0] == 0
    # None is missing up to the ruler's end, but for those that would touch a disc.
    x0, y0 = ruler_discs(sheet)[2 if upright else 0]
    on_line = np.vstack([
        line.points - (x0, y0) for line in sheet.lines
        if line.form == "Strips" and np.abs(line.points - (x0, y0))[:, 0 if upright else 1].max() < 1e-3
    ])  # fmt: skip
    discs = np.array([0.0, check_length(made[1], upright=upright)])
    end = max(on_line[:, 1 if upright else 0].max(), discs[1])
    every = np.arange(0, int(end / step + 1e-3) + 1)
    missing = np.setdiff1d(every, whole)
    assert set(whole) <= set(every)
    assert (np.abs(missing[:, None] * step - discs).min(axis=1) < 2.3).all()
    assert len(missing) < 12


@pytest.mark.slow
@pytest.mark.parametrize("upright", [False, True])
@pytest.mark.parametrize(("side", "unit", "some"), [(1.0, 1.0, {50, 100}), (-1.0, 25.4, {1, 2, 3})])
def test_figures_stand_at_their_ticks(
    made: tuple[Path, Page], upright: bool, side: float, unit: float, some: set[int]
) -> None:
    """Millimetres on the upper (left) side, inches on the other; the first figure has its unit beside it."""
    sheet = read(made[0])[0]
    x0, y0 = ruler_discs(sheet)[2 if upright else 0]
    found = ticks(sheet, upright=upright, beyond=side)
    figures: dict[int, float] = {}
    for said in sheet.said:
        x, y = said.at[0] - x0, said.at[1] - y0
        along, across = (y, -x) if upright else (x, y)
        number = re.match(r"\d+", said.text)
        if (
            number
            and along > -1.0
            and said.turn == pytest.approx(0.5 * np.pi * upright)
            and 0.0 < side * across < 5.0
        ):
            figures[int(number[0])] = along
    assert some <= set(figures)
    for figure, along in figures.items():
        assert 0.0 < along - figure * unit < 1.0
        assert min(abs(tick - figure * unit) for tick in found) < 0.002


@pytest.mark.slow
def test_figures_are_high_enough(made: tuple[Path, Page]) -> None:
    sheet = read(made[0])[0]
    sizes = [said.size for said in sheet.said if said.text.isdigit()]
    # DejaVu Sans: a capital is 1493 of 2048 units high (its OS/2 table)
    assert min(sizes) * 1493 / 2048 == pytest.approx(2.5, abs=0.01)


def test_a_ruler_never_runs_out_of_its_strip() -> None:
    for name in ("A5", "A4", "letter", "legal", "A3"):
        for margin in (10.0, 12.7, 15.0):
            page = Page(paper=parse_paper(name), margin=margin)
            strips = lay_strips(page, mark="K7Q2P", tags=("AB12",))
            assert strips.across.start[0] + strips.across.length < page.width - margin
            assert strips.upright.start[1] + strips.upright.length < page.height - margin


@pytest.mark.slow
@pytest.mark.parametrize(("name", "landscape"), PAGES)
def test_the_ruler_page_measures_true_when_rendered(tmp_path: Path, name: str, landscape: bool) -> None:
    path = tmp_path / "ruler.pdf"
    page = Page(paper=parse_paper(name), landscape=landscape)
    write_ruler_page(page, path)
    sheet = read(path)[0]
    square = [spot.centre for spot in sheet.spots if spot.form == ""]
    assert len(square) == 4
    picture = render(path, 0, dpi=150.0)
    seen = [picture.centre(x, y) for x, y in square]
    side = square[1][0] - square[0][0]
    assert side == pytest.approx(round(side / 10.0) * 10.0, abs=0.001)
    for a, b in ((0, 1), (1, 2), (2, 3), (3, 0)):
        apart = ((seen[a][0] - seen[b][0]) ** 2 + (seen[a][1] - seen[b][1]) ** 2) ** 0.5
        assert apart == pytest.approx(side, abs=0.02)


def test_the_card_on_the_ruler_page_has_the_size_of_a_bank_card(tmp_path: Path) -> None:
    path = tmp_path / "ruler.pdf"
    write_ruler_page(Page(paper=parse_paper("A4")), path)
    boxes = [
        line for line in read(path)[0].lines if line.closed and line.form == "" and len(line.points) == 4
    ]
    sizes = [tuple((line.points.max(axis=0) - line.points.min(axis=0)).tolist()) for line in boxes]
    # ISO/IEC 7810, format ID-1: 85.60 x 53.98 mm (from memory)
    assert any(size == pytest.approx((85.60, 53.98), abs=0.002) for size in sizes)
