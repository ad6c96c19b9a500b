"""Clinker planks: laps, steps and lands of planks whose lines are parallel, in closed form; gains; doubts."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from patterns.boat import load_boat
from patterns.hull.clinker import Laps, PlankLands, lands_at
from patterns.hull.clinker_doubts import clinker_warnings
from patterns.hull.hull import FairCurves, Hull, Strake, TransomShape, build_hull
from patterns.hull.hydrostatics import float_hull
from patterns.hull.planes import FloatArray, station_plane
from patterns.hull.sections import cut_hull
from patterns.hull.surfaces import moved
from tests.patterns.end_boats import write_double_ender, write_pram
from tests.patterns.exact_hulls import Given, straight

T, LAP, LONG = 9.0, 15.0, 3000.0
CORNERS = np.array([[20.0, 60.0], [220.0, 110.0], [400.0, 230.0], [520.0, 420.0], [560.0, 640.0]])  # y and z
HOLLOW = np.array([[20.0, 60.0], [60.0, 250.0], [300.0, 350.0]])
GAIN = 400.0


@lru_cache(maxsize=8)
def _hull(
    *, upper: bool = True, gain: float = 0.0, lap: float = LAP, flare: float = 0.0, hollow: bool = False
) -> Hull:
    """A boat without ends: straight lines from a flat bow to a flat stern, spread by ``flare`` going aft."""
    corners = HOLLOW if hollow else CORNERS
    names = ["keel", *(f"land {i}" for i in range(1, len(corners) - 1)), "sheer"]
    lines = {}
    for name, (y, z) in zip(names, corners, strict=True):
        lines[name] = straight((0.0, y, z), (LONG, y * (1.0 + flare), z))
    profile = lines.pop("keel")
    return build_hull(
        FairCurves(profile=profile, lines=lines, keel="keel"),
        [Given(f"plank {i}", pair, T) for i, pair in enumerate(pairwise(names), start=1)],
        bow=TransomShape(0.0),
        stern=TransomShape(0.0),
        laps=Laps(width=lap, upper=upper, gains=(0.0, gain)),
    )


def _turned(way: FloatArray, angle: float) -> FloatArray:
    cos, sin = np.cos(angle), np.sin(angle)
    return np.array([cos * way[0] - sin * way[1], sin * way[0] + cos * way[1]])


def _planks(step: float = T) -> list[tuple[FloatArray, FloatArray]]:
    """In the section: each plank's lower and upper outside edge, (2,), from the one below it.

    Its inside rests on the lower plank ``LAP`` below that one's upper edge, so its outside is the tangent from its
    own upper edge to the circle of radius ``step`` about that place.
    """
    found = [(CORNERS[0], CORNERS[1])]
    for high in CORNERS[2:]:
        low, top = found[-1]
        rest = top - LAP * (top - low) / np.linalg.norm(top - low)
        to = high - rest
        far = float(np.linalg.norm(to))
        way = _turned(
            to / far, float(np.arcsin(step / far))
        )  # leans in, up from a corner that is farther out
        out = np.array([way[1], -way[0]])
        found.append((rest + step * out, high))
    return found


def _edges(strake: Strake, x: float) -> tuple[FloatArray, FloatArray]:
    patch = strake.patches[strake.main]
    low, high = (patch.shape(np.array([x]), np.array([r]))[0][0] for r in (0.0, 1.0))
    return low[1:], high[1:]


def _lands(hull: Hull, below: Strake, above: Strake, x: FloatArray) -> PlankLands:
    assert below.edges is not None
    assert above.edges is not None
    assert above.edges[0] is not None
    assert below.laps is not None
    planks = below.planked(hull.profile), above.planked(hull.profile)
    return lands_at(*planks, (below.edges[1], above.edges[0]), below.laps, x)


def test_each_plank_rests_on_the_one_below_and_ends_at_its_line() -> None:
    for strake, (low, high) in zip(_hull().strakes, _planks(), strict=True):
        for x in (0.0, 1234.0, LONG):
            edges = _edges(strake, x)
            assert edges[0] == pytest.approx(low, abs=1e-6)
            assert edges[1] == pytest.approx(high, abs=1e-6)


def test_lines_to_the_lower_edge_of_the_upper_plank_are_where_it_rests() -> None:
    """Each plank runs on by the lap past its line; the inside corner of the next one is on that line."""
    hull = _hull(upper=False)
    for (below, above), corner in zip(pairwise(hull.strakes), CORNERS[1:], strict=False):
        low, high = _edges(below, 1500.0)
        assert np.linalg.norm(high - corner) == pytest.approx(LAP, abs=1e-6)
        along, off = (high - low) / np.linalg.norm(high - low), corner - low
        assert along[0] * off[1] - along[1] * off[0] == pytest.approx(0.0, abs=1e-6)
        patch = above.patches[above.main]
        rests = moved(patch, np.array([1500.0]), np.array([0.0]), T)[0][0]
        assert rests[1:] == pytest.approx(corner, abs=1e-5)


def test_lands_are_planed_by_the_angle_between_the_planks() -> None:
    hull, planks = _hull(), _planks()
    for i, (below, above) in enumerate(pairwise(hull.strakes)):
        lands = _lands(hull, below, above, np.array([700.0, 1500.0]))
        ways = [(high - low) / np.linalg.norm(high - low) for low, high in planks[i : i + 2]]
        angle = np.arctan2(ways[0][0] * ways[1][1] - ways[0][1] * ways[1][0], ways[0] @ ways[1])
        assert lands.bevel == pytest.approx(angle, abs=1e-6)
        assert lands.left == pytest.approx(T - LAP * np.tan(angle), abs=1e-5)
        assert lands.let_in == pytest.approx(0.0, abs=1e-9)
        assert lands.edge[:, 1:] == pytest.approx(np.tile(CORNERS[i + 1], (2, 1)), abs=1e-6)


def test_the_section_steps_at_each_land_by_what_is_left_of_the_lower_plank() -> None:
    """The inside runs along each plank to its upper edge and out along that edge to the next one's inside."""
    section = cut_hull(_hull(), station_plane(1500.0))
    planks = _planks()
    insides = []
    for low, high in planks:
        way = (high - low) / np.linalg.norm(high - low)
        insides.append((low - T * np.array([way[1], -way[0]]), high - T * np.array([way[1], -way[0]]), way))
    traces = list(section.traces.values())
    for i, corner in enumerate(section.corners[:-1]):
        end, start = traces[i].uv[-1], traces[i + 1].uv[0]
        low, high, way = insides[i]
        assert end == pytest.approx(high, abs=1e-4)
        assert corner.at == pytest.approx(end)
        assert (start - end) @ way == pytest.approx(0.0, abs=1e-3)  # square through the lower plank
        first, _, upper_way = insides[i + 1]
        off = start - first
        assert upper_way[0] * off[1] - upper_way[1] * off[0] == pytest.approx(0.0, abs=1e-4)
        angle = np.arctan2(way[0] * upper_way[1] - way[1] * upper_way[0], way @ upper_way)
        assert np.linalg.norm(start - end) == pytest.approx(T - LAP * np.tan(angle), abs=0.01)


