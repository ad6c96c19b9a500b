"""Slips of the tape in a repair's points: named at the right point and in the right value."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest

from patterns.errors import DesignError
from patterns.measure import Notation, format_length, parse_length
from patterns.repair.repair import load_repair
from tests.patterns.folders import codes_of, places_of, says
from tests.patterns.repair_boats import (
    METHODS,
    NAILS,
    Method,
    by_board,
    by_half_breadth,
    by_nails,
    by_plumb,
    by_two_nails,
    off,
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


@pytest.mark.slow
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
    assert doubt.code == "suspect-point"
    assert says(doubt, f"point {point} ", "starboard", words)
    assert f"column {'ABCDEFGHIJK'[column]}" in doubt.place


def test_a_slip_that_is_named_is_not_faired_to(tmp_path: Path) -> None:
    """The edge is that of all other points: the one in doubt stands off it by its slip, and no other does."""
    good = rows(by_half_breadth, say=to_sixteenths, many=(8, 8))
    repair = load_repair(write_repair(tmp_path, _spoiled(good, 4, _more(B, 25.4))))
    moves = np.abs(repair.sides["starboard"].moves)
    assert moves[3] == pytest.approx(25.4, abs=2.0)
    assert np.delete(moves, 3).max() < 25.4 / 16
    assert off(0.0, "bottom", repair.edges_of["starboard"].stretches[0].points).max() < 1.5


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
            found = load_repair(folder).doubts
        except DesignError as error:
            found = error.problems
        assert set(codes_of(found)) & {"suspect-point", "edge-explained"}
        assert any(re.search(rf"point {point}\b", problem.what) for problem in found)
        assert any(says(problem, "a and b exchanged") for problem in found)


@pytest.mark.slow
def test_three_distances_that_disagree_are_told_apart(tmp_path: Path) -> None:
    good = rows(by_nails, say=to_sixteenths, many=(8, 8))
    repair = load_repair(write_repair(tmp_path, _spoiled(good, 5, _more(C, 25.4))))
    (doubt,) = repair.doubts
    assert doubt.code == "suspect-point"
    assert says(doubt, "point 5 ", "starboard", "SC", "a whole inch too much")


@pytest.mark.slow
@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("say", [to_mm, to_sixteenths])
def test_good_measurements_are_not_doubted(tmp_path: Path, method: Method, say: object) -> None:
    for many in ((6, 6), (8, 8), (12, 10)):
        text = rows(method, say=say, many=many)  # type: ignore[arg-type]
        assert not load_repair(write_repair(tmp_path, text)).doubts


@pytest.mark.parametrize("straight", [True, False])
def test_with_four_points_a_slip_is_named_on_a_straight_edge_and_elsewhere_may_be_the_shape(
    tmp_path: Path, straight: bool
) -> None:
    lines = ["side,edge,point,method,from,a,b"]
    for i, out in enumerate((20, 190, 360, 530)):
        lines.append(
            f"starboard,bottom,{i + 1},half-breadth,,{out} mm,{40 + 0.2 * out + 25 * (i == 2):.0f} mm"
        )
    more = '[[edge]]\nname = "bottom"\nstraight = true\n' if straight else ""
    repair = load_repair(write_repair(tmp_path, "\n".join(lines), more, notation="mm"))
    if straight:
        (doubt,) = repair.doubts
        assert doubt.code == "suspect-point"
        assert says(doubt, "point 3 ", "starboard")
    else:
        assert "stretch-uncertain" in codes_of(repair.warnings)
        assert max(span.half_width for span in repair.spans) > 0.5 * 25.0


@pytest.mark.slow
def test_a_slip_in_a_neighbour_is_named_with_its_file(tmp_path: Path) -> None:
    more = '[[neighbour]]\nname = "5"\nstands = "aft"\nspacing = "450 mm"\npoints = "five.csv"\n'
    folder = write_repair(tmp_path, rows(by_half_breadth, say=to_sixteenths, many=(8, 8)), more)
    good = rows(by_half_breadth, say=to_sixteenths, many=(8, 8), x=450.0)
    (folder / "five.csv").write_text(_spoiled(good, 4, _more(B, 25.4)), encoding="utf-8")
    repair = load_repair(folder)
    (doubt,) = repair.doubts
    assert doubt.place.startswith("five.csv")
    assert says(doubt, "a whole inch too much")
    alone = [warning for warning in repair.warnings if warning.code == "bevel-from-one-neighbour"]
    assert any(says(warning, "frame 5") for warning in alone)


def test_with_few_points_the_sides_are_each_others_witness(tmp_path: Path) -> None:
    """Four points from corner to corner: a bend may be the shape, but hardly on one side alone."""
    good = rows(by_half_breadth, say=to_sixteenths, many=(4, 4))
    assert not load_repair(write_repair(tmp_path, good)).doubts
    (doubt,) = load_repair(write_repair(tmp_path, _spoiled(good, 5, _more(A, 25.4)))).doubts
    assert doubt.code == "suspect-point"
    assert says(doubt, "point 5 ", "starboard")


@pytest.mark.slow
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
    assert doubt.code == "suspect-point"
    assert says(doubt, "point 8 ", "starboard")
    assert f"column {'ABCDEFGHIJK'[column]}" in doubt.place


@pytest.mark.slow
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
    assert doubt.code == "suspect-point"
    assert says(doubt, "point 1 ", "starboard")


def _two_panels(hand: str, *, out: float = 0.0, square: float = 0.0) -> list[str]:
    """A bottom that rises 1 in 5 and a side that flares 1 in 4, all moved out, and each out square to itself."""
    lines = []
    heel, slope, flare = np.array([40.0, 60.0]), np.array([5.0, 1.0]), np.array([1.0, 4.0])
    chine = heel + 100.0 * slope
    for edge, start, way, shares in (
        ("bottom", heel, 100.0 * slope, np.linspace(0.0, 0.95, 6)),
        ("side", chine, 100.0 * flare, np.linspace(0.05, 1.0, 6)),
    ):
        normal = np.array([way[1], -way[0]]) / np.hypot(*way)
        for share in shares:
            at = start + share * way + square * normal + np.array([out, 0.0])
            lines.append(f"{hand},{edge},{edge[0]}{share:.2f},half-breadth,,{at[0]:.4f} mm,{at[1]:.4f} mm,")
        if edge == "bottom":
            at = chine + np.array([out, 0.0]) + square * np.array([1.0, -0.5])  # near enough where they meet
            lines.append(f"{hand},bottom,chine,half-breadth,,{at[0]:.4f} mm,{at[1]:.4f} mm,chine")
    return lines


@pytest.mark.slow
@pytest.mark.parametrize(
    ("moved", "code", "words"),
    [
        ({}, None, []),
        ({"square": 12.0}, "sides-apart", ["its inside and outside may have been measured"]),
        ({"out": 14.0}, "cause-unclear", ["starboard side was about 14 mm", "port side was about 14 mm"]),
    ],
)
def test_sides_that_lie_apart_all_along_are_doubted(
    tmp_path: Path, moved: dict[str, float], code: str | None, words: list[str]
) -> None:
    """Square to both panels by the planking's thickness; or sideways, by the half-breadths of either side."""
    text = [
        "side,edge,point,method,from,a,b,corner",
        *_two_panels("starboard"),
        *_two_panels("port", **moved),
    ]
    more = '[fairing]\nallow = "1/16 in"\n'
    repair = load_repair(write_repair(tmp_path, "\n".join(text), more, spec='planking = "12 mm"'))
    found = [
        one for one in (*repair.doubts, *repair.warnings) if one.code in ("sides-apart", "cause-unclear")
    ]
    assert codes_of(found) == ([] if code is None else [code])
    assert all(says(found[0], word) for word in words)


