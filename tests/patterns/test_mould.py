"""Moulds: their edge against an independent cut, nothing proud, legs, lining off."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns.boat import Boat, load_boat
from patterns.design.mould_models import MouldSpec
from patterns.errors import DesignError, PatternsError
from patterns.flat.shapes import area_of
from patterns.hull.planes import FloatArray, station_plane
from patterns.hull.sections import cut_hull
from patterns.members import mould
from patterns.pattern import Kind, Pattern
from patterns.wood.labels import Against, Centre
from tests.demo import DEMO
from tests.patterns.analytic_boats import ROUNDINGS
from tests.patterns.folders import DESIGN, changed, write_folder
from tests.patterns.round_boats import RoundBoat, round_boat, write_round_table

MOULD = '\n[[mould]]\nname = "5"\nat = "station 5"\nsided = "18 mm"\nmoulded = "80 mm"\nstock = "18 mm ply"\n'


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("round")
    write_round_table(round_boat(2), path, ROUNDINGS[0], np.random.default_rng(0))
    return path


def _load(folder: Path, into: Path, text: str) -> Boat:
    for name in ("offsets.csv", "stem.csv"):
        (into / name).write_text((folder / name).read_text(encoding="utf-8"), encoding="utf-8")
    design = (folder / "design.toml").read_text(encoding="utf-8")
    (into / "design.toml").write_text(design + text, encoding="utf-8")
    return load_boat(into)


def _made(boat: Boat) -> Pattern:
    ((_, make),) = mould.pieces(boat)
    (pattern,) = make()
    return pattern


def _saw(pattern: Pattern) -> FloatArray:
    return np.vstack([line.points for line in pattern.of_kind(Kind.SAW)])


def _outside(true: RoundBoat, pattern: Pattern, x: float, inset: float) -> FloatArray:
    """How far the saw line's outer points lie outside of the exact surface moved inward, at one of the faces."""
    uv = _saw(pattern)
    points = np.column_stack([np.full(len(uv), x), uv])
    near = points[(uv[:, 0] > true.base.half + 20.0) & (true.off(points) < 4.0 + inset)]
    return np.asarray(-true.off(near) + inset)


@pytest.mark.slow
@pytest.mark.parametrize("less", [0.0, 12.0])
@pytest.mark.parametrize("station", [3, 11])
def test_no_corner_stands_outside_and_the_edge_is_the_section(
    folder: Path, tmp_path: Path, station: int, less: float
) -> None:
    """The exact surface's distance is that of the planking's and the ribbands' thickness, square to it."""
    text = MOULD.replace("station 5", f"station {station}") + f'ribbands = "{less:g} mm"\n'
    boat = _load(folder, tmp_path, text)
    pattern, true = _made(boat), round_boat(2)
    assert pattern.plane is not None
    x, x_other = float(pattern.plane.origin[0]), float(pattern.plane.origin[0]) + pattern.siding * 18.0
    assert (x_other - x > 0.0) == (x < boat.hull.widest)  # towards the greatest breadth
    planes = [station_plane(at) for at in (x, x_other)]
    areas = [shapely.Polygon(cut_hull(boat.hull, plane, deeper=less).outline()) for plane in planes]
    wood = area_of(_saw(pattern))
    sheer = float(cut_hull(boat.hull, planes[0], deeper=less).corners[-1].at[1])
    below = shapely.box(0.0, 0.0, 2000.0, sheer - 20.0)
    for area in areas:
        proud = shapely.difference(shapely.intersection(wood, below), area.buffer(0.02))
        assert proud.area < 1.0
    edge = shapely.intersection(areas[0].exterior, shapely.box(60.0, 0.0, 2000.0, sheer - 5.0))
    assert shapely.hausdorff_distance(edge, shapely.intersection(edge, wood.exterior.buffer(0.05))) < 1.0
    off = _outside(true, pattern, x, 9.0 + less)
    assert len(off) > 30
    assert np.abs(off).min() < 0.2


@pytest.mark.slow
def test_a_mould_runs_up_to_the_set_up_line_on_legs(folder: Path, tmp_path: Path) -> None:
    text = MOULD + 'legs = "70 mm"\nlegs_drawn = true\ncross_piece = "60 mm"\n[set_up]\nline = "1200 mm"\n'
    pattern = _made(_load(folder, tmp_path, text))
    wood = area_of(_saw(pattern))
    assert wood.bounds[3] == pytest.approx(1200.0)
    outer = wood.intersection(shapely.box(-1.0, 1150.0, 2000.0, 1190.0)).bounds
    assert outer[0] == pytest.approx(0.0)  # the piece across
    leg = wood.intersection(shapely.box(-1.0, 1000.0, 2000.0, 1100.0)).bounds
    assert leg[2] - leg[0] == pytest.approx(70.0)
    assert any("set-up line" in fact for fact in pattern.facts)


