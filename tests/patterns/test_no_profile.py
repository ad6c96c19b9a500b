"""A stem without a profile: its rabbet runs through the lines' own ends, and the cost is reported.

The boats are those of `analytic_boats`, `round_boats` and `end_boats`, whose rabbets are exact functions.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest

from patterns.boat import Boat, load_boat
from patterns.errors import Problem
from patterns.hull.planes import FloatArray, station_plane
from patterns.members import all_patterns
from patterns.table.line_ends import line_ends
from tests.bench.no_profile_bench import rabbet_errors, without_profile
from tests.patterns.analytic_boats import ROUNDINGS, analytic_boat, write_table
from tests.patterns.end_boats import CHINE_END, MIDDLE, SHEER_END, stem_u, write_double_ender
from tests.patterns.round_boats import round_boat, write_round_table
from tests.patterns.whole_boats import departure

EXACT, WHOLE_MM = ROUNDINGS[0], ROUNDINGS[1]


def _costs(boat: Boat) -> list[Problem]:
    return [warning for warning in boat.warnings if warning.code == "no-stem-profile"]


def _hard_chine(folder: Path, seed: int) -> Boat:
    boat = analytic_boat(seed)
    write_table(boat, folder, WHOLE_MM, np.random.default_rng(seed), stations=10)
    without_profile(folder)
    return load_boat(folder)


@cache
def _sound(seed: int) -> Boat:
    with TemporaryDirectory() as folder:
        return _hard_chine(Path(folder), seed)


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 4, 7])
def test_frames_abaft_the_forefoot_are_as_true_as_with_a_profile(seed: int) -> None:
    made, true = _sound(seed), analytic_boat(seed)
    _, aft, second = rabbet_errors(true, made)
    assert aft <= 1.5
    for x in np.linspace(second, true.aft_x["keel"] - 40.0, 4):
        outline, _ = departure(true.hull(), made.hull, station_plane(float(x)))
        assert outline <= 0.8  # the goal of whole boats in whole mm


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 4, 7])
def test_the_cost_is_a_warning_and_no_sound_offset_is_doubted(seed: int) -> None:
    made = _sound(seed)
    assert len(_costs(made)) == 1
    assert made.lines.suspects == ()


@pytest.mark.slow
def test_the_warning_is_not_idle(tmp_path: Path) -> None:
    """The rabbet near the stem is more than twice as far out as with the stem's own points."""
    without, given = 0.0, 0.0
    for seed in (0, 5):
        true, folder = analytic_boat(seed), tmp_path / str(seed)
        write_table(true, folder, WHOLE_MM, np.random.default_rng(seed), stations=8)
        given += rabbet_errors(true, load_boat(folder))[0]
        without_profile(folder)
        without += rabbet_errors(true, load_boat(folder))[0]
    assert without >= 2.0 * given


@pytest.mark.slow
def test_a_stem_with_a_profile_is_not_warned_of(tmp_path: Path) -> None:
    write_table(analytic_boat(1), tmp_path, WHOLE_MM, np.random.default_rng(1))
    assert _costs(load_boat(tmp_path)) == []


@pytest.mark.slow
def test_the_warning_is_confirmed_by_its_code(tmp_path: Path) -> None:
    _hard_chine(tmp_path, 1)
    design = tmp_path / "design.toml"
    text = design.read_text(encoding="utf-8")
    design.write_text(text.replace("[boat]\n", '[boat]\nconfirmed = ["no-stem-profile"]\n'), encoding="utf-8")
    assert _costs(load_boat(tmp_path)) == []


@pytest.mark.slow
def test_the_rabbet_passes_through_every_end_that_the_table_gives(tmp_path: Path) -> None:
    made = _hard_chine(tmp_path, 4)
    ends = line_ends(made.offsets, made.design, "bow")
    assert [end.line for end in ends] == ["sheer", "chine"]
    line = made.lines.profile
    rabbet = line.at(np.linspace(line.start, line.end, 20_000))[:, [0, 2]]
    for end in ends:
        assert (
            np.hypot(*(rabbet - [end.x, end.z]).T).min() <= 0.6
        )  # the allowed move, and the samples' spacing


@pytest.mark.slow
def test_a_slip_on_the_keel_abaft_the_forefoot_is_found_without_a_profile(tmp_path: Path) -> None:
    _hard_chine(tmp_path, 4)
    table = tmp_path / "offsets.csv"
    rows = [row.split(",") for row in table.read_text(encoding="utf-8").splitlines()]
    row = next(row for row in rows if row[:2] == ["height", "keel"])
    row[8] = f"{float(row[8]) + 60.0:.6f}"
    table.write_text("\n".join(",".join(row) for row in rows) + "\n", encoding="utf-8")
    suspects = load_boat(tmp_path).lines.suspects
    assert [(s.line, s.view, s.label) for s in suspects][:1] == [("keel", "height", rows[0][8])]


