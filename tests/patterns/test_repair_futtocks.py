"""Futtocks that butt at named points, in one layer and in two, by closed forms; and how far the grain runs out."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from patterns.errors import DesignError
from patterns.flat.polylines import normals_left
from patterns.repair.futtocks import butts_apart, in_pieces, run_out
from patterns.repair.outline import Edge, EdgeStretch
from patterns.repair.pieces import shape_piece
from patterns.repair.repair import load_repair
from patterns.repair.shapes import shapes_of
from patterns.wood.meeting import Joinery
from patterns.wood.piece import Piece
from tests.patterns.folders import codes_of
from tests.patterns.repair_boats import write_repair
from tests.patterns.test_repair_pieces import _straight


def _spec(**keys: str) -> str:
    lines = [f"{key} = {value}" for key, value in keys.items()]
    return "\n".join(["[[piece]]", 'kind = "frame"', *lines]) + "\n"


def _pieces(folder: Path, **keys: str) -> list[Piece]:
    repair = load_repair(write_repair(folder, _straight(), _spec(**keys), spec='moulded = "40 mm"'))
    (shape,) = shapes_of(repair, repair.pieces[0][1])
    return [shape_piece(repair, part) for part in in_pieces(repair, shape)]


def _areas(pieces: list[Piece]) -> list[float]:
    return [float(piece.saw().area.area) for piece in pieces]


def test_futtocks_butt_square_to_the_edge_at_the_points_that_are_named(tmp_path: Path) -> None:
    """400 mm level and 400 mm plumb, 40 mm deep: at points 2 and 7, 100 mm and 200 mm from heel and corner."""
    low, middle, high = _pieces(tmp_path, made_in='"futtocks"', joints='["7", "2"]')
    corner = 300.0 * 40.0 + 200.0 * 40.0 - 40.0**2
    assert _areas([low, middle, high]) == pytest.approx([100.0 * 40.0, corner, 200.0 * 40.0])
    assert high.saw().area.bounds == pytest.approx((410.0, 300.0, 450.0, 500.0))
    butts = [(m.lands, m.on) for m in middle.meetings if m.kind is Joinery.BUTT]
    assert butts == [(middle.name, low.name), (high.name, middle.name)]


def test_two_layers_are_half_as_thick_and_lie_face_to_face(tmp_path: Path) -> None:
    found = _pieces(tmp_path, made_in='"two layers"', joints='["3"]', joints_behind='["4", "7"]')
    assert [piece.stock.thickness for piece in found] == [12.5] * 5
    assert sum(_areas(found[:2])) == pytest.approx(sum(_areas(found[2:])))
    low, high, low_behind, middle_behind, high_behind = found
    faces = {
        piece.name: {m.other(piece.name) for m in piece.meetings if m.kind is Joinery.FACE} for piece in found
    }
    assert faces[low.name] == {low_behind.name}
    assert faces[high.name] == {low_behind.name, middle_behind.name, high_behind.name}
    assert all(one in faces[str(other)] for one, others in faces.items() for other in others)


def test_how_far_the_butts_of_the_layers_are_apart_is_said(tmp_path: Path) -> None:
    more = _spec(made_in='"two layers"', joints='["3"]', joints_behind='["4", "7"]')
    repair = load_repair(write_repair(tmp_path, _straight(), more, spec='moulded = "40 mm"'))
    (shape,) = shapes_of(repair, repair.pieces[0][1])
    assert butts_apart(repair, next(iter(in_pieces(repair, shape)))) == pytest.approx(100.0)


@pytest.mark.parametrize(
    ("keys", "code"),
    [
        ({"made_in": '"two layers"', "joints": '["3"]', "joints_behind": '["3"]'}, "butts-in-line"),
        ({"made_in": '"two layers"', "joints": '["3"]'}, "needed-key"),
        ({"made_in": '"halves"', "joints": '["3"]'}, "needless-key"),
        ({"made_in": '"futtocks"', "joints": '["1"]'}, "unknown-name"),
    ],
)
def test_butts_that_cannot_be_are_refused(tmp_path: Path, keys: dict[str, str], code: str) -> None:
    with pytest.raises(DesignError) as caught:
        load_repair(write_repair(tmp_path, _straight(), _spec(**keys)))
    assert codes_of(caught.value.problems) == [code]


@pytest.mark.parametrize("half", [0.1, 0.3, 0.6])
def test_the_grain_of_an_arc_runs_out_by_half_of_its_turn(half: float) -> None:
    """A chord meets its circle's tangent at the ends at half of the arc's angle: Euclid, Elements III.32."""
    angles = np.linspace(-half, half, 400)
    points = 1000.0 * np.stack([np.sin(angles), 1.0 - np.cos(angles)], axis=-1)
    flat = np.zeros(len(points))
    stretch = EdgeStretch(name="arc", points=points, out=-normals_left(points), slope=flat, hollow=flat)
    angle, where = run_out(Edge(stretches=(stretch,), corners=("heel", "head")), np.array([1.0, 0.0]))
    assert angle == pytest.approx(half, abs=0.003)
    assert min(np.hypot(*(where - points[i])) for i in (0, -1)) < 5.0
