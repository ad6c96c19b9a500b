"""The shop's papers on the boat of planes and on the demo: set-up by closed form, cut list, the book read back."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import minimize

from patterns.boat import Boat, load_boat
from patterns.members import all_patterns
from patterns.pattern import Kind, Pattern
from patterns.shop.curvature import spline_curvature
from patterns.shop.loft_book import write_loft_book
from patterns.shop.set_up import set_up_level, set_up_table, stands
from patterns.shop.sheets import saw_area, sheet_table, sheets_of
from patterns.shop.stock import cut_table, cuts_of, lengths_of, one_length, stocks_of
from patterns.shop.views import spread
from patterns.wood.piece import Hand, Role
from tests.demo import demo_boat, round_demo, round_demo_patterns
from tests.patterns import plane_boat
from tests.patterns.analytic_boats import ROUNDINGS
from tests.patterns.round_boats import round_boat, write_round_table
from tests.tiling.readback import Sheet, read
from tiling.paper import PAPERS, Page
from tiling.text.typeface import size_for, text_width

SET_UP = 1200.0
RACK = f"""
[set_up]
line = "{SET_UP:g} mm"
[[stock]]
name = "18 mm plywood"
kind = "sheet"
thickness = "18 mm"
length = "2440 mm"
breadth = "1220 mm"
[[stock]]
name = "fir"
kind = "board"
thickness = "20 mm"
length = "2000 mm"
breadth = "200 mm"
scarf_ratio = "8:1"
"""


@pytest.fixture(scope="module")
def planes(tmp_path_factory: pytest.TempPathFactory) -> Boat:
    folder = plane_boat.write_plane_boat(tmp_path_factory.mktemp("planes") / "boat")
    text = (folder / "design.toml").read_text(encoding="utf-8")
    text = text.replace('kind = "clamp"', 'kind = "clamp"\nstock = "fir"')
    (folder / "design.toml").write_text(text + RACK, encoding="utf-8")
    return load_boat(folder)


@pytest.fixture(scope="module")
def pieces(planes: Boat) -> tuple[Pattern, ...]:
    return all_patterns(planes)


@pytest.fixture(scope="module")
def book(made_demo: Path) -> list[Sheet]:
    return read(made_demo / "loft-book.pdf")


def column_of(book: list[Sheet], chapter: str, head: str) -> list[float]:
    """The figures of one column, set flush with its heading, over all pages of a chapter, from the top down."""
    found = []
    for sheet in book:
        if not sheet.said[0].text.startswith(chapter):
            continue
        ends = [(word.at[0] + text_width(word.text, word.size / size_for(1.0)), word) for word in sheet.said]
        edge = next(end for end, word in ends if word.text == head)
        column = [word for end, word in ends if abs(end - edge) < 0.05 and word.text != head]
        found += [float(w.text.rstrip("°")) for w in column if w.text.rstrip("°").replace(".", "").isdigit()]
    return found


def _rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def _csv(path: Path) -> list[dict[str, str]]:
    return _rows(path.read_text(encoding="utf-8"))


def inside_chine(x: float) -> np.ndarray:
    """Where bottom and side, each moved in by its planking, meet in the plane at ``x``: (y, z), two equations."""
    a = np.array([plane_boat.BOTTOM_NORMAL[1:], plane_boat.SIDE_NORMAL[1:]])
    origins = np.array([[0.0, 20.0, 40.0], [250.0, 20.0, 300.0]])
    normals = np.array([plane_boat.BOTTOM_NORMAL, plane_boat.SIDE_NORMAL])
    b = (normals * origins).sum(axis=1) - normals[:, 0] * x
    return np.linalg.solve(a, b - [plane_boat.BOTTOM_T, plane_boat.SIDE_T])


@pytest.mark.slow
def test_heights_half_breadths_and_diagonals_are_those_of_the_planes(
    planes: Boat, pieces: tuple[Pattern, ...]
) -> None:
    """Frame A stands upright at station 2: its corners solve two equations, its diagonals are Pythagoras's."""
    x = 1200.0
    stand = next(s for s in stands(planes, pieces) if s.name == "frame A")
    assert stand.aft == pytest.approx(x)
    assert stand.wood == "forward"
    chine = inside_chine(x)
    # The deck has no crown: its underside is level across at the sheer's height, where it meets the side's inside.
    top = plane_boat.sheer(x)[1]
    n = plane_boat.SIDE_NORMAL
    half = 20.0 - (n[0] * (x - 250.0) + n[2] * (top - 300.0) + plane_boat.SIDE_T) / n[1]
    m = plane_boat.BOTTOM_NORMAL
    apex = 40.0 - (plane_boat.BOTTOM_T + m[0] * x + m[1] * (0.0 - 20.0)) / m[2]
    wanted = {
        "keel": (0.0, apex, np.hypot(half, top - apex)),
        "chine": (chine[0], chine[1], np.hypot(half + chine[0], top - chine[1])),
        "sheer": (half, top, 2.0 * half),
    }
    assert [corner.name for corner in stand.corners] == ["centreline", "chine", "sheer"]
    for corner, (y, z, across) in zip(stand.corners, wanted.values(), strict=True):
        assert (corner.y, corner.z, corner.across) == pytest.approx((y, z, across), abs=0.01)
    rows = [r for r in _rows(set_up_table(planes, stands(planes, pieces))) if r["piece"] == "frame A"]
    for row, (_, z, _) in zip(rows, wanted.values(), strict=True):
        assert float(row["from_set_up_line_mm"]) == pytest.approx(SET_UP - z, abs=0.06)