@pytest.mark.slow
def test_a_chine_that_is_not_said_to_be_one_is_asked_about(tmp_path: Path) -> None:
    text = rows(by_half_breadth, say=to_sixteenths, many=(8, 8))
    assert "corner-unmarked" not in codes_of(load_repair(write_repair(tmp_path / "a", text)).warnings)
    bare = text.replace(",chine,", ",,").replace(",bottom,", ",planking,").replace(",side,", ",planking,")
    repair = load_repair(write_repair(tmp_path / "b", bare))
    found = [warning for warning in repair.warnings if warning.code == "corner-unmarked"]
    assert len(found) == 2
    assert says(found[0], "point 8 ")


def test_a_round_bilge_has_no_corner(tmp_path: Path) -> None:
    """Straight, a quarter circle of 150 mm, straight: ten points of which four lie on the circle."""
    turn = [(500.0 + 150.0 * np.sin(t), 250.0 - 150.0 * np.cos(t)) for t in np.radians([9, 33, 57, 81])]
    places = (
        [(50.0 + 140.0 * i, 100.0) for i in range(4)] + turn + [(650.0, 300.0 + 100.0 * i) for i in range(3)]
    )
    lines = ["side,edge,point,method,from,a,b"]
    lines += [f"port,bilge,{i},half-breadth,,{x:.3f} mm,{y:.3f} mm" for i, (x, y) in enumerate(places)]
    repair = load_repair(write_repair(tmp_path, "\n".join(lines)))
    assert "corner-unmarked" not in codes_of(repair.warnings)


