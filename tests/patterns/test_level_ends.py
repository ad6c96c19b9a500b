"""A flat bottom on a double-ender and on a pram: level from end to end, whatever the ends are."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from patterns.boat import Boat, load_boat
from patterns.hull.planes import station_plane
from patterns.hull.sections import cut_hull
from tests.patterns import end_boats

KEY = 'breadths = "half"\n'


def flat(folder: Path, *, without: str) -> Path:
    """Declare the bottom flat and take one line's row of heights out, but for its ends on a stem."""
    text = (folder / "design.toml").read_text(encoding="utf-8").replace(KEY, KEY + 'bottom = "flat"\n')
    (folder / "design.toml").write_text(text, encoding="utf-8")
    rows = [row.split(",") for row in (folder / "offsets.csv").read_text(encoding="utf-8").splitlines()]
    (taken,) = [row for row in rows if row[:2] == ["height", without]]
    ends = (taken[2], taken[-1]) if 'kind = "stem"' in text else ("", "")
    taken[2:] = [ends[0], *[""] * (len(taken) - 4), ends[1]]
    if not any(taken[2:]):
        rows.remove(taken)
    (folder / "offsets.csv").write_text("\n".join(map(",".join, rows)) + "\n", encoding="utf-8")
    return folder


def check_level(boat: Boat, stations: tuple[float, ...], rise: float, slope: float) -> None:
    chine, profile = boat.lines.lines[0], boat.lines.profile
    x = np.linspace(chine.x_fore, chine.x_aft, 101)
    want = rise + slope * x
    assert chine.at(chine.t_at_x(x))[:, 2] == pytest.approx(want, abs=1e-6)
    assert profile.at(profile.t_at_x(x))[:, 2] == pytest.approx(want, abs=1e-6)
    for at in stations:
        bottom = cut_hull(boat.hull, station_plane(at)).traces["bottom"].uv[:, 1]
        # The inside is one planking's thickness up, square to the bottom.
        inside = rise + slope * at + end_boats.BOTTOM_T * np.hypot(1.0, slope)
        assert bottom == pytest.approx(np.full(len(bottom), inside), abs=1e-6)


@pytest.mark.slow
@pytest.mark.parametrize("without", ["chine", "keel"])
def test_a_double_ended_dory_has_a_level_bottom(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, without: str
) -> None:
    sloped = end_boats.low_chine
    monkeypatch.setattr(end_boats, "low_chine", lambda x: (sloped(x)[0], end_boats.LEVEL))
    folder = flat(end_boats.write_double_ender(tmp_path / "boat", low=True), without=without)
    boat = load_boat(folder)
    foot = end_boats.stem_u(end_boats.LEVEL)
    chine = boat.lines.lines[0]
    assert (chine.x_fore, chine.x_aft) == pytest.approx(
        (end_boats.MIDDLE - foot, end_boats.MIDDLE + foot), abs=1e-3
    )
    check_level(boat, (1000.0, 2000.0, 3000.0), end_boats.LEVEL, 0.0)


@pytest.mark.slow
@pytest.mark.parametrize("without", ["chine", "keel"])
def test_a_flat_bottomed_pram_is_level_between_her_transoms(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, without: str
) -> None:
    def chine(x: float) -> tuple[float, float]:
        z = 40.0 - 0.010 * x
        return 300.0 + 0.10 * (x - 300.0) + 0.16 * (z - 300.0), z

    monkeypatch.setattr(end_boats, "_chine", chine)
    folder = flat(end_boats.write_pram(tmp_path / "boat"), without=without)
    check_level(load_boat(folder), (700.0, 1300.0, 2100.0), 40.0, -0.010)
