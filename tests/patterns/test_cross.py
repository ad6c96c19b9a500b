"""A round bilge from its table: against exact hulls, and one view against another."""

from __future__ import annotations

import csv
from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest

from patterns.boat import Boat, load_boat
from patterns.hull.planes import FloatArray, station_plane
from patterns.hull.sections import cut_hull
from patterns.shop.tables import as_faired, as_faired_stem
from tests.patterns.analytic_boats import ROUNDINGS, Rounding
from tests.patterns.design_parts import head, lines
from tests.patterns.folders import says
from tests.patterns.round_boats import RoundBoat, round_boat, write_round_table

# Outline in mm, bevel in degrees; our own.  No published fairing tolerance for small round-bilge boats was found.
LIMITS = {
    "exact": (1.4, 1.0),
    "whole mm": (2.6, 1.0),
    "1/16 in": (2.6, 1.0),
    "1/8 in": (2.6, 1.4),
    "noise 1/8 in": (4.0, 1.6),
}


def _write(folder: Path, seed: int, rounding: Rounding) -> RoundBoat:
    true = round_boat(seed)
    write_round_table(true, folder, rounding, np.random.default_rng(seed + 100))
    return true


@lru_cache
def _made(seed: int, rounding: Rounding) -> tuple[RoundBoat, Boat]:
    """A boat of the family and what is made of its table; several tests look at the same one."""
    with TemporaryDirectory() as folder:
        true = _write(Path(folder), seed, rounding)
        return true, load_boat(Path(folder))


def departures(true: RoundBoat, boat: Boat, places: FloatArray) -> tuple[FloatArray, FloatArray]:
    """How far sections are from the true surface, mm, and their bevels from the true ones, degrees."""
    off, turn = [], []
    for x in places:
        section = cut_hull(boat.hull, station_plane(float(x)))
        trace = section.traces["planking"]
        outside = section.plane.space(trace.uv) + 9.0 * trace.normal
        planked = outside[:, 1] > true.base.half + 2.0
        off.append(true.off(outside[planked]))
        bevel, truth = (np.arccos(n[:, 0]) for n in (trace.normal[planked], true.normals(outside[planked])))
        turn.append(np.degrees(bevel - truth))
    return np.concatenate(off), np.concatenate(turn)


@pytest.mark.slow
@pytest.mark.parametrize(("seed", "rounding"), list(zip([0, 2, 0, 2, 0], ROUNDINGS, strict=True)))
def test_moulds_from_a_typed_table_are_true(seed: int, rounding: Rounding) -> None:
    true, boat = _made(seed, rounding)
    off, turn = departures(true, boat, np.linspace(300.0, 3900.0, 9))
    assert np.abs(off).max() < LIMITS[rounding.name][0]
    assert np.abs(turn).max() < LIMITS[rounding.name][1]


@pytest.mark.slow
def test_the_comparison_sees_a_boat_that_is_another() -> None:
    _, boat = _made(0, ROUNDINGS[0])
    off, turn = departures(round_boat(2), boat, np.linspace(1200.0, 3600.0, 5))
    assert np.abs(off).max() > 10.0
    assert np.abs(turn).max() > 1.0


@pytest.mark.slow
def test_every_view_has_the_same_point() -> None:
    """A waterline's faired half-breadth, a buttock's height, a diagonal's distance: each lies on one section.

    The section is cut by a plane, which knows nothing of how the cells were found.
    """
    true, boat = _made(0, ROUNDINGS[2])
    runs = {f"D {i + 1}": (s, np.array([o, u - s])) for i, (s, o, u) in enumerate(true.diagonals)}
    heights = {f"WL {i + 1}": z for i, z in enumerate(true.waterlines)}
    breadths = {f"B {i + 1}": y for i, y in enumerate(true.buttocks)}
    strake = boat.hull.strakes[0]
    for label in ("4", "8", "12"):
        cells = [row for row in boat.lines.rows if row.label == label and row.line[:2] in ("WL", "B ", "D ")]
        assert {cell.view for cell in cells} == {"half-breadth", "height", "diagonal"}
        trace = strake.across(station_plane(cells[0].x), inset=0.0)
        assert trace is not None
        for cell in cells:
            if cell.view == "half-breadth":
                point = np.array([cell.faired, heights[cell.line]])
            elif cell.view == "height":
                point = np.array([breadths[cell.line], cell.faired])
            else:
                start, run = runs[cell.line]
                point = np.array([0.0, start]) + cell.faired * run / np.hypot(*run)
            a, b = trace.uv[:-1], trace.uv[1:]
            part = np.clip(((point - a) * (b - a)).sum(1) / ((b - a) ** 2).sum(1), 0.0, 1.0)
            assert np.hypot(*(a + part[:, None] * (b - a) - point).T).min() < 0.05, cell


