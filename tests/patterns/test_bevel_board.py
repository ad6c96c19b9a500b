"""The bevel board read back: every bevel of the boat is a line of that very angle, under told from standing."""

from __future__ import annotations

import itertools
import json
import re
from pathlib import Path

import numpy as np
import pytest

from tests.tiling.readback import Line, Said, Sheet, read
from tiling.text.typeface import text_width

ANGLE, BASE = 0.25, 0.5  # mm, breadths of the lines; said here once more


@pytest.fixture(scope="module")
def board(made_demo: Path) -> list[Sheet]:
    return read(made_demo / "bevel-board.pdf")


def lines_of(sheet: Sheet, width: float) -> list[Line]:
    return [line for line in sheet.lines if abs(line.width - width) < 1e-6 and line.stroked and not line.form]


def middle(figure: Said) -> np.ndarray:
    """The middle of a figure's words, 2.5 mm high."""
    return np.add(figure.at, [0.5 * text_width(figure.text, 2.5), 1.25])


def measured(sheet: Sheet) -> list[tuple[float, Said, float]]:
    """Each line's angle in degrees from the base line's right, the figure at its tip, its foot's height."""
    found = []
    figures = [said for said in sheet.said if re.fullmatch(r"[\d.]+° (under|standing)", said.text)]
    for line in lines_of(sheet, ANGLE):
        foot, tip = line.points
        along = tip - foot
        angle = float(np.degrees(np.arctan2(along[1], along[0])))
        beyond = tip + 5.0 * along / np.hypot(*along)
        nearest = min(figures, key=lambda said: np.hypot(*(middle(said) - beyond)))
        found.append((angle, nearest, float(foot[1])))
    return found


@pytest.mark.slow
def test_every_line_has_the_angle_that_its_figure_says(board: list[Sheet]) -> None:
    seen = 0
    for sheet in board:
        bases = [line.points[0, 1] for line in lines_of(sheet, BASE)]
        for angle, figure, foot in measured(sheet):
            degrees, sense = figure.text.split("° ")
            assert float(degrees) == pytest.approx(angle, abs=0.01)
            assert sense == ("under" if angle < 90.0 else "standing")
            assert min(abs(foot - base) for base in bases) < 0.002
            seen += 1
    assert seen > 20


@pytest.mark.slow
def test_every_bevel_of_the_boat_has_its_line_within_the_rounding(
    made_demo: Path, board: list[Sheet]
) -> None:
    """Lines stand at half degrees; each reading has one less than that from it, on the side that leaves wood."""
    angles = np.array([angle for sheet in board for angle, _, _ in measured(sheet)] + [90.0])
    shapes = json.loads((made_demo / "shapes.json").read_text(encoding="utf-8"))["patterns"]
    bevels = [(b["bevel_deg"], b["edge"] == "land") for shape in shapes for b in shape["bevels"]]
    assert len(bevels) > 50
    for bevel, land in bevels:
        near = angles[np.abs(angles - bevel) < 0.505]
        off, on = abs(bevel - 90.0), np.abs(near - 90.0)
        assert (on >= off - 0.01).any() if land else (on <= off + 0.01).any(), bevel
    for angle in angles[:-1]:
        assert min(abs(angle - bevel) for bevel, _ in bevels) < 0.51


@pytest.mark.slow
def test_under_and_standing_stand_apart_and_no_two_lines_cross(board: list[Sheet]) -> None:
    for sheet in board:
        heads = {
            word: said.at[1]
            for said in sheet.said
            for word in ("Under", "Standing", "Lands")
            if said.text.startswith(f"{word}:")
        }
        rows: dict[float, list[Line]] = {}
        for line in lines_of(sheet, ANGLE):
            rows.setdefault(round(float(line.points[0, 1]), 2), []).append(line)
        for foot, lines in rows.items():
            above = {word: y for word, y in heads.items() if y > foot}
            leans = [
                float(np.ptp(line.points[:, 0]) * np.sign(line.points[1, 0] - line.points[0, 0]))
                for line in lines
            ]
            assert all(lean > 0.0 for lean in leans) or all(lean < 0.0 for lean in leans)
            if above:
                word = min(above, key=lambda w: above[w])
                assert (word == "Under") == (leans[0] > 0.0)
            ends = sorted((line.points[0, 0], line.points[1, 0]) for line in lines)
            assert all(b[1] - a[1] > 5.0 for a, b in itertools.pairwise(ends))


@pytest.mark.slow
def test_the_board_names_every_place_and_carries_rulers(made_demo: Path, board: list[Sheet]) -> None:
    shapes = json.loads((made_demo / "shapes.json").read_text(encoding="utf-8"))["patterns"]
    text = " ".join(sheet.text for sheet in board)
    for shape in shapes:
        if shape["bevels"]:
            assert f"{shape['name']}:" in text
    for sheet in board:
        # The two rulers' discs: 150 mm apart across, and up.
        centres = np.array([spot.centre for spot in sheet.spots])
        assert len(centres) == 4
        gaps = [np.hypot(*(a - b)) for i, a in enumerate(centres) for b in centres[i + 1 :]]
        assert sum(abs(gap - 150.0) < 0.002 for gap in gaps) == 2
