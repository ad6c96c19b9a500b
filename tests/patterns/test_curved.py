"""A transom curved to a radius: the unrolled faces against the cylinder and the boat of planes."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns.boat import Boat, load_boat
from patterns.errors import DesignError
from patterns.flat.polylines import lengths
from patterns.hull.curved import Curved, curved_face, hollow
from patterns.hull.planes import FloatArray, station_plane
from patterns.hull.turned import turned_plane
from patterns.members import all_patterns
from patterns.members.transom import transom_pieces
from patterns.pattern import Kind, Pattern, from_the_other_face
from patterns.wood.turned import turned_piece
from tests.patterns.plane_boat import (
    BOTTOM_NORMAL,
    BOTTOM_T,
    RAKE,
    SIDE_NORMAL,
    SIDE_T,
    TRANSOM_X0,
    bottom_over,
    clear_of_timbers,
    side_over,
    write_plane_boat,
)

RADIUS = 1500.0
AFT = np.array([np.cos(RAKE), 0.0, -np.sin(RAKE)])  # square to the rake
UP = np.array([np.sin(RAKE), 0.0, np.cos(RAKE)])
OUT = np.array([0.0, 1.0, 0.0])
TOUCH = np.array([TRANSOM_X0, 0.0, 0.0])


@pytest.fixture(scope="module")
def boat(tmp_path_factory: pytest.TempPathFactory) -> Boat:
    return load_boat(write_plane_boat(tmp_path_factory.mktemp("curved"), radius=RADIUS))


@pytest.fixture(scope="module")
def patterns(boat: Boat) -> dict[str, Pattern]:
    return {pattern.name: pattern for pattern in all_patterns(boat)}


def _on_cylinder(angle: FloatArray, up: FloatArray, radius: float) -> FloatArray:
    """Points of the cylinder about the transom's axis, the after face's radius being `RADIUS`."""
    round_it = np.sin(angle)[:, None] * OUT + (np.cos(angle)[:, None]) * AFT
    return TOUCH - RADIUS * AFT + radius * round_it + up[:, None] * UP


def test_a_raked_curved_transom_s_expansion_has_the_published_figures() -> None:
    """400 mm high at a rake of 15 degrees is 414.110 mm; half 400 mm broad on a radius of 600 is 437.837 mm.

    Source: the construction of Gougeon Brothers on Boat Construction, p. 180 (expanded along the buttocks);
    figures computed from it, 400 / cos 15 and 600 asin(400 / 600).
    """
    face = curved_face(station_plane(3000.0, rake=np.radians(15.0)), 600.0)
    low, high = face.up_at_height(0.0), face.up_at_height(400.0)
    assert high - low == pytest.approx(414.110, abs=0.0005)
    corner = face.space(np.array([437.837, 0.0]))
    assert corner[1] == pytest.approx(400.0, abs=0.0005)
    assert face.flat(corner) == pytest.approx([437.837, 0.0], abs=1e-9)
    assert hollow(np.array([480.0]), 800.0)[0] == pytest.approx(160.0, abs=1e-9)  # 3-4-5


def test_faces_of_one_bent_piece_share_their_places() -> None:
    """A point of the inner face, square through the wood, has the outer face's u and v."""
    face = curved_face(station_plane(3000.0, rake=0.2), 900.0)
    inner = face.moved(-18.0)
    uv = np.array([[310.0, 120.0], [-200.0, 40.0]])
    through = face.space(uv) - inner.space(uv)
    assert np.linalg.norm(through, axis=1) == pytest.approx([18.0, 18.0], abs=1e-9)
    assert np.allclose(through / 18.0, face.facing(face.space(uv)), atol=1e-12)
    assert face.height_over(inner.space(uv)) == pytest.approx([-18.0, -18.0], abs=1e-9)


