"""What a hull displaces: closed forms, a library's bodies, sections summed one by one, and the plan compared.

Definitions of coefficients and Simpson's first rule: as every handbook of naval architecture has them, from memory.
"""

from __future__ import annotations

import csv
from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import dblquad, simpson

from patterns.boat import load_boat
from patterns.errors import PatternsError
from patterns.hull.hydrostatics import Hydrostatics, float_hull
from patterns.hull.planes import FloatArray
from tests.demo import demo_boat, round_demo
from tests.patterns import end_boats, plane_boat
from tests.patterns.analytic_boats import ROUNDINGS, analytic_boat, write_table
from tests.patterns.floating_hulls import analytic_section, body_of_planes, exact_hull, summed_sections
from tests.patterns.folders import changed
from tests.patterns.round_boats import round_boat, write_round_table
from tests.patterns.test_cross import BOW, parabolic_boat

SALT = 1025.0
L, B, T = 4000.0, 400.0, 250.0


def parabola(x: FloatArray, r: FloatArray) -> tuple[FloatArray, FloatArray]:
    z = -T + (T + 50.0) * r
    return 0.5 * B * (1.0 - (2.0 * x / L) ** 2) * (1.0 - (z / T) ** 2), z


def test_the_parabolic_hull_has_its_closed_forms() -> None:
    """Wigley's hull, 1934 (formula from memory); the integrals are those of its polynomial.

    Its wetted surface is 0.661 L (2 T + B) for these proportions, by the tables of towing-tank experiments (value
    from memory), and by quadrature.
    """
    found = float_hull(exact_hull(parabola, -0.5 * L, 0.5 * L), 0.0, density=SALT)
    assert found.volume == pytest.approx(4.0 / 9.0 * L * B * T * 1e-9, rel=3e-4)
    assert found.mass == pytest.approx(found.volume * SALT)
    assert found.centre_aft == pytest.approx(0.0, abs=0.1)
    assert found.centre_up == pytest.approx(-3.0 / 8.0 * T, rel=3e-4)
    assert found.waterplane == pytest.approx(2.0 / 3.0 * L * B * 1e-6, rel=3e-4)
    assert found.waterplane_aft == pytest.approx(0.0, abs=0.1)
    assert (found.length, found.breadth) == pytest.approx((L, B), rel=2e-4)
    assert found.draught == pytest.approx(T)
    assert found.section == pytest.approx(2.0 / 3.0 * B * T * 1e-6, rel=3e-4)
    assert found.section_aft == pytest.approx(0.0, abs=25.0)
    assert found.prismatic == pytest.approx(2.0 / 3.0, rel=4e-4)
    assert found.block == pytest.approx(4.0 / 9.0, rel=4e-4)
    assert found.immersion == pytest.approx(SALT * found.waterplane / 1000.0)

    def stretch(z: float, x: float) -> float:
        y_x = -4.0 * B * x / L**2 * (1.0 - (z / T) ** 2)
        y_z = -B * z / T**2 * (1.0 - (2.0 * x / L) ** 2)
        return float(np.sqrt(1.0 + y_x**2 + y_z**2))

    skin = 4.0 * dblquad(stretch, 0.0, 0.5 * L, -T, 0.0)[0] * 1e-6
    assert found.wetted == pytest.approx(skin, rel=3e-4)
    assert found.wetted / (L * (2.0 * T + B) * 1e-6) == pytest.approx(0.661, abs=0.001)
    assert found.transoms == 0.0


def test_simpsons_rule_over_the_published_table_gives_the_same() -> None:
    """The handbook's way: half-breadths summed by Simpson's first rule up each station and then along."""
    text = (Path(__file__).parents[1] / "data" / "parabolic_hull_4000x400x250.csv").read_text("utf-8")
    rows = list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))
    x, z = (sorted({float(row[key]) for row in rows}) for key in ("x_mm", "z_mm"))
    table = {(float(row["x_mm"]), float(row["z_mm"])): float(row["half_breadth_mm"]) for row in rows}
    half = np.array([[table[a, b] for b in z] for a in x])
    assert half.shape == (11, 6)
    by_station = 2.0 * simpson(half, x=z, axis=1)
    volume = float(simpson(by_station, x=x)) * 1e-9
    found = float_hull(exact_hull(parabola, -0.5 * L, 0.5 * L), 0.0, density=SALT)
    assert found.volume == pytest.approx(volume, rel=2e-3)
    assert found.section == pytest.approx(by_station.max() * 1e-6, rel=2e-3)
    assert found.waterplane == pytest.approx(2e-6 * float(simpson(half[:, -1], x=x)), rel=2e-3)


