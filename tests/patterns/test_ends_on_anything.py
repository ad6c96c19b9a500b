"""Timbers fore and aft that end on frames, gussets, transom and breasthook: both pieces lose the same space."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns.assembly.contacts import MEETS, OVERLAPS
from patterns.assembly.intended import meetings_of
from patterns.assembly.proof import Assembly, assembled
from patterns.boat import Boat, load_boat
from patterns.errors import DesignError
from patterns.hull.planes import FloatArray
from patterns.joinery.deck_timbers import beam_called
from patterns.joinery.let_in import let_in
from patterns.members import all_patterns
from patterns.members.beam import beam_piece
from patterns.members.breasthook import breasthook_pieces
from patterns.members.frame import frame_pieces
from patterns.pattern import Pattern
from patterns.wood.meeting import Joinery
from patterns.wood.piece import Piece
from tests.patterns.plane_boat import RAKE, TRANSOM_X0, write_plane_boat

SLOPE = np.hypot(1.0, 0.03)  # the deck falls 0.03 going aft, and is level across
PIECES = """
[[frame]]
name = "C"
at = "1700 mm"
sided = "18 mm"
moulded_side = "80 mm"
moulded_bottom = "90 mm"
siding_runs = "forward"
pieces = "bottom across"
joint = "butt"
through = "lower"
top_piece = "100 mm"
stock = "fir"
[[frame]]
name = "D"
at = "3200 mm"
sided = "18 mm"
moulded_side = "80 mm"
moulded_bottom = "90 mm"
siding_runs = "aft"
pieces = "bottom across"
joint = "butt"
through = "lower"
top_piece = "90 mm"
stock = "fir"
[[gusset]]
frames = ["C", "D"]
faces = "both"
thickness = "6 mm"
stock = "6 mm plywood"
arm = "200 mm"
inner = "straight"
station_line = "frame"
[[beam]]
name = "dash beam"
at = "1200 mm"
sided = "24 mm"
moulded = "80 mm"
siding_runs = "forward"
ends = "at the clamp"
stock = "fir"
[[beam]]
name = "seat back"
at = "2700 mm"
rake = "14 deg"
siding_runs = "aft"
sided = "25 mm"
moulded = "150 mm"
ends = "at the clamp"
stock = "fir"
[[carling]]
name = "aft carling"
between = ["frame D", "transom"]
ends = ["notched", "butted"]
half_breadth = "600 mm"
sided = "22 mm"
moulded = "50 mm"
stock = "fir"
[[carling]]
name = "forward carling"
between = ["frame C", "seat back"]
ends = ["notched", "half lapped"]
half_breadth = "300 mm"
sided = "22 mm"
moulded = "50 mm"
let_in = "30 mm"
stock = "fir"
[[king_plank]]
name = "strongback"
between = ["breasthook", "dash beam"]
ends = "housed"
end_depth = ["50 mm", "9 mm"]
sided = "50 mm"
moulded = "25 mm"
stock = "fir"
[[support]]
name = "bridge support"
between = ["seat back", "frame D"]
ends = ["half lapped", "butted"]
half_breadth = "250 mm"
sided = "22 mm"
moulded = "40 mm"
stock = "fir"
[[support]]
name = "low support"
between = ["seat back", "frame D"]
ends = ["housed", "butted"]
end_depth = "10 mm"
half_breadth = "150 mm"
heights = ["540 mm", "535 mm"]
sided = "22 mm"
moulded = "40 mm"
stock = "fir"
"""


def boat_with(folder: Path, *, change: tuple[str, str] = ("", "")) -> Path:
    """The boat of planes with these timbers, one of whose keys may be changed."""
    write_plane_boat(folder)
    design = folder / "design.toml"
    assert not change[0] or PIECES.count(change[0]) >= 1
    design.write_text(design.read_text(encoding="utf-8") + PIECES.replace(*change, 1), encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def boat(tmp_path_factory: pytest.TempPathFactory) -> Boat:
    return load_boat(boat_with(tmp_path_factory.mktemp("ends")))


@pytest.fixture(scope="module")
def patterns(boat: Boat) -> tuple[Pattern, ...]:
    return all_patterns(boat)


@pytest.fixture(scope="module")
def proof(boat: Boat, patterns: tuple[Pattern, ...]) -> Assembly:
    return assembled(boat, patterns)


def volume(piece: Piece) -> float:
    """Between each two levels by the two areas; exact to 0.01 mm3 where the edges lean little."""
    return sum(0.5 * (b.moulded.area + b.other.area) * abs(b.depth) for b in piece.solid())


def lost(boat: Boat, bare: Piece) -> float:
    return volume(bare) - volume(let_in(boat, bare))


def piece_of(boat: Boat, name: str) -> Piece:
    """A piece before it is cut, by its name."""
    made = (piece for spec in boat.design.frames for piece in frame_pieces(boat, spec))
    return next(piece for piece in made if piece.name == name)


def bare_beam(boat: Boat, name: str, monkeypatch: pytest.MonkeyPatch) -> Piece:
    """A beam before it is cut."""
    monkeypatch.setattr("patterns.members.beam.let_in", lambda _, piece: piece)
    return beam_piece(boat, beam_called(boat, name).spec)


def area_of(corners: list[FloatArray]) -> float:
    return float(shapely.Polygon(corners).area)


def deck_z(x: FloatArray) -> FloatArray:
    return 700.0 - 0.03 * x


@pytest.mark.slow
@pytest.mark.parametrize("name", ["frame C sheer gusset, after", "frame D sheer gusset, after"])
def test_a_gusset_loses_the_section_of_the_carling_that_it_is_notched_for(boat: Boat, name: str) -> None:
    """The carling runs straight aft: its section there is its siding by its depth, and that is 6 mm thick."""
    assert lost(boat, piece_of(boat, name)) == pytest.approx(6.0 * 22.0 * 50.0 * SLOPE, rel=1e-4)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["frame C sheer gusset, forward", "frame D top", "frame D side"])
def test_what_is_not_in_the_way_of_a_timber_is_not_cut(boat: Boat, name: str) -> None:
    bare = piece_of(boat, name)
    made = let_in(boat, bare)
    assert [face.region.area for face in made.faces] == [face.region.area for face in bare.faces]
    assert made.steps == bare.steps


@pytest.mark.slow
def test_a_stopped_housing_takes_the_plank_s_section_to_its_depth(
    boat: Boat, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The half of the beam loses half of the plank's breadth by its depth by 9 mm, from its forward face."""
    bare = bare_beam(boat, "dash beam", monkeypatch)
    made = let_in(boat, bare)
    [step] = made.steps
    assert step.depth == pytest.approx(24.0 - 9.0)  # its moulded face is the after one
    gone = step.before.area.area - step.after.area.area
    assert gone == pytest.approx(25.0 * 25.0 * SLOPE, rel=1e-3)
    cut = next(cut for cut in made.cuts if cut.against == "strongback")
    assert cut.halving is not None
    assert cut.halving[1] == 1