def test_a_curved_face_turned_end_for_end_is_the_same_cylinder() -> None:
    """Its u and v read the same at every place; out of the wood is the other way, as with a plane."""
    turns = np.array([-1.0, 1.0, 1.0])
    face = curved_face(station_plane(3000.0, rake=0.2), 900.0).moved(-18.0)
    other = turned_plane(face)
    assert isinstance(other, Curved)
    uv = np.array([[310.0, 120.0], [-200.0, 40.0], [0.0, 700.0]])
    points = face.space(uv)
    assert other.space(uv) == pytest.approx(points * turns, abs=1e-9)
    assert other.flat(points * turns) == pytest.approx(uv, abs=1e-9)
    assert other.facing(points * turns) == pytest.approx(-face.facing(points) * turns, abs=1e-12)
    off = points + np.array([[30.0, 5.0, 2.0], [-40.0, 0.0, 9.0], [-2500.0, 1.0, 1.0]])
    assert other.height_over(off * turns) == pytest.approx(-face.height_over(off), abs=1e-9)
    moved = face.moved(-20.0).space(uv) * turns
    assert other.moved(20.0).space(uv) == pytest.approx(moved, abs=1e-9)
    assert other.level(250.0, uv[:, 0]) == pytest.approx(face.level(250.0, uv[:, 0]), abs=1e-9)
    wood = other.turned(face.normal * turns, uv)
    assert wood == pytest.approx(face.turned(face.normal, uv) * turns, abs=1e-12)
    again = turned_plane(other)
    assert again.space(uv) == pytest.approx(points, abs=1e-9)


@pytest.mark.slow
def test_a_curved_piece_turned_end_for_end_keeps_its_wood_and_its_bevels(boat: Boat) -> None:
    turns = np.array([-1.0, 1.0, 1.0])
    for piece in transom_pieces(boat):
        other = turned_piece(piece)
        for depth, face in zip((0.0, piece.stock.thickness), piece.faces, strict=True):
            uv = face.region.segments[:, 0]
            own = np.column_stack([uv, np.full(len(uv), depth)])
            assert other.on.boat(own) == pytest.approx(piece.on.boat(own) * turns, abs=1e-9)
            assert other.on.own(piece.on.boat(own) * turns) == pytest.approx(own, abs=1e-9)
        for number in (0, 1):
            edges = list(zip(piece.edges(number), other.edges(number), strict=True))
            assert edges
            for a, b in edges:
                assert b.bevel == pytest.approx(a.bevel, abs=1e-9)


def test_the_transom_passes_through_the_lines_ends(boat: Boat) -> None:
    face = boat.hull.transom
    assert isinstance(face, Curved)
    assert face.origin == pytest.approx(TOUCH, abs=1e-3)
    for line in (boat.hull.profile, *boat.hull.lines.values()):
        assert abs(float(face.height_over(line.at(np.array(line.end))))) < 0.002


@pytest.mark.slow
@pytest.mark.parametrize("name", ["transom panel", "transom framing"])
def test_edges_lie_where_the_planes_pierce_the_cylinder(patterns: dict[str, Pattern], name: str) -> None:
    """Up each straight element the place where it leaves the inside of planking is one division."""
    pattern = patterns[name]
    own = RADIUS if name == "transom panel" else RADIUS - 18.0
    seen = set()
    for edge in pattern.edges:
        if edge.strake == "deck":
            continue
        radius = own if edge.face == "moulded face" else own - pattern.thickness
        angle = edge.uv[:, 0] / own
        over, normal = (bottom_over, BOTTOM_NORMAL) if edge.strake == "bottom" else (side_over, SIDE_NORMAL)
        thick = BOTTOM_T if edge.strake == "bottom" else SIDE_T
        foot = _on_cylinder(angle, np.zeros_like(angle), radius)
        up = -(over(foot) + thick) / float(normal @ UP)
        # v is 0 where the straight elements leave the plane of the axis, for every face alike.
        assert np.abs(edge.uv[:, 1] - up).max() < 0.003
        # The angle through the wood: between the way through it, towards the axis, and the planking.
        through = -(np.sin(angle)[:, None] * OUT + np.cos(angle)[:, None] * AFT)
        assert np.degrees(np.abs(edge.bevel - np.arccos(through @ normal))).max() < 0.02
        seen.add((edge.face, edge.strake))
    assert len(seen) == 4


@pytest.mark.slow
def test_both_faces_of_the_panel_are_unrolled_true(patterns: dict[str, Pattern]) -> None:
    """Lengths on the paper are those along the bent face's edge: the chords of the edge in the boat, summed."""
    panel = patterns["transom panel"]
    for pattern, radius in ((panel, RADIUS), (from_the_other_face(panel), RADIUS - 18.0)):
        for line in pattern.of_kind(Kind.FACE):
            fine = shapely.segmentize(shapely.linestrings(line.points), 4.0)
            points = shapely.get_coordinates(fine)
            bent = _on_cylinder(np.abs(points[:, 0]) / radius, points[:, 1], radius)
            there = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(bent, axis=0), axis=1))])
            assert np.abs(lengths(points) - there).max() < 0.01
    width = max(float(np.ptp(line.points[:, 0])) for line in panel.of_kind(Kind.OTHER))
    behind = max(float(np.ptp(line.points[:, 0])) for line in from_the_other_face(panel).of_kind(Kind.FACE))
    assert behind == pytest.approx(width * (RADIUS - 18.0) / RADIUS, abs=1e-9)