def _round(folder: Path, *, ends: bool) -> tuple[Boat, FloatArray]:
    """A round bilge without a profile, its waterlines with their ends on the stem or without, and true points."""
    boat = round_boat(3)
    write_round_table(boat, folder, WHOLE_MM, np.random.default_rng(3))
    base = boat.base
    if ends:
        table = folder / "offsets.csv"
        rows = [row.split(",") for row in table.read_text(encoding="utf-8").splitlines()]
        for i, z in enumerate(boat.waterlines):
            if z <= base.keel_z(1200.0) + 20.0:  # so low that it meets the keel, not the stem
                continue
            x = float(base.profile_x(np.array(base.s_at(base.profile_z, z, -4000.0, 1500.0))))
            for row in rows:
                if row[:2] == ["position", f"WL {i + 1}"]:
                    row[2] = f"{round(x)}"
                if row[:2] == ["half-breadth", f"WL {i + 1}"]:
                    row[2] = f"{base.half:.6f}"
        table.write_text("\n".join(",".join(row) for row in rows) + "\n", encoding="utf-8")
    without_profile(folder)
    s = np.linspace(base.fore_s["sheer"], base.s_at(base.profile_x, 1500.0, -4000.0, 9000.0), 300)
    return load_boat(folder), np.stack([base.profile_x(s), base.profile_z(s)], axis=1)


def _worst(made: Boat, true: FloatArray) -> float:
    line = made.lines.profile
    rabbet = line.at(np.linspace(line.start, line.end, 20_000))[:, [0, 2]]
    return max(float(np.hypot(*(rabbet - point).T).min()) for point in true)


@pytest.mark.slow
def test_the_ends_of_waterlines_are_points_of_the_rabbet(tmp_path: Path) -> None:
    """With them the stem is known; with the sheer's end alone it is not."""
    known, true = _round(tmp_path / "known", ends=True)
    alone, _ = _round(tmp_path / "alone", ends=False)
    assert len(line_ends(known.offsets, known.design, "bow")) >= 4
    assert [end.line for end in line_ends(alone.offsets, alone.design, "bow")] == ["sheer"]
    assert _worst(known, true) <= 3.0
    assert _worst(alone, true) >= 3.0 * _worst(known, true)
    assert len(_costs(alone)) == 1


@pytest.mark.slow
def test_a_sternpost_needs_no_profile_either(tmp_path: Path) -> None:
    """The double-ender's stems are straight from the sheer's end to the chine's: closed answers between them."""
    write_double_ender(tmp_path)
    design = tmp_path / "design.toml"
    text = design.read_text(encoding="utf-8")
    for at in ("bow", "stern"):
        text = text.replace(f'profile = "{at}.csv"\n', "")
        (tmp_path / f"{at}.csv").unlink()
    design.write_text(text, encoding="utf-8")
    made = load_boat(tmp_path)
    assert len(_costs(made)) == 2
    line = made.lines.profile
    for way, end in ((-1.0, line.start), (1.0, line.end)):
        x, _, z = line.at(np.array(end))
        assert x == pytest.approx(MIDDLE + way * stem_u(float(z)), abs=0.01)
        assert x == pytest.approx(MIDDLE + way * SHEER_END, abs=0.01)
    for name in ("chine", "sheer"):
        curve = made.hull.lines[name]
        reach = CHINE_END if name == "chine" else SHEER_END
        assert curve.at(np.array([curve.start, curve.end]))[:, 0] == pytest.approx(
            [MIDDLE - reach, MIDDLE + reach], abs=0.01
        )


@pytest.mark.slow
def test_every_member_is_made_and_the_stem_names_what_it_owes_to(tmp_path: Path) -> None:
    made = _hard_chine(tmp_path, 4)
    patterns = {pattern.name: pattern for pattern in all_patterns(made)}
    given = tmp_path / "given"
    write_table(analytic_boat(4), given, WHOLE_MM, np.random.default_rng(4), stations=10)
    others = {pattern.name: pattern for pattern in all_patterns(load_boat(given))}
    assert patterns.keys() == others.keys()
    for name in ("inner stem", "outer stem"):
        assert len(set(patterns[name].facts) - set(others[name].facts)) >= 1