@pytest.mark.slow
def test_a_leaning_beam_loses_what_lies_over_the_bed_between_its_faces(
    boat: Boat, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In the plane along the boat: its two faces, the bed square to them, the deck; 22 mm broad each.

    Carling and support are each let in from the deck, 30 mm and (half of its depth) 20 mm.
    """
    bare = bare_beam(boat, "seat back", monkeypatch)
    rake = np.radians(14.0)
    normal, up = np.array([np.cos(rake), -np.sin(rake)]), np.array([np.sin(rake), np.cos(rake)])
    tops = []
    for off in (0.0, 25.0):
        start = np.array([2700.0, 0.0]) + off * normal
        rise = (700.0 - 0.03 * start[0] - start[1]) / (up[1] + 0.03 * up[0])
        tops.append(start + rise * up)
    low = min(top @ up for top in tops)
    whole = 0.0
    for depth in (30.0, 20.0):
        corners = [top + (low - depth - top @ up) * up for top in tops]
        whole += 22.0 * area_of([tops[0], tops[1], corners[1], corners[0]])
    mortise = 22.0 * 10.0 * 40.0 / np.cos(rake)  # the low support's housing, its top nearly level
    assert lost(boat, bare) == pytest.approx(2.0 * (whole + mortise), rel=2e-3)  # on both sides


@pytest.mark.slow
def test_the_breasthook_s_housing_is_level_with_its_top(boat: Boat) -> None:
    """Open aft: from 50 mm forward of the throat, half the plank's breadth, its whole depth under the deck."""
    [spec] = [s for s in boat.design.wanted if type(s).__name__ == "BreasthookSpec"]
    [bare] = breasthook_pieces(boat, spec)
    made = let_in(boat, bare)
    [step] = made.steps
    assert step.depth >= 25.0 - 1e-6
    hole = max(shapely.get_parts(shapely.difference(step.after.area, step.before.area)), key=shapely.area)
    u0, v0, u1, _ = hole.bounds
    assert (u0, u1) == pytest.approx((0.0, 25.0), abs=0.01)
    assert v0 == pytest.approx(spec.throat - 50.0, abs=0.01)


@pytest.mark.slow
def test_every_end_meets_what_it_is_meant_to_meet(boat: Boat, patterns: tuple[Pattern, ...]) -> None:
    met = {(m.kind, m.lands, m.on) for m in meetings_of(boat, patterns)}
    assert {
        (Joinery.BUTT, "aft carling", "frame D top"),
        (Joinery.NOTCH, "aft carling", "frame D sheer gusset, after"),
        (Joinery.BUTT, "aft carling", "transom framing"),
        (Joinery.NOTCH, "forward carling", "frame C sheer gusset, after"),
        (Joinery.BUTT, "forward carling", "frame C top"),
        (Joinery.HALF_LAP, "forward carling", "seat back"),
        (Joinery.HOUSING, "strongback", "breasthook"),
        (Joinery.HOUSING, "strongback", "dash beam"),
        (Joinery.HALF_LAP, "bridge support", "seat back"),
        (Joinery.BUTT, "bridge support", "frame D top"),
        (Joinery.MORTISE, "low support", "seat back"),
    } <= met


@pytest.mark.slow
def test_nothing_overlaps_or_gapes(proof: Assembly) -> None:
    timbers = {"aft carling", "forward carling", "strongback", "bridge support", "low support"}
    mine = [f for f in proof.faults if timbers & {f.first.split(" (")[0], f.second.split(" (")[0]}]
    assert not [fault.words() for fault in mine]
    found = [c for c in proof.contacts if timbers & {s.piece for s in c.solids}]
    assert len(found) > 12
    assert max(c.overlap for c in found) < OVERLAPS
    beds = [c for c in found if "breasthook" not in {s.piece for s in c.solids}]
    assert max(c.gap for c in beds if c.touching) < MEETS


@pytest.mark.slow
def test_a_carling_s_end_lies_on_the_transom_s_inside(patterns: tuple[Pattern, ...]) -> None:
    """The table's points lie on the panel's after face, 18 mm of panel and 20 mm of framing abaft the end."""
    body = next(pattern.body for pattern in patterns if pattern.name == "aft carling")
    assert body is not None
    points = body.plane.space(shapely.get_coordinates(body.moulded))
    over = (points[:, 0] - TRANSOM_X0 - np.tan(RAKE) * points[:, 2]) * np.cos(RAKE) + 38.0
    assert over.max() == pytest.approx(0.0, abs=1e-3)
    on = points[np.abs(over) < 1e-3]
    assert np.ptp(on[:, 2]) == pytest.approx(50.0, abs=2.0)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('ends = ["notched", "half lapped"]', 'ends = ["notched", "notched"]', "end-impossible"),
        ('ends = "housed"\n', 'ends = "butted"\n', "end-impossible"),
        ('ends = "housed"\nend_depth = ["50 mm", "9 mm"]', 'ends = "housed"', "needed-key"),
        ('ends = ["notched", "butted"]', 'ends = "butted"\nend_depth = "9 mm"', "needless-key"),
        ('ends = ["notched", "butted"]', 'ends = ["notched", "glued"]', "invalid-choice"),
        ('["frame D", "transom"]', '["frame D", "frame D"]', "invalid-value"),
        ('["frame D", "transom"]', '["frame D", "frame Q"]', "unknown-name"),
        ('half_breadth = "600 mm"', 'half_breadth = "200 mm"', "piece-not-made"),
        ('ends = ["notched", "butted"]', 'ends = "housed"\nend_depth = "20 mm"', "piece-not-made"),
    ],
)
def test_an_end_that_cannot_be_is_refused(tmp_path: Path, old: str, new: str, code: str) -> None:
    with pytest.raises(DesignError) as caught:
        all_patterns(load_boat(boat_with(tmp_path, change=(old, new))), only=["aft carling"])
    assert code in {problem.code for problem in caught.value.problems}
