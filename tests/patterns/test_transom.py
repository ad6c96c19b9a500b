"""The transom's framing in pieces, doubler, cut-outs and dowels, on the boat of planes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns.assembly.contacts import contacts
from patterns.assembly.landings import landed_in
from patterns.assembly.plate import plates
from patterns.boat import load_boat
from patterns.errors import DesignError
from patterns.flat.shapes import both_halves
from patterns.hull.planes import FloatArray, station_plane
from patterns.joinery.transom_parts import joint_notes
from patterns.joinery.transom_pieces import TransomPart
from patterns.pattern import Hole, Kind, Pattern, from_the_other_face
from patterns.table.folder import read_folder
from patterns.wood.labels import Against, Free
from patterns.wood.region import Region
from tests.once import made_of
from tests.patterns.end_boats import write_double_ender
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

POST = 'centre_post = "90 mm"\n'
BUTT = 'framing_joints = "butt"\n'
LAP = 'framing_joints = "half lap"\n'
DOVETAIL = LAP + 'post_dovetail = "10 mm"\n'
DOWELS = 'dowel = "6 mm"\ndowel_spacing = "200 mm"\ndowel_edge = "20 mm"\n'
DOUBLER = """
[doubler]
breadth = "400 mm"
depth = "300 mm"
thickness = "24 mm"
stock = "ply"
"""
CUT = """
[[cut_out]]
name = "engine"
breadth = "300 mm"
depth = "120 mm"
corner_radius = "30 mm"
"""
RUDDER = """
[[cut_out]]
name = "rudder"
breadth = "60 mm"
depth = "80 mm"
below = "200 mm"
corner_radius = "30 mm"
"""
AFTER = station_plane(TRANSOM_X0, rake=RAKE)
INSIDE, FORE = AFTER.moved(-18.0), AFTER.moved(-38.0)

Made = Callable[..., dict[str, Pattern]]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """The transom's patterns of a boat of planes whose stern has more keys, and its file more tables."""
    known: dict[tuple[str, str, float], dict[str, Pattern]] = {}

    def make(keys: str = "", tables: str = "", radius: float = np.inf) -> dict[str, Pattern]:
        if (keys, tables, radius) not in known:
            folder = _folder(tmp_path_factory.mktemp("transom"), keys, tables, radius)
            boat = load_boat(folder)
            patterns = landed_in(boat, tuple(made_of(boat, "transom").values()))
            known[keys, tables, radius] = {pattern.name: pattern for pattern in patterns}
        return known[keys, tables, radius]

    return make


def _folder(folder: Path, keys: str, tables: str, radius: float = np.inf) -> Path:
    design = write_plane_boat(folder, radius=radius) / "design.toml"
    text = design.read_text(encoding="utf-8").replace(POST, POST + keys) + tables
    design.write_text(text, encoding="utf-8")
    return folder


def _faces(pattern: Pattern) -> tuple[shapely.Polygon, shapely.Polygon]:
    """The starboard half of both faces; the fore one of a lapped piece is that of its fore slab."""
    assert pattern.body is not None
    last = pattern.slabs[-1] if pattern.slabs else pattern.body
    starboard = shapely.box(0.0, -1e4, 1e4, 1e4)
    return pattern.body.moulded.intersection(starboard), last.other.intersection(starboard)


def _dowels(pattern: Pattern) -> list[Hole]:
    return [hole for hole in pattern.holes if hole.purpose == "dowel"]


def _deep(points: FloatArray, plane_normal: FloatArray) -> dict[str, FloatArray]:
    """How deep points lie inside of planking and deck, measured in the plane."""
    deck_normal = np.array([0.03, 0.0, 1.0]) / np.hypot(0.03, 1.0)
    deck = (points - np.array([0.0, 0.0, 700.0])) @ deck_normal
    over = {
        "bottom rail": (bottom_over(points) + BOTTOM_T, BOTTOM_NORMAL),
        "stile": (side_over(points) + SIDE_T, SIDE_NORMAL),
        "top rail": (deck, deck_normal),
    }
    return {
        name: -off / float(np.linalg.norm(np.cross(normal, plane_normal)))
        for name, (off, normal) in over.items()
    }