def test_a_plank_that_flares_still_rests_on_the_one_below() -> None:
    """No section is like another along the boat: the corner lies on the lower plank all the same."""
    hull = _hull(flare=0.4)
    for below, above in pairwise(hull.strakes):
        patch, under = above.patches[above.main], below.patches[below.main]
        x = np.linspace(300.0, LONG - 300.0, 7)
        rests = moved(patch, x, np.zeros(7), T)[0]
        p = x if below.lower != "keel" else hull.profile.t_at_x(rests[:, 0])
        p = rests[:, 0] if below.lower != "keel" else p
        low, high = under.lower(p)[0], under.upper(p)[0]
        share = np.sum((rests - low) * (high - low), axis=1) / np.sum((high - low) ** 2, axis=1)
        assert np.linalg.norm(low + share[:, None] * (high - low) - rests, axis=1).max() < 0.05
        assert below.edges is not None
        t = np.linspace(below.edges[1].start, below.edges[1].end, 20001)
        edge = below.edges[1].at(t)
        apart = np.linalg.norm(rests[:, None] - edge[None], axis=-1).min(axis=1)
        assert apart == pytest.approx(LAP, abs=0.05)


def test_gains_let_the_planks_into_each_other_until_they_are_flush() -> None:
    """At the end the outsides meet where the lap begins; a gain's length from it the step is whole."""
    hull, planks = _hull(gain=GAIN), _planks()
    for i, (below, above) in enumerate(pairwise(hull.strakes)):
        assert _edges(above, LONG - GAIN)[0] == pytest.approx(planks[i + 1][0], abs=0.01)
        low, high = _edges(below, LONG)
        lower = _edges(above, LONG)[0]
        assert lower == pytest.approx(high - LAP * (high - low) / np.linalg.norm(high - low), abs=0.01)
        lands = _lands(hull, below, above, np.array([LONG - GAIN, LONG - 0.5 * GAIN, LONG]))
        assert lands.let_in == pytest.approx([0.0, 0.5 * T, T], abs=0.02)


