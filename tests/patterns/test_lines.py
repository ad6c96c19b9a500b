"""From a table to lines in space: against exact boats, and by what every table must keep."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from patterns.errors import DesignError
from patterns.fairing.curves import SpaceLine
from patterns.fairing.ends import blunt_from
from patterns.fairing.lines import Lines, fair_lines
from patterns.hull.planes import FloatArray
from patterns.table.folder import read_folder
from patterns.table.values import Offsets
from tests.bench.exact_boats import EIGHTH, ExactBoat, design_for, exact_boat, table_of
from tests.bench.hull_lines import hull_lines, stations
from tests.demo import DEMO
from tests.patterns.folders import codes_of, says

SEEDS = range(4)


def a_boat(seed: int) -> ExactBoat:
    return exact_boat(np.random.default_rng(seed))


@cache
def faired(seed: int, *, allow: float, **how: Any) -> tuple[ExactBoat, Offsets, Lines]:
    boat = a_boat(seed)
    offsets = table_of(boat, rng=np.random.default_rng(seed), count=8 + seed % 3, **how)
    return boat, offsets, fair_lines(offsets, design_for(boat, allow=allow))


def errors(boat: ExactBoat, lines: Lines) -> tuple[float, float]:
    """Largest errors of the profile line and of the other lines' both views, mm."""
    on = lines.profile.at(np.linspace(lines.profile.start, lines.profile.end, 800))
    profile = float(boat.off_profile(on[:, [0, 2]]).max())
    views = []
    for exact, line in zip(boat.lines, lines.lines, strict=True):
        x = np.linspace(max(exact.x_fore, line.x_fore), exact.x_aft, 300)
        points = line.at(line.t_at_x(x))
        views += [np.abs(points[:, 1] - exact.y(x)).max(), np.abs(points[:, 2] - exact.z(x)).max()]
    return profile, float(max(views))


@pytest.mark.slow
@pytest.mark.parametrize(
    ("how", "allow", "profile", "views"),
    [
        ({"step": 0.0}, 0.0, 2.0, 0.15),
        ({"step": 1.0}, 0.5, 2.0, 0.9),
        ({"step": EIGHTH / 2}, EIGHTH / 4, 2.5, 1.3),
        ({"step": EIGHTH}, EIGHTH / 2, 3.3, 2.4),
        ({"noise": EIGHTH, "step": 0.0}, EIGHTH, 5.0, 5.0),
    ],
)
def test_lines_from_a_rounded_table_come_near_the_boat_it_was_taken_from(
    how: dict[str, float], allow: float, profile: float, views: float
) -> None:
    for seed in SEEDS:
        boat, _, lines = faired(seed, allow=allow, **how)
        off = errors(boat, lines)
        assert off[0] < profile
        assert off[1] < views


@pytest.mark.slow
def test_fairing_brings_lines_nearer_than_the_rounded_table_held() -> None:
    """Eased lines are truer on the whole than lines through every rounded offset."""
    eased, held = [], []
    for seed in SEEDS:
        boat, offsets, lines = faired(seed, allow=EIGHTH / 2)
        eased.append(errors(boat, lines))
        held.append(errors(boat, fair_lines(offsets, design_for(boat, allow=0.0))))
    assert (np.mean(eased, axis=0) < 0.85 * np.mean(held, axis=0)).all()


@pytest.mark.slow
def test_every_line_ends_on_the_profile_line_and_its_half_siding() -> None:
    for seed in SEEDS:
        boat, _, lines = faired(seed, allow=EIGHTH / 2)
        t = np.linspace(lines.profile.start, lines.profile.end, 40_001)
        on = lines.profile.at(t)
        for line in lines.lines:
            end = line.at(line.start)
            assert np.hypot(*(on[:, [0, 2]] - end[[0, 2]]).T).min() < 0.1  # the samples' own spacing
            assert end[1] == pytest.approx(boat.half, abs=1e-6)


def test_a_sheer_that_ends_above_the_stems_first_point_still_closes() -> None:
    boat = a_boat(1)
    offsets = table_of(boat, step=0.0)
    stem = offsets.stem
    assert stem is not None
    shorter = replace(
        stem, x=stem.x[1:], z=stem.z[1:], measured=stem.measured[1:], knuckle=stem.knuckle[1:],
        places=stem.places[1:],
    )  # fmt: skip
    row = offsets.lines["sheer"]
    x, z = row.x.copy(), row.z.copy()
    lift = 20.0  # the sheer's end 20 mm above the first point that is left
    down = np.argmin(np.abs(boat.profile[:, 1] - (stem.z[1] + lift)))
    x[0], z[0] = boat.profile[down]
    z[1:] -= float(row.z[0]) - z[0]
    x[-1] -= (float(row.z[0]) - z[0]) * np.tan(boat.rake)  # it still ends on the transom
    lowered = replace(offsets, stem=shorter, lines={**offsets.lines, "sheer": replace(row, x=x, z=z)})
    lines = fair_lines(lowered, design_for(boat, allow=0.0))
    sheer = lines.lines[-1]
    assert lines.profile.at(lines.profile.start) == pytest.approx(sheer.at(sheer.start), abs=1e-6)
    assert boat.off_profile(sheer.at(sheer.start)[None, [0, 2]])[0] < 0.5