@pytest.mark.slow
def test_keel_stem_and_sheer_lie_on_the_surface() -> None:
    _, boat = _made(2, ROUNDINGS[3])
    girth = boat.lines.girth
    assert girth is not None
    for line in (boat.lines.profile, boat.lines.lines[-1]):
        points = line.at(np.linspace(line.start, line.end, 57))
        feet = girth.shape(*girth.nearest(points))[0]
        assert np.linalg.norm(feet - points, axis=1).max() < 0.2


PARABOLIC = (
    head("Parabola", allow="{allow}", lines_to="inside of planking", sheer_to="top of planking")
    + lines("keel", "sheer")
    + """
[[end]]
at = "bow"
kind = "stem"
profile = "stem.csv"
construction = "inner and outer"
sided = "20 mm"
moulded = "40 mm"
outside = "30 mm"
foot = "500 mm"
stock = "oak"
[[end]]
at = "stern"
kind = "transom"
rake = "0 deg"
panel = "18 mm"
stock = "ply"
[[strake]]
name = "planking"
between = ["keel", "sheer"]
planking = "6 mm"
sections = "round"
[deck]
kind = "none"
"""
)
BOW = 2000.0  # mm; the table counts from the bow, the hull from midships
LEVELS = (-215.0, -180.0, -145.0, -110.0, -70.0, -35.0)


def _parabolic(x: FloatArray, z: FloatArray | float) -> FloatArray:
    """Wigley's hull, length 4000, breadth 400, depth 250 mm; see the data file."""
    return np.asarray(200.0 * (1.0 - (x / 2000.0) ** 2) * (1.0 - (z / 250.0) ** 2))


def parabolic_boat(folder: Path, *, step: float) -> Boat:
    """Wigley's hull from the bow to 1600 mm abaft midships, from seven waterlines, plumb at both ends."""
    x = np.arange(-1800.0, 1500.0, 300.0)
    labels = ["bow", *(str(i + 1) for i in range(len(x))), "stern"]

    def typed(values: FloatArray) -> list[str]:
        return [f"{round(v / step) * step if step else v:.6f}" for v in values]

    at = np.concatenate([[-2000.0], x, [1600.0]])
    rows = [["block", "line", *labels], ["position", "", *(f"{v + BOW:.1f}" for v in at)]]
    rows += [["height", "keel", *["-250"] * len(at)], ["half-breadth", "keel", *["0"] * len(at)]]
    rows += [["height", "sheer", *["0"] * len(at)], ["half-breadth", "sheer", *typed(_parabolic(at, 0.0))]]
    text = PARABOLIC.format(allow=f"{step / 2.0:g} mm" if step else "0")
    for i, z in enumerate(LEVELS):
        rows.append(["half-breadth", f"WL {i}", *typed(_parabolic(at, z))])
        text += f'[[waterline]]\nname = "WL {i}"\nheight = "{z:g} mm"\n'
    (folder / "offsets.csv").write_text("\n".join(",".join(row) for row in rows) + "\n", encoding="utf-8")
    (folder / "stem.csv").write_text(
        "measured,height,aft,knuckle\naft,0,0,\naft,-125,0,\naft,-250,0,yes\n",
        encoding="utf-8",
    )
    (folder / "design.toml").write_text(text, encoding="utf-8")
    return load_boat(folder)


def _published() -> list[dict[str, float]]:
    text = (Path(__file__).parents[1] / "data" / "parabolic_hull_4000x400x250.csv").read_text(
        encoding="utf-8"
    )
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    points = [{key: float(value) for key, value in row.items()} for row in rows]
    # Between the ends, and clear of the keel and the sheer, where the surface has one side only.
    return [p for p in points if -1700.0 < p["x_mm"] < 1550.0 and -240.0 < p["z_mm"] < -10.0]


@pytest.mark.slow
@pytest.mark.parametrize(("step", "mm", "degrees"), [(0.0, 0.05, 0.02), (1.0, 0.5, 0.12)])
def test_half_breadths_and_bevels_of_the_parabolic_hull(
    tmp_path: Path, step: float, mm: float, degrees: float
) -> None:
    """Source: W. C. S. Wigley, 1934 (formula from memory; values computed from it, see the data file)."""
    boat = parabolic_boat(tmp_path, step=step)
    points = _published()
    assert len(points) == 32
    for point in points:
        trace = boat.hull.strakes[0].across(station_plane(point["x_mm"] + BOW), inset=0.0)
        assert trace is not None
        y = float(np.interp(point["z_mm"], trace.uv[:, 1], trace.uv[:, 0]))
        bevel = np.interp(point["z_mm"], trace.uv[:, 1], trace.bevel(np.array([1.0, 0.0, 0.0])))
        assert y == pytest.approx(point["half_breadth_mm"], abs=mm)
        assert abs(90.0 - np.degrees(float(bevel))) == pytest.approx(point["bevel_deg"], abs=degrees)