@pytest.mark.slow
def test_a_raked_frame_is_given_at_height_0_and_at_the_set_up_line(
    planes: Boat, pieces: tuple[Pattern, ...]
) -> None:
    stand = next(s for s in stands(planes, pieces) if s.name == "frame B")
    assert stand.aft == pytest.approx(2500.0)
    assert stand.at_line == pytest.approx(2500.0 + SET_UP * np.tan(np.radians(5.0)))
    assert stand.wood == "aft"
    for corner in stand.corners:
        assert corner.x == pytest.approx(2500.0 + corner.z * np.tan(np.radians(5.0)), abs=1e-6)
        # Every corner of the inside of planking lies one planking's thickness inside of a plane.
        at = np.array([corner.x, corner.y, corner.z])
        gaps = plane_boat.bottom_over(at) + plane_boat.BOTTOM_T, plane_boat.side_over(at) + plane_boat.SIDE_T
        assert min(abs(gap) for gap in gaps) < 0.01


@pytest.mark.slow
def test_the_set_up_table_says_what_the_shapes_say(made_demo: Path) -> None:
    """Heights, half-breadths and diagonals follow from the hull edges in shapes.json."""
    shapes = {
        p["name"]: p for p in json.loads((made_demo / "shapes.json").read_text(encoding="utf-8"))["patterns"]
    }
    rows = _csv(made_demo / "set-up.csv")
    names = dict.fromkeys(row["piece"] for row in rows)
    frames = [spec.name for spec in demo_boat().design.frames]
    assert {name.removeprefix("frame ").split(" ")[0] for name in names} >= set(frames)
    checked = 0
    for name in names:
        own = [row for row in rows if row["piece"] == name]
        if float(own[0]["cant_deg"]):
            continue
        rake = np.radians(float(own[0]["rake_deg"]))
        whole = next(
            (s for key, s in shapes.items() if s["half"] and key in (name, f"{name} assembly")), None
        )
        if whole is None:  # in pieces: none of them has all corners
            continue
        sheer = next(mark["at"] for mark in whole["marks"] if mark["name"].startswith("sheer,"))
        assert [row["place"] for row in own][:: len(own) - 1] == ["centreline", "sheer"]
        crosses = {mark["name"].split(",")[0]: mark["at"] for mark in whole["marks"]}
        assert {row["place"] for row in own[1:]} <= set(crosses)
        assert float(own[0]["moulded_face_aft_mm"]) == pytest.approx(whole["plane"]["x_mm"], abs=0.06)
        for row in own[1:]:
            u, v = crosses[row["place"]]
            assert float(row["half_breadth_mm"]) == pytest.approx(u, abs=0.06)
            assert float(row["height_mm"]) == pytest.approx(v * np.cos(rake), abs=0.06)
            across = np.hypot(u + sheer[0], v - sheer[1])
            assert float(row["to_sheer_of_other_side_mm"]) == pytest.approx(across, abs=0.06)
        checked += 1
    assert checked >= 2