@pytest.mark.slow
def test_no_cell_is_moved_beyond_the_allowed_move_but_a_fore_end() -> None:
    for seed in SEEDS:
        _, _, lines = faired(seed, allow=EIGHTH / 2)
        for row in lines.rows:
            assert row.faired - row.offset == pytest.approx(row.move)
            if row.label != "bow":
                assert abs(row.move) <= EIGHTH / 2 + 1e-9, row
            else:
                assert abs(row.move) < 4.0, row


@pytest.mark.slow
def test_the_as_faired_table_has_every_cell_once_and_its_value_lies_on_the_line() -> None:
    _, offsets, lines = faired(3, allow=EIGHTH / 2)
    keys = [(row.line, row.view, row.label) for row in lines.rows]
    assert len(set(keys)) == len(keys)
    for name, row in offsets.lines.items():
        for label, y, z in zip(row.labels, row.y, row.z, strict=True):
            assert ((name, "half-breadth", label) in keys) == bool(np.isfinite(y))
            assert ((name, "height", label) in keys) == bool(np.isfinite(z))
    made: dict[str, SpaceLine] = {line.name: line for line in (lines.profile, *lines.lines)}
    for row in lines.rows:
        if row.view in ("height", "half-breadth"):
            line = made[row.line]
            point = line.at(line.t_at_x(row.x))
            assert point[2 if row.view == "height" else 1] == pytest.approx(row.faired, abs=1e-6), row


def test_allowance_nought_holds_every_offset() -> None:
    boat, _, lines = faired(2, allow=0.0, step=EIGHTH)
    for row in lines.rows:
        if row.label != "bow":
            assert row.move == pytest.approx(0.0, abs=1e-9)
    assert boat.half == pytest.approx(lines.profile.at(lines.profile.start)[1])


@pytest.mark.slow
def test_the_stems_points_move_only_the_way_they_were_measured() -> None:
    _, offsets, lines = faired(1, allow=EIGHTH / 2)
    stem = offsets.stem
    assert stem is not None
    for i, measured in enumerate(stem.measured):
        row = next(r for r in lines.rows if r.view == "stem" and r.label == str(i + 1))
        typed = stem.x[i] if measured == "aft" else stem.z[i]
        sure = stem.z[i] if measured == "aft" else stem.x[i]
        assert row.offset == pytest.approx(typed)
        t = np.linspace(lines.profile.start, lines.profile.end, 60_001)
        at = lines.profile.at(t)
        axis = 0 if measured == "aft" else 2
        there = np.abs(at[:, 2 - axis] - sure) < 0.2
        assert np.abs(at[there, axis] - row.faired).min() < 0.2


@pytest.mark.slow
def test_natural_ends_are_an_option() -> None:
    boat = a_boat(1)
    offsets = table_of(boat, step=0.0)
    lines = fair_lines(offsets, design_for(boat, allow=0.0, ends="natural"))
    for line in lines.lines:
        assert line.at(line.end, 2)[1:] == pytest.approx([0.0, 0.0], abs=1e-12)
    free = fair_lines(offsets, design_for(boat, allow=0.0))
    assert errors(boat, free)[1] < errors(boat, lines)[1]


# --- straight lines, knuckles, blunt ends, half siding ---


def changed(design: Any, name: str, **keys: Any) -> Any:
    lines = tuple(
        SimpleNamespace(**{**vars(line), **keys}) if line.name == name else line for line in design.lines
    )
    return SimpleNamespace(**{**vars(design), "lines": lines})


