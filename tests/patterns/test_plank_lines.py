"""Lining off: lines over a round bilge against its exact sections, their ends, the marks on moulds, refusals."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from patterns.boat import Boat, load_boat
from patterns.design.lining_models import LiningSpec
from patterns.errors import DesignError, PatternsError
from patterns.joinery.plank_lines import PlankLines, plank_lines
from patterns.members import mould
from patterns.shop.book_planking import lining_table
from tests.demo import DEMO
from tests.patterns.analytic_boats import ROUNDINGS
from tests.patterns.folders import DESIGN, changed, codes_of, write_folder
from tests.patterns.round_boats import exact_section, round_boat, write_round_table

MOULD = '\n[[mould]]\nname = "5"\nat = "station 5"\nsided = "18 mm"\nmoulded = "80 mm"\nstock = "18 mm ply"\n'
LINING = '\n[lining]\nplanks = 8\ngarboard_hood = "700 mm"\n'


@pytest.fixture(scope="module")
def boat(tmp_path_factory: pytest.TempPathFactory) -> Boat:
    folder = tmp_path_factory.mktemp("lined")
    write_round_table(round_boat(2), folder, ROUNDINGS[0], np.random.default_rng(0))
    design = folder / "design.toml"
    design.write_text(design.read_text(encoding="utf-8") + MOULD + LINING, encoding="utf-8")
    return load_boat(folder)


def _lined(boat: Boat, **keys: object) -> Boat:
    """The boat lined off in another way."""
    spec = LiningSpec.model_construct(**{"planks": 8, "widths": (), "garboard_hood": "700 mm", **keys})  # type: ignore[arg-type]
    others = [part for part in boat.design.wanted if not isinstance(part, LiningSpec)]
    return replace(boat, design=boat.design.model_copy(update={"wanted": (*others, spec)}))


def _lines(boat: Boat) -> PlankLines:
    found = plank_lines(boat)
    assert found is not None
    return found


@pytest.mark.slow
def test_from_amidships_aft_all_planks_are_of_one_width(boat: Boat) -> None:
    lines = _lines(boat)
    stations = [float(x) for x in boat.offsets.station_x if x >= lines.amidships]
    assert len(stations) > 2
    for x in stations:
        run, _ = exact_section(x)
        assert list(lines.widths(x).values()) == pytest.approx([run[-1] / 8.0] * 8, abs=0.4)


@pytest.mark.slow
def test_the_hood_ends_part_the_rabbet_evenly(boat: Boat) -> None:
    lines, profile = _lines(boat), boat.hull.profile
    assert lines.fore[0] == pytest.approx(700.0, abs=0.01)
    ends = [profile.at(profile.t_at_x(np.array(x))) for x in lines.fore]
    for number, end in enumerate(ends, start=1):
        assert lines.point(number, float(lines.fore[number - 1]) + 1e-6) == pytest.approx(end, abs=0.1)
    t = np.linspace(profile.start, float(profile.t_at_x(np.array(700.0))), 4001)
    run = float(np.linalg.norm(np.diff(profile.at(t), axis=0), axis=1).sum())
    assert lines.hood == pytest.approx(run / 7.0, abs=0.05)


@pytest.mark.slow
def test_between_hood_end_and_amidships_a_line_bends_as_a_batten_does(boat: Boat) -> None:
    """No line wavers: forward of amidships its second difference changes its sign once at most."""
    lines = _lines(boat)
    for first, line in zip(lines.fore, lines.down, strict=True):
        x = np.linspace(float(first) + 1.0, lines.amidships, 40)
        bend = np.diff(line.at(x)[:, 1], 2)
        strong = bend[np.abs(bend) > 0.05 * np.abs(bend).max()]
        assert np.count_nonzero(np.diff(np.sign(strong))) <= 1
    for at in (900.0, 1500.0, 2500.0):
        assert min(lines.widths(at).values()) > 15.0


@pytest.mark.slow
def test_the_after_ends_part_the_transoms_edge(boat: Boat) -> None:
    lines = _lines(boat)
    after = lines.after_ends()
    assert list(after) == list(range(1, 9))
    for number in (2, 5):
        edges = [lines.point(k, lines.ends) for k in (number - 1, number)]
        assert after[number] == pytest.approx(np.linalg.norm(edges[1] - edges[0]), rel=0.05)


@pytest.mark.slow
def test_every_mould_has_the_marks(boat: Boat) -> None:
    """Each tick is on the mould's own edge, the planking's thickness inside of its line."""
    ((_, make),) = mould.pieces(boat)
    (pattern,) = make()
    ticks = [mark for mark in pattern.marks if mark.name.startswith("plank")]
    lines, x = _lines(boat), boat.distance("station 5")
    _, up = lines.girths(x)
    assert [mark.name for mark in ticks] == [f"plank {number}" for number in up]
    run, uv = exact_section(x)
    for tick, girth in zip(ticks, up.values(), strict=True):
        outside = np.array([np.interp(girth, run, uv[:, k]) for k in (0, 1)])
        # A little more than the planking's 9 mm, where the plane cuts it askew.
        assert 8.8 < np.hypot(*(np.array(tick.at) - outside)) < 9.7


@pytest.mark.slow
def test_given_widths_hold_amidships(boat: Boat) -> None:
    widths = (150.0, 130.0, 110.0, 100.0, 95.0, 90.0, 90.0)
    lines = _lines(_lined(boat, widths=widths))
    found = lines.widths(lines.amidships)
    assert [found[number] for number in range(1, 8)] == pytest.approx(widths, abs=0.01)
    assert found[8] == pytest.approx(lines.girths(lines.amidships)[0] - sum(widths), abs=0.01)


@pytest.mark.slow
@pytest.mark.parametrize(
    "keys",
    [
        {"planks": 3, "widths": (700.0, 700.0)},
        {"garboard_hood": "3000 mm"},
        {"widths": (300.0, 5.0, *[90.0] * 5)},
    ],
)
def test_lines_that_do_not_fit_the_hull_are_refused(boat: Boat, keys: dict[str, object]) -> None:
    with pytest.raises(PatternsError, match=r"reduce (widths|garboard_hood)|planks or widths"):
        plank_lines(_lined(boat, **keys))


REFUSED = [
    ('garboard_hood = "600 mm"', "", "needed-key"),
    ("planks = 9", "planks = 1", "invalid-value"),
    ("planks = 9", 'planks = 9\nwidths = ["110 mm", "100 mm"]', "conflicting-keys"),
    ('name = "2"\n', 'name = "2"\nplank_girths = ["110 mm"]\n', "conflicting-keys"),
    ('at = "stern"\nkind = "transom"', 'at = "stern"\nkind = "stem"', "unknown-key"),
]


@pytest.mark.parametrize(("old", "new", "code"), REFUSED)
def test_what_contradicts_lining_off_is_refused(tmp_path: Path, old: str, new: str, code: str) -> None:
    text = (DEMO / "round_bilge" / "design.toml").read_text(encoding="utf-8")
    with pytest.raises(DesignError) as refused:
        load_boat(write_folder(tmp_path, design=changed(text, old, new)))
    assert code in codes_of(refused.value)


def test_lines_of_the_table_are_not_lined_over(tmp_path: Path) -> None:
    text = changed(DESIGN, "[marks]", f"{LINING}\n[marks]")
    with pytest.raises(DesignError) as refused:
        load_boat(write_folder(tmp_path, design=text))
    assert codes_of(refused.value) == ["lining-over-lines"]


@pytest.mark.slow
def test_the_table_has_every_plank_and_station(boat: Boat) -> None:
    rows = [row.split(",") for row in lining_table(boat).split("\r\n") if row]
    assert [row[0] for row in rows[1:]] == [str(number) for number in range(8, 0, -1)]
    assert rows[0][1:3] == ["hood end", "1"]
    assert rows[0][-1] == "after end"
    column = rows[0].index("6")
    widths = _lines(boat).widths(boat.distance("station 6"))
    assert [float(row[column]) for row in rows[:0:-1]] == pytest.approx(list(widths.values()), abs=0.06)
