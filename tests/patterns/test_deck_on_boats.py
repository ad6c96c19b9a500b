"""Decks of whole smooth boats: every piece against the one surface, the clamps as laid, and each other."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from patterns.assembly.contacts import MEETS, OVERLAPS, contacts
from patterns.assembly.plate import plates
from patterns.boat import Boat, load_boat
from patterns.members import all_patterns
from patterns.pattern import Pattern
from tests.patterns.analytic_boats import ROUNDINGS, analytic_boat, write_table

CROWN = 60.0  # mm, as the boats' own design has it
PIECES = """
[[timber]]
kind = "clamp"
follows = "sheer"
against = "side"
off = "20 mm"
along = "45 mm"
[[frame]]
name = "3"
at = "station 3"
sided = "18 mm"
moulded_side = "80 mm"
moulded_bottom = "90 mm"
siding_runs = "forward"
stock = "ply"
[[beam]]
name = "beam A"
at = "aft of frame 3"
sided = "20 mm"
moulded = "50 mm"
underside = "parallel to the crown"
ends = "at the clamp"
stock = "fir"
[[beam]]
name = "beam B"
at = "station 4"
sided = "24 mm"
moulded = "110 mm"
ends = "to the planking"
stock = "fir"
[[beam]]
name = "beam C"
at = "station 7"
rake = "15 deg"
siding_runs = "aft"
sided = "24 mm"
moulded = "170 mm"
ends = "at the clamp"
stock = "fir"
[[beam]]
name = "half beam"
at = "station 6"
from_carling = "carling"
sided = "20 mm"
moulded = "45 mm"
ends = "at the clamp"
stock = "fir"
[[carling]]
name = "carling"
between = ["beam B", "beam C"]
half_breadth = ["320 mm", "300 mm"]
sided = "22 mm"
moulded = "55 mm"
underside = "parallel to the deck"
stock = "fir"
[[king_plank]]
between = ["beam A", "beam B"]
sided = "110 mm"
moulded = "20 mm"
let_in = "12 mm"
stock = "fir"
[breasthook]
length = "300 mm"
throat = "160 mm"
toe = "40 mm"
sided = "36 mm"
stock = "ply"
laminations = 2
[[knee]]
kind = "quarter knee"
along_clamp = "220 mm"
along_transom = "200 mm"
throat = "100 mm"
toe = "30 mm"
sided = "36 mm"
stock = "ply"
[[knee]]
kind = "hanging knee"
under = "beam A"
along_beam = "150 mm"
down_side = "160 mm"
throat = "90 mm"
toe = "28 mm"
sided = "20 mm"
stock = "ply"
"""
UNDER_DECK = ("frame 3", "transom panel", "beam A", "beam B", "beam C", "half beam", "carling", "king plank")


@pytest.fixture(scope="module", params=[2, 5])
def made(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Boat, dict[str, Pattern]]:
    folder = tmp_path_factory.mktemp(f"boat{request.param}")
    write_table(analytic_boat(request.param), folder, ROUNDINGS[0], np.random.default_rng(1))
    design = folder / "design.toml"
    design.write_text(design.read_text(encoding="utf-8") + PIECES, encoding="utf-8")
    boat = load_boat(Path(folder))
    return boat, {pattern.name: pattern for pattern in all_patterns(boat)}


@pytest.mark.slow
def test_beams_heads_transom_and_carlings_lie_on_one_deck(made: tuple[Boat, dict[str, Pattern]]) -> None:
    """By the mould's own circle through the sheer abreast of each point."""
    boat, patterns = made
    sheer = boat.hull.deck.sheer
    t = np.linspace(sheer.start, sheer.end, 20_001)
    half = float(sheer.at(t)[:, 1].max())
    radius = (2 * half) ** 2 / (8 * CROWN) + CROWN / 2
    x, y, z = sheer.at(np.append(t, sheer.end + np.linspace(1e-4, 0.01, 200) * (sheer.end - sheer.start))).T
    for name in UNDER_DECK:
        pattern = patterns[name]
        assert pattern.plane is not None
        faces = {
            "moulded face": pattern.plane,
            "other face": pattern.plane.moved(pattern.siding * pattern.thickness),
        }
        edges = [edge for edge in pattern.edges if edge.strake == "deck"]
        assert {edge.face for edge in edges} == faces.keys(), name  # each in as many parts as notches leave
        for edge in edges:
            plane = faces[edge.face]
            points = plane.space(edge.uv)
            half, height = np.interp(points[:, 0], x, y), np.interp(points[:, 0], x, z)
            deck = height + np.sqrt(radius**2 - points[:, 1] ** 2) - np.sqrt(radius**2 - half**2)
            assert np.abs(points[:, 2] - deck).max() < 0.05, name


@pytest.mark.slow
def test_pieces_fit_clamp_planking_and_each_other(made: tuple[Boat, dict[str, Pattern]]) -> None:
    boat, patterns = made
    solids = [
        solid
        for pattern in patterns.values()
        if pattern.body is not None and pattern.name not in ("inner stem", "outer stem")
        for solid in plates(pattern.name, pattern.body)
        if not solid.port
    ]
    found = list(contacts(solids))
    assert max(m.overlap for m in found) < OVERLAPS
    assert max(m.gap for m in found) < MEETS
    touching = {
        frozenset(n.partition(" (")[0] for n in (m.first, m.second)) for m in found if m.touching > 20
    }
    for pair in (
        ("beam B", "carling"), ("beam C", "carling"), ("carling", "half beam"), ("beam A", "king plank"),
        ("beam B", "king plank"), ("beam A", "hanging knee"), ("beam A", "frame 3"),
        ("quarter knee", "transom panel"),
    ):  # fmt: skip
        assert frozenset(pair) in touching, pair
    clamp = next(run for run in boat.runs if run.kind == "clamp")
    for solid in solids:
        points = solid.surface(5.0).points
        depth = clamp.depth(points[points[:, 1] > 0.0])
        assert depth.max() < OVERLAPS, solid.name
        if solid.name.partition(" (")[0] in ("beam A", "beam B", "half beam", "quarter knee", "breasthook"):
            assert (np.abs(depth) < MEETS).sum() > 20, solid.name