@pytest.mark.slow
def test_the_framing_is_wood_where_no_timber_is(patterns: dict[str, Pattern]) -> None:
    """Random places of both faces that lie well within the mouldings: wood where brute force says so."""
    framing = patterns["transom framing"]
    own = RADIUS - 18.0
    rng = np.random.default_rng(11)
    for kind, radius in ((Kind.FACE, own), (Kind.OTHER, own - framing.thickness)):
        runs = [line.points for line in framing.of_kind(kind) if not line.closed]
        wood = shapely.Polygon(
            np.vstack(runs), [line.points for line in framing.of_kind(kind) if line.closed]
        )
        uv = rng.uniform((0.5, -650.0), (900.0, 120.0), (40_000, 2))
        uv = uv[shapely.distance(wood.boundary, shapely.points(uv)) > 0.15]
        points = _on_cylinder(uv[:, 0] / own, uv[:, 1], radius)
        mouldings = (side_over(points) + SIDE_T > -68.0) | (bottom_over(points) + BOTTOM_T > -66.0)
        uv, points = uv[mouldings], points[mouldings]
        found = shapely.contains_xy(wood, uv[:, 0], uv[:, 1])
        assert found.sum() > 1000
        assert np.array_equal(found, clear_of_timbers(points))


@pytest.mark.slow
def test_a_notch_s_angles_are_those_to_the_face_where_it_lies(patterns: dict[str, Pattern]) -> None:
    """At the side the face has turned; the chine log runs as both planes do: out by so much from square to it."""
    framing = patterns["transom framing"]
    log = next(m for m in framing.marks if m.name.startswith("chine log"))
    angle = log.at[0] / (RADIUS - 18.0)
    out = np.cos(angle) * OUT - np.sin(angle) * AFT
    square = np.sin(angle) * OUT + np.cos(angle) * AFT
    run = np.cross(BOTTOM_NORMAL, SIDE_NORMAL)
    run = run * np.sign(run[0])
    plan = float(np.degrees(np.arctan2(run @ out, run @ square)))
    assert plan < 0.0
    assert f"{round(-2.0 * plan) / 2.0:g}° in" in log.name


@pytest.mark.slow
def test_the_panel_says_how_it_is_bent(patterns: dict[str, Pattern]) -> None:
    """Girth 2 R asin(y / R) against the straight breadth 2 y, y where side and deck meet on the after face."""
    facts = " ".join(patterns["transom panel"].facts)
    assert "to a radius of 1500 mm" in facts
    assert "mould of 1482 mm radius" in facts
    sheer = next(m for m in patterns["transom panel"].marks if m.name.startswith("sheer"))
    girth = 2.0 * sheer.at[0]
    assert f"sheer {girth:.1f} mm ({2.0 * RADIUS * np.sin(sheer.at[0] / RADIUS):.1f} mm)" in facts
    assert girth - 2.0 * RADIUS * np.sin(sheer.at[0] / RADIUS) > 90.0
    assert patterns["transom panel"].body is None  # bent, so no flat piece


@pytest.mark.slow
def test_the_transom_knee_is_rounded_to_the_curve(patterns: dict[str, Pattern]) -> None:
    """36 mm on a radius of 1500: 18^2 / (2 x 1500) = 0.108 mm."""
    assert any("0.1 mm less at both sides" in fact for fact in patterns["transom knee"].facts)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('radius = "1500 mm"', 'radius = "900 mm"', "900 mm is too small for a transom"),
        ('radius = "1500 mm"', 'radius = "2500 mm"', "off the transom"),
        ('radius = "1500 mm"\n', "", "off the transom"),
    ],
)
def test_a_radius_that_the_table_does_not_have_is_refused(
    tmp_path: Path, old: str, new: str, words: str
) -> None:
    design = write_plane_boat(tmp_path, radius=RADIUS) / "design.toml"
    design.write_text(design.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
    with pytest.raises(DesignError, match=words):
        load_boat(tmp_path)


def test_the_rake_of_a_curved_transom_can_be_taken_from_the_table(tmp_path: Path) -> None:
    design = write_plane_boat(tmp_path, radius=RADIUS) / "design.toml"
    text = design.read_text(encoding="utf-8").replace('rake = "12 deg"', 'rake = "from the table"', 1)
    design.write_text(text, encoding="utf-8")
    assert load_boat(tmp_path).hull.transom.rake == pytest.approx(RAKE, abs=1e-6)
