"""Proportions and sizes that ordinary boats do not have are doubted; unusual but real boats are not.

The limits are common practice, no source.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from patterns.boat import load_boat
from patterns.codes import DOUBTS
from patterns.design.file import Design
from patterns.errors import DesignError, Problem
from patterns.fairing.column_words import CODES, SPACING
from patterns.table.checks import table_warnings
from patterns.table.folder import read_folder
from patterns.table.plausible import boat_length, greatest_breadth, proportion_doubts
from patterns.table.values import Offsets
from tests.bench.slip_sheets import TABLE, Sheet
from tests.demo import DEMO
from tests.patterns.odd_boats import ODD_BOATS, write_odd


@lru_cache(maxsize=1)
def _pram() -> tuple[Design, Offsets]:
    """A pram of 2 m, as typed."""
    with TemporaryDirectory() as folder:
        design, offsets, found = read_folder(write_odd(Path(folder) / "boat", ODD_BOATS["2 m pram"]))
    assert not found
    return design, offsets


def _stretched(offsets: Offsets, *, y: float = 1.0, z: float = 1.0, line: str | None = None) -> Offsets:
    """The table with the half-breadths and heights of one line or of all times a factor."""
    lines = {
        name: replace(row, y=row.y * y, z=row.z * z) if line in (None, name) else row
        for name, row in offsets.lines.items()
    }
    return replace(offsets, lines=lines)


def _doubted(offsets: Offsets, design: Design) -> set[str]:
    return {problem.code for problem in proportion_doubts(offsets, design)}


@pytest.mark.slow
@settings(max_examples=25)
@given(factor=st.floats(0.2, 3.0))
def test_a_boat_is_wide_or_narrow_by_her_length(factor: float) -> None:
    """Breadth over 0.9 of the power 2/3 of the length (in m), or, below 3 m, under 0.27 of the length."""
    design, typed = _pram()
    long, wide = boat_length(typed, design), greatest_breadth(typed, design) * factor
    found = _doubted(_stretched(typed, y=factor), design)
    assert ("wide-boat" in found) == (wide / 1000.0 > 0.9 * (long / 1000.0) ** (2 / 3))
    assert ("narrow-boat" in found) == (wide < 0.27 * long)


@settings(max_examples=25)
@given(factor=st.floats(0.02, 8.0))
def test_a_boat_is_shallow_or_deep_by_her_breadth(factor: float) -> None:
    design, typed = _pram()
    z = np.concatenate([line.z[np.isfinite(line.z)] for line in typed.lines.values()])
    deep = float(np.ptp(z)) * factor
    found = _doubted(_stretched(typed, z=factor), design)
    assert ("odd-depth" in found) == (not 0.1 <= deep / greatest_breadth(typed, design) <= 2.0)


def test_a_topmost_strake_leans_out_by_60_degrees_at_most() -> None:
    """The angle from plumb of the side amidships, with the sheer's half-breadths times a factor (closed form)."""
    design, typed = _pram()
    chine, sheer = typed.lines["chine 1"], typed.lines["sheer"]
    middle = slice(2, -2)
    crossed = 0
    for factor in np.linspace(1.0, 2.5, 31):
        out = np.median((sheer.y * factor - chine.y)[middle])
        lean = np.degrees(np.arctan2(out, np.median((sheer.z - chine.z)[middle])))
        if abs(lean - 60.0) > 1.5:  # the middle's stations are chosen a little otherwise
            crossed += lean > 60.0
            found = _doubted(_stretched(typed, y=float(factor), line="sheer"), design)
            assert ("leaning-side" in found) == (lean > 60.0)
    assert 0 < crossed < 30


def test_a_table_in_another_unit_is_doubted_by_length() -> None:
    design, typed = _pram()
    for factor in (10.0, 0.1):
        lines = {
            name: replace(row, x=row.x * factor, y=row.y * factor, z=row.z * factor)
            for name, row in typed.lines.items()
        }
        scaled = replace(typed, lines=lines, station_x=typed.station_x * factor)
        assert "boat-length" in _doubted(scaled, design)


@pytest.mark.slow
@pytest.mark.parametrize("name", ODD_BOATS)
def test_unusual_but_real_boats_raise_no_doubt(tmp_path: Path, name: str) -> None:
    assert read_folder(write_odd(tmp_path / "boat", ODD_BOATS[name]))[2] == ()