def test_a_lap_that_takes_the_edge_away_is_doubted() -> None:
    """Planks that turn by 24 degrees on each other: a lap of 25 mm takes 11 mm, more than the whole edge."""
    assert {problem.code for problem in clinker_warnings(_hull(lap=25.0))} == {"land-thin"}
    assert not list(clinker_warnings(_hull()))


def test_a_lap_that_opens_is_doubted() -> None:
    """Where the section is hollow the upper plank stands off the lower one's edge."""
    assert {problem.code for problem in clinker_warnings(_hull(hollow=True))} == {"land-gapes"}


CLINKER = '\n[clinker]\nland_to = "{land_to}"\nlap = "15 mm"\n{gain}'


@pytest.mark.slow
@pytest.mark.parametrize("land_to", ["upper edge of the lower plank", "lower edge of the upper plank"])
@pytest.mark.parametrize("pram", [False, True])
def test_planks_of_two_thicknesses_lap_on_boats_with_two_ends_alike(
    tmp_path: Path, land_to: str, pram: bool
) -> None:
    """A bottom of 9 mm and a side of 6 mm: the side's own inside rests on the bottom, abaft and ahead of gains."""
    write = write_pram if pram else write_double_ender
    write(tmp_path)
    design = tmp_path / "design.toml"
    text = design.read_text(encoding="utf-8").replace('"developable"', '"straight"')
    gain = "" if pram else 'gain = "300 mm"\n'
    design.write_text(text + CLINKER.format(land_to=land_to, gain=gain), encoding="utf-8")
    hull = load_boat(tmp_path).hull
    below, above = hull.strakes
    assert below.planking > above.planking
    patch, x = above.patches[above.main], np.linspace(700.0, 2200.0, 9)
    rests = moved(patch, x, np.zeros(9), above.inset)[0]
    low, high, _ = below.planked(hull.profile).rulings(rests[:, 0])
    share = np.sum((rests - low) * (high - low), axis=1) / np.sum((high - low) ** 2, axis=1)
    assert np.linalg.norm(low + share[:, None] * (high - low) - rests, axis=1).max() < 0.05
    assert below.edges is not None
    assert above.edges is not None
    edge = below.edges[1].at(np.linspace(below.edges[1].start, below.edges[1].end, 20001))
    assert np.linalg.norm(rests[:, None] - edge[None], axis=-1).min(axis=1) == pytest.approx(15.0, abs=0.06)
    lower = above.edges[0]
    assert lower is not None
    if not pram:
        on_stem = hull.profile.at(np.linspace(hull.profile.start, hull.profile.end, 40001))
        for t in (lower.start, lower.end):
            assert np.linalg.norm(on_stem - lower.at(np.array(t)), axis=1).min() < 0.2


@pytest.mark.slow
def test_what_clinker_planks_displace_is_the_area_within_their_steps() -> None:
    """Parallel lines: the volume is the stepped section's area, by the shoelace formula, times the length."""
    planks, level = _planks(), 500.0
    outline = [np.array([0.0, planks[0][0][1]]), planks[0][0]]
    for (low, high), (above, _) in pairwise(planks):
        way = (high - low) / np.linalg.norm(high - low)
        outline += [high - LAP * way, above]  # what is seen of a plank ends where the next one rests on it
    low, high = planks[-1]
    outline += [low + (level - low[1]) / (high[1] - low[1]) * (high - low), np.array([0.0, level])]
    y, z = np.array(outline).T
    area = 0.5 * abs(float(np.sum(y * np.roll(z, -1) - np.roll(y, -1) * z)))
    floating = float_hull(_hull(), level, density=1025.0)
    assert floating.volume == pytest.approx(2.0 * area * LONG * 1e-9, rel=1e-4)
    assert floating.gap < 1e-4