def _owners(uv: FloatArray) -> dict[str, FloatArray]:
    """Which pieces' strips places lie in: within 70 mm of an edge on either face; the post 45 mm a side."""
    within: dict[str, FloatArray] = {}
    for plane in (INSIDE, FORE):
        for name, deep in _deep(plane.space(uv), plane.normal).items():
            within[name] = within.get(name, np.zeros(len(uv), dtype=bool)) | (deep < 70.0)
    within["centre post"] = uv[:, 0] < 45.0
    return within


@pytest.mark.slow
@pytest.mark.parametrize("joints", [BUTT, LAP])
def test_each_piece_is_wood_just_where_the_planes_say(made: Made, joints: str) -> None:
    """Random points of both faces, brute force: in the boat, in no timber, in this piece's strip.

    In butts rails run through, bottom rail first; of a half lap the rail has the half at the panel.
    """
    patterns = made(joints)
    rng = np.random.default_rng(3)
    order = ["bottom rail", "top rail", "stile", "centre post"]
    for k, plane in enumerate((INSIDE, FORE)):
        uv = rng.uniform((0.2, -50.0), (900.0, 640.0), (30_000, 2))
        areas = {name: _faces(patterns[f"transom {name}"])[k] for name in order}
        clear = np.ones(len(uv), dtype=bool)
        for area in areas.values():
            clear &= shapely.distance(area.boundary, shapely.points(uv)) > 0.05
        uv = uv[clear]
        wood, strips = clear_of_timbers(plane.space(uv)), _owners(uv)
        rail = strips["bottom rail"] | strips["top rail"]
        for i, name in enumerate(order):
            mine = strips[name].copy()
            if joints == BUTT:
                for other in order[:i]:
                    mine &= ~strips[other]
            elif k == 0 and name in ("stile", "centre post"):
                mine &= ~rail
            elif k == 1 and name in ("bottom rail", "top rail"):
                mine &= ~(strips["stile"] | strips["centre post"])
            found = shapely.contains_xy(areas[name], uv[:, 0], uv[:, 1])
            assert found.sum() > 100
            # A chip that a notch or a lap cuts off is no part of a piece; there is none beside 25 mm2 crumbs.
            astray = found != (wood & mine)
            assert astray.sum() <= 2, (name, k, uv[astray][:5])


@pytest.mark.slow
@pytest.mark.parametrize(
    ("keys", "tables"),
    [(LAP, ""), (DOVETAIL, ""), (BUTT, DOUBLER + CUT), ("", DOUBLER + CUT)],
)
def test_the_pieces_meet_and_nowhere_overlap(made: Made, keys: str, tables: str) -> None:
    """Placed in the boat and sampled: no overlap above 0.1 mm, no gap above 0.2 mm where faces meet."""
    solids = [
        plate
        for pattern in made(keys, tables).values()
        if pattern.body is not None
        for body in (pattern.body, *pattern.slabs)
        for plate in plates(pattern.name, body)
    ]
    met = list(contacts(solids, step=7.0))
    assert {(m.first, m.second) for m in met if m.touching > 20} >= {
        ("transom panel", other) for other in (["transom bottom rail"] if keys else ["transom framing"])
    }
    for meeting in met:
        assert meeting.overlap < 0.1, meeting
        assert meeting.gap < 0.2, meeting


@pytest.mark.slow
def test_a_butted_framing_is_the_ring_cut_up(made: Made) -> None:
    """All pieces together are the ring of the same mouldings, on both faces, to the square millimetre."""
    ring, pieces = made()["transom framing"], made(BUTT)
    for k in (0, 1):
        parts = [
            _faces(pattern)[k]
            for name, pattern in pieces.items()
            if "panel" not in name and "knee" not in name
        ]
        assert len(parts) == 4
        together = shapely.union_all(parts)
        assert together.symmetric_difference(_faces(ring)[k]).area < 0.5
        assert sum(part.area for part in parts) == pytest.approx(_faces(ring)[k].area, abs=0.5)