def _demo_with(
    folder: Path, *, design: tuple[str, str] | None = None, table: Sheet | None = None
) -> list[Problem]:
    """The warnings of the demo boat with one place of the design or the table another."""
    for name in ("offsets.csv", "stem.csv", "design.toml"):
        text = (DEMO / name).read_text(encoding="utf-8")
        if name == "design.toml" and design is not None:
            assert design[0] in text
            text = text.replace(*design, 1)
        if name == "offsets.csv" and table is not None:
            text = table.text()
        (folder / name).write_text(text, encoding="utf-8")
    return list(read_folder(folder)[2])


SIZES = [
    ("thin-planking", 'planking = "9 mm"', 'planking = "0.9 mm"', 'strake "bottom", key planking'),
    ("thick-planking", 'planking = "9 mm"', 'planking = "90 mm"', 'strake "bottom", key planking'),
    ("low-crown", 'crown = "60 mm"', 'crown = "6 mm"', "[deck], key crown"),
    ("high-crown", 'crown = "60 mm"', 'crown = "300 mm"', "[deck], key crown"),
    ("low-crown", 'crown = "60 mm"', 'rise = "1/16 in per 1 ft"', "[deck], key rise"),
    ("thin-wood", 'moulded_side = "70 mm"', 'moulded_side = "7 mm"', 'frame "2", key moulded_side'),
    ("thin-wood", 'sided = "18 mm"', 'sided = "1.8 mm"', 'frame "2", key sided'),
    ("thick-wood", 'sided = "18 mm"', 'sided = "180 mm"', 'frame "2", key sided'),
    ("cut-through", 'moulded_side = "70 mm"', 'moulded_side = "19 mm"', 'frame "2", key moulded_side'),
    ("thin-wood", 'moulded = "80 mm"', 'moulded = "15 mm"', 'end "bow", key moulded'),
    ("thick-wood", 'panel = "18 mm"', 'panel = "180 mm"', 'end "stern", key panel'),
    ("thin-wood", 'off = "20 mm"', 'off = "2 mm"', 'timber "chine log", key off'),
    ("thick-wood", 'along = "45 mm"', 'along = "450 mm"', 'timber "chine log", key along'),
    ("thick-wood", 'along_keel = "300 mm"', 'along_keel = "3000 mm"', 'knee "transom knee", key along_keel'),
    ("thin-wood", 'toe = "50 mm"', 'toe = "5 mm"', 'floor "4", key toe'),
    ("thick-wood", 'inner_radius = "40 mm"', 'inner_radius = "400 mm"', 'frame "6", key inner_radius'),
    ("thin-wood", 'strips = "5 mm"', 'strips = "0.5 mm"', 'end "bow", key strips'),
    ("thick-wood", 'off = "18 mm"\nalong = "35', 'off = "81 mm"\nalong = "35', 'timber "rubbing rail", key off'),
    ("stock-thickness", 'sided = "18 mm"', 'sided = "12 mm"', 'frame "2", key sided'),
    ("stock-thickness", 'planking = "6 mm"', 'planking = "4 mm"', 'strake "side", key planking'),
    ("large-move", 'allow = "1/16 in"', 'allow = "1/2 in"', "[fairing], key allow"),
    ("keel-landing", 'sided = "90 mm"', 'sided = "9 mm"', 'timber "keel", key sided'),
    ("frame-elsewhere", 'at = "station 8"', 'at = "station 7"', 'frame "8", key at'),
    ("crossing-frames", 'at = "station 5"\nsided', 'at = "station 4"\nrake = "3 deg"\nsided', 'frame "5", key at'),
]  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize(("code", "old", "new", "place"), SIZES, ids=[f"{row[0]}: {row[2]}" for row in SIZES])
def test_a_size_that_ordinary_boats_do_not_have_is_doubted(
    tmp_path: Path, code: str, old: str, new: str, place: str
) -> None:
    found = _demo_with(tmp_path, design=(old, new))
    assert (code, f"design.toml, {place}") in {(problem.code, problem.place) for problem in found}


def _sheet() -> Sheet:
    design, _, _ = read_folder(DEMO)
    return Sheet.read((DEMO / TABLE).read_text(encoding="utf-8"), design.table.notation)


def _row(sheet: Sheet, block: str, line: str) -> str:
    return sheet.place(sheet.find(block, line))


