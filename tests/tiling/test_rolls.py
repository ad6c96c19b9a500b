"""Patterns on paper from a roll: one long page each, cut at the limit, every file of one size."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader

from tests.tiling.readback import read
from tests.tiling.rendering import render
from tests.tiling.samples import A4, plate, ring, small_job
from tests.tiling.test_proof import spoiled
from tests.tiling.test_rulers import ruler_discs
from tiling.drawing import Disc, Drawing, Stroke
from tiling.drawing import Path as Stretch
from tiling.errors import TilingError
from tiling.job import Job, write_rolls
from tiling.paper import Page, parse_paper
from tiling.planning.plan import Piece, Plan
from tiling.planning.rolls import plan_rolls
from tiling.proof import prove

LONGEST_PT = 14_400.0  # ISO 32000-1, annex C (from memory): 200 in of 72 units
SAW = Stroke(width=0.7)


def batten(length: float, wide: float = 60.0) -> Piece:
    """A straight board of that length."""
    corners = np.array([[0.0, 0.0], [length, 0.0], [length, wide], [0.0, wide]])
    drawing = Drawing(
        paths=(Stretch(points=corners, stroke=SAW, closed=True),),
        discs=(Disc(centre=(20.0, 0.5 * wide), radius=2.0),),
    )
    return Piece(made_from="formula", name=f"batten {length:g}", drawing=drawing)


def roll(text: str, **more: float) -> Page:
    return Page(paper=parse_paper(text), **more)


@pytest.mark.parametrize(
    ("text", "width", "most"),
    [
        ("610 mm roll", 610.0, 5080.0),
        ("24 in roll", 609.6, 5080.0),
        ("36 in roll", 914.4, 5080.0),
        ("24 in roll, cut at 3 m", 609.6, 3000.0),
        ("914 mm ROLL cut at 2500 mm", 914.0, 2500.0),
    ],
)
def test_rolls_are_said_by_their_width(text: str, width: float, most: float) -> None:
    paper = parse_paper(text)
    assert paper.roll
    assert (paper.width, paper.height) == pytest.approx((width, most))
    assert parse_paper(paper.name) == paper


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("roll", "not known"),
        ("610 roll", "has no unit"),
        ("610 mm roll, cut at 6 m", "longer than"),
        ("610 mm roll, cut at 50 mm", "shorter than"),
        ("6 m roll", "wider than"),
    ],
)
def test_rolls_that_will_not_do_are_refused(text: str, words: str) -> None:
    with pytest.raises(TilingError, match=words):
        parse_paper(text)


@pytest.mark.parametrize("length", [300.0, 1500.0, 4900.0, 7000.0, 16000.0])
def test_a_pattern_is_on_one_page_as_long_as_it_needs_or_on_pages_equally_long(length: float) -> None:
    page = roll("610 mm roll")
    (plan,) = plan_rolls([batten(length)], page)
    sheet = plan.layout.page
    _, y0, _, y1 = sheet.window
    beside = sheet.height - (y1 - y0)
    if length <= 550.0:  # it lies across the roll
        assert sheet.height < 400.0
        assert len(plan.layout.tiles) == 1
    else:
        # pages hold the length, the overlaps and no more than a hand's breadth besides
        count = len(plan.layout.tiles)
        covered = count * (y1 - y0) - (count - 1) * sheet.overlap
        assert length < covered < length + 320.0
        assert count == (1 if length < 5000.0 else 2 if length < 9000.0 else 4)
    assert sheet.height <= 5080.0
    assert sheet.height % 10.0 == pytest.approx(0.0, abs=1e-9) or sheet.height == page.paper.height
    assert beside < sheet.height


def made(folder: Path, job: Job) -> tuple[list[tuple[Plan, Path]], Path]:
    files: list[tuple[Plan, Path]] = []

    def path_of(plan: Plan) -> Path:
        files.append((plan, folder / f"{plan.label}.pdf"))
        return files[-1][1]

    write_rolls(job, folder / "first.pdf", path_of)
    return files, folder / "first.pdf"


@pytest.fixture(scope="module")
def job() -> Job:
    pieces = (ring(wide=700.0, tall=330.0), plate(), batten(6100.0))
    return replace(small_job(page=A4, pieces=pieces), roll=roll("24 in roll"))


@pytest.fixture(scope="module")
def files(job: Job, tmp_path_factory: pytest.TempPathFactory) -> tuple[list[tuple[Plan, Path]], Path]:
    return made(tmp_path_factory.mktemp("rolls"), job)


def test_every_file_has_one_size_under_the_limit(files: tuple[list[tuple[Plan, Path]], Path]) -> None:
    patterns, first = files
    assert len(patterns) == 3
    for page in PdfReader(first).pages:
        assert [float(side) for side in page.mediabox] == pytest.approx([0, 0, 595.2756, 841.8898], abs=1e-3)
    for plan, path in patterns:
        sizes = {tuple(float(side) for side in page.mediabox) for page in PdfReader(path).pages}
        (size,) = sizes
        # 24 in are 1728 pt; the length is the plan's
        assert size == pytest.approx((0.0, 0.0, 1728.0, plan.layout.page.height / 25.4 * 72.0), abs=1e-3)
        assert max(size) <= LONGEST_PT
    wide, small, long = (plan for plan, _ in patterns)
    assert len(wide.layout.tiles) > 1  # 660 mm are too wide for a roll of 610 mm, which is told by its seams
    assert len(small.layout.tiles) == 1
    assert len(long.layout.tiles) == 2


def test_files_of_a_roll_are_proved_each_for_itself(
    files: tuple[list[tuple[Plan, Path]], Path], tmp_path: Path
) -> None:
    patterns, first = files
    totals = set()
    for path in (first, *(path for _, path in patterns)):
        proof = prove(path)
        assert proof.findings == []
        totals.add(proof.total)
    assert len(totals) == 1  # pages are counted through all files

    def change(data: bytes) -> bytes:
        scale = b"%.15g" % (72.0 / 25.4)
        return data.replace(scale, b"%.15g" % (1.001 * 72.0 / 25.4))

    long, path = patterns[-1]
    findings = spoiled(path, tmp_path, long.page_name(long.layout.tiles[0]), change).findings
    assert any("scale across is 1.00100" in finding for finding in findings)


def test_a_long_page_measures_true_when_rendered(files: tuple[list[tuple[Plan, Path]], Path]) -> None:
    plan, path = files[0][-1]
    sheet = read(path)[0]
    picture = render(path, 0, dpi=60.0)
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = (picture.centre(x, y) for x, y in ruler_discs(sheet))
    assert np.hypot(bx - ax, by - ay) == pytest.approx(150.0, abs=0.05)
    assert np.hypot(dx - cx, dy - cy) == pytest.approx(150.0, abs=0.05)
    assert picture.height == pytest.approx(plan.layout.page.height, abs=1e-3)


def test_first_pages_tell_the_shop_how_much_paper_and_which_files(
    files: tuple[list[tuple[Plan, Path]], Path],
) -> None:
    said = PdfReader(files[1]).pages[0].extract_text().replace("\n", " ")
    metres = sum(len(plan.layout.tiles) * plan.layout.page.height for plan, _ in files[0]) / 1000.0
    assert f"{metres:.1f} m of paper" in said
    assert "24 in roll" in said
    for plan, _ in files[0]:
        assert plan.label in said
        assert f"{plan.layout.page.height / 1000.0:.2f} m" in said


def test_a_pattern_too_wide_and_too_long_is_joined_both_ways() -> None:
    corners = np.array([[0.0, 0.0], [6000.0, 0.0], [6000.0, 1000.0], [0.0, 1000.0]])
    sheet = Piece(
        made_from="formula",
        name="sheet",
        drawing=Drawing(paths=(Stretch(points=corners, stroke=SAW, closed=True),)),
    )
    (plan,) = plan_rolls([sheet], roll("36 in roll"))
    assert len(plan.layout.tiles) == 4
    assert len(plan.layout.seams) == 4
    assert plan.layout.page.height <= 5080.0