@pytest.mark.slow
def test_the_as_faired_table_is_a_table_of_the_same_boat(tmp_path: Path) -> None:
    """Read as a table and faired again with the ducks held, no offset moves by more than its figures' rounding."""
    _, boat = _made(0, ROUNDINGS[3])
    _write(tmp_path, 0, ROUNDINGS[3])
    (tmp_path / "offsets.csv").write_text(as_faired(boat, boat.offsets.notation), encoding="utf-8")
    (tmp_path / "stem.csv").write_text(as_faired_stem(boat, boat.offsets.notation), encoding="utf-8")
    again = load_boat(tmp_path)
    cells = {(row.line, row.view, row.label): row.faired for row in boat.lines.rows if row.line != "keel"}
    levels = [row for row in again.lines.rows if row.line not in ("keel", "sheer")]
    assert len(levels) > 100
    assert {row.view for row in levels} == {"half-breadth", "height", "diagonal"}
    assert np.sqrt(np.mean([row.move**2 for row in levels])) < 0.3
    for row in levels:
        assert row.offset == pytest.approx(cells[row.line, row.view, row.label], abs=0.06)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("block", "line", "column", "by"),
    [
        ("half-breadth", "WL 3", 6, 25.4),
        ("height", "B 2", 9, -30.0),
        ("diagonal", "D 1", 12, 304.8),
    ],
)
def test_a_slip_is_named_with_its_cell(tmp_path: Path, block: str, line: str, column: int, by: float) -> None:
    """And the batten wants there what the exact boat has."""
    assert not _made(1, ROUNDINGS[2])[1].lines.suspects
    _write(tmp_path, 1, ROUNDINGS[2])
    text = (tmp_path / "offsets.csv").read_text(encoding="utf-8")
    rows = [row.split(",") for row in text.splitlines()]
    mine = next(row for row in rows if row[:2] == [block, line])
    good = float(mine[column])
    mine[column] = f"{good + by:.6f}"
    (tmp_path / "offsets.csv").write_text("\n".join(",".join(row) for row in rows) + "\n", encoding="utf-8")
    first, *others = load_boat(tmp_path).lines.suspects
    assert (first.line, first.view, first.label) == (line, block, rows[0][column])
    assert first.offset == pytest.approx(good + by)
    assert first.wanted == pytest.approx(good, abs=3.0)
    assert not others


@pytest.mark.slow
def test_every_offset_beyond_the_allowed_move_is_told() -> None:
    """Rows with errors up to the whole allowed move contradict each other here and there."""
    _, boat = _made(0, ROUNDINGS[4])
    allow = boat.design.fairing.allow
    beyond = [r for r in boat.lines.rows if r.line not in ("keel", "sheer") and abs(r.move) > allow + 0.05]
    found = [warning for warning in boat.warnings if warning.code == "offset-beyond-allowed"]
    assert len(beyond) == len(found) > 0
    for row in beyond:
        assert any(
            warning.place == str(row.place) and says(warning, f"{abs(row.move):.1f} mm") for warning in found
        )


@pytest.mark.slow
def test_waterlines_end_on_the_rabbet(tmp_path: Path) -> None:
    """The exact stem's distance aft at the waterline's height; an end typed 20 mm off is told."""
    true = round_boat(0)
    write_round_table(true, tmp_path, ROUNDINGS[0], np.random.default_rng(0))
    rows = [row.split(",") for row in (tmp_path / "offsets.csv").read_text(encoding="utf-8").splitlines()]
    x = {}
    for line, off in (("WL 4", 0.0), ("WL 5", 20.0)):
        z, base = true.waterlines[int(line[-1]) - 1], true.base
        x[line] = float(base.profile_x(np.array(base.s_at(base.profile_z, z, -4000.0, 100.0))))
        for row in rows:
            if row[1] == line:
                row[2] = f"{x[line] + off:.6f}" if row[0] == "position" else f"{base.half:.6f}"
    (tmp_path / "offsets.csv").write_text("\n".join(map(",".join, rows)) + "\n", encoding="utf-8")
    boat = load_boat(tmp_path)
    cells = {(r.line, r.view): r for r in boat.lines.rows if r.label == "bow"}
    for line in x:
        assert cells[line, "position"].faired == pytest.approx(x[line], abs=0.3)
        assert cells[line, "half-breadth"].faired == pytest.approx(true.base.half, abs=0.05)
    (warning,) = [w for w in boat.warnings if w.code == "row-end-off-rabbet"]
    assert "WL 5" in warning.what
