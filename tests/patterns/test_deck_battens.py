"""Battens under the deck of the boat of planes: where they lie, and the notches for them, in closed form."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns.assembly.contacts import MEETS, OVERLAPS
from patterns.assembly.proof import assembled
from patterns.boat import Boat, load_boat
from patterns.errors import TimberError
from patterns.flat import overlays
from patterns.joinery.deck_timbers import beam_called
from patterns.members import all_patterns
from patterns.members.beam import beam_piece
from patterns.members.frame import frame_pieces
from patterns.members.timber import timber_piece
from patterns.wood.meeting import Joinery
from tests.patterns.plane_boat import write_plane_boat

OFF, ALONG, MIDDLE = 18.0, 30.0, 200.0
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
[[beam]]
name = "dash beam"
at = "1400 mm"
sided = "24 mm"
moulded = "80 mm"
siding_runs = "forward"
ends = "at the clamp"
stock = "fir"
[[timber]]
kind = "deck batten"
half_breadth = "200 mm"
off = "18 mm"
along = "30 mm"
from = "1300 mm"
to = "frame C"
stock = "fir"
"""


def boat_with(folder: Path, change: tuple[str, str] = ("", "")) -> Boat:
    design = write_plane_boat(folder) / "design.toml"
    design.write_text(design.read_text(encoding="utf-8") + PIECES.replace(*change, 1), encoding="utf-8")
    return load_boat(folder)


@pytest.fixture(scope="module")
def boat(tmp_path_factory: pytest.TempPathFactory) -> Boat:
    return boat_with(tmp_path_factory.mktemp("battens"))


def test_it_lies_flat_on_the_deck_at_its_half_breadth(boat: Boat) -> None:
    """The deck's underside is z = 700 - 0.03 x: its back is in that, its face `off` below, square to it."""
    run = timber_piece(boat, "deck batten").run
    inboard, outboard, under, under_inboard = np.moveaxis(run.corners, 1, 0)
    for back in (inboard, outboard):
        assert np.allclose(back[:, 2], 700.0 - 0.03 * back[:, 0], atol=1e-6)
    for face in (under, under_inboard):
        assert np.allclose(700.0 - 0.03 * face[:, 0] - face[:, 2], OFF * SLOPE, atol=1e-6)
    assert np.allclose(inboard[:, 1], MIDDLE - 0.5 * ALONG, atol=1e-6)
    assert np.allclose(outboard[:, 1], MIDDLE + 0.5 * ALONG, atol=1e-6)
    assert np.allclose(run.corners[-1][:, 0], 1300.0)
    assert np.allclose(run.corners[0][:, 0], 1700.0)  # the frame's after face, which it passes through


def test_a_beam_and_a_frame_s_top_piece_have_open_notches_for_it(boat: Boat) -> None:
    """On a face square to x the notch is `along` wide and `off` times the deck's slope deep."""
    pieces = [
        beam_piece(boat, beam_called(boat, "dash beam").spec),
        *(piece for piece in frame_pieces(boat, boat.design.frames[-1]) if "top" in piece.name),
    ]
    assert len(pieces) == 2
    for piece in pieces:
        notched = [
            each for each in piece.meetings if each.kind is Joinery.NOTCH and "deck batten" in each.pair
        ]
        assert len(notched) == 1
        for number, face in enumerate(piece.faces):
            plane = piece.on.face.moved(
                number * piece.on.sense * (24.0 if piece.name == "dash beam" else 18.0)
            )
            x = float(plane.origin[0])
            deck, wide = 700.0 - 0.03 * x, 0.5 * ALONG
            notch = shapely.box(MIDDLE - wide, deck - OFF * SLOPE, MIDDLE + wide, deck)
            below = shapely.box(MIDDLE - wide, deck - OFF * SLOPE - 5.0, MIDDLE + wide, deck - OFF * SLOPE)
            beside = shapely.box(MIDDLE + wide, deck - OFF, MIDDLE + wide + 5.0, deck)
            v = plane.flat(np.array([x, 0.0, 0.0]))[1]
            wood = shapely.affinity.translate(face.region.area, 0.0, -float(v))
            assert overlays.intersection(wood, notch).area < 1e-3
            assert overlays.intersection(wood, below).area == pytest.approx(below.area, abs=1e-3)
            assert overlays.intersection(wood, beside).area == pytest.approx(beside.area, abs=1e-3)


@pytest.mark.slow
def test_what_it_meets_is_meant_and_measured(boat: Boat) -> None:
    proof = assembled(boat, all_patterns(boat, only=["dash beam", "frame C"]))
    mine = [c for c in proof.contacts if "deck batten" in {solid.piece for solid in c.solids}]
    assert {"dash beam", "frame C top"} <= {solid.piece for contact in mine for solid in contact.solids}
    assert max(contact.overlap for contact in mine) < OVERLAPS
    assert max(contact.gap for contact in mine if contact.touching) < MEETS
    assert not [fault for fault in proof.faults if "deck batten" in f"{fault.first} {fault.second}"]


@pytest.mark.slow
@pytest.mark.parametrize(
    "change",
    [
        ('half_breadth = "200 mm"', 'half_breadth = "2000 mm"'),
        ('from = "1300 mm"', 'from = "300 mm"'),
        ('from = "1300 mm"\n', ""),
    ],
)
def test_a_batten_past_the_deck_is_refused(tmp_path: Path, change: tuple[str, str]) -> None:
    with pytest.raises(TimberError):
        assert boat_with(tmp_path, change).runs