@pytest.mark.slow
def test_half_laps_are_cut_half_through_from_opposite_faces(made: Made) -> None:
    patterns = made(LAP)
    words = {
        name: [line.name for line in pattern.of_kind(Kind.REFERENCE) if line.name.startswith("half lap")]
        for name, pattern in patterns.items()
    }
    assert (
        "half lap with the stile: beyond this line cut 10 mm off the fore face"
        in words["transom bottom rail"]
    )
    assert (
        "half lap with the bottom rail: beyond this line cut 10 mm off the after face"
        in words["transom stile"]
    )
    assert len(words["transom centre post"]) == 2
    for name in ("transom bottom rail", "transom stile", "transom centre post"):
        assert patterns[name].body is not None
        assert abs(patterns[name].body.depth) == 10.0
        assert len(patterns[name].slabs) == 1


@pytest.mark.slow
def test_a_dovetailed_post_is_narrow_at_its_shoulders_and_whole_at_its_ends(made: Made) -> None:
    """On the fore face, where the post's half of the laps is: 35 mm at the top rail's edge, 45 mm 70 mm beyond.

    The top rail's inner edge is level, 70 mm below the deck in the plane, as the deck is level across.
    What the post has lost at each side is a triangle, which both rails have in their whole thickness.
    """
    plain, post = made(LAP)["transom centre post"], made(DOVETAIL)["transom centre post"]
    fore = _faces(post)[1]
    top = float(_faces(plain)[1].bounds[3])
    deck = np.array([0.03, 0.0, 1.0]) / np.hypot(0.03, 1.0)
    depth = 70.0
    levels = [(top - depth - 0.5, 45.0), (top - depth + 1.0, 35.0), (top - 0.5 * depth, 40.0)]
    for v, wide in levels:
        across = fore.intersection(shapely.LineString([(0.0, v), (100.0, v)]))
        assert across.length == pytest.approx(wide, abs=0.3), v
    gone = _faces(plain)[1].area - fore.area
    assert gone == pytest.approx(
        2.0 * 0.5 * 10.0 * depth, rel=0.05
    )  # the bottom rail's is sloped by the deadrise
    assert abs(float(deck @ FORE.u)) < 1e-12
    rail = made(DOVETAIL)["transom top rail"]
    more = _faces(rail)[1].area - _faces(made(LAP)["transom top rail"])[1].area
    assert more == pytest.approx(0.5 * 10.0 * depth, rel=0.01)


@pytest.mark.parametrize(
    ("keys", "code"),
    [('post_dovetail = "10 mm"\n', "needless-key"), (LAP + 'post_dovetail = "30 mm"\n', "too-great")],
)
def test_a_dovetail_needs_half_laps_and_leaves_a_post(tmp_path: Path, keys: str, code: str) -> None:
    with pytest.raises(DesignError) as caught:
        read_folder(_folder(tmp_path, keys, ""))
    assert [problem.code for problem in caught.value.problems] == [code]


@pytest.mark.slow
@pytest.mark.parametrize(("keys", "radius"), [(BUTT, np.inf), (LAP, np.inf), ("", np.inf), (BUTT, 1500.0)])
def test_dowels_go_square_through_framing_and_panel(made: Made, keys: str, radius: float) -> None:
    """Every hole of a piece lies over one of the panel's, on the face's normal; and none is left over."""
    patterns = made(keys + DOWELS, "", radius)
    panel = patterns["transom panel"]
    assert panel.plane is not None
    on_panel = {tuple(np.round(panel.plane.space(np.array(h.at)), 6)) for h in _dowels(panel)}
    seen = set()
    for name, pattern in patterns.items():
        if name == "transom panel" or pattern.plane is None:
            continue
        for hole in _dowels(pattern):
            at = pattern.plane.space(np.array(hole.at))
            out = at + 18.0 * pattern.plane.facing(at)
            seen.add(tuple(np.round(out, 6)))
            assert hole.diameter == 6.0
    assert seen == on_panel
    assert len(seen) > 10


