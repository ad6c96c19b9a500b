"""Slips of the tape in a repair's points: named at the right point and in the right value."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

import pytest

from patterns.errors import DesignError
from patterns.measure import Notation, format_length, parse_length
from patterns.repair.repair import load_repair
from tests.patterns.repair_boats import (
    METHODS,
    Method,
    by_board,
    by_half_breadth,
    by_nails,
    by_plumb,
    by_two_nails,
    rows,
    to_mm,
    to_sixteenths,
    write_repair,
)

EIGHTHS = Notation.FEET_INCHES_EIGHTHS
A, B, C = 5, 6, 7  # the columns of the values


def _spoiled(text: str, point: int, changes: dict[int, object]) -> str:
    """The starboard point's row with some cells changed."""
    lines = text.splitlines()
    i = next(
        i
        for i, line in enumerate(lines)
        if line.startswith("starboard,") and line.split(",")[2] == str(point)
    )
    cells = lines[i].split(",")
    for column, value in changes.items():
        cells[column] = value(cells) if callable(value) else str(value)
    lines[i] = ",".join(cells)
    return "\n".join(lines) + "\n"


def _more(column: int, mm: float) -> dict[int, object]:
    def longer(cells: Sequence[str]) -> str:
        return format_length(parse_length(cells[column], notation=EIGHTHS) + mm, EIGHTHS)

    return {column: longer}


@pytest.mark.parametrize(
    ("method", "point", "column"),
    [
        (by_half_breadth, 4, B),
        (by_half_breadth, 11, A),
        (by_plumb, 4, A),
        (by_plumb, 11, B),
        (by_board, 5, B),
        (by_two_nails, 5, A),
    ],
)
@pytest.mark.parametrize(
    ("mm", "words"), [(25.4, "a whole inch too much"), (-25.4, "a whole inch too little")]
)
def test_a_whole_inch_is_named(
    tmp_path: Path, method: Method, point: int, column: int, mm: float, words: str
) -> None:
    good = rows(method, say=to_sixteenths, many=(8, 8))
    repair = load_repair(write_repair(tmp_path, _spoiled(good, point, _more(column, mm))))
    (doubt,) = repair.doubts
    assert f"point {point} of the starboard side" in str(doubt)
    assert words in str(doubt)
    assert f"column {'ABCDEFGHIJK'[column]}" in doubt.place


def test_the_slip_is_not_faired_in_silence(tmp_path: Path) -> None:
    """No point is moved farther than is allowed, slip or no slip."""
    good = rows(by_half_breadth, say=to_sixteenths, many=(8, 8))
    repair = load_repair(write_repair(tmp_path, _spoiled(good, 4, _more(B, 25.4))))
    assert abs(repair.sides["starboard"].moves).max() < 1.5 * 25.4 / 16


def test_ordinates_exchanged_are_named(tmp_path: Path) -> None:
    """So far off that the edge folds back and nothing can be drawn; or so little that the batten doubts it."""
    for method, point in ((by_plumb, 6), (by_half_breadth, 12)):
        good = rows(method, say=to_sixteenths, many=(8, 8))
        row = next(
            line.split(",")
            for line in good.splitlines()
            if line.split(",")[0:3:2] == ["starboard", str(point)]
        )
        folder = write_repair(tmp_path, _spoiled(good, point, {A: row[B], B: row[A]}))
        try:
            said = "\n".join(map(str, load_repair(folder).doubts))
        except DesignError as error:
            said = str(error)
        assert re.search(rf"point {point}\b", said)
        assert "a and b exchanged" in said


def test_three_distances_that_disagree_are_told_apart(tmp_path: Path) -> None:
    good = rows(by_nails, say=to_sixteenths, many=(8, 8))
    repair = load_repair(write_repair(tmp_path, _spoiled(good, 5, _more(C, 25.4))))
    said = "\n".join(str(doubt) for doubt in repair.doubts)
    assert "the three distances of point 5 of the starboard side disagree" in said
    assert "from SC would agree with the other two (a whole inch too much)" in said


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("say", [to_mm, to_sixteenths])
def test_good_measurements_are_not_doubted(tmp_path: Path, method: Method, say: object) -> None:
    for many in ((6, 6), (8, 8), (12, 10)):
        text = rows(method, say=say, many=many)  # type: ignore[arg-type]
        assert not load_repair(write_repair(tmp_path, text)).doubts


