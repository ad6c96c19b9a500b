"""Butt joints: what is left of two pages after trimming meets edge to edge; names that are read from above."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from tests.tiling.readback import read
from tests.tiling.rendering import Picture, render
from tests.tiling.samples import plate, ring, small_job
from tests.tiling.test_proof import spoiled
from tiling.job import write_pdf
from tiling.lettering.floor_names import HEIGHTS, LEAST
from tiling.pages.match_marks import joints_of
from tiling.paper import Page, parse_paper
from tiling.planning.plan import Plan, plan_pieces
from tiling.proof import prove

BUTT = Page(paper=parse_paper("A4"), butt=True)
WIDE, TALL = 420.0, 330.0  # mm; half axes of the ring's outer ellipse


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Plan]:
    path = tmp_path_factory.mktemp("butt") / "job.pdf"
    write_pdf(small_job(page=BUTT, pieces=(ring(wide=WIDE, tall=TALL),)), path)
    (plan,) = plan_pieces([ring(wide=WIDE, tall=TALL)], BUTT)
    return path, plan


def pictures(path: Path, plan: Plan, dpi: float) -> list[Picture]:
    """Each page of the pattern, in the order of its tiles."""
    first = len(read(path)) - len(plan.layout.tiles)
    return [render(path, first + index, dpi=dpi) for index in range(len(plan.layout.tiles))]


def test_every_side_with_a_neighbour_is_trimmed_and_says_against_which(made: tuple[Path, Plan]) -> None:
    layout = made[1].layout
    facing = {"left": "right", "right": "left", "above": "below", "below": "above"}
    for tile, joints in zip(layout.tiles, joints_of(layout), strict=True):
        neighbours = {side: layout.neighbour(tile, side) for side in facing}  # type: ignore[arg-type]
        told = {
            (joint.upright, joint.outward): joint.words[0].removeprefix("trim to this line, butt against ")
            for joint in joints
            if joint.marks
        }
        sides = {"right": (True, 1.0), "left": (True, -1.0), "above": (False, 1.0), "below": (False, -1.0)}
        due = {sides[side]: other.name for side, other in neighbours.items() if other is not None}
        assert told == due


def test_what_is_left_after_trimming_holds_all_places_once(made: tuple[Path, Plan]) -> None:
    layout = made[1].layout
    boxes = [layout.visible(tile) for tile in layout.tiles]
    points = layout.to_grid.apply(np.vstack([path.points for path in made[1].drawing.paths]))
    held = sum(
        ((points >= box[:2]) & (points < box[2:])).all(axis=1).astype(int) for box in map(np.array, boxes)
    )
    assert (np.asarray(held) == 1).all()


@pytest.mark.slow
def test_halves_of_a_match_mark_make_one_disc(made: tuple[Path, Plan]) -> None:
    """Rendered, cut at the trim line, and put together: the area of a disc of 1 mm radius (pi, in mm2)."""
    path, plan = made
    layout, seen = plan.layout, pictures(path, plan, 400.0)
    for seam in layout.seams:
        axis = 0 if seam.side == "right" else 1
        for mark in seam.marks:
            area = 0.0
            for index, keeps in ((seam.over, -1.0), (seam.under, 1.0)):
                x, y = layout.to_page(layout.tiles[index]).at(mark)
                picture = seen[index]
                assert picture.centre(x, y) == pytest.approx((x, y), abs=0.01)
                dark, gx, gy = picture.window(x, y, 1.5)
                kept = keeps * ((gx, gy)[axis] - (x, y)[axis]) > 0.0
                pixel = picture.width / picture.shape[1] * picture.height / picture.shape[0]
                area += float(dark[kept & (np.hypot(gx - x, gy - y) < 1.5)].sum()) * pixel
            assert area == pytest.approx(math.pi, rel=0.03)


@pytest.mark.slow
def test_strokes_meet_at_the_joint_where_the_ellipse_has_them(made: tuple[Path, Plan]) -> None:
    """0.4 mm on either side of an upright joint both pages show the outline where its formula puts it."""
    path, plan = made
    layout, seen = plan.layout, pictures(path, plan, 600.0)
    back = layout.to_grid.inverse()
    checked = 0
    for seam in layout.seams:
        if seam.side != "right" or layout.turned:
            continue
        line = seam.line[0][0]
        for index, aside in ((seam.over, -0.4), (seam.under, 0.4)):
            x, _ = back.at((line + aside, 0.0))
            for y in (TALL * math.sqrt(1.0 - (x / WIDE) ** 2), -TALL * math.sqrt(1.0 - (x / WIDE) ** 2)):
                if abs(x * TALL**2 / (y * WIDE**2)) > 1.5:
                    continue  # too steep to be measured along the joint
                place = layout.to_grid.at((x, y))
                box = layout.visible(layout.tiles[index])
                if not box[1] + 8.0 < place[1] < box[3] - 8.0:
                    continue
                px, py = layout.to_page(layout.tiles[index]).at(place)
                picture = seen[index]
                column = int(px / picture.width * picture.shape[1])
                ups = np.arange(-1.2, 1.2, 0.01)
                rows = ((1.0 - (py + ups) / picture.height) * picture.shape[0]).astype(int)
                dark = picture.dark(rows, column)
                assert float((ups * dark).sum() / dark.sum()) == pytest.approx(0.0, abs=0.04)
                checked += 1
    assert checked >= 8


def test_a_butt_file_is_proved_and_a_moved_mark_is_found(made: tuple[Path, Plan], tmp_path: Path) -> None:
    proof = prove(made[0])
    assert proof.findings == []
    assert proof.seams == 2 * len(made[1].layout.seams)

    def change(data: bytes) -> bytes:
        at = data.index(b"cm /Mark Do Q")
        start = data.rindex(b"q 1 0 0 1 ", 0, at)
        x, y = data[start:at].split()[5:7]
        return data[:start] + b"q 1 0 0 1 %.4f %s " % (float(x) + 0.1, y) + data[at:]

    findings = spoiled(made[0], tmp_path, f"ring {made[1].layout.tiles[0].name}", change).findings
    assert any("match mark" in finding and "0.100 mm off" in finding for finding in findings)


@pytest.mark.slow
@pytest.mark.parametrize("butt", [True, False])
def test_names_are_large_clear_of_everything_and_only_outlined(tmp_path: Path, butt: bool) -> None:
    page = Page(paper=parse_paper("A4"), butt=butt)
    path = tmp_path / "job.pdf"
    write_pdf(small_job(page=page), path)
    plan, alone = plan_pieces([ring(), plate()], page)
    assert alone.names == ()  # a pattern of one page needs none
    assert {name.tile for name in plan.names} == set(range(len(plan.layout.tiles)))
    sheets = {sheet.label: (number, sheet) for number, sheet in enumerate(read(path))}
    for name in plan.names:
        tile = plan.layout.tiles[name.tile]
        assert name.height in HEIGHTS or name.height == LEAST
        assert name.height >= 8.0
        box = plan.layout.visible(tile)
        assert box[0] <= name.box[0]
        assert box[1] <= name.box[1]
        assert name.box[2] <= box[2]
        assert name.box[3] <= box[3]
        number, sheet = sheets[plan.page_name(tile)]
        assert any(
            said.text == tile.name and abs(said.size * 1493 / 2048 - name.height) < 0.01
            for said in sheet.said
        )
        picture = render(path, number, dpi=150.0)
        x, y = plan.layout.to_page(tile).at(name.at)
        x1 = x + name.box[2] - name.box[0]
        rows = slice(
            *(int((1.0 - up / picture.height) * picture.shape[0]) for up in (y + name.height + 1, y - 1))
        )
        columns = slice(*(int(at / picture.width * picture.shape[1]) for at in (x - 1, x1 + 1)))
        letters = picture.dark(rows, columns) > 0.3
        high = np.flatnonzero(letters.any(axis=1))
        # as high as capitals and figures are said to be (figures reach a little over), and mostly white within
        assert (high[-1] - high[0] + 1) * picture.height / picture.shape[0] == pytest.approx(
            name.height, rel=0.06
        )
        assert letters.mean() < 0.25
