"""A bottom that is flat athwartships: one height at each station for keel and chine.

The boat is closed: the bottom is a cylinder z = rise(x) with level rulings, side and stem are those of the boat of
planes.  With rocker, the inside of the bottom is that parabola's parallel curve.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from patterns.boat import Boat, load_boat
from patterns.errors import DesignError
from patterns.hull.planes import station_plane
from patterns.hull.sections import cut_hull
from patterns.measure import Notation
from patterns.members import all_patterns
from patterns.shop.tables import as_faired
from tests.patterns import plane_boat

Rise = Callable[[float], float]
KEY = 'breadths = "half"\n'


def level(_: float) -> float:
    return 40.0


def sloping(x: float) -> float:
    return 40.0 - 0.01 * x


def rocker(x: float) -> float:
    """A parabola, 60 mm of rocker over the bottom's length."""
    return 30.0 + 60.0 * ((x - 2200.0) / 1800.0) ** 2


def half_breadth(rise: Rise, x: float) -> float:
    """Where the side's plane meets the bottom."""
    return 20.0 + 0.22 * (x - 250.0) + 0.16 * (rise(x) - 300.0)


def corner(rise: Rise) -> float:
    """How far aft the stem's rabbet meets the bottom, mm."""
    x = 400.0
    for _ in range(200):
        x = plane_boat.stem_x(rise(x))
    return x


def at_transom(height: Callable[[float], float]) -> float:
    x = plane_boat.TRANSOM_X0
    for _ in range(60):
        x = plane_boat.TRANSOM_X0 + np.tan(plane_boat.RAKE) * height(x)
    return float(x)


