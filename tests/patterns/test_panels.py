"""Panels on the boat of planes: every edge lies on the plane that bounds it, in whatever plane the panel lies."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns.assembly.contacts import MEETS, OVERLAPS
from patterns.assembly.doubts import piece_doubts
from patterns.assembly.proof import Assembly, assembled
from patterns.boat import Boat, load_boat
from patterns.design.panel_models import PanelSpec
from patterns.errors import DesignError
from patterns.hull.planes import FloatArray, station_plane
from patterns.hull.sections import cut_hull
from patterns.members import all_patterns
from patterns.members.panel import panel_piece
from patterns.pattern import Pattern
from patterns.table.folder import read_folder
from patterns.wood.labels import Against, Deck, Free, Label, Opening, Planking, Trim
from patterns.wood.meeting import Joinery
from patterns.wood.piece import Hand, Piece
from tests.patterns.filled_starters import filled_starter
from tests.patterns.plane_boat import (
    BOTTOM_T,
    SIDE_NORMAL,
    SIDE_T,
    bottom_over,
    side_over,
    write_plane_boat,
)

RAKE_B = np.radians(5.0)  # of frame B, which stands between the bulkheads
PANELS = """
[[panel]]
name = "bulkhead"
lies = "athwartships"
at = "2200 mm"
sided = "12 mm"
siding_runs = "aft"
limber_holes = "20 mm"
limber_at = ["chine log"]
stock = "12 mm plywood"
[[opening]]
panel = "bulkhead"
name = "doorway"
breadth = "400 mm"
bottom = "350 mm"
corner_radius = "60 mm"
[[panel]]
name = "after bulkhead"
lies = "athwartships"
at = "3100 mm"
rake = "6 deg"
sided = "12 mm"
siding_runs = "aft"
stock = "12 mm plywood"
[[panel]]
name = "locker side"
lies = "athwartships"
at = "3400 mm"
inner = "250 mm"
outer = "560 mm"
bottom = "200 mm"
top = "560 mm"
sided = "12 mm"
stock = "12 mm plywood"
[[panel]]
name = "thwart"
lies = "level"
between = ["frame A", "panel bulkhead"]
height = "420 mm"
sided = "20 mm"
stock = "fir"
[[panel]]
name = "side seat"
lies = "level"
between = ["panel bulkhead", "panel after bulkhead"]
height = "430 mm"
inner = "300 mm"
sided = "20 mm"
stock = "fir"
[[panel]]
name = "seat front"
lies = "fore and aft"
between = ["panel bulkhead", "panel after bulkhead"]
half_breadth = ["320 mm", "350 mm"]
under = "side seat"
sided = "12 mm"
stock = "12 mm plywood"
[[opening]]
panel = "seat front"
name = "hand hole"
breadth = "150 mm"
bottom = "260 mm"
top = "360 mm"
middle = "600 mm"
corner_radius = "20 mm"
"""
NAMES = ("bulkhead", "after bulkhead", "locker side", "thwart", "side seat", "seat front")


def panelled(folder: Path, *, change: tuple[str, str] = ("", "")) -> Path:
    """The boat of planes with these panels; one of their keys may be changed."""
    write_plane_boat(folder)
    design = folder / "design.toml"
    assert not change[0] or change[0] in PANELS
    design.write_text(design.read_text(encoding="utf-8") + PANELS.replace(*change, 1), encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def boat(tmp_path_factory: pytest.TempPathFactory) -> Boat:
    return load_boat(panelled(tmp_path_factory.mktemp("panels")))


@pytest.fixture(scope="module")
def pieces(boat: Boat) -> dict[str, Piece]:
    return {spec.name: panel_piece(boat, spec) for spec in boat.design.all(PanelSpec)}


@pytest.fixture(scope="module")
def patterns(boat: Boat) -> tuple[Pattern, ...]:
    return all_patterns(boat)


@pytest.fixture(scope="module")
def proof(boat: Boat, patterns: tuple[Pattern, ...]) -> Assembly:
    return assembled(boat, patterns)


def points_on(piece: Piece, label: Label) -> FloatArray:
    """The places in the boat, (n, 3), of the edges under a label, on both faces."""
    found = [np.zeros((0, 3))]
    for number, face in enumerate(piece.faces):
        plane = piece.on.face.moved(piece.on.sense * piece.stock.thickness * number)
        found += [plane.space(stretch.points) for stretch in face.region.stretches(label)]
    return np.vstack(found)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["bulkhead", "after bulkhead", "thwart", "side seat", "seat front"])
def test_edges_on_planking_and_deck_lie_on_their_planes(pieces: dict[str, Piece], name: str) -> None:
    piece, met = pieces[name], 0
    for label, over in (
        (Planking("bottom"), lambda p: bottom_over(p) + BOTTOM_T),
        (Planking("side"), lambda p: side_over(p) + SIDE_T),
        (Deck(), lambda p: p[:, 2] - 700.0 + 0.03 * p[:, 0]),
    ):
        points = points_on(piece, label)
        met += len(points)
        assert np.abs(over(points)).max(initial=0.0) < 0.01
    assert met > 3


@pytest.mark.slow
def test_a_doorway_has_its_breadth_and_its_sill(pieces: dict[str, Piece]) -> None:
    edge = points_on(pieces["bulkhead"], Opening("doorway"))
    assert edge[:, 1].max() == pytest.approx(200.0, abs=1e-6)
    assert edge[:, 2].min() == pytest.approx(350.0, abs=1e-6)
    corner = edge[(edge[:, 1] > 141.0) & (edge[:, 2] < 409.0)]
    assert np.hypot(corner[:, 1] - 140.0, corner[:, 2] - 410.0) == pytest.approx(60.0, abs=0.05)
    assert pieces["bulkhead"].hand is Hand.CENTRE


@pytest.mark.slow
def test_a_panel_within_its_own_bounds_is_that_rectangle(pieces: dict[str, Piece]) -> None:
    piece = pieces["locker side"]
    for face in piece.faces:
        assert face.region.area.bounds == pytest.approx((250.0, 200.0, 560.0, 560.0))
        assert face.region.area.area == pytest.approx(310.0 * 360.0)
    assert piece.hand is Hand.PAIR


@pytest.mark.slow
def test_a_level_panel_ends_on_the_faces_of_its_bulkheads(pieces: dict[str, Piece]) -> None:
    seat = pieces["side seat"]
    fore, after = points_on(seat, Trim("fore", "bulkhead")), points_on(seat, Trim("after", "after bulkhead"))
    assert fore[:, 0] == pytest.approx(2212.0, abs=1e-6)
    rake = np.radians(6.0)
    assert after[:, 0] - np.tan(rake) * after[:, 2] == pytest.approx(3100.0, abs=1e-6)
    assert points_on(seat, Free())[:, 1] == pytest.approx(300.0, abs=1e-6)
    assert {round(z, 6) for z in after[:, 2]} == {430.0, 410.0}


@pytest.mark.slow
def test_a_level_panel_is_cut_round_the_frame_between_its_ends(pieces: dict[str, Piece]) -> None:
    """The notch's sides lie on the frame's two faces; its inner edge leaves at least the moulding, 70 mm.

    The moulding is measured in the frame's plane, square to the planking there.
    """
    points = points_on(pieces["side seat"], Against("frame B"))
    normal = np.array([np.cos(RAKE_B), 0.0, -np.sin(RAKE_B)])
    over = (points - [2500.0, 0.0, 0.0]) @ normal
    assert over.min() == pytest.approx(0.0, abs=1e-6)
    assert over.max() == pytest.approx(20.0, abs=1e-6)
    assert ((np.abs(over) < 1e-6) | (np.abs(over - 20.0) < 1e-6)).all()
    inner = 70.0 * np.sqrt(1.0 - (normal @ SIDE_NORMAL) ** 2)
    assert (side_over(points) + SIDE_T).min() < -inner + 0.01
    assert -(side_over(points) + SIDE_T).min() < inner + 8.0  # the inner edge is square, the outer bevelled


@pytest.mark.slow
def test_a_front_stands_under_its_seat(pieces: dict[str, Piece]) -> None:
    front = pieces["seat front"]
    assert points_on(front, Against("side seat"))[:, 2] == pytest.approx(410.0, abs=1e-6)
    run = points_on(front, Opening("hand hole"))
    assert np.ptp(run[:, 2]) == pytest.approx(100.0, abs=1e-6)
    along = run @ front.on.face.u
    assert np.ptp(along) == pytest.approx(150.0, abs=1e-6)
    inboard = front.on.face.space(np.array(front.faces[0].region.area.exterior.coords))
    ends = inboard[[inboard[:, 0].argmin(), inboard[:, 0].argmax()]]
    assert ends[0, 1] == pytest.approx(320.0, abs=1e-6)
    assert 349.0 < ends[1, 1] < 352.0


@pytest.mark.slow
def test_nothing_overlaps_or_gapes_and_every_end_meets(
    boat: Boat, patterns: tuple[Pattern, ...], proof: Assembly
) -> None:
    mine = [f for f in proof.faults if {f.first.split(" (")[0], f.second.split(" (")[0]} & {*NAMES}]
    assert not [fault.words() for fault in mine]
    found = [c for c in proof.contacts if {s.piece for s in c.solids} & {*NAMES}]
    assert max(c.overlap for c in found) < OVERLAPS
    assert max(c.gap for c in found if c.touching) < MEETS
    met = {(m.kind, m.lands, m.on) for m in proof.meetings}
    assert {
        (Joinery.BUTT, "side seat", "bulkhead"),
        (Joinery.BUTT, "side seat", "after bulkhead"),
        (Joinery.BUTT, "seat front", "bulkhead"),
        (Joinery.BUTT, "thwart", "frame A"),
        (Joinery.EDGE, "seat front", "side seat"),
        (Joinery.EDGE, "side seat", "frame B"),
        (Joinery.NOTCH, "keel", "bulkhead"),
        (Joinery.NOTCH, "clamp", "bulkhead"),
    } <= met
    doubts = [each.code for each in piece_doubts(boat, patterns) if {*each.pieces} & {*NAMES}]
    assert doubts == ["piece-not-held"]  # the locker side, which is bounded by its own keys alone


@pytest.mark.slow
def test_the_solid_of_a_panel_is_its_area_by_its_thickness(patterns: tuple[Pattern, ...]) -> None:
    body = next(pattern.body for pattern in patterns if pattern.name == "locker side")
    assert body is not None
    assert shapely.area(body.moulded) * abs(body.depth) == pytest.approx(310.0 * 360.0 * 12.0)


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('at = "2200 mm"\n', "", "needed-key"),
        ('height = "430 mm"\n', "", "needed-key"),
        ('height = "430 mm"\n', 'height = "430 mm"\nrake = "4 deg"\n', "needless-key"),
        ('outer = "560 mm"', 'outer = "200 mm"', "bounds-reversed"),
        ('bottom = "260 mm"', 'bottom = "460 mm"', "bounds-reversed"),
        ('panel = "seat front"', 'panel = "side seat"', "opening-impossible"),
        ('corner_radius = "60 mm"', 'corner_radius = "210 mm"', "opening-impossible"),
        ('under = "side seat"', 'under = "bulkhead"', "panel-not-level"),
        ('under = "side seat"', 'under = "side seat"\ntop = "400 mm"', "conflicting-keys"),
        ('under = "side seat"', 'under = "side shelf"', "unknown-name"),
        ('"panel after bulkhead"]\nheight', '"panel aft bulkhead"]\nheight', "unknown-name"),
    ],
)
def test_keys_that_do_not_agree_are_refused(tmp_path: Path, old: str, new: str, code: str) -> None:
    with pytest.raises(DesignError) as caught:
        read_folder(panelled(tmp_path, change=(old, new)))
    assert code in {problem.code for problem in caught.value.problems}


@pytest.mark.slow
def test_an_opening_that_parts_a_panel_is_refused(tmp_path: Path) -> None:
    """Open at both ends on each side of the centreline it leaves three parts."""
    change = 'breadth = "400 mm"\nbottom = "350 mm"', 'breadth = "200 mm"\nmiddle = "250 mm"'
    made = load_boat(panelled(tmp_path, change=change))
    with pytest.raises(DesignError) as caught:
        all_patterns(made, only=["bulkhead"])
    assert {problem.code for problem in caught.value.problems} == {"piece-not-made"}


FRONT = """
[[panel]]
name = "front"
lies = "fore and aft"
between = ["frame 2", "transom"]
half_breadth = "250 mm"
top = "420 mm"
sided = "18 mm"
stock = "18 mm plywood"
[[panel]]
name = "seat"
lies = "level"
between = ["frame 2", "transom"]
height = "430 mm"
inner = "250 mm"
sided = "18 mm"
stock = "18 mm plywood"
"""


@pytest.mark.slow
@pytest.mark.parametrize(("sort", "frame"), [("several chines", "frame 2"), ("round bilge", "frame 7")])
def test_panels_along_the_boat_follow_the_planking_of_sections_across_it(
    tmp_path: Path, sort: str, frame: str
) -> None:
    """Lower edge of a front and outer edge of a seat, at stations, against the hull cut across there."""
    design = filled_starter(tmp_path, sort, metric=True) / "design.toml"
    design.write_text(design.read_text(encoding="utf-8") + FRONT.replace("frame 2", frame), encoding="utf-8")
    boat = load_boat(tmp_path)
    front, seat = (panel_piece(boat, spec) for spec in boat.design.all(PanelSpec))
    met = 0
    for x in (1300.0, 1700.0, 2500.0, 2900.0, 3300.0):
        section = cut_hull(boat.hull, station_plane(x)).edge
        for piece, axis in ((front, 0), (seat, 1)):
            runs = [s.points for s in piece.faces[0].region.stretches(Planking)]
            points = np.vstack([piece.on.face.space(run) for run in runs])
            points = points[points[:, 0].argsort()]
            wanted = (
                np.interp(250.0, section[:, 0], section[:, 1])
                if axis == 0
                else np.interp(430.0, section[:, 1], section[:, 0])
            )
            i = int(points[:, 0].searchsorted(x))
            if 0 < i < len(points) and np.ptp(points[i - 1 : i + 1, 0]) < 30.0:  # no frame's notch lies there
                found = np.interp(x, points[:, 0], points[:, 2 if axis == 0 else 1])
                assert found == pytest.approx(float(wanted), abs=0.1)
                met += 1
    assert met > 4