@pytest.mark.slow
def test_dowels_keep_their_distances(made: Made) -> None:
    """No farther apart than asked for along a piece, and no nearer to an edge or joint of any face."""
    patterns = made(BUTT + DOWELS)
    for name, pattern in patterns.items():
        holes = _dowels(pattern)
        if name == "transom panel" or not holes:
            continue
        faces = _faces(pattern)
        whole = [both_halves(face) for face in faces] if pattern.half else list(faces)
        edges = shapely.union_all([face.boundary for face in whole])
        assert min(edges.distance(shapely.Point(hole.at)) for hole in holes) >= 20.0 - 1e-6
        places = np.array([hole.at for hole in holes])
        if pattern.half:
            places = np.unique(np.vstack([places, places * [-1.0, 1.0]]).round(6), axis=0)
        ordered = places[np.argsort(places @ np.array([1.0, 0.001]) if "rail" in name else places[:, 1])]
        gaps = np.hypot(*np.diff(ordered, axis=0).T)
        assert gaps.max() <= 200.0 + 1e-6
        assert len(gaps) >= 1


def _opening(pattern: Pattern) -> FloatArray:
    return np.vstack([line.points for line in pattern.of_kind(Kind.FACE)])


@pytest.mark.slow
def test_a_cut_out_has_its_measures_in_every_piece_that_it_passes(made: Made) -> None:
    """300 mm broad, 120 mm down from the panel's top edge, corners of 30 mm; in doubler, panel and top rail."""
    top = float(np.hypot(0.0, (700.0 - 0.03 * TRANSOM_X0) / (np.cos(RAKE) + 0.03 * np.sin(RAKE))))
    for tables, names in (
        (CUT, ["transom panel", "transom top rail"]),
        (DOUBLER + CUT, ["transom panel", "transom doubler"]),
    ):
        patterns = made(BUTT, tables)
        for name in names:
            points = _opening(patterns[name])
            sides = points[np.abs(points[:, 0] - 150.0) < 1e-6]
            assert len(sides) >= 2
            centre = np.array([120.0, top - 90.0])
            arc = points[(points[:, 0] > 120.5) & (points[:, 0] < 149.9) & (points[:, 1] < top - 91.0)]
            arc = arc[arc[:, 1] > top - 121.0]
            if name != "transom top rail":  # the cut-out is deeper than that rail
                assert len(arc) > 10
                assert np.hypot(*(arc - centre).T) == pytest.approx(np.full(len(arc), 30.0), abs=0.01)
                floor = points[np.abs(points[:, 1] - (top - 120.0)) < 1e-6]
                assert len(floor) >= 1
    rail = made(BUTT, CUT)["transom top rail"]
    assert rail.quantity == "1 port + 1 starboard"
    assert not rail.half


@pytest.mark.slow
def test_a_rudder_s_cut_out_under_the_edge_is_a_hole(made: Made) -> None:
    """60 by 80 mm with corners of 30 mm: two half circles and 20 mm between, (pi 30^2 + 60 x 20) mm2."""
    panel, bare = made(BUTT, RUDDER)["transom panel"], made(BUTT)["transom panel"]
    lost = _faces(bare)[0].area - _faces(panel)[0].area
    assert lost == pytest.approx(0.5 * (np.pi * 30.0**2 + 60.0 * 20.0), abs=0.5)
    post = [name for name in made(BUTT, RUDDER) if "centre post" in name]
    assert post == ["transom centre post"]  # 90 mm broad: 15 mm are left on each side


@pytest.mark.slow
def test_the_doubler_stands_in_the_framing_s_layer(made: Made) -> None:
    """400 mm broad and 300 mm down from the panel's top edge; the framing stops at its sides."""
    patterns = made(BUTT, DOUBLER)
    doubler = patterns["transom doubler"]
    assert doubler.thickness == 24.0
    assert doubler.plane is not None
    assert doubler.plane.origin == pytest.approx(INSIDE.origin, abs=1e-4)
    points = _opening(doubler)
    top = (700.0 - 0.03 * TRANSOM_X0) / (np.cos(RAKE) + 0.03 * np.sin(RAKE))
    assert points[:, 0].max() == pytest.approx(200.0, abs=1e-9)
    assert points[:, 1].min() == pytest.approx(top - 300.0, abs=1e-3)
    assert _opening(patterns["transom top rail"])[:, 0].min() == pytest.approx(200.0, abs=1e-6)
    assert _opening(patterns["transom centre post"])[:, 1].max() == pytest.approx(top - 300.0, abs=1e-3)