@pytest.mark.slow
def test_legs_that_are_not_drawn_are_sticks_within_the_edge_up_to_the_set_up_line(
    folder: Path, tmp_path: Path
) -> None:
    """The ring ends at its heads; leg and mould together are as high as a mould with its legs drawn."""
    keys = 'legs = "70 mm"\ncross_piece = "60 mm"\n'
    boat = _load(folder, tmp_path, MOULD + keys + '[set_up]\nline = "1200 mm"\n')
    pattern = _made(boat)
    (legs,) = (fact.values for fact in pattern.known if fact.kind == "mould-legs")
    wood = area_of(_saw(pattern))
    low, high = wood.bounds[1], wood.bounds[3]
    assert high + legs["over"] == pytest.approx(1200.0)
    assert legs["long"] == pytest.approx(1200.0 - high + 80.0)  # lapped by the ring's depth
    (leg,) = (line for line in pattern.lines if line.name == "leg")
    assert leg.points[:, 1].max() == pytest.approx(high)
    assert np.ptp(leg.points[:, 0]) == pytest.approx(70.0)
    section = cut_hull(boat.hull, station_plane(boat.distance("station 5")))
    inside = area_of(np.vstack([section.edge, [[section.edge[-1, 0], high], [0.0, high]]]))
    assert inside.buffer(0.5).contains(shapely.LineString(leg.points))  # nothing of it stands in the planking
    assert low < high - 80.0


@pytest.mark.slow
def test_legs_need_a_set_up_line_above_the_heads(folder: Path, tmp_path: Path) -> None:
    legs = MOULD + 'legs = "70 mm"\n'
    with pytest.raises(PatternsError, match="no set-up line"):
        _made(_load(folder, tmp_path, legs))
    with pytest.raises(PatternsError, match="above the set-up line"):
        _made(_load(folder, tmp_path, legs + '[set_up]\nline = "300 mm"\n'))


@pytest.mark.slow
def test_given_girths_are_kept_and_may_not_pass_the_sheer(folder: Path, tmp_path: Path) -> None:
    boat = _load(folder, tmp_path, MOULD + 'plank_girths = ["100 mm", "260 mm"]\n')
    assert sum(mark.name.startswith("plank") for mark in _made(boat).marks) == 2
    with pytest.raises(PatternsError, match="stay below the sheer"):
        _made(_load(folder, tmp_path, MOULD + 'plank_girths = ["100 mm", "3000 mm"]\n'))


@pytest.mark.slow
def test_a_hard_chine_boat_has_moulds_too(tmp_path: Path) -> None:
    text = changed(DESIGN, "[marks]", f'{MOULD.replace("5", "4")}lets_in = ["chine log"]\n\n[marks]')
    boat = load_boat(write_folder(tmp_path, design=text))
    pattern = _made(boat)
    assert "chine, inside of planking" in [mark.name for mark in pattern.marks]
    assert any(mark.name == "sheer" for mark in pattern.marks)
    [spec] = boat.design.all(MouldSpec)
    piece = mould.mould_piece(boat, spec)
    assert {Against("chine log"), Centre()} <= set(piece.faces[0].region.labels)
    assert (
        pattern.body is None
    )  # it is out of the boat before the pieces that it would be measured against are in
    assert pattern.behind == ""
    assert not pattern.of_kind(Kind.FACE)
    plain = load_boat(write_folder(tmp_path, design=changed(text, 'lets_in = ["chine log"]\n', "")))
    lost = area_of(_saw(_made(plain))).area - area_of(_saw(pattern)).area
    assert 400.0 < lost < 2000.0  # about the log's own section, 20 by 45 mm


@pytest.mark.slow
def test_what_a_mould_lets_in_is_there(tmp_path: Path) -> None:
    text = changed(DESIGN, "[marks]", f'{MOULD.replace("5", "4")}lets_in = ["chine lag"]\n\n[marks]')
    with pytest.raises(DesignError, match='there is no timber "chine lag"'):
        load_boat(write_folder(tmp_path, design=text))


def test_every_key_says_what_it_is() -> None:
    assert all(field.description for field in MouldSpec.model_fields.values())


@pytest.mark.slow
def test_on_a_chined_hull_the_inner_edge_is_one_clean_corner_at_each_chine(tmp_path: Path) -> None:
    """Every point of the inner edge is the moulding away from the section, and no line crosses itself."""
    folder = tmp_path / "boat"
    shutil.copytree(DEMO, folder)
    moulds = "".join(
        MOULD.replace('"5"', f'"{at}"').replace("station 5", f"station {at}") for at in (2, 4, 6)
    )
    design = (folder / "design.toml").read_text(encoding="utf-8")
    (folder / "design.toml").write_text(design + moulds, encoding="utf-8")
    boat = load_boat(folder)
    made = [pattern for _, make in mould.pieces(boat) for pattern in make()]
    assert [pattern.name for pattern in made] == ["mould 2", "mould 4", "mould 6"]
    for pattern in made:
        (line,) = pattern.of_kind(Kind.SAW)
        assert shapely.LineString(line.points).is_simple
        wood = area_of(line.points)
        assert pattern.plane is not None
        planes = (pattern.plane, pattern.plane.moved(pattern.siding * 18.0))
        edges = [
            shapely.LineString(mould.mould_edge(section, float(wood.bounds[3])))
            for section in (cut_hull(boat.hull, plane) for plane in planes)
        ]
        depth = np.min([shapely.distance(edge, shapely.points(line.points)) for edge in edges], axis=0)
        inner = (depth > 40.0) & (line.points[:, 1] < wood.bounds[3] - 60.0)  # the edges end at the heads
        assert inner.sum() > 3
        # Where the section is hollow at a chine the two edges' lines meet farther in: a mitre of up to 40 degrees.
        assert depth[inner].min() > 79.99
        assert (depth[inner] > 80.01).sum() <= 1
        assert depth[inner].max() < 80.0 / np.cos(np.radians(20.0))
