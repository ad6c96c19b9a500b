"""The profile line of keel and stem: its points in order, its shape against circles, its warnings."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from patterns.fairing.curves import FairCurve
from patterns.fairing.keel import make_profile, profile_line
from patterns.fairing.keel_bands import profile_warnings
from patterns.fairing.paths import fair_path
from patterns.fairing.profile_points import PathPoint, chain
from patterns.measure import Notation


def point(x: float, z: float, *, stem: bool, label: str = "1") -> PathPoint:
    return PathPoint(x=x, z=z, moves="x" if stem else "z", knuckle=False, label=label, stem=stem, place=None)


def codes(points: list[PathPoint]) -> list[str]:
    made = make_profile("keel", points, allow=1.0, ends="free")
    return [problem.code for problem in profile_warnings(made, "keel", notation=Notation.MM, down=False)]


def test_a_keels_height_on_the_stem_goes_between_the_stems_points() -> None:
    stem = [point(x, z, stem=True) for x, z in ((0, 800), (60, 500), (200, 200), (500, 60))]
    keel = [point(x, z, stem=False) for x, z in ((110, 350), (1000, 20), (2000, 10))]
    assert [p.x for p in chain(stem, keel)] == [0, 60, 110, 200, 500, 1000, 2000]


def test_a_point_given_twice_is_taken_once() -> None:
    stem = [point(x, z, stem=True) for x, z in ((0, 800), (60, 500), (500, 60))]
    keel = [point(500.5, 60.5, stem=False, label="2"), point(1000, 20, stem=False, label="3")]
    line = chain(stem, keel)
    assert [(p.x, p.stem) for p in line] == [(0, True), (60, True), (500.5, False), (1000, False)]


@pytest.mark.slow
def test_an_arc_at_twenty_degrees_of_turn_is_true_to_a_millimetre_and_a_half() -> None:
    """Closed form: a raked straight stem, an arc of radius 400, a straight keel, tangent to one another."""
    lean, radius = np.radians(30.0), 400.0
    turn = np.radians(60.0)
    angles = np.linspace(0.0, turn, 4)
    heading = -turn + angles
    arc = np.stack([radius * (np.sin(heading) + np.sin(turn)), radius * (1 - np.cos(heading))], axis=1)
    down = np.array([np.sin(lean), -np.cos(lean)])
    stem = [arc[0] - down * d for d in (640.0, 440.0, 240.0, 120.0)]
    keel = [arc[-1] + np.array([d, 0.0]) for d in (150.0, 450.0, 950.0, 1500.0, 2100.0)]
    xz = [*stem, *arc, *keel]
    points = [point(x, z, stem=i < 8, label=str(i)) for i, (x, z) in enumerate(xz)]
    made = make_profile("keel", points, allow=0.0, ends="free")
    centre = np.array([radius * np.sin(turn), radius])
    t = np.linspace(made.path.t[4], made.path.t[7], 200)
    off = np.hypot(made.path.x(t) - centre[0], made.path.z(t) - centre[1]) - radius
    assert np.abs(off).max() < 1.5
    assert np.abs(off).max() < max(band.half_width for band in made.bands[4:7])


@pytest.mark.slow
def test_a_forefoot_with_too_few_points_is_warned_of_and_a_knuckle_is_known_better() -> None:
    corner = [
        (0.0, 800.0),
        (40.0, 600.0),
        (80.0, 400.0),
        (140.0, 120.0),
        (700.0, 20.0),
        (1300.0, 15.0),
        (2000.0, 10.0),
    ]
    points = [point(x, z, stem=i < 4, label=str(i + 1)) for i, (x, z) in enumerate(corner)]
    assert set(codes(points)) == {"keel-band"}
    sharp = [replace(p, knuckle=p.x == 140.0) for p in points]
    loose, held = (make_profile("keel", some, allow=1.0, ends="free").bands for some in (points, sharp))
    assert max(band.half_width for band in held) < 0.9 * max(band.half_width for band in loose)


def test_the_profile_lines_parameter_is_its_length() -> None:
    """Closed form: arcs of a circle of radius 500 at uneven turns of 10 to 25 degrees; chords are 0.8 % short."""
    angles = np.radians([0.0, 10.0, 35.0, 50.0, 75.0, 90.0])
    xz = np.stack([500 * (1 - np.cos(angles)), 500 * (1 - np.sin(angles))], axis=1)
    path = fair_path(xz, np.zeros_like(xz))
    assert np.diff(path.t) == pytest.approx(500 * np.diff(angles), rel=2e-3)
    t = np.linspace(0.0, path.t[-1], 300)
    radius = np.hypot(path.x(t) - 500, path.z(t) - 500)
    assert radius == pytest.approx(np.full(300, 500.0), abs=0.2)


def test_a_plumb_stem_is_a_profile_line() -> None:
    """Closed form: x is 0 down a plumb stem to its knuckle, z is 0 along the keel."""
    places = [(0.0, 800.0), (0.0, 600.0), (0.0, 400.0), (0.0, 200.0), (0.0, 0.0)]
    places += [(float(x), 0.0) for x in range(500, 3001, 500)]
    points = [
        replace(point(x, z, stem=i < 5, label=str(i + 1)), knuckle=i == 4) for i, (x, z) in enumerate(places)
    ]
    made = make_profile("keel", points, allow=1.5, ends="free")
    profile = profile_line("keel", made, FairCurve(knots=made.path.t[[0, -1]], coefficients=np.zeros((1, 4))))
    heights = np.array([10.0, 333.0, 790.0])
    assert profile.at(profile.t_at_height(heights)) == pytest.approx(
        np.stack([0 * heights, 0 * heights, heights], 1), abs=1e-6
    )
    x = np.array([10.0, 1234.0, 3000.0, 3050.0])
    assert profile.at(profile.t_at_x(x)) == pytest.approx(np.stack([x, 0 * x, 0 * x], 1), abs=1e-6)