@pytest.mark.slow
def test_the_cut_list_names_every_piece_and_timber_exactly(planes: Boat, pieces: tuple[Pattern, ...]) -> None:
    cuts = cuts_of(planes, pieces)
    rows = _rows(cut_table(stocks_of(planes, cuts)))
    names = [row["piece"] for row in rows]
    timbers = [run.name for run in planes.runs]
    assert sorted(names) == sorted([*(pattern.name for pattern in pieces if not pattern.template), *timbers])
    by_name = {row["piece"]: row for row in rows}
    for pattern in pieces:
        if pattern.template:
            continue
        points = np.vstack([line.points for line in pattern.of_kind(Kind.SAW)])
        size = np.ptp(points, axis=0)
        if pattern.half:
            size[0] = 2.0 * points[:, 0].max()
        row = by_name[pattern.name]
        assert float(row["length_mm"]) == pytest.approx(size.max(), abs=0.51)
        assert float(row["breadth_mm"]) == pytest.approx(size.min(), abs=0.51)
        assert int(row["to_saw"]) == pattern.laminations * row["quantity"].count(
            "1"
        )  # "1 port + 1 starboard"
        assert row["stock"] == pattern.stock
    assert by_name["clamp"]["to_saw"] == "2"


@pytest.mark.parametrize(
    ("hand", "role", "made", "over"),
    [
        (Hand.CENTRE, Role.PIECE, 3, 0),
        (Hand.ACROSS, Role.PIECE, 3, 0),
        (Hand.PORT, Role.PIECE, 3, 0),  # drawn as it is seen
        (Hand.PAIR, Role.PIECE, 6, 3),
        (Hand.PAIR, Role.ASSEMBLED, 6, 3),
        (Hand.PAIR, Role.TRIAL, 3, 0),  # of card: one is tried on both sides
    ],
)
def test_a_count_by_hand_is_for_each_side(
    pieces: tuple[Pattern, ...], hand: Hand, role: Role, made: int, over: int
) -> None:
    pattern = replace(pieces[0], hand=hand, role=role, count=3)
    assert (pattern.made, pattern.turned_over) == (made, over)


@pytest.mark.slow
def test_a_timber_longer_than_a_board_is_scarfed_and_its_lengths_cover_it(
    planes: Boat, pieces: tuple[Pattern, ...]
) -> None:
    stocks = {stock.name: stock for stock in stocks_of(planes, cuts_of(planes, pieces))}
    fir = stocks["fir"]
    assert fir.spec is not None
    clamp = next(cut for cut in fir.cuts if cut.piece == "clamp")
    assert clamp.length > fir.spec.length
    count, each, scarf = lengths_of(clamp, fir.spec), one_length(clamp, fir.spec), 8.0 * clamp.thickness
    assert each <= fir.spec.length - fir.spec.gap
    assert count * each - (count - 1) * scarf == pytest.approx(clamp.length)
    assert (clamp.length - scarf) / (
        count - 1
    ) > fir.spec.length - scarf - fir.spec.gap  # one fewer would not do
    row = next(r for r in _rows(cut_table([fir])) if r["piece"] == "clamp")
    assert f"{count} lengths of {each:.0f} mm, scarfs of {scarf:.0f} mm (8:1)" in row["note"]
    sheets = next(s for s in sheets_of([fir]))
    laid = [one for one in sheets.nesting.laid if sheets.pieces[one.shape].cut.piece == "clamp"]
    assert len(laid) == 2 * count