@pytest.mark.slow
def test_a_declared_knuckle_breaks_the_sheer_and_leaves_the_rest_fair() -> None:
    boat = a_boat(0)
    offsets = table_of(boat, step=0.0, count=9)
    row = offsets.lines["sheer"]
    at = float(offsets.station_x[3])
    rise = np.where(row.x < at, 0.08 * (at - row.x), 0.0)
    rise[0] = 0.0
    z = row.z + np.where(np.arange(len(row.z)) > 0, rise - 0.08 * (at - row.x[0]), 0.0)
    z[0] = row.z[0]  # the fore end stays on the stem; all aft of it is lowered, less so towards the knuckle
    x = row.x.copy()
    x[-1] += (z[-1] - row.z[-1]) * np.tan(boat.rake)  # it still ends on the transom
    tent = replace(offsets, lines={**offsets.lines, "sheer": replace(row, x=x, z=z)})
    design = design_for(boat, allow=0.0, knuckles={"sheer": ("station 4",)})
    sheer = fair_lines(tent, design).lines[-1]
    turn = sheer.at(at + 1e-6, 1)[2] - sheer.at(at - 1e-6, 1)[2]
    assert turn == pytest.approx(0.08, abs=0.01)
    assert sheer.knuckles == pytest.approx((at,))
    x = np.linspace(at, sheer.x_aft, 100)
    lowered = 0.08 * (at - row.x[0])
    assert sheer.at(x)[:, 2] == pytest.approx(boat.lines[-1].z(x) - lowered, abs=0.5)


@pytest.mark.slow
def test_a_straight_line_stays_straight_between_two_points() -> None:
    boat = a_boat(0)
    offsets = table_of(boat, step=0.0)
    row = offsets.lines["chine"]
    keep = np.zeros(len(row.x), dtype=bool)
    keep[[0, -1]] = True
    two = replace(row, y=np.where(keep, row.y, np.nan), z=np.where(keep, row.z, np.nan))
    bare = replace(offsets, lines={**offsets.lines, "chine": two})
    design = changed(design_for(boat, allow=1.0), "chine", straight=True)
    chine = fair_lines(bare, design).lines[0]
    x = np.linspace(chine.x_fore, chine.x_aft, 21)
    points = chine.at(x)
    for axis in (1, 2):
        assert points[:, axis] == pytest.approx(np.linspace(points[0, axis], points[-1, axis], 21), abs=1e-8)


@pytest.mark.slow
def test_a_straight_line_with_a_point_off_it_is_told() -> None:
    boat = a_boat(0)
    design = changed(design_for(boat, allow=1.0), "chine", straight=True)
    warnings = fair_lines(table_of(boat, step=0.0), design).warnings
    assert "off-straight" in codes_of(warnings)


@pytest.mark.slow
def test_a_straight_keel_is_straight_aft_of_the_stem() -> None:
    boat = a_boat(0)
    offsets = table_of(boat, step=0.0)
    keel = offsets.lines["keel"]
    z = 20.0 + 0.01 * keel.x + np.where(np.isfinite(keel.z), 0.0, np.nan)
    level = replace(offsets, lines={**offsets.lines, "keel": replace(keel, z=z)})
    design = changed(design_for(boat, allow=1.0), "keel", straight=True)
    lines = fair_lines(level, design)
    first = float(keel.x[np.isfinite(keel.z)][0])
    x = np.linspace(first, float(keel.x[-1]), 30)
    assert lines.profile.at(lines.profile.t_at_x(x))[:, 2] == pytest.approx(20.0 + 0.01 * x, abs=1e-3)


def test_a_blunt_bow_is_known_from_a_keen_one() -> None:
    x = stations(10)
    u = x / x[-1]
    assert blunt_from(x, 600 * np.sqrt(u) - 150 * u, noise=0.03) == 0.0
    for seed in range(20):
        for line in hull_lines(np.random.default_rng(seed)):
            if line.view == "half-breadth":
                assert blunt_from(x, np.round(line.at(x)), noise=0.3) is None


def test_how_far_forward_a_semi_blunt_bow_s_root_begins_is_found_between_the_places_that_are_looked_at() -> (
    None
):
    """The half-breadth is that of a root which begins k of the length forward of the line's end."""
    x = stations(10)
    u, off = x / x[-1], []
    for k in np.geomspace(0.002, 0.03, 13):
        forward = blunt_from(x, 18 + 600 * (1.4 * (np.sqrt(u + k) - np.sqrt(k)) - 0.4 * u), noise=0.03)
        assert forward is not None
        off.append(np.log(forward / x[-1] / k))
    assert np.sqrt(np.mean(np.square(off))) < 0.22  # the nearest place alone would be 0.33 off or more


