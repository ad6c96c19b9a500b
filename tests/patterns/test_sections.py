"""Sections against closed forms: planes and their dihedral angles, cones, cylinders."""

from __future__ import annotations

import csv
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns.hull.hull import FairCurves, Hull, TransomShape, build_hull
from patterns.hull.planes import FloatArray, station_plane
from patterns.hull.sections import cut_hull
from tests.patterns.exact_hulls import (
    BOTTOM_NORMAL,
    SIDE_NORMAL,
    ExactLine,
    Given,
    bottom_inside,
    plane_sided,
    side_inside,
)


@pytest.mark.parametrize("rake", [0.0, 12.0, -8.0])
@pytest.mark.parametrize("x", [600.0, 2000.0, 3900.0])
def test_every_point_lies_on_the_inside_face_of_a_plane_sided_hull(x: float, rake: float) -> None:
    hull = plane_sided()
    section = cut_hull(hull, station_plane(x, rake=np.radians(rake)))
    bottom = section.plane.space(section.traces["bottom"].uv)
    side = section.plane.space(section.traces["side"].uv)
    assert np.abs(bottom_inside(bottom, 9.0)).max() < 1e-6
    assert np.abs(side_inside(side, 6.0)).max() < 1e-6
    corner = section.plane.space(section.corners[0].at)
    assert abs(bottom_inside(corner, 9.0)) < 1e-6
    assert abs(side_inside(corner, 6.0)) < 1e-6
    assert abs(section.apex[0]) < 1e-9


@pytest.mark.parametrize("rake", [0.0, 12.0])
def test_bevels_of_a_plane_sided_hull_are_the_dihedral_angle(rake: float) -> None:
    """Source: between planes with outward normals m, n the angle through the wood is 180 deg - acos(m.n)."""
    hull = plane_sided()
    plane = station_plane(2000.0, rake=np.radians(rake))
    section = cut_hull(hull, plane)
    for name, normal in (("bottom", BOTTOM_NORMAL), ("side", SIDE_NORMAL)):
        for siding, moulded_face_out in ((plane.normal, -plane.normal), (-plane.normal, plane.normal)):
            closed = np.pi - np.arccos(moulded_face_out @ normal)
            assert np.abs(section.traces[name].bevel(siding) - closed).max() < np.radians(1e-6)


RADIUS, SPLAY = 3000.0, 0.25


def _cylinder_side() -> Hull:
    """A side strake on a circular cylinder whose straight elements lie in planes square to x.

    The elements run along (0, SPLAY, 1); the circle lies square to them.  The bottom strake below it is flat.
    """
    lean = np.sqrt(1.0 + SPLAY**2)

    def y_at(x: FloatArray, z: float) -> FloatArray:
        return 700.0 + lean * (np.sqrt(RADIUS**2 - (x - 2000.0) ** 2) - RADIUS) + SPLAY * z

    def line(z: float) -> ExactLine:
        return ExactLine(lambda x: x, lambda x: y_at(x, z), lambda x: z + 0.0 * x, 800.0, 3200.0)

    profile = ExactLine(lambda x: x, lambda x: 0.0 * x, lambda x: 20.0 + 0.0 * x, 800.0, 3200.0)
    return build_hull(
        FairCurves(profile=profile, lines={"chine": line(150.0), "sheer": line(620.0)}, keel="keel"),
        (Given("bottom", ("keel", "chine"), 9.0), Given("side", ("chine", "sheer"), 12.0)),
        stern=TransomShape(0.0),
    )


@pytest.mark.parametrize("rake", [0.0, 12.0])
@pytest.mark.parametrize("x", [1000.0, 1500.0, 2600.0])
def test_inside_of_planking_on_a_cylinder_is_a_cylinder_of_less_radius(x: float, rake: float) -> None:
    """Closed form: a circular cylinder moved inward by t is a cylinder of radius R - t about the same axis."""
    plane = station_plane(x, rake=np.radians(rake))
    trace = cut_hull(_cylinder_side(), plane).traces["side"]
    points = plane.space(trace.uv)
    element = np.array([0.0, SPLAY, 1.0]) / np.hypot(SPLAY, 1.0)
    # The axis passes through the circle's centre on the section's lean: square distance R in from the side.
    lean = np.hypot(SPLAY, 1.0)
    on_axis = np.array([2000.0, 700.0 - lean * RADIUS, 0.0])
    arm = points - on_axis
    radial = arm - (arm @ element)[:, None] * element
    distance = np.linalg.norm(radial, axis=1)
    assert np.abs(distance - (RADIUS - 12.0)).max() < 0.01
    normal = radial / distance[:, None]
    closed = np.arccos(normal @ plane.normal)
    assert np.abs(trace.bevel(plane.normal) - closed).max() < np.radians(0.001)