@pytest.fixture(scope="module")
def parabolic_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("parabola")
    parabolic_boat(folder, step=0.0)
    return folder


def _parabolic(folder: Path, into: Path, lines_to: str) -> Hydrostatics:
    into.mkdir()
    for path in folder.glob("*.csv"):
        (into / path.name).write_bytes(path.read_bytes())
    text = changed(
        (folder / "design.toml").read_text("utf-8"), "inside of planking", f"{lines_to} of planking"
    )
    text += '[hydrostatics]\ndesigned_waterline = "-25 mm"\nwater = "fresh"\n'
    (into / "design.toml").write_text(text, encoding="utf-8")
    found = load_boat(into).hydrostatics
    assert found is not None
    return found


@pytest.mark.slow
def test_the_parabolic_hull_from_a_typed_table_is_within_a_tenth_of_a_percent(
    tmp_path: Path, parabolic_folder: Path
) -> None:
    """From the bow to 1600 mm abaft midships, 225 mm deep; the closed forms are integrals of the polynomial."""
    along = np.polynomial.Polynomial([1.0, 0.0, -4.0 / L**2]).integ()
    moment = np.polynomial.Polynomial([0.0, 1.0, 0.0, -4.0 / L**2]).integ()
    up = np.polynomial.Polynomial([1.0, 0.0, -1.0 / T**2])
    run, deep = along(1600.0) - along(-2000.0), up.integ()(-25.0) - up.integ()(-T)
    found = _parabolic(parabolic_folder, tmp_path / "out", "outside")
    assert found.volume == pytest.approx(B * run * deep * 1e-9, rel=1e-3)
    assert found.centre_aft - BOW == pytest.approx((moment(1600.0) - moment(-2000.0)) / run, abs=1.0)
    lift = (up * np.polynomial.Polynomial([0.0, 1.0])).integ()
    assert found.centre_up == pytest.approx((lift(-25.0) - lift(-T)) / deep, abs=0.2)
    assert found.waterplane == pytest.approx(B * up(-25.0) * run * 1e-6, rel=1e-3)
    assert found.breadth == pytest.approx(B * up(-25.0), rel=1e-3)
    assert found.length == pytest.approx(3600.0, rel=1e-3)
    assert found.section == pytest.approx(B * deep * 1e-6, rel=1e-3)
    assert found.gap < 1e-3


@pytest.mark.slow
def test_lines_to_the_inside_displace_the_planking_too(tmp_path: Path, parabolic_folder: Path) -> None:
    """A shell of 6 mm: its volume is skin times thickness, to first order in the thickness."""
    out, inside = (_parabolic(parabolic_folder, tmp_path / to, to) for to in ("outside", "inside"))
    assert inside.volume - out.volume == pytest.approx(0.006 * 0.5 * (out.wetted + inside.wetted), rel=0.03)
    assert inside.breadth - out.breadth == pytest.approx(12.0, rel=0.03)
    assert inside.gap < 1e-4


def round_bar(grows: bool, length: float, radius: float) -> Hydrostatics:
    """A half round bar, or a cone from its tip, floating with its axis in the water's surface."""

    def shape(x: FloatArray, r: FloatArray) -> tuple[FloatArray, FloatArray]:
        size = radius * (x / length if grows else 1.0 + 0.0 * x)
        angle = 0.5 * np.pi * r
        # From the keel up to the axis, then plumb: the share of the height above it is nothing here.
        return size * np.sin(angle), -size * np.cos(angle)

    return float_hull(exact_hull(shape, 0.0, length), -1e-6, density=SALT)