def test_with_four_points_on_a_straight_edge_the_one_that_is_out_is_named(tmp_path: Path) -> None:
    lines = ["side,edge,point,method,from,a,b"]
    for i, out in enumerate((20.0, 190.0, 360.0, 530.0)):
        lines.append(
            f"starboard,bottom,{i + 1},half-breadth,,{out} mm,{40.0 + 0.2 * out + 25.4 * (i == 2)} mm"
        )
    repair = load_repair(write_repair(tmp_path, "\n".join(lines)))
    (doubt,) = repair.doubts
    assert "point 3 of the starboard side stands 25 mm inside" in str(doubt)
    assert any("a slip in one of them can hardly be told" in str(warning) for warning in repair.warnings)


def test_a_slip_in_a_neighbour_is_named_with_its_file(tmp_path: Path) -> None:
    more = '[[neighbour]]\nname = "5"\nstands = "aft"\nspacing = "450 mm"\npoints = "five.csv"\n'
    folder = write_repair(tmp_path, rows(by_half_breadth, say=to_sixteenths, many=(8, 8)), more)
    good = rows(by_half_breadth, say=to_sixteenths, many=(8, 8), x=450.0)
    (folder / "five.csv").write_text(_spoiled(good, 4, _more(B, 25.4)), encoding="utf-8")
    repair = load_repair(folder)
    (doubt,) = repair.doubts
    assert doubt.place.startswith("five.csv")
    assert "a whole inch too much" in str(doubt)
    assert any("its bevel is from frame 5 alone" in str(warning) for warning in repair.warnings)


def test_where_the_batten_cannot_tell_the_other_side_does(tmp_path: Path) -> None:
    """Four points from corner to corner: too few for a batten on a bend, but the sides are each other's witness."""
    good = rows(by_half_breadth, say=to_sixteenths, many=(4, 4))
    assert not any("may have a slip" in str(w) for w in load_repair(write_repair(tmp_path, good)).warnings)
    bad = load_repair(write_repair(tmp_path, _spoiled(good, 5, _more(A, 25.4))))
    said = [str(warning) for warning in bad.warnings if "may have a slip" in str(warning)]
    assert any("at point 5 of the" in line for line in said)
    assert all("at point 5 of the" in line for line in said)


@pytest.mark.parametrize(
    ("method", "column"), [(by_half_breadth, A), (by_half_breadth, B), (by_two_nails, A)]
)
@pytest.mark.parametrize("mm", [25.4, -25.4, 50.8])
def test_a_slip_at_the_chine_is_not_blamed_on_its_neighbours(
    tmp_path: Path, method: Method, column: int, mm: float
) -> None:
    """The chine is where bottom and side lead to; point 8 is it."""
    good = rows(method, say=to_sixteenths, many=(8, 8))
    repair = load_repair(write_repair(tmp_path, _spoiled(good, 8, _more(column, mm))))
    (doubt,) = repair.doubts
    assert "point 8 of the starboard side" in str(doubt)
    assert f"column {'ABCDEFGHIJK'[column]}" in doubt.place


def test_a_turn_at_the_heel_that_both_sides_have_is_the_boats(tmp_path: Path) -> None:
    """A garboard that turns down to the keel: no point of it is doubted, on one side it would be."""

    def turned(hand: str, down: float) -> list[str]:
        lines = []
        for line in rows(by_half_breadth, say=to_sixteenths, many=(8, 8), hands=[hand]).splitlines()[1:]:
            cells = line.split(",")
            if cells[2] == "1":
                cells[B] = format_length(parse_length(cells[B], notation=EIGHTHS) - down, EIGHTHS)
            lines.append(",".join(cells))
        return lines

    head = rows(by_half_breadth).splitlines()[0]
    both = "\n".join([head, *turned("port", 38.1), *turned("starboard", 38.1)])
    assert not load_repair(write_repair(tmp_path / "both", both)).doubts
    one = "\n".join([head, *turned("port", 0.0), *turned("starboard", 38.1)])
    (doubt,) = load_repair(write_repair(tmp_path / "one", one)).doubts
    assert "point 1 of the starboard side" in str(doubt)