@pytest.mark.slow
def test_what_is_thicker_than_its_stock_is_named_and_not_laid(
    planes: Boat, pieces: tuple[Pattern, ...]
) -> None:
    """The boat's knee is glued of two laminations of 18 mm; as one piece of 36 mm no sheet of 18 mm would do."""
    knee = next(pattern for pattern in pieces if pattern.name == "transom knee")
    for laminations, laid in ((2, 2), (1, 0)):
        cuts = cuts_of(planes, [replace(knee, laminations=laminations)])
        (sheets,) = (
            each for each in sheets_of(stocks_of(planes, cuts)) if each.stock.name == "18 mm plywood"
        )
        assert len(sheets.nesting.laid) == laid
        assert [cut.piece for cut in sheets.thick] == [knee.name] * (1 - laid // 2)
        rows = [row for row in _rows(sheet_table([sheets])) if row["sheet"] == "0"]
        assert len(rows) == 1 - laid // 2


@pytest.mark.slow
def test_every_piece_of_a_stock_is_laid_once_or_named_as_too_large(made_demo: Path) -> None:
    wanted = {(row["stock"], row["piece"]): int(row["to_saw"]) for row in _csv(made_demo / "cut-list.csv")}
    laid: dict[tuple[str, str], int] = {}
    for row in _csv(made_demo / "sheets.csv"):
        key = row["stock"], row["piece"]
        laid[key] = laid.get(key, 0) + 1
    sized = {stock for stock, _ in laid}
    assert sized
    for key, count in wanted.items():
        if key[0] in sized:
            assert laid[key] >= count


@pytest.mark.slow
def test_the_wood_of_a_pattern_is_its_saw_lines_area(pieces: tuple[Pattern, ...]) -> None:
    """A frame's area is known in the boat too: both its faces lie within what is sawn, and hardly anything else."""
    for pattern in pieces:
        area = saw_area(pattern)
        assert area.is_valid
        assert area.bounds[2] - area.bounds[0] == pytest.approx(pattern.size()[0], abs=1e-3)
        if pattern.body is not None and pattern.member in ("frame", "transom"):
            both = pattern.body.moulded.union(pattern.body.other)
            assert area.area == pytest.approx(both.area, rel=2e-3), pattern.name


@pytest.mark.slow
def test_every_table_of_the_book_is_whole_and_all_words_fit(made_demo: Path, book: list[Sheet]) -> None:
    said = [word.text for sheet in book for word in sheet.said]
    shapes = json.loads((made_demo / "shapes.json").read_text(encoding="utf-8"))["patterns"]
    for chapter in ("Lines", "Curvature", "Table of offsets", "Set-up", "Bevels", "Cut list"):
        assert chapter in said
    wanted = [bevel["bevel_deg"] for p in shapes for bevel in p["bevels"]]
    assert column_of(book, "Bevels", "through the wood") == pytest.approx(wanted, abs=0.0501)
    for pattern in shapes:
        assert any(text == pattern["name"] for text in said), pattern["name"]
    for row in _csv(made_demo / "set-up.csv"):
        for key in ("from_set_up_line_mm", "half_breadth_mm", "to_sheer_of_other_side_mm"):
            assert row[key] in said
    for row in _csv(made_demo / "moves.csv"):
        if row["view"] in ("height", "half-breadth"):
            assert row["offset"] in said
            assert row["faired"] in said
    for sheet in book:
        for word in sheet.said:
            wide = text_width(word.text, word.size / size_for(1.0))
            assert word.at[0] >= 12.0
            assert word.at[0] + wide <= sheet.width - 10.0, word.text
            assert word.size / size_for(1.0) >= 2.5 - 1e-6


@pytest.mark.slow
def test_the_index_names_the_pages_of_each_pattern(demo_sheets: list[Sheet], book: list[Sheet]) -> None:
    _indexed(demo_sheets, book)


@pytest.mark.slow
def test_the_index_names_the_pages_that_small_pieces_share(made_small: Path) -> None:
    _indexed(read(made_small / "patterns.pdf"), read(made_small / "loft-book.pdf"))


def _indexed(pages: list[Sheet], book: list[Sheet]) -> set[str]:
    """The patterns whose pages, as the book's index has them, are shared; every page's name is looked at."""
    index = next(sheet for sheet in book if sheet.said[0].text.startswith("Order of work"))
    rows: dict[float, list[str]] = {}
    for word in index.said:
        rows.setdefault(round(word.at[1], 2), []).append(word.text)
    seen, shared = 0, set()
    for cells in rows.values():
        if len(cells) > 4 and cells[2][0].isdigit():
            first, last = (int(number) for number in (cells[2].split(" to ") * 2)[:2])
            for number in (first, last):
                label = pages[number - 1].label
                assert cells[1] in label, (cells[1], label)
                assert ("; " in label) == ("shared" in cells)
                if "; " in label:
                    shared.add(cells[1])
            seen += 1
    assert seen >= 5
    return shared


@pytest.mark.slow
def test_without_a_set_up_line_heights_are_above_base(tmp_path: Path) -> None:
    boat = load_boat(plane_boat.write_plane_boat(tmp_path / "boat"))
    assert set_up_level(boat) is None
    rows = _rows(set_up_table(boat, stands(boat, all_patterns(boat))))
    assert rows
    assert all(row["from_set_up_line_mm"] == "" for row in rows)


@pytest.mark.slow
def test_a_round_boats_book_has_its_levels(tmp_path: Path) -> None:
    """Waterlines, buttocks and diagonals: each has its row, its plot, and its name in the body plan."""
    folder = tmp_path / "round"
    write_round_table(round_boat(2), folder, ROUNDINGS[1], np.random.default_rng(0))
    boat = load_boat(folder)
    path = tmp_path / "book.pdf"
    with path.open("wb") as stream:
        write_loft_book(stream, boat, (), page=Page(paper=PAPERS["letter"]), mark="ABCDE")
    sheets = read(path)
    said = [word.text for sheet in sheets for word in sheet.said]
    for name, view in (("WL 2", "plan"), ("B 2", "profile"), ("D 1", "along it")):
        assert name in said
        assert any(text.startswith(f"{name}, {view}: least radius") for text in said)
    assert "Diagonals" in said
    assert not any(text.startswith("Cut list") for text in said)


def test_curvature_of_a_known_curve() -> None:
    """A parabola y = x^2 / (2 R) bends by (1 + (x / R)^2)^(-3/2) / R; a spline through its points finds that."""
    radius = 3000.0
    x = np.linspace(0.0, 4000.0, 15)
    at, bend = spline_curvature(list(x), list(x**2 / (2.0 * radius)))
    assert bend == pytest.approx((1.0 + (at / radius) ** 2) ** -1.5 / radius, rel=2e-3)


def test_names_are_spread_no_more_than_needed() -> None:
    """Against brute force: no two nearer than the pitch, those with room enough not moved."""
    assert spread([0.0, 100.0, 50.0], 10.0) == [0.0, 100.0, 50.0]
    assert spread([0.0, 0.0, 0.0], 10.0) == pytest.approx([-10.0, 0.0, 10.0])
    places = list(np.random.default_rng(3).uniform(0.0, 100.0, 12))
    found = spread(places, 6.0)
    order = np.argsort(places, kind="stable")
    gaps = np.diff(np.array(found)[order])
    assert gaps.min() >= 6.0 - 1e-9
    best = minimize(
        lambda y: ((y - np.array(places)[order]) ** 2).sum(),
        np.array(places)[order],
        constraints=[{"type": "ineq", "fun": lambda y: np.diff(y) - 6.0}],
    )
    assert np.array(found)[order] == pytest.approx(best.x, abs=1e-3)


@pytest.mark.slow
def test_every_mould_stands_in_the_set_up_table() -> None:
    """Ten moulds, each at its station, its sheer where the table's sheer is within the planking and the fairing."""
    boat, patterns = round_demo(), round_demo_patterns()
    moulds = [pattern for pattern in patterns if pattern.member == "mould"]
    assert len(moulds) > 5
    found = {stand.name: stand for stand in stands(boat, patterns)}
    sheer = boat.offsets.lines[boat.design.lines[-1].name]
    for mould in moulds:
        stand = found[mould.name]
        place = int(np.abs(sheer.x - stand.aft).argmin())
        assert stand.aft == pytest.approx(sheer.x[place], abs=1e-6)
        corner = stand.corners[-1]
        assert corner.z == pytest.approx(sheer.z[place], abs=25.0)
        assert 0.0 < sheer.y[place] - corner.y < 25.0
        assert corner.across == pytest.approx(2.0 * corner.y, abs=1e-6)
