"""Bent ribs by closed forms: an arc's length, radius and former, its twist; and what they refuse."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from patterns.errors import DesignError, PatternsError
from patterns.flat.polylines import lengths, normals_left
from patterns.repair.outline import Edge, EdgeStretch
from patterns.repair.repair import load_repair
from patterns.repair.ribs import bent_rib, former_piece
from tests.patterns.folders import codes_of
from tests.patterns.repair_boats import write_repair
from tests.patterns.test_repair_pieces import _piece, _straight

RADIUS, THICK, TURN = 500.0, 20.0, 1.2


def _arc(slopes: tuple[float, float] = (0.0, 0.0)) -> Edge:
    """The planking's inside as an arc that bulges out, from the keel up."""
    angles = np.linspace(-1.4, -1.4 + TURN, 600)
    points = RADIUS * np.stack([np.cos(angles), np.sin(angles)], axis=-1)
    slope = np.linspace(*slopes, len(points))
    stretch = EdgeStretch(
        name="round", points=points, out=-normals_left(points), slope=slope, hollow=np.zeros(len(points))
    )
    return Edge(stretches=(stretch,), corners=("heel", "head"))


def _circle(points: np.ndarray) -> float:
    """The radius of the circle through points (n, 2), by least squares."""
    rows = np.column_stack([2.0 * points, np.ones(len(points))])
    x, y, c = np.linalg.lstsq(rows, np.sum(points**2, axis=1), rcond=None)[0]
    return float(np.sqrt(c + x**2 + y**2))


@pytest.mark.parametrize("overbend", [0.0, 0.15, 0.4])
def test_an_arc_is_bent_on_a_former_of_a_smaller_radius(overbend: float) -> None:
    """The middle line's radius is R - t / 2; that over 1 + overbend, less t / 2 again, is the former's."""
    rib = bent_rib(_arc(), THICK, overbend)
    middle = RADIUS - 0.5 * THICK
    assert rib.length == pytest.approx(TURN * middle, rel=1e-4)
    assert rib.radii[1:-1] == pytest.approx(middle, rel=0.01)
    former = middle / (1.0 + overbend) - 0.5 * THICK
    assert _circle(rib.face) == pytest.approx(former, rel=1e-3)
    turned = float(lengths(rib.face)[-1]) / former
    assert turned == pytest.approx(TURN * (1.0 + overbend), rel=5e-3)


def test_twist_is_the_change_of_the_bevel(tmp_path: Path) -> None:
    rib = bent_rib(_arc((0.0, np.tan(np.radians(9.0)))), THICK, 0.1)
    assert np.degrees(rib.twists[-1]) == pytest.approx(9.0)
    assert rib.twists[0] == 0.0


def test_a_straight_rib_has_no_radius() -> None:
    points = np.array([[0.0, 0.0], [100.0, 0.0], [200.0, 0.0], [300.0, 0.0]])
    flat = np.zeros(4)
    stretch = EdgeStretch(name="side", points=points, out=-normals_left(points), slope=flat, hollow=flat)
    rib = bent_rib(Edge(stretches=(stretch,), corners=("heel", "head")), THICK, 0.2)
    assert np.isinf(rib.radii[1:-1]).all()
    assert rib.length == pytest.approx(300.0)


def _round(folder: Path, more: str) -> Path:
    lines = ["side,edge,point,method,from,a,b"]
    for i, angle in enumerate(np.linspace(-1.4, 0.0, 9)):
        out, up = 50.0 + RADIUS * np.cos(angle), 600.0 + RADIUS * np.sin(angle)
        lines.append(f"starboard,planking,{i + 1},half-breadth,,{out:.4f} mm,{up:.4f} mm")
    return write_repair(folder, "\n".join(lines), more, spec=f'moulded = "{THICK:g} mm"')


def test_the_former_of_measured_points_is_made(tmp_path: Path) -> None:
    more = _piece(kind="rib", overbend="25 %")
    repair = load_repair(_round(tmp_path, more))
    piece = former_piece(repair, repair.pieces[0][1], "starboard")
    rib = bent_rib(repair.edges_of["starboard"], THICK, 0.25)
    assert rib.length == pytest.approx(1.4 * (RADIUS - 0.5 * THICK), rel=2e-3)
    assert _circle(rib.face[20:-20]) == pytest.approx((RADIUS - 10.0) / 1.25 - 10.0, rel=0.01)
    assert piece.saw().area.is_valid
    assert {fact.kind for fact in piece.facts} >= {"rib", "former"}


def test_a_rib_does_not_go_round_a_corner(tmp_path: Path) -> None:
    repair = load_repair(write_repair(tmp_path, _straight(), _piece(kind="rib", overbend="10 %")))
    with pytest.raises(PatternsError):
        former_piece(repair, repair.pieces[0][1], "starboard")


@pytest.mark.parametrize(
    ("keys", "code"),
    [
        ({}, "needed-key"),
        ({"overbend": "much"}, "invalid-value"),
        ({"overbend": "5 %", "scarf": "8:1"}, "needless-key"),
    ],
)
def test_what_a_rib_needs_and_what_it_refuses(tmp_path: Path, keys: dict[str, str], code: str) -> None:
    with pytest.raises(DesignError) as caught:
        load_repair(_round(tmp_path, _piece(kind="rib", **keys)))
    assert codes_of(caught.value.problems) == [code]