@pytest.mark.slow
@pytest.mark.parametrize("radius", [np.inf, 1500.0])
def test_the_panel_shows_where_each_piece_lands(made: Made, radius: float) -> None:
    """The pieces' after faces, square through the panel; what is not drawn is the panel's own edge."""
    patterns = made(BUTT, DOUBLER, radius)
    panel = patterns["transom panel"]
    widen = 1.0 if np.isinf(radius) else radius / (radius - 18.0)
    drawn = shapely.union_all([shapely.LineString(line.points) for line in panel.of_kind(Kind.LANDING)])
    edge = shapely.union_all([shapely.LineString(line.points) for line in panel.of_kind(Kind.OTHER)])
    names = [name for name in patterns if "panel" not in name and "knee" not in name]
    assert len(names) == 5
    outlines = []
    for name in names:
        for line in patterns[name].of_kind(Kind.FACE):
            points = line.points * [widen, 1.0]
            outlines.append(shapely.LineString(np.vstack([points, points[:1]]) if line.closed else points))
    wanted = shapely.union_all(outlines)
    assert wanted.difference(shapely.union(drawn, edge).buffer(0.56)).length < 2.0
    assert drawn.difference(wanted.buffer(0.06)).length < 1.0
    behind = from_the_other_face(panel)
    assert {line.piece for line in behind.of_kind(Kind.LANDING)} >= set(names)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("old", "new", "tables", "words"),
    [
        ('framing = "20 mm"\nframing_moulded = "70 mm"\nframing_stock = "fir"\ncentre_post = "90 mm"\n', BUTT, "",
         "there is no framing to be jointed"),
        (POST, POST + 'dowel = "6 mm"\n', "", "key dowel_spacing: is missing"),
        (POST, POST + DOWELS.replace("20 mm", "40 mm"), "", "no dowel can be 40 mm from every edge"),
        (POST, POST, CUT.replace("30 mm", "200 mm"), "200 mm is more than the cut-out has room for"),
        (POST, POST, CUT + CUT, "this name is used 2 times"),
        (POST, POST, CUT.replace("120 mm", "700 mm"), "parts the panel"),
        (POST, POST + 'framing_joints = "mitre"\n', "", "framing_joints"),
    ],
)  # fmt: skip
def test_what_cannot_be_made_is_said(tmp_path: Path, old: str, new: str, tables: str, words: str) -> None:
    design = write_plane_boat(tmp_path) / "design.toml"
    text = design.read_text(encoding="utf-8")
    assert old in text
    design.write_text(text.replace(old, new) + tables, encoding="utf-8")
    with pytest.raises(DesignError, match=words):
        made_of(load_boat(tmp_path), "transom")


@pytest.mark.slow
def test_a_double_ender_has_no_doubler(tmp_path: Path) -> None:
    write_double_ender(tmp_path, more=DOUBLER + CUT)
    with pytest.raises(DesignError, match="there is no transom at the stern to have it") as raised:
        load_boat(tmp_path)
    assert len(raised.value.problems) == 2


@pytest.mark.parametrize("name", ["stile", "stile, side 2", "stile, side"])
def test_a_butt_is_named_whatever_the_strake_is_called(name: str) -> None:
    """A number at the end of a strake's name does not make its stile the second piece of another one."""
    rail, stile = shapely.box(0.0, 0.0, 200.0, 70.0), shapely.box(200.0, 0.0, 270.0, 400.0)
    cut = Region.of(rail, Free()).minus(Region.of(stile.buffer(1e-9), Against(name)))
    middle = np.array([[0.0, 0.0], [1.0, 0.0]])
    parts = [
        TransomPart(name=called, zone=zone, wood=(wood, wood), whole=False, middle=middle)
        for called, zone, wood in (
            ("bottom rail", "bottom rail", cut),
            (name, name, Region.of(stile, Free())),
            (f"{name} 2", name, Region.of(shapely.box(900.0, 0.0, 970.0, 70.0), Free())),
        )
    ]
    (note,) = joint_notes(parts[0], parts)
    assert note.fact.values["part"] == name
    assert note.at == pytest.approx((200.0, 35.0), abs=0.01)