def test_a_neighbour_whose_stretches_are_called_otherwise_is_told(tmp_path: Path) -> None:
    more = '[[neighbour]]\nname = "5"\nstands = "aft"\nspacing = "450 mm"\npoints = "five.csv"\n'
    folder = write_repair(tmp_path, rows(by_half_breadth), more)
    other = rows(by_half_breadth, x=450.0)
    (folder / "five.csv").write_text(other.replace(",side,", ",topside,"), encoding="utf-8")
    found = load_repair(folder).warnings
    assert ("frame 5, port", "neighbour-without-stretch") in places_of(found)
    assert all(says(each, "side") for each in found if each.code == "neighbour-without-stretch")
    twice = other.replace(",bottom,", ",planking,").replace(",side,", ",planking,")
    (folder / "five.csv").write_text(twice, encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        load_repair(folder)
    assert ("five.csv, port", "same-name") in places_of(caught.value)


def test_what_stands_out_on_both_sides_alike_is_the_boats(tmp_path: Path) -> None:
    """Four points on a straight bottom, the third of them an inch off: on one side a slip, on both her shape."""

    def bottom(hand: str, off: float) -> list[str]:
        return [
            f"{hand},bottom,{i + 1},half-breadth,,{out} mm,{40.0 + 0.2 * out + off * (i == 2)} mm"
            for i, out in enumerate((20.0, 190.0, 360.0, 530.0))
        ]

    head = "side,edge,point,method,from,a,b"
    both = "\n".join([head, *bottom("port", 25.4), *bottom("starboard", 24.0)])
    assert not load_repair(write_repair(tmp_path / "both", both)).doubts
    one = "\n".join([head, *bottom("port", 25.4), *bottom("starboard", 0.0)])
    assert len(load_repair(write_repair(tmp_path / "one", one)).doubts) == 1


@pytest.mark.slow
@pytest.mark.parametrize(
    ("nail", "key", "typed", "words"),
    [
        ("C", "out", 445.4, "25 mm farther in"),
        ("A", "up", 475.4, "25 mm lower"),
    ],
)
def test_a_nail_that_stands_elsewhere_is_named_once(
    tmp_path: Path, nail: str, key: str, typed: float, words: str
) -> None:
    """Every distance is true; one nail's place in the design file is not: by how much is known."""
    folder = write_repair(tmp_path, rows(by_nails, say=to_sixteenths, many=(8, 8)))
    text = (folder / "design.toml").read_text(encoding="utf-8")
    out, up = NAILS[nail]
    old = f'name = "S{nail}"\nside = "starboard"\nout = "{out} mm"\nup = "{up} mm"'
    assert old in text
    new = old.replace(f'{key} = "{out if key == "out" else up} mm"', f'{key} = "{typed} mm"')
    (folder / "design.toml").write_text(text.replace(old, new), encoding="utf-8")
    (doubt,) = load_repair(folder).doubts
    assert doubt.code == "reference-misplaced"
    assert says(doubt, f"nail S{nail}", words)
