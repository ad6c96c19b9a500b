"""A small change of the lines makes a small change of every timber, and a corner that is one is met truly."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial import cKDTree

from patterns.boat import Boat, fair_boat, hull_of
from patterns.hull.planes import FloatArray
from patterns.table.folder import read_folder
from patterns.table.values import Offsets
from patterns.timbers.corners import SHARP, steady_corner
from patterns.timbers.laying import strake_skin
from patterns.timbers.measured import measured
from patterns.timbers.run import Run
from tests.demo import DEMO
from tests.patterns.odd_boats import ODD_BOATS, write_odd

DESIGNS = Path(__file__).parent / "designs"
HAIR = 0.3  # mm by which each inner offset is moved
SEEDS = (0,)
BOATS = ("demo", "skiff", "clinker", "workboat of 25 mm planks", "double depth")


def _folder(name: str, room: Path) -> Path:
    if name == "demo":
        return DEMO
    return write_odd(room / "boat", ODD_BOATS[name]) if name in ODD_BOATS else DESIGNS / name


def _jolted(offsets: Offsets, keel: str, seed: int) -> Offsets:
    rng = np.random.default_rng(seed)

    def moved(values: FloatArray) -> FloatArray:
        hair = rng.uniform(-HAIR, HAIR, len(values))
        hair[[0, -1]] = 0.0
        return values + hair

    lines = {
        name: replace(line, z=moved(line.z), y=line.y if name == keel else moved(line.y))
        for name, line in offsets.lines.items()
    }
    return replace(offsets, lines=lines)


def _cornered(boat: Boat) -> dict[str, Run]:
    return {run.name: run for run in boat.runs if run.kind in ("chine log", "clamp")}


def _lines_apart(one: Boat, two: Boat) -> float:
    """How far, mm, the lines of two boats lie apart at most."""
    worst = 0.0
    for a, b in zip(
        (one.lines.profile, *one.lines.lines), (two.lines.profile, *two.lines.lines), strict=True
    ):
        here = a.at(np.linspace(a.start, a.end, 402))[5:-5]
        there = b.at(np.linspace(b.start, b.end, 6001))
        apart, _ = cKDTree(there).query(here)
        worst = max(worst, float(apart.max()))
    return worst


@pytest.mark.slow
@pytest.mark.parametrize("name", BOATS)
def test_a_hair_in_the_lines_moves_no_notch_and_no_end_far(name: str, tmp_path: Path) -> None:
    """Each place of a timber moves by less than five times what the lines move, and 0.2 mm."""
    design, offsets, _ = read_folder(_folder(name, tmp_path))

    def made(table: Offsets) -> Boat:
        lines = fair_boat(table, design)
        return Boat(design=design, offsets=table, lines=lines, hull=hull_of(design, lines))

    base = made(offsets)
    before = _cornered(base)
    looked_at = 0
    for seed in SEEDS:
        boat = made(_jolted(offsets, design.lines[0].name, seed))
        room = 5.0 * _lines_apart(base, boat) + 0.2
        for run_name, run in _cornered(boat).items():
            old = before[run_name]
            for spec in design.frames:
                for face in base.frame_faces(spec)[:2]:
                    one, two = old.cut_long(face), run.cut_long(face)
                    if one is None or two is None:
                        continue
                    looked_at += 1
                    assert np.linalg.norm(one - two, axis=1).max() < room, (run_name, spec.name, seed)
            for end in (0, -1):
                moved = np.linalg.norm(old.corners[end] - run.corners[end], axis=1)
                assert moved.max() < room, (run_name, end, seed)
            for turn in (np.diff(measured(each).twists) for each in (old, run)):
                assert np.degrees(np.abs(turn)).max() < 2.0, (run_name, seed)  # between places 12 mm apart
    assert looked_at >= len(SEEDS)


def test_a_chine_log_meets_the_bottom_truly_where_the_chine_is_a_corner(tmp_path: Path) -> None:
    """On the demo, abaft the place where side and bottom meet at `SHARP`, its corner lies on both insides."""
    design, offsets, _ = read_folder(DEMO)
    lines = fair_boat(offsets, design)
    boat = Boat(design=design, offsets=offsets, lines=lines, hull=hull_of(design, lines))
    run = _cornered(boat)["chine log"]
    corner = measured(run).rails[:, 0]
    skins = {strake.name: strake_skin(strake) for strake in boat.hull.strakes}
    side, bottom = skins["side"].feet(corner), skins["bottom"].feet(corner)
    sine = np.linalg.norm(np.cross(side.normals, bottom.normals), axis=1)
    true = (
        sine > SHARP + 0.02
    )  # the angle at the timber's corner is a little another than abreast of its line
    assert true.sum() > 150
    for feet in (side, bottom):
        off = np.einsum("ij,ij->i", corner - feet.points, feet.normals)
        assert np.abs(off[true]).max() < 0.05


@given(st.floats(SHARP, 1.0), st.floats(-20.0, 20.0))
def test_at_an_angle_the_corner_is_the_true_one(pace: float, gap: float) -> None:
    """Closed form: on a line that nears another by ``pace`` a mm, a gap is closed after ``gap / pace``."""
    found = steady_corner(np.array([pace, -pace, 0.5]), np.array([gap, gap, 3.0]))
    assert found[:2] == pytest.approx([gap / pace, -gap / pace], abs=1e-9)


@given(st.floats(0.03, 1.0), st.floats(-20.0, 20.0))
def test_a_chine_of_one_flat_angle_all_along_keeps_its_true_corner(pace: float, place: float) -> None:
    found = steady_corner(np.full(9, pace), np.full(9, pace * place))
    assert found == pytest.approx([place] * 9, abs=1e-6)


def test_through_one_plane_the_corner_moves_steadily() -> None:
    """From a corner through one plane to a hollow no step is longer than the cubic's greatest slope allows."""
    pace = np.linspace(0.8, -0.1, 20_001)
    gap = np.full_like(pace, 3.0)
    found = steady_corner(pace, gap)
    usual = float(pace @ gap / (pace @ pace))
    steepest = 2.0 * (3.0 + SHARP * abs(usual)) / SHARP**2
    assert np.abs(np.diff(found) / np.diff(pace)).max() < steepest
    assert np.abs(found).max() < usual + 1.1 * (3.0 + SHARP * abs(usual)) / SHARP
