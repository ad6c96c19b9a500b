"""The finished file of the demo boat, read back page by page and held against the shapes as data."""

from __future__ import annotations

import csv
import json
import re
from collections import Counter
from html import unescape
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from tests.looks import hold_to_the_series
from tests.tiling.readback import Sheet, read

Array = NDArray[np.float64]

# The page's design, said here once more so that the test does not lean on the code: A4, margin 10, strips of 9 mm,
# windows that overlap by 12 mm.
WINDOW = np.array([10.0 + 9.0, 10.0 + 9.0])
STEP = np.array([210.0 - 20.0 - 9.0 - 12.0, 297.0 - 20.0 - 9.0 - 12.0])
SAW = 0.7  # mm, the breadth of the saw line
BY_MOULD = {
    "beam 3",
    "beam 4",
    "beam 5",
    "beam 8",
}  # ends and notches alone are printed, beside the crown mould


@pytest.fixture(scope="module")
def sheets(demo_sheets: list[Sheet]) -> list[Sheet]:
    return demo_sheets


@pytest.fixture(scope="module")
def shapes(made_demo: Path) -> list[dict[str, Any]]:
    text = (made_demo / "shapes.json").read_text(encoding="utf-8")
    data: list[dict[str, Any]] = json.loads(text)["patterns"]
    return data


@pytest.fixture(scope="module")
def by_ordinates(made_demo: Path) -> set[str]:
    with (made_demo / "ordinates.csv").open(encoding="utf-8", newline="") as stream:
        return {row["pattern"] for row in csv.DictReader(stream)}


def belongs(label: str, name: str, by_ordinates: set[str]) -> bool:
    """Whether a page is a pattern's, or shows at full size what of it is not laid off by ordinates."""
    place = place_of(label)
    return place is not None and (
        place[0] == name or (name in by_ordinates and place[0].startswith(f"{name}, "))
    )


def place_of(label: str) -> tuple[str, Array] | None:
    """The pattern's name and where its page's lower left lies on the floor, from the page's printed name."""
    found = re.fullmatch(r"(.+) ([A-Z])(\d+)", label)
    if found is None:
        return None
    row, column = ord(found[2]) - ord("A"), int(found[3]) - 1
    return found[1], np.array([column, -row]) * STEP - WINDOW


def _in_key(points: Array) -> bool:
    """The key shows a sample of the saw line: 22 mm, level."""
    return len(points) == 2 and np.allclose(np.abs(points[1] - points[0]), [22.0, 0.0], atol=1e-3)


def saw_lines(sheets: list[Sheet], name: str) -> list[Array]:
    """All strokes of the saw line's breadth on the pages of one pattern, as they lie when taped."""
    found = []
    for sheet in sheets:
        place = place_of(sheet.label)
        if place is not None and place[0] == name:
            found += [
                np.vstack([line.points, line.points[:1]] if line.closed else [line.points]) + place[1]
                for line in sheet.lines
                if line.stroked
                and not line.form
                and abs(line.width - SAW) < 1e-6
                and not _in_key(line.points)
            ]
    return found


@pytest.mark.slow
def test_taped_pages_give_back_every_outline(
    sheets: list[Sheet], shapes: list[dict[str, Any]], by_ordinates: set[str]
) -> None:
    """Every vertex on paper is a vertex of the shape (0.002 mm) and the whole path is within 0.01 mm of it."""
    for shape in shapes:
        if shape["name"] in by_ordinates | BY_MOULD:
            continue
        outlines = [np.array(o["points"] + o["points"][:1] * o["closed"]) for o in shape["outlines"]]
        paper = saw_lines(sheets, shape["name"])
        assert paper, shape["name"]
        low = np.vstack(paper).min(axis=0)
        size, model = np.ptp(np.vstack(paper), axis=0), np.vstack(outlines)
        if np.abs(np.ptp(model, axis=0) - size).max() > 0.01:  # it lies on its side: turned anticlockwise
            outlines = [points[:, ::-1] * [-1.0, 1.0] for points in outlines]
            model = np.vstack(outlines)
        shift = low - model.min(axis=0)
        outlines = [points + shift for points in outlines]
        corners = shapely.MultiPoint(np.vstack(outlines))
        for run in paper:
            for vertex in run:
                assert corners.distance(shapely.Point(vertex)) <= 0.002 * np.sqrt(2), shape["name"]
        curve = shapely.MultiLineString(outlines)
        drawn = shapely.MultiLineString(paper)
        assert shapely.hausdorff_distance(curve, drawn, densify=0.2) <= 0.01


