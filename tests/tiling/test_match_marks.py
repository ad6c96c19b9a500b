"""Match marks and trim lines: at the same true place on both pages that they join."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest

from tests.tiling.readback import Sheet, read
from tests.tiling.rendering import render
from tests.tiling.samples import A4, ring, small_job
from tiling.drawing import Drawing, Stroke
from tiling.drawing import Path as Line
from tiling.job import Job, write_pdf
from tiling.layout.page_layout import PageLayout, Tile, lay_out
from tiling.paper import Page, parse_paper
from tiling.planning.plan import Plan, plan_pieces

LANDSCAPE_LETTER = Page(paper=parse_paper("letter"), landscape=True, overlap=16.0, margin=12.7)


@pytest.fixture(scope="module", params=[A4, LANDSCAPE_LETTER], ids=["A4", "letter-landscape"])
def made(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Path, Plan, dict[str, tuple[int, Sheet]]]:
    job: Job = small_job(page=request.param, pieces=(ring(),))
    path = tmp_path_factory.mktemp("marks") / "job.pdf"
    write_pdf(job, path)
    (plan,) = plan_pieces(job.pieces, job.page)
    sheets = {sheet.label: (index, sheet) for index, sheet in enumerate(read(path))}
    return path, plan, sheets


def discs(sheet: Sheet) -> list[tuple[float, float]]:
    """Discs of 2 mm in the page's own content: match marks."""
    return [
        s.centre for s in sheet.spots if s.form == "Mark" and abs(s.radius - 1.0) < 0.001 and s.grey == 0.0
    ]


def on_grid(layout: PageLayout, tile: Tile, place: tuple[float, float]) -> tuple[float, float]:
    x0, y0 = layout.page.window[:2]
    return place[0] - x0 + tile.window[0], place[1] - y0 + tile.window[1]


@pytest.mark.slow
def test_every_seam_has_two_discs_at_the_same_true_place_on_both_pages(
    made: tuple[Path, Plan, dict[str, tuple[int, Sheet]]],
) -> None:
    _, plan, sheets = made
    layout = plan.layout
    assert len(layout.seams) >= 8
    for seam in layout.seams:
        places = []
        for index in (seam.over, seam.under):
            tile = layout.tiles[index]
            sheet = sheets[plan.page_name(tile)][1]
            found = [on_grid(layout, tile, disc) for disc in discs(sheet)]
            axis = 0 if seam.side == "right" else 1
            line = seam.line[0][axis]
            ends = sorted((seam.line[0][1 - axis], seam.line[1][1 - axis]))
            on_line = sorted(
                p for p in found if abs(p[axis] - line) < 0.001 and ends[0] < p[1 - axis] < ends[1]
            )
            assert len(on_line) == 2
            places.append(on_line)
        for over, under in zip(*places, strict=True):
            assert math.dist(over, under) < 0.001
        # far apart: at most what the corners leave, and not much less, though they keep off the drawing's ink
        most = math.dist(*seam.line) - 2.0 * layout.page.mark_inset
        assert 0.5 * most < math.dist(*places[0]) < most + 0.01


@pytest.mark.slow
def test_rendered_marks_of_neighbours_agree_within_two_hundredths(
    made: tuple[Path, Plan, dict[str, tuple[int, Sheet]]],
) -> None:
    path, plan, sheets = made
    layout = plan.layout
    seen: dict[int, list[tuple[float, float]]] = {}
    for index, tile in enumerate(layout.tiles):
        number, sheet = sheets[plan.page_name(tile)]
        picture = render(path, number, dpi=150.0)
        seen[index] = [on_grid(layout, tile, picture.centre(*disc)) for disc in discs(sheet)]
    for seam in layout.seams:
        for mark in seam.marks:
            over, under = (
                min(seen[index], key=lambda place: math.dist(place, mark))
                for index in (seam.over, seam.under)
            )
            assert math.dist(over, under) < 0.02
            assert math.dist(over, mark) < 0.02


def test_a_mark_stands_alone_so_that_its_disc_can_be_measured(
    made: tuple[Path, Plan, dict[str, tuple[int, Sheet]]],
) -> None:
    path, plan, sheets = made
    tile = plan.layout.tiles[0]
    number, sheet = sheets[plan.page_name(tile)]
    picture = render(path, number, dpi=300.0)
    for x, y in discs(sheet):
        dark, gx, gy = picture.window(x, y, 2.0)
        away = ((gx - x) ** 2 + (gy - y) ** 2) ** 0.5
        assert dark[(away > 1.2) & (away < 1.7)].max() < 0.05
        assert dark[away < 0.8].min() > 0.95