def _spoiled(what: str) -> tuple[Sheet, str]:
    """The demo's table with a slip, and the place that is to be named."""
    sheet = _sheet()
    keel, chine, sheer = (sheet.find("half-breadth", name) for name in ("keel", "chine", "sheer"))
    match what:
        case "keel in cm":
            return sheet.each(keel, lambda v: v / 10.0), sheet.place(keel)
        case "keel in inches":
            return sheet.each(keel, lambda v: v / 25.4), sheet.place(keel)
        case "keel in tens":
            return sheet.each(keel, lambda v: v * 3.0), sheet.place(keel)
        case "keel twice":
            return sheet.each(keel, lambda v: 2.0 * v), sheet.place(keel)
        case "keel by half":
            return sheet.each(keel, lambda v: 0.5 * v), sheet.place(keel)
        case "chine twice":
            return sheet.each(chine, lambda v: 2.0 * v, columns=tuple(range(3, 14))), sheet.place(chine)
        case "sheer twice":
            return sheet.each(sheer, lambda v: 2.0 * v, columns=tuple(range(3, 14))), sheet.place(sheer)
        case "sheer twice, bow and all":
            return sheet.each(sheer, lambda v: 2.0 * v), f"{sheet.place(sheer, 2)} "
        case "all twice":
            for row in (keel, chine, sheer):
                sheet = sheet.each(row, lambda v: 2.0 * v)
            return sheet, TABLE
        case _:
            rows = sheet.find("half-breadth", "chine"), sheet.find("half-breadth", "sheer")
            cells = sheet.rows[rows[0]]
            typed = sheet.with_row(rows[1], sheet.rows[rows[1]][:4] + cells[4:])
            return typed, sheet.place(rows[1])


@pytest.mark.slow
@pytest.mark.parametrize(
    ("code", "what"),
    [
        ("keel-siding", "keel in cm"),
        ("keel-siding", "keel in inches"),
        ("keel-siding", "keel in tens"),
        ("keel-siding", "keel twice"),
        ("keel-siding", "keel by half"),
        ("tumblehome", "chine twice"),
        ("leaning-side", "sheer twice"),
        ("stem-siding", "sheer twice, bow and all"),
        ("whole-breadths", "all twice"),
        ("wide-boat", "all twice"),
    ],
)
def test_breadths_of_another_unit_or_doubled_are_doubted_at_their_row(
    tmp_path: Path, code: str, what: str
) -> None:
    sheet, place = _spoiled(what)
    found = _demo_with(tmp_path, table=sheet)
    assert any(problem.code == code and problem.place.startswith(place) for problem in found), found


@pytest.mark.parametrize(("code", "what"), [("tumblehome", "chine twice"), ("leaning-side", "sheer twice")])
def test_of_one_doubled_row_it_is_said_first_that_halving_it_may_do(
    tmp_path: Path, code: str, what: str
) -> None:
    """The boat that is too wide by it comes later; a row that is no better halved gets another remedy."""
    sheet, place = _spoiled(what)
    found = _demo_with(tmp_path, table=sheet)
    assert found[0].code == code
    assert found[0].place.startswith(place)
    assert "halve" in found[0].want
    larger, _ = _spoiled(what)
    row = next(i for i in larger.blocks("half-breadth") if place.startswith(larger.place(i)))
    other = _demo_with(tmp_path, table=larger.each(row, lambda v: 1.8 * v))
    assert all("halve" not in problem.want for problem in other if problem.code == code)


def test_a_keel_typed_in_whole_breadths_leaves_no_landing_where_there_is_no_stem_to_compare() -> None:
    design, typed = _pram()
    assert not list(table_warnings(typed, design))
    doubled = table_warnings(_stretched(typed, y=2.0, line="keel"), design)
    assert "keel-landing" in {problem.code for problem in doubled}


def test_half_breadths_exchanged_are_doubted_and_one_row_typed_twice() -> None:
    """On the pram, whose rows are filled from end to end, so that nothing else gives it away."""
    design, typed = _pram()
    chine, sheer = typed.lines["chine 1"], typed.lines["sheer"]
    exchanged = {**typed.lines, "chine 1": replace(chine, y=sheer.y), "sheer": replace(sheer, y=chine.y)}
    assert "lines-exchanged" in _doubted(replace(typed, lines=exchanged), design)
    assert "lines-exchanged" in _doubted(_stretched(typed, y=0.5, line="sheer"), design)
    assert "tumblehome" in _doubted(_stretched(typed, y=2.0, line="chine 1"), design)
    twice = {**typed.lines, "sheer": replace(sheer, y=chine.y)}
    found = list(table_warnings(replace(typed, lines=twice), design))
    row = sheer.y_places[0]
    assert row is not None
    assert ("rows-alike", f"offsets.csv, row {row.row}") in {
        (problem.code, problem.place) for problem in found
    }


