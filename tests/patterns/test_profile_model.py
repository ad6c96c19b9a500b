"""The profile line by its curvature: against finite differences, closed forms and profiles known exactly."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from patterns.fairing.keel import make_profile
from patterns.fairing.keel_bands import profile_warnings
from patterns.fairing.paths import FairedPath
from patterns.fairing.profile_choice import choose_profile
from patterns.fairing.profile_curve import locate, meet, motion, rate_of, shoot
from patterns.fairing.profile_ends import end_doubts
from patterns.fairing.profile_grid import profile_grid
from patterns.fairing.profile_lifting import line_doubts
from patterns.fairing.profile_model import model_profile, sigma_of
from patterns.fairing.profile_points import PathPoint
from patterns.fairing.profile_shares import CALM, level_shares
from patterns.fairing.suspects import profile_doubts
from patterns.hull.planes import FloatArray
from patterns.measure import Notation
from patterns.table.offsets import Place
from tests.bench.fresh_profiles import FOR_BANDS, ONLY_JUDGED
from tests.bench.profile_bench import errors_of, points_of, slipped
from tests.bench.profiles import FAMILIES, HELD_BACK, WRITTEN, Sampler, ordinary_plan, well_sampled

STEP = {written.name: written for written in WRITTEN}


def bent(count: int = 12) -> tuple[FloatArray, list[int]]:
    """Points on a quarter circle of radius 800 from plumb to level."""
    turn = np.linspace(0.0, np.pi / 2, count)
    points = np.stack([800 * (1 - np.cos(turn)), 800 * (1 - np.sin(turn))], axis=1)
    return points, [0 if t < np.pi / 4 else 1 for t in turn]


def test_the_slopes_of_the_residuals_are_those_of_finite_differences() -> None:
    points, measured = bent()
    grid = profile_grid(points, measured, sigma_of(points, np.ones(12)), knuckles=(5,))
    rng = np.random.default_rng(1)
    p = np.concatenate([rng.normal(0.4, 0.2, len(grid.knots)), [grid.heading[0]], points[0], [0.05]])
    _, s, at = meet(grid, shoot(grid, p), grid.s, rounds=30)
    inside = (s > grid.low + 1) & (s < grid.high - 1) & (np.abs(rate_of(grid, at[2])) > 0.1)
    inside &= np.abs(s - grid.cell[grid.turns[0]]) > 1.0  # there the line turns
    slopes = motion(grid, shoot(grid, p), s, at) / rate_of(grid, at[2])[:, None]
    for k in range(len(p)):
        step = np.zeros(len(p))
        step[k] = 1e-6
        ahead, behind = (meet(grid, shoot(grid, p + d), s, rounds=30)[0] for d in (step, -step))
        near = (ahead - behind) / 2e-6
        # The line is bent in arcs; where it meets a point its slope and the arc's chord differ a little.
        assert slopes[inside, k] == pytest.approx(near[inside], rel=0.02, abs=0.02 * np.abs(slopes).max())


def test_points_on_a_circle_give_the_circle() -> None:
    points, measured = bent()
    model = model_profile(points, measured, np.zeros(12))
    x, z, _ = locate(model.grid, model.shot, np.linspace(0.0, model.s[-1], 500))
    assert np.hypot(x - 800, z - 800) == pytest.approx(np.full(500, 800.0), abs=0.1)


def test_points_on_a_straight_line_give_it_exactly_and_it_is_well_known() -> None:
    points = np.stack([np.linspace(0, 4000, 9), 20 + 0.01 * np.linspace(0, 4000, 9)], axis=1)
    choice = choose_profile(points, [1] * 9, np.zeros(9))
    t = np.linspace(choice.path.t[0], choice.path.t[-1], 200)
    assert choice.path.z(t) == pytest.approx(20 + 0.01 * choice.path.x(t), abs=1e-6)


@pytest.mark.slow
@pytest.mark.parametrize("name", list(HELD_BACK))
@pytest.mark.parametrize("written", ["exact", "1/16 in"])
def test_an_ordinary_plan_gives_the_line_within_its_bands(name: str, written: str) -> None:
    """Each of several profiles: at least nine spans of ten within their bands, no move beyond what is allowed."""
    held = spans = 0
    for seed in (101, 102):
        profile = FAMILIES[name](seed)
        made = make_profile(
            "keel",
            points_of(profile, seed, STEP[written], ordinary_plan),
            allow=STEP[written].allow,
            ends="free",
        )
        assert np.abs(made.path.moves).max() <= STEP[written].allow + 1e-9
        for i, band in enumerate(made.bands):
            t = np.linspace(made.path.t[i], made.path.t[i + 1], 40)
            x, z = made.path.x(t), made.path.z(t)
            away = [float(np.hypot(profile.x - a, profile.z - b).min()) for a, b in zip(x, z, strict=True)]
            held += max(away) <= band.half_width + 0.3  # the true points are 0.5 mm apart
            spans += 1
    assert held >= 0.9 * spans


def test_where_the_plan_leaves_a_gap_at_the_forefoot_one_more_point_is_asked_for() -> None:
    points = points_of(FAMILIES["tanh bend"](3), 3, STEP["whole mm"], ordinary_plan)
    made = make_profile("keel", points, allow=0.5, ends="free")
    warned = profile_warnings(made, "keel", notation=Notation.MM, down=False)
    assert {problem.code for problem in warned} == {"keel-band"}
    full = points_of(FAMILIES["spoon"](3), 3, STEP["whole mm"], well_sampled)
    made = make_profile("keel", full, allow=0.5, ends="free")
    assert profile_warnings(made, "keel", notation=Notation.MM, down=False) == ()


def corner() -> list[tuple[float, float, bool]]:
    """A straight stem and a straight keel that meet at (300, 20)."""
    stem = [(300 - 0.4 * (z - 20), z, True) for z in (900.0, 780.0, 660.0, 540.0, 420.0, 300.0, 160.0)]
    return [*stem, (300.0, 20.0, True), *((float(x), 20.0, False) for x in range(700, 4400, 450))]


def corner_points(*, knuckle: bool) -> list[PathPoint]:
    return [
        PathPoint(
            x=x, z=z, moves="x" if stem else "z", knuckle=knuckle and x == 300.0, label=str(i + 1), stem=stem,
            place=None,
        )
        for i, (x, z, stem) in enumerate(corner())
    ]  # fmt: skip


@pytest.mark.slow
def test_a_corner_that_is_not_declared_is_named_and_one_that_is_declared_is_sharp() -> None:
    loose = make_profile("keel", corner_points(knuckle=False), allow=0.5, ends="free")
    [warned] = profile_warnings(loose, "keel", notation=Notation.MM, down=False)
    assert warned.code == "keel-corner"
    assert loose.points[loose.choice.corner or 0].x == 300.0
    made = make_profile("keel", corner_points(knuckle=True), allow=0.5, ends="free")
    assert made.choice.modelled
    t = np.linspace(made.path.t[7], made.path.t[-1], 200)
    assert made.path.z(t) == pytest.approx(np.full(200, 20.0), abs=0.05)
    before = np.linspace(made.path.t[0], made.path.t[7], 200)
    assert made.path.x(before) == pytest.approx(300 - 0.4 * (made.path.z(before) - 20), abs=0.05)


@pytest.mark.slow
def test_a_corner_beside_a_figure_that_is_doubted_is_not_named() -> None:
    points = [
        replace(point, place=Place(file="stem.csv", row=i + 2, column=2, heading="aft"))
        for i, point in enumerate(corner_points(knuckle=False))
    ]
    made = make_profile("keel", points, allow=0.5, ends="free")
    for doubted, codes in (
        ((), ["keel-corner"]),
        ((points[8].place,), []),
        ((points[0].place,), ["keel-corner"]),
    ):
        warned = profile_warnings(made, "keel", notation=Notation.MM, down=False, doubted=doubted)
        assert [problem.code for problem in warned] == codes


def test_a_double_ender_is_one_line_from_stem_to_sternpost() -> None:
    """Half an ellipse: stem, keel and sternpost; its mirror image gives the mirrored line."""
    turn = np.linspace(np.pi, 2 * np.pi, 19)
    points = np.stack([2000 + 2000 * np.cos(turn), 900 + 880 * np.sin(turn)], axis=1)
    measured = [0 if abs(np.cos(t)) > 0.93 else 1 for t in turn]
    choice = choose_profile(points, measured, np.zeros(19))
    t = np.linspace(choice.path.t[0], choice.path.t[-1], 400)
    x, z = choice.path.x(t), choice.path.z(t)
    fine = np.linspace(np.pi, 2 * np.pi, 20001)
    true = np.stack([2000 + 2000 * np.cos(fine), 900 + 880 * np.sin(fine)], axis=1)
    away = [float(np.hypot(true[:, 0] - a, true[:, 1] - b).min()) for a, b in zip(x, z, strict=True)]
    assert max(away) < 1.0


@pytest.mark.parametrize("count", [2, 3, 4, 5])
def test_few_points_are_gone_through(count: int) -> None:
    x = np.linspace(0.0, 3000.0, count)
    points = np.stack([x, 40 + 1e-5 * (x - 1500) ** 2], axis=1)
    path = choose_profile(points, [1] * count, np.zeros(count)).path
    assert path.x(path.t) == pytest.approx(points[:, 0], abs=1e-6)
    assert path.z(path.t) == pytest.approx(points[:, 1], abs=1e-6)


@pytest.mark.slow
@pytest.mark.parametrize("seed", [202])
@pytest.mark.parametrize("name", ["level forefoot", "spline"])
def test_a_slip_on_the_keel_is_found_where_it_is_and_a_sound_plan_is_not_doubted(
    name: str, seed: int
) -> None:
    points = points_of(FAMILIES[name](seed), seed, STEP["1/8 in"], ordinary_plan)
    assert profile_doubts(points, STEP["1/8 in"].allow, "free") == []
    for i in (len(points) - 3, 4):
        found = profile_doubts(slipped(points, i, 25.4), STEP["1/8 in"].allow, "free")
        assert [doubt.index for doubt in found][:1] == [i]


@pytest.mark.slow
def test_a_slip_of_89_mm_far_aft_does_not_hide_itself() -> None:
    points = points_of(FAMILIES["hog"](7), 7, STEP["whole mm"], ordinary_plan)
    i = len(points) - 3
    found = profile_doubts(slipped(points, i, 89.0), 0.5, "free")
    assert found[0].index == i
    assert found[0].wanted == pytest.approx(points[i].z, abs=3.0)


# Profiles of ordinary plans in whole mm; a height two stations before the stern is 25 mm too little.
UNHELD = (
    [
        (86.0, 936.8), (131.0, 857.9), (177.0, 779.0), (226.0, 700.1), (278.0, 621.2), (337.0, 542.3),
        (404.0, 463.4), (485.0, 384.5), (595.0, 305.6), (772.0, 226.6), (1134.2, 153.0), (1586.3, 118.0),
        (2038.4, 103.0), (2490.5, 95.0), (2942.6, 65.0), (3394.7, 88.0), (3846.8, 87.0), (4389.0, 87.0),
    ],
    [
        (125.0, 949.9), (161.0, 870.1), (200.0, 790.2), (241.0, 710.4), (286.0, 630.6), (337.0, 550.8),
        (396.0, 471.0), (470.0, 391.1), (572.0, 311.3), (742.0, 231.5), (1048.7, 164.0), (1458.1, 128.0),
        (1867.5, 111.0), (2276.8, 102.0), (2686.2, 97.0), (3095.6, 69.0), (3504.9, 92.0), (3996.0, 91.0),
    ],
)  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize(("points", "wrong", "good"), [(UNHELD[0], 14, 90.0), (UNHELD[1], 15, 94.0)])
def test_a_slip_that_the_model_cannot_hold_at_all_is_found_where_it_is(
    points: list[tuple[float, float]], wrong: int, good: float
) -> None:
    at, measured = np.array(points), [0] * 10 + [1] * 8
    assert not model_profile(at, measured, np.full(18, 0.5)).sound
    (doubt,) = line_doubts(at, measured, tolerance=0.5)
    assert doubt.index == wrong
    assert doubt.wanted == pytest.approx(good, abs=2.0)


def test_a_keels_stern_is_doubted_where_its_neighbour_is_the_likelier_by_a_little() -> None:
    """The last height of a level run, to 1/8 in, is 25 mm too little."""
    x = [1009.0, 1398.0, 1788.0, 2177.0, 2566.0, 2956.0, 3345.0, 3734.0, 4201.0]
    z = [133.4, 104.8, 92.1, 85.7, 82.6, 82.6, 79.4, 79.4, 57.6]
    points = [
        PathPoint(x=a, z=b, moves="z", knuckle=False, label=str(i), stem=False, place=None)
        for i, (a, b) in enumerate(zip(x, z, strict=True))
    ]
    doubt = next(one for one in end_doubts(points, 25.4 / 16, Notation.MM) if one.index > 4)
    assert {doubt.index, doubt.or_index} == {7, 8}
    points[-1] = replace(points[-1], z=82.6)
    assert [one for one in end_doubts(points, 25.4 / 16, Notation.MM) if one.index > 4] == []


def test_a_line_of_five_points_is_never_doubted() -> None:
    points = np.array([[0.0, 20.0], [900.0, 25.0], [1800.0, 90.0], [2700.0, 20.0], [3600.0, 22.0]])
    assert line_doubts(points, [1] * 5, tolerance=0.5) == []


def held_of(name: str, seed: int, written: str) -> list[bool]:
    """Whether each span of an ordinary plan lies within its band of the true line."""
    profile = (FAMILIES | FOR_BANDS | ONLY_JUDGED)[name](seed)
    points = points_of(profile, seed, STEP[written], ordinary_plan)
    made = make_profile("keel", points, allow=STEP[written].allow, ends="free")
    away = errors_of(made.path, profile)
    return [bool(a <= band.half_width + 0.02) for a, band in zip(away, made.bands, strict=True)]


@pytest.mark.slow
@pytest.mark.parametrize(("name", "seed"), [("arc", 401), ("two arcs", 401), ("eased arc", 400)])
def test_figures_that_are_brought_back_do_not_make_the_line_look_better_known(name: str, seed: int) -> None:
    """There a quick bend moves some figures too far; the spans beside them had bands of a tenth of the error."""
    held = held_of(name, seed, "whole mm")
    assert sum(held) >= len(held) - 1


@pytest.mark.slow
@pytest.mark.parametrize("name", list(ONLY_JUDGED))
def test_profiles_kept_apart_lie_within_their_bands(name: str) -> None:
    held = [one for seed in (601, 602) for one in held_of(name, seed, "1/16 in")]
    assert sum(held) >= 0.9 * len(held)


@pytest.mark.slow
@pytest.mark.parametrize(("name", "seed"), [("straight keel", 402), ("arc", 3)])
def test_an_exact_plan_whose_bend_is_too_quick_for_the_numbers_is_faired_all_the_same(
    name: str, seed: int
) -> None:
    points = points_of(FAMILIES[name](seed), seed, STEP["exact"], ordinary_plan)
    made = make_profile("keel", points, allow=0.0, ends="free")
    assert all(np.isfinite(band.half_width) for band in made.bands)
    assert made.path.x(made.path.t) == pytest.approx([point.x for point in points], abs=1e-6)


@pytest.mark.slow
def test_a_straight_keels_last_span_is_known_well_behind_an_arc() -> None:
    """Behind an arc that runs into a straight keel every exact figure lies on one straight line."""
    points = points_of(FOR_BANDS["clothoids"](501), 501, STEP["exact"], ordinary_plan)
    made = make_profile("keel", points, allow=0.0, ends="free")
    assert made.bands[-1].half_width < 1.0


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "sampler"), [("straight keel", ordinary_plan), ("hog", well_sampled), ("clipper", ordinary_plan)]
)
def test_an_inch_at_the_keels_stern_is_found_at_the_stern(name: str, sampler: Sampler) -> None:
    points = points_of(FAMILIES[name](310), 310, STEP["1/8 in"], sampler)
    last = len(points) - 1
    good = [doubt.index for doubt in profile_doubts(points, STEP["1/8 in"].allow, "free")]
    assert last not in good
    for by in (-25.4, 25.4):
        found = profile_doubts(slipped(points, last, by), STEP["1/8 in"].allow, "free")
        doubt = next(one for one in found if one.index == last)
        assert doubt.wanted == pytest.approx(points[last].z, abs=8.0)


@pytest.mark.slow
def test_a_keel_from_transom_to_transom_is_looked_at_at_both_ends() -> None:
    x = np.linspace(0.0, 4000.0, 9)
    z = np.round(120.0 + 3e-5 * (x - 2200.0) ** 2)
    points = [
        PathPoint(x=float(a), z=float(b), moves="z", knuckle=False, label=str(i), stem=False, place=None)
        for i, (a, b) in enumerate(zip(x, z, strict=True))
    ]
    assert profile_doubts(points, 0.5, "free") == []
    for i in (0, 8):
        assert i in [doubt.index for doubt in profile_doubts(slipped(points, i, 25.0), 0.5, "free")]


@pytest.mark.slow
def test_noise_on_a_level_keel_does_not_pass_for_a_bend_at_the_stern() -> None:
    """The slope at the stern, over plans of three kinds, as true as by the plain batten."""
    off = []
    noisy = STEP["noise 1/8"]
    for name in ("hyperbola", "bump", "tanh bend"):
        for seed in range(310, 315):
            profile = FAMILIES[name](seed)
            points = points_of(profile, seed, noisy, ordinary_plan)
            choice = make_profile("keel", points, allow=noisy.allow, ends="free").choice
            true = float(np.diff(profile.z[-2:])[0] / np.diff(profile.x[-2:])[0])
            off.append([_slope(path) - true for path in (choice.path, choice.batten)])
    model, batten = np.sqrt(np.mean(np.square(off), axis=0))
    assert model < 1.1 * batten  # with one roughness for all of the line it was twice as much


def _slope(path: FairedPath) -> float:
    """Rise over run at the after end."""
    end = path.t[-1:] - 1.0
    return float(path.z(end, 1)[0] / path.x(end, 1)[0])


def test_only_a_level_run_well_clear_of_the_bend_is_expected_to_be_smoother() -> None:
    points = np.array([[0, 900], [80, 600], [160, 300], [400, 120], *([800 + 450 * k, 20] for k in range(8))])
    grid = profile_grid(points.astype(float), [0] * 4 + [1] * 8, np.full(12, 0.3))
    share, at = level_shares(grid), grid.knots[1:-1]
    assert share[at <= grid.s[5]] == pytest.approx(1.0)  # the first level height may still belong to the bend
    assert share[at >= grid.s[6]] == pytest.approx(CALM)
    for alike in (points[4:], points[:4]):  # nothing but a level run, and none
        grid = profile_grid(alike.astype(float), [1] * len(alike), np.full(len(alike), 0.3))
        assert level_shares(grid) == pytest.approx(1.0)