def test_a_trimmed_side_has_a_dashed_line_and_says_over_which_page_it_goes(
    made: tuple[Path, Plan, dict[str, tuple[int, Sheet]]],
) -> None:
    _, plan, sheets = made
    layout = plan.layout
    for tile in layout.tiles:
        sheet = sheets[plan.page_name(tile)][1]
        right, top = layout.trim_lines(tile)
        dashed = [line for line in sheet.lines if line.clip is None and line.dash[0] and line.form == ""]
        upright = {
            round(line.points[0][0], 2)
            for line in dashed
            if abs(line.points[0][0] - line.points[1][0]) < 1e-6
        }
        level = {
            round(line.points[0][1], 2)
            for line in dashed
            if abs(line.points[0][1] - line.points[1][1]) < 1e-6
        }
        x0, y0 = layout.page.window[:2]
        if right is not None:
            assert round(right - tile.window[0] + x0, 2) in upright
        if top is not None:
            assert round(top - tile.window[1] + y0, 2) in level
    for seam in layout.seams:
        over, under = layout.tiles[seam.over], layout.tiles[seam.under]
        # the longest words that find a clear place; the neighbour is named by all of them
        said, heard = sheets[plan.page_name(over)][1].text, sheets[plan.page_name(under)][1].text
        assert re.search(rf"(trim to this line, |trim, )?lay over {under.name}\b|\bto {under.name}\b", said)
        assert re.search(rf"\b{over.name} lies over|\bto {over.name}\b", heard)


def test_words_of_joints_are_cut_off_or_covered(
    made: tuple[Path, Plan, dict[str, tuple[int, Sheet]]],
) -> None:
    """No word of a joint is left on the taped pattern: each begins outside the page's visible part."""
    _, plan, sheets = made
    layout = plan.layout
    for tile in layout.tiles:
        x0, y0, x1, y1 = layout.visible(tile)
        for said in sheets[plan.page_name(tile)][1].said:
            if re.search(r"this line|lay over|lies over|^to [A-Z]", said.text):
                x, y = on_grid(layout, tile, said.at)
                assert not (x0 < x < x1 and y0 < y < y1)


def curve(seed: int) -> Drawing:
    """A smooth loose curve that wanders over many pages and leaves many blank."""
    rng = np.random.default_rng(seed)
    time = np.linspace(0.0, 1.0, 1500)
    waves = [
        sum(
            rng.normal(0.0, 500.0 / n) * np.sin(2.0 * math.pi * n * time + rng.uniform(0, 6))
            for n in (1, 2, 3, 4)
        )
        for _ in range(2)
    ]
    return Drawing(paths=(Line(points=np.column_stack(waves), stroke=Stroke(width=0.5)),))


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("page", [A4, LANDSCAPE_LETTER], ids=["A4", "letter-landscape"])
def test_taped_by_the_rule_no_page_hides_a_line_of_another(seed: int, page: Page) -> None:
    """Sheets trimmed and laid as the first pages say (left over right, lower row over upper): at every place of the
    line the uppermost sheet shows it."""
    drawing = curve(seed)
    layout = lay_out(drawing, page)
    places = layout.to_grid.apply(drawing.paths[0].points)
    uppermost = np.full(len(places), -1)
    for index in sorted(
        range(len(layout.tiles)), key=lambda i: (layout.tiles[i].row, -layout.tiles[i].column)
    ):
        tile = layout.tiles[index]
        right, top = layout.trim_lines(tile)
        shift = layout.to_page(tile)
        x0, y0 = -shift.tx, -shift.ty
        x1 = x0 + page.width if right is None else right
        y1 = y0 + page.height if top is None else top
        x, y = places.T
        uppermost[(x >= x0) & (x <= x1) & (y >= y0) & (y <= y1)] = index
    assert (uppermost >= 0).all()
    windows = np.array([tile.window for tile in layout.tiles])[uppermost]
    assert (places >= windows[:, :2] - 1e-6).all()
    assert (places <= windows[:, 2:] + 1e-6).all()


def test_words_of_a_joint_stand_in_the_part_of_the_overlap_that_goes(
    made: tuple[Path, Plan, dict[str, tuple[int, Sheet]]],
) -> None:
    """What is said of a trim line is cut off with the strip beyond it, or lies under the page that covers it."""
    _, plan, sheets = made
    layout = plan.layout
    half, capital = 0.5 * layout.page.overlap, 3.5
    x0, y0, x1, y1 = layout.page.window
    told = 0
    for tile in layout.tiles:
        for said in sheets[plan.page_name(tile)][1].said:
            if not re.fullmatch(r"(trim( to this line)?, lay over|to) \w+|\w+ lies over.*", said.text):
                continue
            told += 1
            upright = abs(said.turn) > 1.0
            # the capitals stand on the base line; words that run up the page have it on their right
            low, high = (said.at[0] - capital, said.at[0]) if upright else (said.at[1], said.at[1] + capital)
            near, far = (x0, x1) if upright else (y0, y1)
            kept_off = low >= far - half - 0.01 if low > 0.5 * (near + far) else high <= near + half + 0.01
            assert kept_off, said.text
            assert near < low and high < far, said.text  # noqa: PT018 (one thing: within the window)
    assert told >= 2 * len(layout.seams) - 2