def _lies_on(run: Array, corners: Array) -> bool:
    """Whether a run's vertices between its ends lie, turned and shifted as one, on a shape's vertices (0.02 mm)."""
    own = run[1:-1]
    apart = np.hypot(*(own[-1] - own[0]))
    far = np.hypot(*(corners[:, None] - corners[None]).T)
    way = np.arctan2(*(own[-1] - own[0])[::-1])
    for i, j in np.argwhere(np.abs(far.T - apart) < 0.01):
        turn = np.arctan2(*(corners[j] - corners[i])[::-1]) - way
        c, s = np.cos(turn), np.sin(turn)
        laid = (own - own[0]) @ np.array([[c, s], [-s, c]]) + corners[i]
        if all(np.hypot(*(corners - at).T).min() < 0.02 for at in laid):
            return True
    return False


@pytest.mark.slow
def test_what_is_printed_of_a_piece_by_ordinates_is_a_part_of_its_outline(
    sheets: list[Sheet], shapes: list[dict[str, Any]], by_ordinates: set[str]
) -> None:
    assert by_ordinates == {"side strake", "king plank"}
    seen = 0
    for shape in shapes:
        if shape["name"] not in by_ordinates:
            continue
        corners = np.vstack([outline["points"] for outline in shape["outlines"]])
        parts = {
            label
            for sheet in sheets
            if (label := (place_of(sheet.label) or ("",))[0]).startswith(f"{shape['name']}, ")
        }
        assert parts >= {f"{shape['name']}, fore end", f"{shape['name']}, after end"}
        for part in parts:
            runs = [run for run in saw_lines(sheets, part) if len(run) > 4]
            assert all(_lies_on(run, corners) for run in runs), part
            seen += len(runs)
    assert seen >= 8


@pytest.mark.slow
def test_what_is_printed_of_a_beam_by_the_mould_is_a_part_of_its_outline(
    sheets: list[Sheet], shapes: list[dict[str, Any]]
) -> None:
    seen = 0
    for shape in shapes:
        if shape["name"] in BY_MOULD:
            corners = np.vstack([outline["points"] for outline in shape["outlines"]])
            runs = [run for run in saw_lines(sheets, shape["name"]) if len(run) > 4]
            assert all(_lies_on(run, corners) for run in runs), shape["name"]
            seen += len(runs)
    assert seen >= 2 * len(BY_MOULD)


@pytest.mark.slow
def test_a_spoiled_page_would_be_found(sheets: list[Sheet], shapes: list[dict[str, Any]]) -> None:
    """A scale of 0.999 moves the far corner of the smallest pattern by far more than the limit above."""
    knee = next(shape for shape in shapes if shape["name"] == "transom knee")
    size = np.ptp(np.array(knee["outlines"][0]["points"]), axis=0)
    paper = np.ptp(np.vstack(saw_lines(sheets, "transom knee")), axis=0)
    assert np.abs(np.sort(0.999 * paper) - np.sort(size)).max() > 0.2


@pytest.mark.slow
def test_every_bevel_is_on_the_pages_in_words(
    sheets: list[Sheet], shapes: list[dict[str, Any]], by_ordinates: set[str]
) -> None:
    for shape in shapes:
        said = [
            said.text
            for sheet in sheets
            if belongs(sheet.label, shape["name"], by_ordinates)
            for said in sheet.said
        ]
        together = f" {' '.join(said)} "  # where there is little room words go on in a second line
        wanted: Counter[str] = Counter()
        for bevel in shape["bevels"]:
            rounded = np.ceil if bevel["edge"] == "land" else np.floor
            departure = rounded(abs(bevel["bevel_deg"] - 90.0) / 0.5 + 1e-6) * 0.5
            under = bevel["bevel_deg"] < 90.0
            words = f"{90.0 - departure:g}° under" if under else f"{90.0 + departure:g}° standing"
            words = words if departure else "square"
            wanted[words] += 1
        # A word in an overlap stands on two pages, so there may be more; there are never fewer.
        for words, count in wanted.items():
            found = re.findall(rf"(?<= ){re.escape(words)}(?= )", together)
            assert len(found) >= count, (shape["name"], words)
        assert f" {shape['name'].upper()} " in together  # a long name may stand in two lines


