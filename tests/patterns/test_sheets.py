"""Strakes of sheet on whole hulls: normals, sections and bevels by another route; what is said of them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from patterns.boat import load_boat
from patterns.hull.bending import least_radius, most_bulge, most_twist
from patterns.hull.hull import FairCurves, Hull, Strake, TransomShape, build_hull
from patterns.hull.planes import FloatArray, Plane, station_plane
from patterns.hull.sheet_doubts import lie_of_sheets, sheet_warnings
from patterns.hull.sheets import sheet_patches
from tests.patterns.analytic_boats import ROUNDINGS, analytic_boat, write_table
from tests.patterns.exact_hulls import ExactLine, Given
from tests.patterns.plane_boat import write_plane_boat


def _normals_by_differences(patch: object, p: FloatArray, r: FloatArray) -> FloatArray:
    """Unit normals from points alone, (n, 3)."""

    def at(p: FloatArray, r: FloatArray) -> FloatArray:
        return patch.shape(p, r)[0]  # type: ignore[attr-defined,no-any-return]

    normal = np.cross(at(p, r + 1e-3) - at(p, r - 1e-3), at(p + 0.05, r) - at(p - 0.05, r))
    return np.asarray(normal / np.linalg.norm(normal, axis=1, keepdims=True))


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(6))
def test_along_each_ruling_the_normals_agree_to_the_twist_that_is_told(seed: int) -> None:
    for strake in analytic_boat(seed).hull(sections="developable").strakes:
        told = most_twist(strake).much
        worst = 0.0
        for patch in strake.patches:
            p = np.linspace(patch.start, patch.end, 201)[8:-3]
            low, middle, high = (
                _normals_by_differences(patch, p, np.full_like(p, r)) for r in (0.01, 0.5, 0.99)
            )
            for a, b in ((low, middle), (middle, high), (low, high)):
                worst = max(worst, float(np.arccos(np.clip(np.sum(a * b, axis=1), -1.0, 1.0)).max()))
            assert (middle[:, 1] > 0.0).all()
        assert worst <= told * 1.02 + np.radians(0.02)


def _mesh_section(strake: Strake, plane: Plane, inset: float) -> tuple[FloatArray, FloatArray]:
    """The section by straight pieces between thousands of rulings, and the bevel on each, from points alone."""
    ends, bevels = [], []
    for patch in strake.patches:
        p = np.linspace(patch.start, patch.end, 6001)
        a, b = (patch.shape(p, np.full_like(p, r))[0] for r in (0.0, 1.0))
        middle = 0.5 * (a + b)
        d = (b - a)[1:-1]
        normal = np.cross(d, middle[2:] - middle[:-2])
        normal /= np.linalg.norm(normal, axis=1, keepdims=True)
        a, b = a[1:-1] - inset * normal, b[1:-1] - inset * normal
        over_a, over_b = plane.height_over(a), plane.height_over(b)
        met = (over_a <= 0.0) != (over_b <= 0.0)
        share = (over_a / (over_a - over_b))[met, None]
        ends.append(plane.flat(a[met] + share * (b - a)[met]))
        bevels.append(np.arccos(normal[met] @ plane.normal))
    uv, bevel = np.vstack(ends), np.concatenate(bevels)
    order = np.argsort(uv[:, 1])
    return uv[order], bevel[order]


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 8, 9])
def test_sections_and_bevels_agree_with_the_cut_of_thousands_of_rulings(seed: int) -> None:
    hull = analytic_boat(seed).hull(sections="developable")
    for x, rake in ((1100.0, 0.0), (1700.0, 8.0), (2900.0, 0.0)):
        plane = station_plane(x, rake=np.radians(rake))
        for strake in hull.strakes:
            uv, bevel = _mesh_section(strake, plane, strake.inset)
            trace = strake.across(plane, inset=strake.inset)
            assert trace is not None
            order = np.argsort(trace.uv[:, 1])
            v, u = trace.uv[order, 1], trace.uv[order, 0]
            inside = (trace.r[order] > 0.03) & (trace.r[order] < 0.97)
            inside &= (v > uv[0, 1]) & (v < uv[-1, 1])
            assert inside.sum() > 60
            assert u[inside] == pytest.approx(np.interp(v[inside], uv[:, 1], uv[:, 0]), abs=0.05)
            told = trace.bevel(plane.normal)[order][inside]
            assert told == pytest.approx(np.interp(v[inside], uv[:, 1], bevel), abs=np.radians(0.05))


@pytest.mark.slow
def test_planes_are_planked_as_straight_sections_would_be(tmp_path: Path) -> None:
    straight = load_boat(write_plane_boat(tmp_path / "straight")).hull
    folder = write_plane_boat(tmp_path / "sheet")
    design = folder / "design.toml"
    design.write_text(design.read_text().replace('"straight"', '"developable"'))
    boat = load_boat(folder)
    assert not sheet_warnings(boat.hull)
    for one, other in zip(straight.strakes, boat.hull.strakes, strict=True):
        plane = station_plane(2000.0)
        a, b = (strake.across(plane, inset=strake.inset) for strake in (one, other))
        assert a is not None
        assert b is not None
        share = np.linspace(a.uv[10, 0], a.uv[-10, 0], 30)
        assert np.interp(share, b.uv[:, 0], b.uv[:, 1]) == pytest.approx(
            np.interp(share, a.uv[:, 0], a.uv[:, 1]), abs=1e-5
        )
        assert most_twist(other).much < 1e-6
        assert abs(most_bulge(other, boat.hull).much) < 1e-5


def _twisted() -> Hull:
    """A strake between two straight lines that no plane holds: nothing but a twisted surface joins them."""

    def line(name: float, y0: float, y1: float, z0: float, z1: float) -> ExactLine:
        return ExactLine(
            lambda x: x,
            lambda x: y0 + (y1 - y0) * x / 3000.0,
            lambda x: z0 + (z1 - z0) * x / 3000.0,
            0.0,
            3000.0,
        )

    return build_hull(
        FairCurves(
            profile=line(0, 20.0, 20.0, 100.0, 100.0),
            lines={"sheer": line(1, 20.0, 600.0, 500.0, 130.0)},
            keel="keel",
        ),
        (Given("side", ("keel", "sheer"), 6.0, "developable"),),
        stern=TransomShape(0.0),
    )


def test_where_no_sheet_lies_true_the_strake_the_place_and_the_choice_are_named() -> None:
    (problem,) = sheet_warnings(_twisted())
    assert problem.code == "sheet-twisted"
    assert 'strake "side", key sections' in problem.place
    assert "no sheet lies true between keel and sheer" in problem.what
    assert "mm aft" in problem.what
    assert "straight sections" in problem.what
    assert 'sections = "straight"' in problem.want


@pytest.mark.slow
def test_a_hull_whose_sheets_lie_true_is_not_warned_of() -> None:
    assert not sheet_warnings(analytic_boat(9).hull(sections="developable"))


@pytest.mark.slow
def test_check_says_how_each_sheet_lies(tmp_path: Path) -> None:
    folder = write_plane_boat(tmp_path)
    design = folder / "design.toml"
    design.write_text(design.read_text().replace('"straight"', '"developable"'))
    words = list(lie_of_sheets(load_boat(folder).hull))
    assert len(words) == 2
    assert words[0].startswith("bottom, as a sheet bends: twist at most 0.00°")


def _round(radius: tuple[float, float]) -> Strake:
    """A strake on a round cylinder or cone about the x axis, from radius to radius in 600 mm."""

    def line(distance: float, far: float) -> ExactLine:
        return ExactLine(
            lambda a: distance + 0.0 * a,
            lambda a: far * np.cos(a),
            lambda a: far * np.sin(a),
            -0.5,
            0.5,
            straight_x=False,
        )

    low, high = line(600.0, radius[0]), line(0.0, radius[1])
    return Strake(
        name="side",
        lower="keel",
        upper="sheer",
        planking=6.0,
        inset=6.0,
        patches=sheet_patches(low, None, high, on_profile=(-0.5, 0.5), joints=(-0.5, 0.5))[0],
    )


def test_the_least_radius_is_the_cylinders_own() -> None:
    assert least_radius(_round((900.0, 900.0))).much == pytest.approx(900.0, rel=2e-3)


def test_the_least_radius_of_a_cone_lies_on_its_small_end() -> None:
    """Square to its rulings a round cone of radius r bends to r / cos(half angle), here of tan 1/6."""
    sharpest = least_radius(_round((800.0, 700.0)))
    assert sharpest.much == pytest.approx(700.0 * np.hypot(1.0, 1.0 / 6.0), rel=2e-3)
    assert sharpest.at[0] == pytest.approx(0.0, abs=1e-6)


@pytest.mark.slow
@pytest.mark.parametrize("seed", [0, 5])
def test_sections_of_a_bottom_that_flattens_aft_are_convex(seed: int, tmp_path: Path) -> None:
    """Where a sheet's rulings lean out of the station its section is bent outward of the straight line."""
    write_table(analytic_boat(seed), tmp_path, ROUNDINGS[0], np.random.default_rng(0))
    design = tmp_path / "design.toml"
    design.write_text(design.read_text().replace('"straight"', '"developable"'))
    hull = load_boat(tmp_path).hull
    bottom = hull.strakes[0]
    for x in (900.0, 1300.0, 2000.0):
        trace = bottom.across(station_plane(x), inset=0.0)
        assert trace is not None
        own = trace.uv[(trace.r >= 0.0) & (trace.r <= 1.0)]
        way = (own[-1] - own[0]) / np.hypot(*(own[-1] - own[0]))
        outward = (own - own[0]) @ np.array([way[1], -way[0]])
        assert outward[1:-1].min() > 0.0
        (ax, ay), (bx, by) = np.diff(own[:-1], axis=0).T, np.diff(own[1:], axis=0).T
        assert (ax * by - ay * bx > -1e-6).all()
    most = most_bulge(bottom, hull)
    assert 10.0 < most.much < 40.0
    # The section there, cut by its plane, stands as far outside of its own chord; and so it is told.
    trace = bottom.across(station_plane(float(most.at[0])), inset=0.0)
    assert trace is not None
    own = trace.uv[(trace.r >= 0.0) & (trace.r <= 1.0)]
    way = (own[-1] - own[0]) / np.hypot(*(own[-1] - own[0]))
    assert ((own - own[0]) @ np.array([way[1], -way[0]])).max() == pytest.approx(most.much, abs=0.2)
    told = f"lies {most.much:.1f} mm outside of straight sections {most.at[0]:.0f} mm aft"
    assert told in next(iter(lie_of_sheets(hull)))