def test_a_cylinder() -> None:
    found = round_bar(False, 3000.0, 400.0)
    assert found.volume == pytest.approx(0.5 * np.pi * 0.4**2 * 3.0, rel=3e-4)
    assert found.centre_up == pytest.approx(-4.0 * 400.0 / (3.0 * np.pi), rel=3e-4)
    assert found.centre_aft == pytest.approx(1500.0, abs=0.1)
    assert found.waterplane == pytest.approx(0.8 * 3.0, rel=3e-4)
    assert found.wetted == pytest.approx(np.pi * 0.4 * 3.0, rel=3e-4)
    assert found.prismatic == pytest.approx(1.0, rel=1e-3)


def test_a_cone() -> None:
    found = round_bar(True, 3000.0, 400.0)
    assert found.volume == pytest.approx(np.pi * 0.4**2 * 3.0 / 6.0, rel=4e-4)
    assert found.centre_aft == pytest.approx(0.75 * 3000.0, rel=1e-4)
    assert found.wetted == pytest.approx(0.5 * np.pi * 0.4 * np.hypot(0.4, 3.0), rel=4e-4)
    assert found.prismatic == pytest.approx(1.0 / 3.0, rel=1e-3)


@pytest.mark.slow
@pytest.mark.parametrize("sections", ["straight", "developable"])
@pytest.mark.parametrize("waterline", [160.0, 300.0])
def test_a_boat_of_planes_is_a_librarys_convex_body(tmp_path: Path, sections: str, waterline: float) -> None:
    plane_boat.write_plane_boat(tmp_path)
    path = tmp_path / "design.toml"
    path.write_text(path.read_text("utf-8").replace('"straight"', f'"{sections}"'), encoding="utf-8")
    found = float_hull(load_boat(tmp_path).hull, waterline, density=SALT)
    volume, middle = body_of_planes(waterline)
    assert found.volume == pytest.approx(volume * 1e-9, rel=2e-4)
    assert (found.centre_aft, found.centre_up) == pytest.approx((middle[0], middle[2]), abs=0.5)
    assert found.after == pytest.approx(plane_boat.TRANSOM_X0 + np.tan(plane_boat.RAKE) * waterline, abs=0.1)
    assert found.fore == pytest.approx(plane_boat.stem_x(waterline), abs=0.5) or waterline < 230.0
    assert found.gap < 1e-4


def test_planes_moved_out_by_the_planking(tmp_path: Path) -> None:
    plane_boat.write_plane_boat(tmp_path)
    path = tmp_path / "design.toml"
    text = changed(path.read_text("utf-8"), '"outside of planking"', '"inside of planking"')
    path.write_text(text, encoding="utf-8")
    found = float_hull(load_boat(tmp_path).hull, 300.0, density=SALT)
    moved = plane_boat.BOTTOM_T, plane_boat.SIDE_T
    assert found.volume == pytest.approx(body_of_planes(300.0, out=moved)[0] * 1e-9, rel=1e-3)
    assert found.volume > 1.04 * body_of_planes(300.0)[0] * 1e-9
    assert found.gap < 1e-4


@pytest.mark.slow
def test_a_curved_transom(tmp_path: Path) -> None:
    """Straight threads fore and aft, from the planes of bow and bottom to the transom's cylinder, summed up."""
    radius, waterline = 1800.0, 300.0
    plane_boat.write_plane_boat(tmp_path, radius=radius)
    found = float_hull(load_boat(tmp_path).hull, waterline, density=SALT)
    step = 0.5
    y, z = np.meshgrid(np.arange(0.5 * step, 890.0, step), np.arange(0.0, waterline, step) + 0.5 * step)
    hollow = (radius - np.sqrt(radius**2 - y**2)) / np.cos(plane_boat.RAKE)
    last = plane_boat.TRANSOM_X0 + np.tan(plane_boat.RAKE) * z - hollow
    bottom = (40.0 + 0.30 * np.maximum(y - 20.0, 0.0) - z) / 0.010
    side = 250.0 + (np.maximum(y - 20.0, 0.0) - 0.16 * (z - 300.0)) / 0.22
    thread = np.maximum(last - np.maximum(bottom, side), 0.0)
    middle = 0.5 * (last + np.maximum(bottom, side))
    volume = 2.0 * float(thread.sum()) * step**2
    assert found.volume == pytest.approx(volume * 1e-9, rel=5e-4)
    assert found.centre_aft == pytest.approx(float((thread * middle).sum() / thread.sum()), abs=1.0)
    assert found.gap < 1e-4