@pytest.mark.parametrize(
    ("one", "two", "places"),
    [
        ('height = "250 mm"', 'height = "340 mm"', {'waterline "WL 3", key height'}),
        ('half_breadth = "120 mm"', 'half_breadth = "300 mm"', {'buttock "B 1", key half_breadth'}),
    ],
)
def test_levels_that_are_exchanged_are_doubted(tmp_path: Path, one: str, two: str, places: set[str]) -> None:
    folder = DEMO / "round_bilge"
    for name in ("offsets.csv", "stem.csv", "design.toml"):
        text = (folder / name).read_text(encoding="utf-8")
        if name == "design.toml":
            assert one in text
            assert two in text
            text = text.replace(one, "?", 1).replace(two, one, 1).replace("?", two, 1)
        (tmp_path / name).write_text(text, encoding="utf-8")
    found = [problem for problem in read_folder(tmp_path)[2] if problem.code == "levels-exchanged"]
    assert {problem.place.removeprefix("design.toml, ") for problem in found} == places
    assert not read_folder(folder)[2]


def test_a_flat_bottom_is_no_row_typed_twice() -> None:
    design, typed = _pram()
    flat = {**typed.lines, "chine 1": replace(typed.lines["chine 1"], z=typed.lines["keel"].z)}
    assert "rows-alike" not in _doubted(replace(typed, lines=flat), design)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('at = "station 5"\nsided', 'at = "station 4"\nsided'),
        ('at = "station 5"\nsided', 'at = "5-3-4"\nsided'),  # half an inch abaft station 4, on 18 mm siding
        ('at = "aft of frame 4"', 'at = "aft of frame 3"'),
    ],
)
def test_two_pieces_in_one_place_are_refused(tmp_path: Path, old: str, new: str) -> None:
    with pytest.raises(DesignError) as caught:
        _demo_with(tmp_path, design=(old, new))
    assert "same-place" in {problem.code for problem in caught.value.problems}


@pytest.mark.parametrize(
    ("code", "old", "new"),
    [
        ("off-boat", 'half_breadth = "450 mm"', 'half_breadth = "4500 mm"'),
        ("off-carling", 'at = "station 7"\nfrom_carling', 'at = "station 8"\nfrom_carling'),
        ("off-carling", 'at = "station 7"\nfrom_carling', 'at = "station 5"\nfrom_carling'),
    ],
)
def test_deck_pieces_off_the_boat_or_off_their_carling_are_refused(
    tmp_path: Path, code: str, old: str, new: str
) -> None:
    with pytest.raises(DesignError) as caught:
        _demo_with(tmp_path, design=(old, new))
    assert [problem.code for problem in caught.value.problems] == [code]


def test_frames_whose_faces_touch_are_two_frames(tmp_path: Path) -> None:
    """Station 4 is at 1600.2 mm; the siding of 18 mm runs forward: the next one ends on its after face."""
    found = _demo_with(tmp_path, design=('at = "station 5"\nsided', 'at = "1618.2 mm"\nsided'))
    assert not {problem.code for problem in found} & {"same-place", "crossing-frames"}


def test_every_doubt_of_the_list_is_asked_for_by_a_test() -> None:
    raised = {SPACING, *CODES.values()}  # tests of whole columns ask for these by their names
    for path in Path(__file__).parent.glob("test_*.py"):
        if path.name != "test_confirmed.py":
            raised |= set(re.findall(r'"([a-z-]+)"', path.read_text(encoding="utf-8")))
    assert raised >= DOUBTS


@pytest.mark.slow
def test_a_confirmed_boat_is_quiet(tmp_path: Path) -> None:
    odd = replace(ODD_BOATS["model of 3 mm"], stretch=(0.2, 0.2, 0.2))
    folder = write_odd(tmp_path / "boat", odd)
    doubts = load_boat(folder).warnings
    assert "boat-length" in {problem.code for problem in doubts}
    codes = tuple(sorted({problem.code for problem in doubts}))
    quiet = replace(odd, sizes=replace(odd.sizes, confirmed=codes))
    assert load_boat(write_odd(folder, quiet)).warnings == ()