def test_a_cone_of_narrow_strakes_has_the_cone_s_outline_and_bevel() -> None:
    """A right circular cone about a level axis along x, half angle 10 degrees, in strakes of 1.2 degrees.

    Closed forms: in a plane square to the axis the inside of planking is a circle of radius
    x tan a - t / cos a; the bevel through the wood is 90 degrees less or more the half angle.
    """
    alpha, t = np.radians(10.0), 9.0
    steps = np.radians(np.arange(-80.0, -79.9 + 1.2 * 20, 1.2))
    axis = 900.0

    def line(phi: float) -> ExactLine:
        return ExactLine(
            lambda x: x,
            lambda x: x * np.tan(alpha) * np.cos(phi),
            lambda x: axis + x * np.tan(alpha) * np.sin(phi),
            1500.0,
            4000.0,
        )

    names = [f"line {i}" for i in range(len(steps))]
    lines = {name: line(phi) for name, phi in zip(names, steps, strict=True)}
    strakes = [Given(f"strake {i}", (names[i], names[i + 1]), t) for i in range(len(names) - 1)]
    hull = build_hull(
        FairCurves(profile=lines[names[0]], lines=dict(list(lines.items())[1:]), keel=names[0]),
        tuple(strakes),
        stern=TransomShape(0.0),
    )
    plane = station_plane(3000.0)
    section = cut_hull(hull, plane)
    inside = np.vstack([section.traces[f"strake {i}"].uv for i in range(1, 19)])
    radius = np.hypot(inside[:, 0], inside[:, 1] - axis)
    assert np.abs(radius - (3000.0 * np.tan(alpha) - t / np.cos(alpha))).max() < 0.05
    for i in range(1, 19):
        bevel = section.traces[f"strake {i}"].bevel(-plane.normal)
        assert np.abs(np.degrees(bevel) - 80.0).max() < 0.02
        assert np.abs(np.degrees(section.traces[f"strake {i}"].bevel(plane.normal)) - 100.0).max() < 0.02


def test_planking_is_deducted_by_more_than_its_thickness() -> None:
    """Thickness over the cosine of the departure, 12 mm plank.

    Source: The Gougeon Brothers on Boat Construction, ch. 16 (a stick of plank thickness on the bevel board);
    values computed: 5 deg 12.04584, 10 deg 12.18512, 17 deg 12.54830, 20 deg 12.77013, 30 deg 13.85641 mm.
    """
    for degrees, deducted in ((5, 12.04584), (10, 12.18512), (17, 12.54830), (20, 12.77013), (30, 13.85641)):
        slope = np.tan(np.radians(degrees))

        def upright(z: float, slope: float = slope) -> ExactLine:
            return ExactLine(lambda x: x, lambda x: 100.0 + slope * x, lambda x: z + 0.0 * x, 500.0, 3000.0)

        keel = ExactLine(lambda x: x, lambda x: 0.0 * x, lambda x: 0.0 * x, 500.0, 3000.0)
        hull = build_hull(
            FairCurves(profile=keel, lines={"chine": upright(100.0), "sheer": upright(600.0)}, keel="keel"),
            (Given("bottom", ("keel", "chine"), 9.0), Given("side", ("chine", "sheer"), 12.0)),
            stern=TransomShape(0.0),
        )
        side = cut_hull(hull, station_plane(1800.0)).traces["side"].uv
        outside = 100.0 + slope * 1800.0
        assert np.abs(outside - side[:, 0] - deducted).max() < 1e-5


def _near_flat(degrees: float) -> FloatArray:
    """Half the outline, (n, 2), of a prism whose side leans so much from its bottom's own direction."""
    bottom = np.radians(30.0)
    side = bottom + np.radians(degrees)
    chine = 500.0 * np.array([np.cos(bottom), np.sin(bottom)])
    sheer = chine + 500.0 * np.array([np.cos(side), np.sin(side)])

    def line(y: float, z: float) -> ExactLine:
        return ExactLine(lambda x: x, lambda x: y + 0.0 * x, lambda x: z + 0.0 * x, 500.0, 3000.0)

    hull = build_hull(
        FairCurves(profile=line(0.0, 0.0), lines={"chine": line(*chine), "sheer": line(*sheer)}, keel="keel"),
        (Given("bottom", ("keel", "chine"), 9.0), Given("side", ("chine", "sheer"), 6.0)),
        stern=TransomShape(0.0),
    )
    return cut_hull(hull, station_plane(1800.0)).outline()


@pytest.mark.slow
def test_where_side_and_bottom_come_into_one_plane_the_section_changes_by_little_at_a_time() -> None:
    """By what a turn of 0.2 degrees does to a side of 500 mm, 1.75 mm at its upper edge, and little more."""
    outlines = [shapely.LineString(_near_flat(degrees)) for degrees in np.arange(-14.0, 14.05, 0.2)]
    assert max(shapely.hausdorff_distance(a, b) for a, b in pairwise(outlines)) < 2.3
    assert all(outline.is_simple for outline in outlines)  # none crosses itself


