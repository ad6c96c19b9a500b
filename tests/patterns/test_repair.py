"""A frame measured in the boat: recovered from a known hull by every method, exact and rounded."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from patterns.errors import DesignError
from patterns.hull.planes import FloatArray
from patterns.repair.outline import Edge
from patterns.repair.repair import Repair, load_repair
from patterns.repair.report import repair_report
from patterns.repair.side_by_side import side_differences
from tests.patterns import plane_boat
from tests.patterns.folders import codes_of, says
from tests.patterns.repair_boats import (
    METHODS,
    NAILS,
    Method,
    bevel,
    by_board,
    by_half_breadth,
    by_nails,
    by_plumb,
    by_two_nails,
    off,
    rows,
    section,
    to_mm,
    to_sixteenths,
    write_repair,
)

NEIGHBOURS = (
    '[[neighbour]]\nname = "3"\nstands = "forward"\nspacing = "{fore} mm"\npoints = "three.csv"\n'
    '[[neighbour]]\nname = "5"\nstands = "aft"\nspacing = "{aft} mm"\npoints = "five.csv"\n'
)
SISTER = '[[piece]]\nkind = "sister"\nside = "starboard"\nagainst = "{face} face"\n'


def _worst(edge: Edge, x: float) -> float:
    return max(float(off(x, stretch.name, stretch.points).max()) for stretch in edge.stretches)


def _with_neighbours(
    folder: Path, *, fore: float = 400.0, aft: float = 450.0, more: str = "", spec: str = ""
) -> Repair:
    write_repair(folder, rows(by_half_breadth), NEIGHBOURS.format(fore=fore, aft=aft) + more, spec=spec)
    (folder / "three.csv").write_text(rows(by_plumb, x=-fore), encoding="utf-8")
    (folder / "five.csv").write_text(rows(by_board, x=aft), encoding="utf-8")
    return load_repair(folder)


@pytest.mark.slow
@pytest.mark.parametrize("method", METHODS)
def test_exact_measurements_give_the_true_section(tmp_path: Path, method: Method) -> None:
    repair = load_repair(write_repair(tmp_path, rows(method)))
    for edge in repair.edges_of.values():
        assert _worst(edge, 0.0) < 0.01
    assert not repair.doubts


@pytest.mark.slow
@pytest.mark.parametrize("method", [by_half_breadth, by_plumb, by_board, by_nails])
@pytest.mark.parametrize("say", [to_mm, to_sixteenths])
def test_rounded_measurements_give_it_within_a_millimetre(
    tmp_path: Path, method: Method, say: object
) -> None:
    repair = load_repair(write_repair(tmp_path, rows(method, say=say)))  # type: ignore[arg-type]
    for edge in repair.edges_of.values():
        assert _worst(edge, 0.0) < 1.0
    assert not repair.doubts


@pytest.mark.slow
def test_where_distances_meet_flatly_the_edge_is_said_to_be_known_less(tmp_path: Path) -> None:
    """Two nails plumb over each other see the heel and the head at flat angles; three see them squarer."""

    def known(method: Method) -> float:
        repair = load_repair(write_repair(tmp_path / method.__name__, rows(method, say=to_sixteenths)))
        assert all(_worst(edge, 0.0) < 2.0 for edge in repair.edges_of.values())
        return max(span.half_width for span in repair.spans)

    assert known(by_two_nails) > 1.1 * known(by_nails)


@pytest.mark.slow
def test_the_chine_is_a_corner_and_is_not_faired_through(tmp_path: Path) -> None:
    edge = load_repair(write_repair(tmp_path, rows(METHODS))).edges_of["starboard"]
    assert edge.corners == ("heel", "chine", "sheer")
    assert np.allclose(edge.corner_places[1], section(0.0, "bottom", 1.0), atol=0.01)
    below, above = edge.stretches[0].out[-1], edge.stretches[1].out[0]
    true = [
        np.diff(section(0.0, name, t), axis=0)[0]
        for name, t in (("bottom", [0.999, 1.0]), ("side", [0, 0.001]))
    ]
    angle = np.arccos(true[0] @ true[1] / np.linalg.norm(true[0]) / np.linalg.norm(true[1]))
    assert np.arccos(below @ above) == pytest.approx(angle, abs=0.002)


@pytest.mark.slow
def test_clinker_lands_keep_their_steps(tmp_path: Path) -> None:
    """Planks as straight lines with a step of 9 mm between each two: every corner comes back."""
    corners = [(30.0, 50.0)]
    for out, up in ((150.0, 40.0), (130.0, 90.0), (80.0, 140.0)):
        corners.append((corners[-1][0] + out, corners[-1][1] + up))
        square = np.array([up, -out]) / np.hypot(out, up)
        corners.append(tuple(np.array(corners[-1]) + 9.0 * square))
    corners.pop()
    lines = ["side,edge,point,method,from,a,b,corner"]
    for i, (out, up) in enumerate(corners):
        plank = f"plank {i // 2 + 1}" if i % 2 else f"land {i // 2}"
        lines.append(f"starboard,{plank},{i + 1},half-breadth,,{out:.6f} mm,{up:.6f} mm,land")
    edge = load_repair(write_repair(tmp_path, "\n".join(lines))).edges_of["starboard"]
    assert len(edge.stretches) == len(corners) - 1
    assert np.allclose(edge.corner_places, corners, atol=1e-5)
    assert all(len(stretch.points) == 2 for stretch in edge.stretches)


@pytest.mark.slow
def test_a_straight_edge_is_the_best_straight_line(tmp_path: Path) -> None:
    """Noise on six points of a straight bottom: the line is that of least squares (numpy.polyfit)."""
    rng = np.random.default_rng(3)
    y = np.linspace(20.0, 520.0, 6)
    z = 40.0 + 0.2 * y + rng.normal(0.0, 1.0, 6)
    lines = ["side,edge,point,method,from,a,b,corner"]
    lines += [
        f"port,bottom,{i},half-breadth,,{a:.6f} mm,{b:.6f} mm,"
        for i, (a, b) in enumerate(zip(y, z, strict=True))
    ]
    more = '[[edge]]\nname = "bottom"\nstraight = true\n[fairing]\nallow = "1/8 in"\n'
    folder = write_repair(tmp_path, "\n".join(lines), more)
    edge = load_repair(folder).edges_of["port"]
    slope = np.diff(edge.points, axis=0)[0]
    assert len(edge.points) == 2
    assert slope[1] / slope[0] == pytest.approx(np.polyfit(y, z, 1)[0], abs=2e-3)


@pytest.mark.slow
@pytest.mark.parametrize("both", [True, False])
def test_bevels_by_neighbours_on_a_cone_are_exact(tmp_path: Path, both: bool) -> None:
    """Sections are circles about one centre whose radius grows by 0.12 a mm aft: the bevel is 90 deg + atan 0.12.

    Source: the half angle of a right cone.
    """

    def circle(radius: float) -> str:
        lines = ["side,edge,point,method,from,a,b,corner"]
        for i, t in enumerate(np.linspace(0.15, 1.5, 14)):
            at = radius * np.sin(t), 900.0 - radius * np.cos(t)
            lines.append(f"port,bilge,{i},half-breadth,,{at[0]:.7f} mm,{at[1]:.7f} mm,")
        return "\n".join(lines)

    more = NEIGHBOURS.format(fore=300.0, aft=250.0)
    more = more if both else more[: more.rindex("[[neighbour]]")]
    folder = write_repair(tmp_path, circle(700.0), more + '[fairing]\nallow = "0"\n')
    (folder / "three.csv").write_text(circle(700.0 - 0.12 * 300.0), encoding="utf-8")
    (folder / "five.csv").write_text(circle(700.0 + 0.12 * 250.0), encoding="utf-8")
    edge = load_repair(folder).edges_of["port"]
    stretch = edge.stretches[0]
    # Looking forward one goes through the old wood forward, where the boat grows less.
    assert np.allclose(stretch.bevel(0.0, 1.0), 0.5 * np.pi - np.arctan(0.12), atol=2e-3)
    assert np.allclose(stretch.bevel(0.0, -1.0), 0.5 * np.pi + np.arctan(0.12), atol=2e-3)
    radius = np.hypot(stretch.points[:, 0], stretch.points[:, 1] - 900.0)
    # Between the last two points at either end nothing says how the bend changes.
    assert np.abs(radius - 700.0).max() < 0.15
    assert np.median(np.abs(radius - 700.0)) < 0.01
    far = edge.at_depth(25.0).points
    assert np.abs(np.hypot(far[:, 0], far[:, 1] - 900.0) - 697.0).max() < 0.15


def test_bevels_by_neighbours_on_a_twisted_hull(tmp_path: Path) -> None:
    edge = _with_neighbours(tmp_path).edges_of["starboard"]
    for stretch in edge.stretches:
        angles = stretch.bevel(0.0, 1.0)
        for share, i in ((0.0, 0), (0.5, len(angles) // 2), (1.0, -1)):
            true = bevel(stretch.name, share, aft=-1.0)
            assert np.degrees(angles[i] - true) == pytest.approx(0.0, abs=0.1)


@pytest.mark.slow
@pytest.mark.parametrize(("face", "near", "far"), [("measured", 0.0, 25.0), ("other", -25.0, -50.0)])
def test_a_sister_is_a_section_of_its_own(tmp_path: Path, face: str, near: float, far: float) -> None:
    """Its near face is the section in the plane of the old frame's face, its far face the one a siding further."""
    from patterns.repair.subject import RepairSubject

    repair = _with_neighbours(tmp_path, more=SISTER.format(face=face))
    sister = next(p for p in RepairSubject(repair).patterns() if p.member == "sister")
    assert sister.plane is not None
    assert sister.plane.origin[0] == near
    for edge in sister.edges:
        x = near if edge.face == "moulded face" else far
        assert off(x, edge.strake, edge.uv).max() < 0.1
        share = 0.5
        true = bevel(edge.strake, share, x=x, aft=np.sign(far - near))
        middle = edge.bevel[len(edge.bevel) // 2]
        assert np.degrees(middle - true) == pytest.approx(0.0, abs=0.15)
    copy = next(edge for edge in sister.edges if edge.face == "other face" and edge.strake == "side")
    assert off(near, "side", copy.uv).max() > 1.0  # a copy of the near face would not fit there


@pytest.mark.slow
def test_gauge_and_neighbours_that_disagree_are_doubted(tmp_path: Path) -> None:
    folder = write_repair(
        tmp_path,
        rows(
            by_half_breadth,
            gauge=lambda edge, share: "97 deg" if edge == "side" and 0.1 < share < 0.9 else "",
        ),
        NEIGHBOURS.format(fore=400, aft=450),
    )
    (folder / "three.csv").write_text(rows(by_plumb, x=-400.0), encoding="utf-8")
    (folder / "five.csv").write_text(rows(by_board, x=450.0), encoding="utf-8")
    repair = load_repair(folder)
    assert set(codes_of(repair.warnings)) & {"suspect-bevel", "bevels-reversed"}
    bottom = repair.edges_of["port"].stretches[0]
    assert np.degrees(bottom.bevel(0.0, 1.0)[0]) == pytest.approx(
        np.degrees(bevel("bottom", 0.0, aft=-1.0)), abs=0.5
    )


@pytest.mark.slow
def test_bevels_are_faired_along_the_edge(tmp_path: Path) -> None:
    """Readings of a bevel that turns evenly, each rounded to half a degree: between and beyond them it goes on."""

    def angle(share: float) -> float:
        return 88.0 + 6.0 * share

    def gauge(edge: str, share: float) -> str:
        read = edge == "bottom" and 0.1 < share < 0.9
        return f"{round(2.0 * angle(share)) / 2.0} deg" if read else ""

    points = rows(by_half_breadth, gauge=gauge)
    stretch = load_repair(write_repair(tmp_path, points)).edges_of["port"].stretches[0]
    angles, run = np.degrees(stretch.bevel(0.0, 1.0)), stretch.run / stretch.run[-1]
    assert angles == pytest.approx(angle(run), abs=0.7)
    assert np.interp(0.5, run, angles) == pytest.approx(angle(0.5), abs=0.3)


def _plane_points(x: float) -> str:
    chine, sheer = np.array(plane_boat.chine(x)), np.array(plane_boat.sheer(x))
    heel = np.array([plane_boat.HALF, plane_boat.keel_z(x)])
    lines = ["side,edge,point,method,from,a,b,corner"]
    for name, a, b in (("bottom", heel, chine), ("side", chine, sheer)):
        for share in np.linspace(0.0, 1.0, 5)[1 if name == "side" else 0 :]:
            at = a + share * (b - a)
            corner = "chine" if name == "bottom" and share == 1.0 else ""
            lines.append(
                f"starboard,{name},{len(lines)},half-breadth,,{at[0]:.7f} mm,{at[1]:.7f} mm,{corner}"
            )
    return "\n".join(lines)


@pytest.mark.slow
def test_planking_measured_outside_is_taken_off_square_to_it(tmp_path: Path) -> None:
    """On planes: every point of the frame's edge lies one thickness inside, square to the plane, bevel and all."""
    folder = write_repair(
        tmp_path,
        _plane_points(1500.0),
        NEIGHBOURS.format(fore=400, aft=400),
        spec='measured = "outside of planking"\nplanking = "9 mm"\nlooking = "aft"',
    )
    (folder / "three.csv").write_text(_plane_points(1100.0), encoding="utf-8")
    (folder / "five.csv").write_text(_plane_points(1900.0), encoding="utf-8")
    edge = load_repair(folder).edges_of["starboard"]
    for depth in (0.0, 18.0):  # looking aft one goes through the wood aft
        bottom, side = edge.at_depth(depth).stretches

        def inside(points: FloatArray, depth: float = depth) -> FloatArray:
            return np.column_stack([np.full(len(points), 1500.0 + depth), points])

        assert np.allclose(plane_boat.bottom_over(inside(bottom.points)), -9.0, atol=0.02)
        assert np.allclose(plane_boat.side_over(inside(side.points)), -9.0, atol=0.02)
    from_plane = np.arccos(plane_boat.SIDE_NORMAL[0])
    assert np.allclose(edge.stretches[1].bevel(0.0, 1.0), from_plane, atol=1e-3)


@pytest.mark.slow
def test_each_side_keeps_its_shape_and_the_mean_is_offered(tmp_path: Path) -> None:
    port = rows(by_half_breadth, hands=["port"], x=200.0)
    both = rows(by_half_breadth, hands=["starboard"]) + port.split("\n", 1)[1]
    repair = load_repair(write_repair(tmp_path / "each", both))
    assert _worst(repair.edges_of["starboard"], 0.0) < 0.01
    assert _worst(repair.edges_of["port"], 200.0) < 0.01
    said = "\n".join(repair_report(repair))
    apart = section(200.0, "side", 0.0)[0] - section(0.0, "side", 0.0)[0]
    assert "port lies" in said
    assert 'sides = "mean" would give both the mean' in said
    mean = load_repair(write_repair(tmp_path / "mean", both, spec='sides = "mean"'))
    corner = 0.5 * (section(0.0, "side", 0.0) + section(200.0, "side", 0.0))
    for edge in mean.edges_of.values():
        assert np.allclose(edge.corner_places[1], corner, atol=0.02)
    assert apart > 5.0


@pytest.mark.slow
def test_a_nail_may_be_placed_by_two_others(tmp_path: Path) -> None:
    """The third nail of a triangle, by its distances from the two first: the same section comes out."""
    folder = write_repair(tmp_path, rows(by_nails))
    text = (folder / "design.toml").read_text(encoding="utf-8")
    a, b, c = (np.array(NAILS[name]) for name in "ABC")
    for hand in ("port", "starboard"):
        h = hand[0].upper()
        old = f'name = "{h}C"\nside = "{hand}"\nout = "420.0 mm"\nup = "560.0 mm"'
        assert old in text
        far = [f'"{np.hypot(*(c - nail)):.7f} mm"' for nail in (a, b)]
        new = f'name = "{h}C"\nside = "{hand}"\nnails = ["{h}A", "{h}B"]\nlies = "outboard"\n'
        new += f"distances = [{', '.join(far)}]"
        text = text.replace(old, new)
    (folder / "design.toml").write_text(text, encoding="utf-8")
    repair = load_repair(folder)
    assert all(_worst(edge, 0.0) < 0.01 for edge in repair.edges_of.values())


@pytest.mark.slow
def test_a_sister_without_bevels_is_refused(tmp_path: Path) -> None:
    with pytest.raises(DesignError) as caught:
        load_repair(write_repair(tmp_path, rows(by_half_breadth), SISTER.format(face="measured")))
    assert codes_of(caught.value) == ["sister-without-bevel"]
    assert says(caught.value.problems[0], "bottom")


@pytest.mark.slow
def test_a_point_all_but_in_line_with_two_nails_is_fixed_by_the_third(tmp_path: Path) -> None:
    """Rounded, the distances from two nails do not meet; with the third the point is where it is."""
    nails = {"A": (150.0, 450.5), "B": (150.0, 150.0), "C": (420.0, 560.0)}
    at = np.array([150.2, 96.2])
    far = [round(float(np.hypot(*(at - nail)))) for nail in nails.values()]
    assert far[0] - far[1] != 300.5
    text = "side,edge,point,method,from,a,b,c\nport,bottom,1,half-breadth,,25 mm,60 mm,\n"
    text += f"port,bottom,2,nails,PA PB PC,{far[0]} mm,{far[1] - 1} mm,{far[2]} mm\n"
    text += "port,bottom,3,half-breadth,,400 mm,160 mm,\n"
    side = load_repair(write_repair(tmp_path, text)).sides["port"]
    assert np.hypot(*(side.points[1].at - at)) < 2.0


def _only(text: str, hand: str, edge: str) -> str:
    """A points' file of both sides with one of them measured on one stretch only."""
    lines = text.splitlines()
    return "\n".join(
        line for line in lines if not line.startswith(f"{hand},") or line.startswith(f"{hand},{edge},")
    )


@pytest.mark.slow
@pytest.mark.parametrize("hand", ["port", "starboard"])
@pytest.mark.parametrize("edge", ["bottom", "side"])
def test_sides_are_compared_where_both_were_measured(tmp_path: Path, hand: str, edge: str) -> None:
    """Both sides alike, one measured to the chine, or above it: no difference is told of what was not measured."""
    text = rows(by_half_breadth)
    said = "\n".join(repair_report(load_repair(write_repair(tmp_path, _only(text, hand, edge)))))
    assert "port lies 0.0 mm" in said
    assert f"They are compared only where both were measured: {edge}." in said


@pytest.mark.slow
def test_corners_are_compared_with_each_other(tmp_path: Path) -> None:
    """Port's chine lies 60 mm farther out along one and the same bottom line."""
    lines = ["side,edge,point,method,from,a,b,corner"]
    for hand, out in (("starboard", 500.0), ("port", 560.0)):
        for i, share in enumerate((0.0, 0.25, 0.5, 0.75, 1.0)):
            at = 30.0 + share * (out - 30.0)
            corner = "chine" if share == 1.0 else ""
            lines.append(f"{hand},bottom,{i + 1},half-breadth,,{at} mm,{0.2 * at + 40.0} mm,{corner}")
        lines += [
            f"{hand},side,{6 + k},half-breadth,,{out} mm,{0.2 * out + 40.0 + up} mm,"
            for k, up in enumerate((100.0, 200.0, 300.0))
        ]
    repair = load_repair(write_repair(tmp_path, "\n".join(lines)))
    apart = {one.name: one for one in side_differences(repair.sides["starboard"], repair.sides["port"])}
    assert apart["5"].mm == pytest.approx(np.hypot(60.0, 12.0), abs=0.1)
    assert apart["3"].mm == pytest.approx(0.0, abs=0.1)
    assert apart["7"].mm == pytest.approx(60.0, abs=0.1)