@pytest.mark.slow
def test_a_pram_is_cut_off_by_both_its_transoms(tmp_path: Path) -> None:
    """Sections of two planes, cut off where the raked transoms stand; summed one by one."""
    found = float_hull(load_boat(end_boats.write_pram(tmp_path)).hull, 220.0, density=SALT)
    lean = np.tan(end_boats.BOW_RAKE), np.tan(end_boats.STERN_RAKE)

    def section(x: float) -> list[tuple[float, float]]:
        corners = [f(x) for f in (end_boats._keel, end_boats._chine, end_boats._sheer)]
        least = max((end_boats.BOW_X0 - x) / lean[0], (x - end_boats.STERN_X0) / lean[1])
        if least <= corners[0][1]:
            return corners
        if least >= corners[-1][1]:
            return []
        y, z = np.array(corners).T
        return [(float(np.interp(least, z, y)), least), *(c for c in corners if c[1] > least)]

    _, volume, aft = summed_sections(section, np.linspace(200.0, 2800.0, 2601), 220.0)
    assert found.volume == pytest.approx(volume * 1e-9, rel=3e-4)
    assert found.centre_aft == pytest.approx(aft, abs=0.5)
    assert found.fore == pytest.approx(end_boats.BOW_X0 - lean[0] * 220.0, abs=0.1)
    assert found.transoms > 0.05


@pytest.mark.slow
def test_a_double_ender_floats_in_the_middle(tmp_path: Path) -> None:
    found = float_hull(load_boat(end_boats.write_double_ender(tmp_path)).hull, 250.0, density=SALT)

    def section(x: float) -> list[tuple[float, float]]:
        away = abs(x - end_boats.MIDDLE)
        if away >= end_boats.SHEER_END:
            return []
        low, high = (end_boats.stem_u(z) for z in (end_boats.LEVEL, 700.0))
        keel = end_boats.LEVEL + max(away - low, 0.0) / (high - low) * (700.0 - end_boats.LEVEL)
        chine = [end_boats.chine(x)] if away < end_boats.CHINE_END else []
        return [(end_boats.HALF, keel), *chine, end_boats.sheer(x)]

    _, volume, _ = summed_sections(section, np.linspace(40.0, 3960.0, 1961), 250.0)
    assert found.volume == pytest.approx(volume * 1e-9, rel=1e-3)
    assert found.centre_aft == pytest.approx(end_boats.MIDDLE, abs=0.5)
    assert found.waterplane_aft == pytest.approx(end_boats.MIDDLE, abs=0.5)
    assert found.transoms == 0.0


@pytest.mark.slow
@pytest.mark.parametrize("seed", [0, 2])
def test_an_invented_boat_by_her_sections(tmp_path: Path, seed: int) -> None:
    """From her exact lines, and from her exact table; and Simpson's first rule over eleven sections agrees."""
    boat, waterline = analytic_boat(seed), 230.0
    places = np.linspace(boat.fore_x["sheer"], boat.aft_x["sheer"], 1201)
    areas, volume, aft = summed_sections(analytic_section(boat, cut=True), places, waterline)
    true = float_hull(boat.hull(), waterline, density=SALT)
    assert true.volume == pytest.approx(volume * 1e-9, rel=4e-4)
    assert true.centre_aft == pytest.approx(aft, abs=1.0)
    assert true.section == pytest.approx(areas.max() * 1e-6, rel=1e-3)
    write_table(boat, tmp_path, ROUNDINGS[0], np.random.default_rng(seed))
    typed = float_hull(load_boat(tmp_path).hull, waterline, density=SALT)
    assert typed.volume == pytest.approx(true.volume, rel=2e-3)
    assert typed.centre_aft == pytest.approx(true.centre_aft, abs=4.0)
    # Ten equal spaces from the waterline's fore end to the middle of the wet transom, as one would by hand.
    middle = 0.5 * (waterline + boat.keel_z(boat.aft_x["keel"]))
    ten = np.linspace(true.fore, true.after - np.tan(boat.rake) * (waterline - middle), 11)
    whole, _, _ = summed_sections(analytic_section(boat), ten, waterline)
    assert typed.volume == pytest.approx(float(simpson(whole, x=ten)) * 1e-9, rel=0.02)