@pytest.mark.slow
def test_a_line_that_meets_the_stem_bluntly_is_faired_by_the_root_of_the_distance() -> None:
    boat = a_boat(0)
    offsets = table_of(boat, step=0.0, count=10)
    row = offsets.lines["sheer"]
    fore, aft = boat.lines[-1].x_fore, boat.lines[-1].x_aft

    def breadth(x: FloatArray) -> FloatArray:
        u = np.maximum(x - fore, 0.0) / (aft - fore)
        return np.asarray(boat.half + 950 * np.sqrt(u) - 350 * u)

    round_bow = replace(offsets, lines={**offsets.lines, "sheer": replace(row, y=breadth(row.x))})
    sheer = fair_lines(round_bow, design_for(boat, allow=0.0)).lines[-1]
    assert sheer.power == 2
    x = np.linspace(fore + 1.0, aft, 200)
    points = sheer.at(sheer.t_at_x(x))
    assert points[:, 0] == pytest.approx(x, abs=1e-8)
    assert points[:, 1] == pytest.approx(breadth(x), abs=0.8)
    assert points[:, 2] == pytest.approx(boat.lines[-1].z(x), abs=0.1)


@pytest.mark.slow
def test_a_keel_that_narrows_is_followed_and_the_stem_stays_as_it_is_sided() -> None:
    boat = a_boat(2)
    offsets = table_of(boat, step=0.0)
    keel = offsets.lines["keel"]
    swell = boat.half + 25.0 * np.sin(np.pi * (keel.x - 600.0) / 4000.0)
    y = np.where(np.isfinite(keel.y), np.maximum(swell, boat.half), np.nan)
    wide = replace(offsets, lines={**offsets.lines, "keel": replace(keel, y=y)})
    profile = fair_lines(wide, design_for(boat, allow=0.0)).profile
    typed = np.isfinite(y)
    assert profile.at(profile.t_at_x(keel.x[typed]))[:, 1] == pytest.approx(y[typed], abs=1e-6)
    heights = np.linspace(float(offsets.lines["chine"].z[0]) + 1.0, 700.0, 20)  # above the chine's end
    assert profile.at(profile.t_at_height(heights))[:, 1] == pytest.approx(np.full(20, boat.half), abs=1e-6)


# --- refusals ---


@pytest.mark.slow
def test_a_line_that_does_not_end_on_the_profile_line_is_refused() -> None:
    boat = a_boat(0)
    offsets = table_of(boat, step=0.0)
    row = offsets.lines["chine"]
    x = row.x.copy()
    x[0] += 60.0
    astray = replace(offsets, lines={**offsets.lines, "chine": replace(row, x=x)})
    with pytest.raises(DesignError) as caught:
        fair_lines(astray, design_for(boat, allow=1.0))
    assert caught.value.problems[0].code == "line-end-off-profile"
    assert says(caught.value.problems[0], "chine")
    assert "column C (bow)" in caught.value.problems[0].place


def test_a_line_that_does_not_end_on_the_transom_is_refused() -> None:
    boat = a_boat(0)
    offsets = table_of(boat, step=0.0)
    row = offsets.lines["chine"]
    x = row.x.copy()
    x[-1] += 40.0
    astray = replace(offsets, lines={**offsets.lines, "chine": replace(row, x=x)})
    with pytest.raises(DesignError) as caught:
        fair_lines(astray, design_for(boat, allow=1.0))
    (problem,) = (each for each in caught.value.problems if each.code == "end-off-transom")
    assert says(problem, "chine", "40 mm aft")


@pytest.mark.slow
def test_a_line_that_misses_the_profile_by_a_little_is_told_of() -> None:
    boat = a_boat(0)
    offsets = table_of(boat, step=0.0)
    row = offsets.lines["chine"]
    x = row.x.copy()
    x[0] += 9.0
    near = replace(offsets, lines={**offsets.lines, "chine": replace(row, x=x)})
    lines = fair_lines(near, design_for(boat, allow=1.0))
    assert "line-end-moved" in codes_of(lines.warnings)


def test_a_straight_keel_does_not_straighten_the_forefoot(tmp_path: Path) -> None:
    """The key ``straight`` of the keel's line holds abaft the stem's own points only."""
    for path in DEMO.iterdir():
        if path.is_file():
            (tmp_path / path.name).write_bytes(path.read_bytes())
    text = (tmp_path / "design.toml").read_text(encoding="utf-8")
    (tmp_path / "design.toml").write_text(
        text.replace('name = "keel"\n', 'name = "keel"\nstraight = true\n', 1), encoding="utf-8"
    )
    design, offsets, _ = read_folder(tmp_path)
    profile = fair_lines(offsets, design).profile
    assert offsets.stem is not None
    for x, z in zip(offsets.stem.x, offsets.stem.z, strict=True):
        t = profile.t_at_x(float(x))
        assert abs(float(profile.at(t)[2]) - z) < 8.0
