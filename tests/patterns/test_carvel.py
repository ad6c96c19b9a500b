"""Carvel planks as expanded shapes: against the exact sections of a round bilge, and against the boat."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from patterns.boat import Boat, load_boat
from patterns.design.file import read_design
from patterns.errors import DesignError
from patterns.hull.planes import station_plane
from patterns.joinery.carvel import carvel_boat, plank_name, rounds_of
from patterns.joinery.plank_lines import plank_lines
from patterns.joinery.strake_flat import lay_strake_flat
from patterns.members.lined_plank import WORDS, PlankPatternSpec, pieces, plank_piece
from patterns.text.wood_facts import FACTS
from tests.demo import DEMO
from tests.patterns.analytic_boats import ROUNDINGS
from tests.patterns.folders import DESIGN, changed, codes_of, write_folder
from tests.patterns.round_boats import exact_section, round_boat, write_round_table

PLANK = '\n[[plank_pattern]]\nplank = {}\nstock = "cedar"\ntrim = "5 mm"\n'
LINING = '\n[lining]\nplanks = 8\ngarboard_hood = "700 mm"\n'
NUMBERS = (1, 4, 8)


@pytest.fixture(scope="module")
def boat(tmp_path_factory: pytest.TempPathFactory) -> Boat:
    folder = tmp_path_factory.mktemp("carvel")
    write_round_table(round_boat(2), folder, ROUNDINGS[0], np.random.default_rng(0))
    design = folder / "design.toml"
    text = design.read_text(encoding="utf-8") + LINING + "".join(PLANK.format(n) for n in NUMBERS)
    design.write_text(text, encoding="utf-8")
    return load_boat(folder)


@pytest.mark.slow
@pytest.mark.parametrize("number", NUMBERS)
def test_a_plank_is_as_wide_as_the_chord_of_its_section(boat: Boat, number: int) -> None:
    """Its inside face is the planking's thickness from the chord between its edges on the exact outside."""
    planked, lines = carvel_boat(boat), plank_lines(boat)
    assert planked is not None
    assert lines is not None
    strake = next(strake for strake in planked.hull.strakes if strake.name == plank_name(number))
    spec = next(spec for spec in boat.design.all(PlankPatternSpec) if spec.plank == number)
    flat = lay_strake_flat(planked, spec, strake)  # type: ignore[arg-type]
    for name in ("4", "6", "8"):
        x = boat.distance(f"station {name}")
        whole, up = lines.girths(x)
        edges = {0: 0.0, **up, 8: whole}
        run, uv = exact_section(x)
        ends = [
            np.array([np.interp(min(girth, run[-1]), run, uv[:, k]) for k in (0, 1)])
            for girth in (edges[number - 1], edges[number])
        ]
        line = flat.line_where(station_plane(x).height_over)
        assert np.hypot(*(line[-1] - line[0])) == pytest.approx(np.hypot(*(ends[1] - ends[0])), abs=1.2)
    for (true, laid), strain in zip(flat.edges, flat.strain, strict=True):
        assert laid == pytest.approx(true, rel=0.003)
        assert abs(strain) < 0.01


@pytest.mark.slow
def test_the_round_is_the_rise_of_the_exact_section_over_its_chord(boat: Boat) -> None:
    lines = plank_lines(boat)
    assert lines is not None
    x = boat.distance("station 6")
    whole, up = lines.girths(x)
    run, uv = exact_section(x)
    for number in range(2, 8):
        at = np.linspace(up[number - 1], up[number], 201)
        points = np.stack([np.interp(at, run, uv[:, k]) for k in (0, 1)], axis=-1)
        chord = points[-1] - points[0]
        rise = (points - points[0]) @ np.array([chord[1], -chord[0]]) / np.hypot(*chord)
        assert rounds_of(boat, number)["station 6"] == pytest.approx(rise[np.abs(rise).argmax()], abs=0.3)
    assert whole == pytest.approx(run[-1], abs=1.0)


@pytest.mark.slow
def test_planks_lie_edge_to_edge_from_rabbet_to_sheer(boat: Boat) -> None:
    planked = carvel_boat(boat)
    assert planked is not None
    assert [strake.name for strake in planked.hull.strakes] == [plank_name(n) for n in range(1, 9)]
    x = 2000.0
    sections = [strake.across(station_plane(x), inset=0.0) for strake in planked.hull.strakes]
    edges = []
    for trace in sections:
        assert trace is not None
        edges.append([np.array([np.interp(r, trace.r, trace.uv[:, k]) for k in (0, 1)]) for r in (0.0, 1.0)])
    for below, above in pairwise(edges):
        assert below[1] == pytest.approx(above[0], abs=0.05)
    names = [make()[0].name for _, make in pieces(boat)]
    assert names == ["plank 1 strake", "plank 4 strake", "plank 8 strake"]
    [spec, *_] = boat.design.all(PlankPatternSpec)
    piece = plank_piece(boat, spec)
    assert {fact.kind for fact in piece.facts} <= {*FACTS, *WORDS}
    [round_fact] = [fact for fact in piece.facts if fact.kind == "plank-round"]
    assert round_fact.values["stock"] > piece.stock.thickness


REFUSED = [
    (PLANK.format(10), ["invalid-value"]),
    (PLANK.format(3) * 2, ["pattern-given-twice"]),
    (PLANK.format(0), ["invalid-value"]),
]


@pytest.mark.parametrize(("more", "codes"), REFUSED)
def test_planks_that_are_not_there_are_refused(tmp_path: Path, more: str, codes: list[str]) -> None:
    text = (DEMO / "round_bilge" / "design.toml").read_text(encoding="utf-8")
    with pytest.raises(DesignError) as refused:
        read_design(write_folder(tmp_path, design=text + more))
    assert codes_of(refused.value) == codes


def test_a_plank_wants_a_hull_that_is_lined_off(tmp_path: Path) -> None:
    with pytest.raises(DesignError) as refused:
        load_boat(write_folder(tmp_path, design=changed(DESIGN, "[marks]", f"{PLANK.format(1)}\n[marks]")))
    assert codes_of(refused.value) == ["needed-key"]