def write_boat(
    folder: Path, rise: Rise, *, heights: tuple[str, ...], straight: bool, off: float = 0.0
) -> Path:
    """The boat with one row of heights for the bottom, or two.

    Args:
        heights: the lines of the bottom that have a row of heights.
        off: mm by which the chine's height at station 3 is wrong.
    """
    plane_boat.write_plane_boat(folder, sided="40 mm")
    x = [float(v) for v in plane_boat.STATIONS]
    bow, aft = corner(rise), at_transom(rise)
    top = at_transom(lambda v: plane_boat.sheer(v)[1])
    sheer_bow = plane_boat.SHEER_X

    def row(*cells: object) -> str:
        return ",".join(f"{cell:.9f}" if isinstance(cell, float) else str(cell) for cell in cells)

    rows = [
        row("block", "line", "bow", *range(1, len(x) + 1), "stern"),
        row("position", "", "", *x, ""),
        row("position", "keel", "", *[""] * len(x), aft),
        row("position", "chine", bow, *[""] * len(x), aft),
        row("position", "sheer", sheer_bow, *[""] * len(x), top),
        row("height", "sheer", *(plane_boat.sheer(v)[1] for v in (sheer_bow, *x, top))),
        row("half-breadth", "keel", "", *[20.0] * (len(x) + 1)),
        row("half-breadth", "chine", 20.0, *(half_breadth(rise, v) for v in (*x, aft))),
        row("half-breadth", "sheer", 20.0, *(plane_boat.sheer(v)[0] for v in (*x, top))),
    ]
    for name in heights:
        up = [rise(v) + (off if name == "chine" and v == x[2] else 0.0) for v in (bow, *x, aft)]
        rows.append(row("height", name, "" if len(heights) > 1 and name == "keel" else up[0], *up[1:]))
    (folder / "offsets.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    down = np.linspace(plane_boat.sheer(sheer_bow)[1], rise(bow), 5)
    stem = [f"aft,{z:.9f},{plane_boat.stem_x(z):.9f},{'yes' if i == 4 else ''}" for i, z in enumerate(down)]
    (folder / "stem.csv").write_text(
        "\n".join(["measured,height,aft,knuckle", *stem]) + "\n", encoding="utf-8"
    )
    text = (folder / "design.toml").read_text(encoding="utf-8").replace(KEY, KEY + 'bottom = "flat"\n')
    text = text.replace('foot = "440 mm"', f'foot = "{bow + 10:.1f} mm"')
    if not straight:
        for name in ("keel", "chine"):
            text = text.replace(f'name = "{name}"\nstraight = true\n', f'name = "{name}"\n')
    (folder / "design.toml").write_text(text, encoding="utf-8")
    return folder


def inside(rise: Rise, x: float, thickness: float) -> float:
    """The height of the bottom's inner face at a distance aft, mm: the parallel curve, by its own parameter."""
    t = np.linspace(x - 50.0, x + 50.0, 200_001)
    z = np.array([rise(float(v)) for v in (t[0], t[-1], x)]) if rise is not rocker else None
    slope = 2.0 * 60.0 * (t - 2200.0) / 1800.0**2 if z is None else np.full_like(t, (z[1] - z[0]) / 100.0)
    height = 30.0 + 60.0 * ((t - 2200.0) / 1800.0) ** 2 if z is None else z[2] + slope * (t - x)
    length = np.hypot(1.0, slope)
    return float(np.interp(x, t - thickness * slope / length, height + thickness / length))


CASES = [
    (level, True, ("keel",)),
    (sloping, True, ("keel",)),
    (sloping, True, ("chine",)),
    (sloping, True, ("keel", "chine")),
    (rocker, False, ("keel",)),
    (rocker, False, ("chine",)),
    (rocker, False, ("keel", "chine")),
]


@pytest.mark.slow
@pytest.mark.parametrize(("rise", "straight", "heights"), CASES)
def test_the_bottom_is_level_at_every_place_and_has_the_heights_that_were_given(
    tmp_path: Path, rise: Rise, straight: bool, heights: tuple[str, ...]
) -> None:
    boat = load_boat(write_boat(tmp_path / "boat", rise, heights=heights, straight=straight))
    assert boat.warnings == ()
    assert boat.lines.suspects == ()
    chine, profile = boat.lines.lines[0], boat.lines.profile
    assert chine.x_fore == pytest.approx(corner(rise), abs=0.05)
    x = np.linspace(chine.x_fore, chine.x_aft, 101)
    on_chine, on_keel = chine.at(chine.t_at_x(x)), profile.at(profile.t_at_x(x))
    assert on_chine[:, 2] == pytest.approx(on_keel[:, 2], abs=1e-6)
    off = 1e-6 if straight else 0.15  # a batten is a parabola but for its ends
    assert on_chine[:, 2] == pytest.approx([rise(float(v)) for v in x], abs=off)
    assert on_chine[:, 1] == pytest.approx([half_breadth(rise, float(v)) for v in x], abs=off)


@pytest.mark.slow
@pytest.mark.parametrize(("rise", "straight", "heights"), CASES)
def test_a_sections_bottom_is_level_and_the_planking_is_deducted_square_to_it(
    tmp_path: Path, rise: Rise, straight: bool, heights: tuple[str, ...]
) -> None:
    boat = load_boat(write_boat(tmp_path / "boat", rise, heights=heights, straight=straight))
    for x in (900.0, 1500.0, 2200.0, 3100.0):
        section = cut_hull(boat.hull, station_plane(x))
        bottom = section.traces["bottom"].uv
        assert np.ptp(bottom[:, 1]) < (1e-6 if straight else 0.01)
        want = inside(rise, x, plane_boat.BOTTOM_T)
        assert bottom[:, 1].mean() == pytest.approx(want, abs=1e-6 if straight else 0.05)
        chine = section.corner("chine")
        assert chine is not None
        assert chine.at[1] == pytest.approx(want, abs=1e-6 if straight else 0.05)


def made(boat: Boat) -> list[str]:
    return [pattern.name for pattern in all_patterns(boat)]


@pytest.mark.slow
def test_every_piece_of_a_flat_bottomed_boat_is_made(tmp_path: Path) -> None:
    boat = load_boat(write_boat(tmp_path / "boat", rocker, heights=("keel",), straight=False))
    plain = load_boat(plane_boat.write_plane_boat(tmp_path / "plain", sided="40 mm"))
    assert made(boat) == made(plain)


def test_a_sheet_bottom_is_a_cylinder_with_rulings_straight_across(tmp_path: Path) -> None:
    folder = write_boat(tmp_path / "boat", rocker, heights=("keel",), straight=False)
    text = (folder / "design.toml").read_text(encoding="utf-8")
    text = text.replace('sections = "straight"', 'sections = "developable"', 1)
    (folder / "design.toml").write_text(text, encoding="utf-8")
    boat = load_boat(folder)
    for x in (1500.0, 2200.0, 3100.0):
        bottom = cut_hull(boat.hull, station_plane(x)).traces["bottom"].uv
        assert np.ptp(bottom[:, 1]) < 0.05
        assert bottom[:, 1].mean() == pytest.approx(inside(rocker, x, plane_boat.BOTTOM_T), abs=0.1)


def test_two_rows_that_differ_are_refused_at_the_cell(tmp_path: Path) -> None:
    folder = write_boat(tmp_path / "boat", sloping, heights=("keel", "chine"), straight=True, off=6.0)
    with pytest.raises(DesignError) as caught:
        load_boat(folder)
    (problem,) = [found for found in caught.value.problems if found.code == "bottom-not-level"]
    assert problem.place == "offsets.csv, row 11, column F (station 3)"


def test_two_rows_that_differ_by_less_than_an_offset_may_move_are_one(tmp_path: Path) -> None:
    folder = write_boat(tmp_path / "boat", rocker, heights=("keel", "chine"), straight=False, off=0.8)
    text = (folder / "design.toml").read_text(encoding="utf-8").replace('allow = "0"', 'allow = "1 mm"')
    (folder / "design.toml").write_text(text, encoding="utf-8")
    boat = load_boat(folder)
    assert boat.warnings == ()


def test_without_the_key_the_missing_row_is_missing(tmp_path: Path) -> None:
    folder = write_boat(tmp_path / "boat", sloping, heights=("keel",), straight=True)
    text = (folder / "design.toml").read_text(encoding="utf-8").replace('bottom = "flat"\n', "")
    (folder / "design.toml").write_text(text, encoding="utf-8")
    with pytest.raises(DesignError):
        load_boat(folder)


def test_an_empty_cell_takes_the_other_lines_height_and_its_place(tmp_path: Path) -> None:
    folder = write_boat(tmp_path / "boat", sloping, heights=("keel", "chine"), straight=True)
    rows = (folder / "offsets.csv").read_text(encoding="utf-8").splitlines()
    cells = rows[10].split(",")
    cells[6] = ""
    rows[10] = ",".join(cells)
    (folder / "offsets.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    chine = load_boat(folder).offsets.lines["chine"]
    place = chine.z_places[chine.column("4")]
    assert place is not None
    assert (place.row, place.column) == (10, 6)
    assert chine.z[chine.column("4")] == pytest.approx(sloping(2400.0), abs=1e-6)


def test_the_table_as_faired_gives_both_rows_and_they_are_one(tmp_path: Path) -> None:
    folder = write_boat(tmp_path / "boat", rocker, heights=("keel",), straight=False)
    boat = load_boat(folder)
    rows = {
        tuple(row.split(",")[:2]): row.split(",")[3:] for row in as_faired(boat, Notation.MM).splitlines()
    }
    assert rows["height", "keel"] == rows["height", "chine"]
    assert all(len(one) == len(other) for one, other in pairwise(rows.values()))


@pytest.mark.parametrize("lines", [["keel", "sheer"]])
def test_a_flat_bottom_needs_a_chine(tmp_path: Path, lines: list[str]) -> None:
    folder = write_boat(tmp_path / "boat", sloping, heights=("keel",), straight=True)
    text = (folder / "design.toml").read_text(encoding="utf-8")
    text = text.replace('[[line]]\nname = "chine"\nstraight = true\n', "")
    (folder / "design.toml").write_text(text, encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        load_boat(folder)
    assert "flat-bottom-without-chine" in [problem.code for problem in caught.value.problems]