@pytest.mark.slow
@pytest.mark.parametrize(("rounding", "part"), [(0, 2e-3), (1, 4e-3)], ids=["exact", "whole mm"])
def test_a_round_bilge_by_plumb_threads(tmp_path: Path, rounding: int, part: float) -> None:
    """From the true surface or the transom, whichever is higher, up to the water, summed over the waterplane."""
    boat, waterline, step = round_boat(2), 300.0, 2.0
    base = boat.base
    x = np.arange(base.fore_x["sheer"] + 0.5, base.aft_x["sheer"], step)[:, None]
    y = np.arange(0.5 * step, 900.0, step)[None, :]
    low = boat.height(x, np.maximum(y, base.half))
    tan = np.tan(base.rake)
    low = np.maximum(low, (x - base.aft_x["keel"]) / tan + base.keel_z(base.aft_x["keel"]))
    thread = np.maximum(waterline - low, 0.0)
    volume = 2.0 * float(thread.sum()) * step**2
    write_round_table(boat, tmp_path, ROUNDINGS[rounding], np.random.default_rng(5))
    found = float_hull(load_boat(tmp_path).hull, waterline, density=SALT)
    assert found.volume == pytest.approx(volume * 1e-9, rel=part)
    assert found.centre_aft == pytest.approx(float((thread * x).sum() / thread.sum()), abs=4.0)
    assert found.centre_up == pytest.approx(
        waterline - 0.5 * float((thread**2).sum() / thread.sum()), abs=0.7
    )
    assert found.waterplane == pytest.approx(2e-6 * float((thread > 0.0).sum()) * step**2, rel=4e-3)


@pytest.mark.slow
@pytest.mark.parametrize("which", ["chine", "round"])
def test_finer_facets_change_next_to_nothing(which: str) -> None:
    """Facets of half the size come nearer by the square: what is left is a third of the last step."""
    boat, waterline = (demo_boat(), 279.4) if which == "chine" else (round_demo(), 250.0)
    coarse, usual, fine = (float_hull(boat.hull, waterline, density=SALT, fine=f) for f in (0.5, 1.0, 2.0))
    for key in ("volume", "waterplane", "wetted", "section", "length", "breadth"):
        assert getattr(usual, key) == pytest.approx(getattr(fine, key), rel=3e-4), key
    assert abs(fine.volume - usual.volume) < 0.4 * abs(usual.volume - coarse.volume)
    assert abs(fine.centre_aft - usual.centre_aft) < 0.1
    assert usual.gap < 5e-4


@pytest.mark.slow
def test_every_figure_is_finite_and_none_is_left_at_nothing() -> None:
    for boat in (demo_boat(), round_demo()):
        found = boat.hydrostatics
        assert found is not None
        values = {field.name: getattr(found, field.name) for field in fields(found)}
        assert all(np.isfinite(value) and (value > 0.0 or key == "gap") for key, value in values.items())


def test_a_hull_with_a_hole_is_seen() -> None:
    """Without her bottom, the two ways to her volume differ; and where her side ends short of the stem."""
    hull = demo_boat().hull
    assert float_hull(hull, 279.4, density=SALT).gap < 1e-4
    assert float_hull(replace(hull, strakes=hull.strakes[1:]), 279.4, density=SALT).gap > 0.02
    side = hull.strakes[1]
    short = replace(side, patches=side.patches[:1])
    assert float_hull(hull, 650.0, density=SALT).gap < 1e-4
    assert float_hull(replace(hull, strakes=(hull.strakes[0], short)), 650.0, density=SALT).gap > 1e-3


def test_a_waterline_clear_of_the_hull_has_no_figures() -> None:
    for height in (20.0, 5000.0):
        with pytest.raises(PatternsError):
            float_hull(demo_boat().hull, height, density=SALT)