@pytest.mark.slow
def test_pages_carry_side_face_quantity_and_key(
    sheets: list[Sheet], shapes: list[dict[str, Any]], by_ordinates: set[str]
) -> None:
    for shape in shapes:
        words = " ".join(
            said.text
            for sheet in sheets
            if belongs(sheet.label, shape["name"], by_ordinates)
            for said in sheet.said
        )
        for wanted in (shape["right_is"], shape["up_is"], "Quantity: 1", "Half Past Seven"):
            assert wanted in words, (shape["name"], wanted)
        if shape["half"]:
            assert "flip about the centreline" in words
            assert "prick here to flip" in words
        if any(bevel["edge"] != "land" for bevel in shape["bevels"]):
            assert "angle through the wood" in words


@pytest.mark.slow
def test_signs_and_bevels_are_explained_once(sheets: list[Sheet]) -> None:
    words = " ".join(said.text for sheet in sheets for said in sheet.said)
    for once in ("landing line of another piece", "stock on this face", "register hole "):
        assert words.count(once) == 1, once


@pytest.mark.slow
def test_pages_of_a_pattern_hang_together_by_whole_edges(
    sheets: list[Sheet], shapes: list[dict[str, Any]]
) -> None:
    """Every pattern has pages, and the pages of one pattern hang together by whole edges."""
    for shape in shapes:
        cells = set()
        for sheet in sheets:
            place = place_of(sheet.label)
            if place is not None and place[0] == shape["name"]:
                cells.add(tuple(np.round((place[1] + WINDOW) / STEP).astype(int)))
        assert cells
        reached, edge = set(), {next(iter(cells))}
        while edge:
            reached |= edge
            edge = {
                (x + dx, y + dy) for x, y in edge for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1))
            } & cells - reached
        assert reached == cells


@pytest.mark.slow
def test_the_picture_names_every_page_as_the_file_does(made_demo: Path, sheets: list[Sheet]) -> None:
    """By number and name, as the finished file has them; and it stays small enough for a telephone."""
    text = unescape((made_demo / "picture.html").read_text(encoding="utf-8"))
    named = [(number, sheet.label) for number, sheet in enumerate(sheets, start=1) if place_of(sheet.label)]
    assert len(named) > 100
    for number, label in named:
        assert f"page {number} of {len(sheets)}: {label}<" in text
    assert len(text.encode()) < 2_000_000


@pytest.mark.slow
def test_the_patterns_keep_to_the_series_of_breadths_and_heights_in_black_alone(sheets: list[Sheet]) -> None:
    hold_to_the_series(sheets)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["loft-book.pdf", "bevel-board.pdf"])
def test_the_shops_papers_keep_to_them_too(made_demo: Path, name: str) -> None:
    hold_to_the_series(read(made_demo / name))


@pytest.mark.slow
def test_the_cut_list_buys_what_a_bevelled_timber_is_sawn_from(made_demo: Path) -> None:
    def rows(name: str) -> list[dict[str, str]]:
        return list(csv.DictReader((made_demo / name).read_text(encoding="utf-8-sig").splitlines()))

    bought = {row["piece"]: float(row["breadth_mm"]) for row in rows("cut-list.csv")}
    sawn = {
        row["timber"]: float(row["mm"])
        for row in rows("timbers.csv")
        if row["what"] == "breadth of the stick before bevelling"
    }
    for timber in ("chine log", "clamp", "bottom batten"):
        assert bought[timber] == pytest.approx(sawn[timber], abs=1.0)
    assert bought["chine log"] > 60.0  # its edge stands out where side and bottom come near to one plane