@pytest.mark.parametrize("degrees", [25.0, 12.5])
def test_a_chine_that_is_a_corner_has_its_insides_meet(degrees: float) -> None:
    """Closed form: (t1 - t2 cos a) / sin a along the bottom's inside from the foot of the chine."""
    outline = _near_flat(degrees)
    bottom, lean = np.radians(30.0), np.radians(degrees)
    along = np.array([np.cos(bottom), np.sin(bottom)])
    inward = np.array([-along[1], along[0]])
    corner = 500.0 * along + 9.0 * inward + (9.0 * np.cos(lean) - 6.0) / np.sin(lean) * along
    assert np.hypot(*(outline - corner).T).min() < 0.01


@pytest.mark.parametrize("lines_outside", [True, False])
def test_lines_given_to_the_inside_are_not_deducted(lines_outside: bool) -> None:
    keel = ExactLine(lambda x: x, lambda x: 0.0 * x, lambda x: 0.0 * x, 500.0, 3000.0)

    def upright(z: float) -> ExactLine:
        return ExactLine(lambda x: x, lambda x: 400.0 + 0.0 * x, lambda x: z + 0.0 * x, 500.0, 3000.0)

    hull = build_hull(
        FairCurves(
            profile=keel,
            lines={"chine": upright(100.0), "sheer": upright(600.0)},
            keel="keel",
            outside=lines_outside,
        ),
        (Given("bottom", ("keel", "chine"), 9.0), Given("side", ("chine", "sheer"), 12.0)),
        stern=TransomShape(0.0),
    )
    side = cut_hull(hull, station_plane(1800.0)).traces["side"].uv
    assert np.allclose(side[:, 0], 388.0 if lines_outside else 400.0, atol=1e-9)


def test_a_raked_plane_shows_true_heights() -> None:
    """Heights on a plane raked 12 degrees grow by 1 / cos 12 deg = 1.02234 (trigonometry; common practice)."""
    upright = cut_hull(plane_sided(), station_plane(2000.0))
    raked = cut_hull(plane_sided(), station_plane(2000.0, rake=np.radians(12.0)))
    z = raked.plane.space(raked.corners[-1].at)[2]
    assert raked.corners[-1].at[1] == pytest.approx(z * 1.0223406, rel=1e-6)
    assert upright.corners[-1].at[1] == pytest.approx(upright.plane.space(upright.corners[-1].at)[2])


def _parabolic_points() -> list[dict[str, float]]:
    text = (Path(__file__).parents[1] / "data" / "parabolic_hull_4000x400x250.csv").read_text(
        encoding="utf-8"
    )
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    points = [{key: float(value) for key, value in row.items()} for row in rows]
    # Not the ends, where the hull has no breadth, nor the keel and the load waterline, where it has one side only.
    return [p for p in points if abs(p["x_mm"]) < 1700.0 and -240.0 < p["z_mm"] < -10.0]


@pytest.mark.slow
@pytest.mark.parametrize("point", _parabolic_points(), ids=lambda p: f"x {p['x_mm']:.0f} z {p['z_mm']:.0f}")
def test_half_breadths_and_bevels_of_a_parabolic_hull(point: dict[str, float]) -> None:
    """A narrow strake between two waterlines of the parabolic hull, cut at its published points.

    Source: Wigley 1934, y = B/2 (1 - (2x/L)^2)(1 - (z/T)^2) (formula from memory; the values in the data file are
    computed from it, with the departure from square atan(|y_x| / sqrt(1 + y_z^2)), L 4000, B 400, T 250 mm).
    """

    def waterline(z: float) -> ExactLine:
        return ExactLine(
            lambda x: x,
            lambda x: 200.0 * (1.0 - (x / 2000.0) ** 2) * (1.0 - (z / 250.0) ** 2),
            lambda x: z + 0.0 * x,
            -1900.0,
            1900.0,
        )

    keel = ExactLine(lambda x: x, lambda x: 0.0 * x, lambda x: -250.0 + 0.0 * x, -1900.0, 1900.0)
    z = point["z_mm"]
    hull = build_hull(
        FairCurves(
            profile=keel,
            lines={"chine": waterline(z - 1.0), "sheer": waterline(z + 1.0)},
            keel="keel",
            outside=False,
        ),
        (Given("bottom", ("keel", "chine"), 9.0), Given("side", ("chine", "sheer"), 9.0)),
        stern=TransomShape(0.0),
    )
    plane = station_plane(point["x_mm"])
    trace = cut_hull(hull, plane).traces["side"]
    middle = int(np.abs(trace.uv[:, 1] - z).argmin())
    assert trace.uv[middle, 0] == pytest.approx(point["half_breadth_mm"], abs=0.01)
    departure = abs(90.0 - np.degrees(trace.bevel(plane.normal)[middle]))
    assert departure == pytest.approx(point["bevel_deg"], abs=0.02)
