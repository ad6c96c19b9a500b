"""One wrong figure is one finding: what it makes of other spans and corners waits until it is right."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from patterns.boat import Boat, load_boat
from patterns.fairing.lines import OF_SPANS
from patterns.shop.report import unready, verdict
from patterns.subject import BoatSubject
from tests.demo import DEMO, demo_boat
from tests.patterns.folders import changed

MOVED = ("5-3-0,6-9-0,8-3-0", "5-3-0,7-9-0,8-3-0")  # station 5, a foot too far aft
WRONG_FOOT = ("2-4-2-,2-7-0,2-8-0-", "2-4-2-,1-7-0,2-8-0-")  # the sheer's half-breadth at station 5
WRONG_KEEL = ("0-3-4,0-3-2+,0-3-2-", "0-3-4,0-7-2+,0-3-2-")  # the keel's height at station 6


def boat_with(tmp_path: Path, slip: tuple[str, str], *, confirmed: str = "") -> Boat:
    folder = tmp_path / "boat"
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("*_*", "class"))
    table, design = folder / "offsets.csv", folder / "design.toml"
    table.write_text(changed(table.read_text(encoding="utf-8"), *slip), encoding="utf-8")
    if confirmed:
        text = design.read_text(encoding="utf-8")
        design.write_text(changed(text, "[boat]", f"[boat]\nconfirmed = {confirmed}"), encoding="utf-8")
    return load_boat(folder)


@pytest.mark.slow
def test_a_station_out_of_its_place_is_the_only_finding_on_the_lines(tmp_path: Path) -> None:
    codes = [problem.code for problem in boat_with(tmp_path, MOVED).warnings]
    assert codes[0] == "station-position"
    assert not OF_SPANS & set(codes)


@pytest.mark.slow
def test_spans_are_judged_as_typed_once_the_station_is_confirmed(tmp_path: Path) -> None:
    boat = boat_with(tmp_path, MOVED, confirmed='["station-position"]')
    assert OF_SPANS & {problem.code for problem in boat.warnings}


@pytest.mark.slow
@pytest.mark.parametrize(("slip", "line"), [(WRONG_FOOT, "sheer"), (WRONG_KEEL, "keel")])
def test_a_doubted_offset_is_not_followed_by_its_row_s_spans(
    tmp_path: Path, slip: tuple[str, str], line: str
) -> None:
    boat = boat_with(tmp_path, slip)
    assert [suspect.line for suspect in boat.lines.suspects] == [line]
    wide = [band for band in boat.lines.bands if band.line == line and band.half_width > 10.0]
    assert wide  # the slip has made its spans uncertain, and still
    assert not OF_SPANS & {problem.code for problem in boat.warnings}


@pytest.mark.slow
def test_a_confirmed_span_is_not_called_needless_while_its_row_waits(tmp_path: Path) -> None:
    boat = boat_with(tmp_path, WRONG_FOOT, confirmed='["line-band"]')
    assert not [problem for problem in boat.warnings if problem.place.endswith("key confirmed")]


@pytest.mark.slow
def test_what_is_doubtful_is_counted(tmp_path: Path) -> None:
    assert BoatSubject(demo_boat()).doubtful() == ()
    assert BoatSubject(boat_with(tmp_path, WRONG_FOOT)).doubtful()[0] == "1 suspect offset"


def test_the_last_line_says_whether_to_go_on() -> None:
    go_on = verdict(3, (), then="scrieve patterns boat")
    assert "scrieve patterns boat" in go_on
    first = verdict(3, ("1 suspect offset", "2 warnings"), then="scrieve patterns boat")
    assert "scrieve" not in first
    assert "1 suspect offset and 2 warnings" in first


def test_what_keeps_patterns_from_being_made_is_counted_by_kind() -> None:
    both, missing = unready(2, 3), unready(0, 1)
    assert "2 errors" in both
    assert "3 missing entries" in both
    assert "put right" not in missing
