"""Strip planking: girths, counts and the first strip's place against the exact sections of a round bilge."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from patterns.boat import Boat, load_boat
from patterns.design.strip_models import StripsSpec
from patterns.errors import DesignError, PatternsError
from patterns.joinery.strip_runs import strip_run
from patterns.members import mould
from patterns.shop.book_planking import strip_table
from tests.patterns.analytic_boats import ROUNDINGS
from tests.patterns.folders import DESIGN, changed, codes_of, write_folder
from tests.patterns.round_boats import exact_section, round_boat, write_round_table

MOULD = '\n[[mould]]\nname = "5"\nat = "station 5"\nsided = "18 mm"\nmoulded = "80 mm"\nstock = "18 mm ply"\n'
WIDTH, LEVEL = 22.0, 300.0


@pytest.fixture(scope="module")
def bare(tmp_path_factory: pytest.TempPathFactory) -> Boat:
    folder = tmp_path_factory.mktemp("strips")
    write_round_table(round_boat(2), folder, ROUNDINGS[0], np.random.default_rng(0))
    design = folder / "design.toml"
    design.write_text(design.read_text(encoding="utf-8") + MOULD, encoding="utf-8")
    return load_boat(folder)


def _planked(bare: Boat, first: float | None) -> Boat:
    """The boat planked in strips."""
    spec = StripsSpec.model_construct(width=WIDTH, first=first)
    return replace(bare, design=bare.design.model_copy(update={"wanted": (*bare.design.wanted, spec)}))


@pytest.mark.slow
def test_strips_from_a_level_line_are_counted_both_ways(bare: Boat) -> None:
    boat = _planked(bare, LEVEL)
    for name in ("3", "5", "8"):
        x = boat.distance(f"station {name}")
        run, uv = exact_section(x)
        strips = strip_run(boat, x)
        assert strips is not None
        assert strips.girth == pytest.approx(run[-1], abs=1.0)
        up = float(np.interp(LEVEL, uv[:, 1], run))
        assert strips.up == pytest.approx(up, abs=1.0)
        # Counted up to whole strips; the faired girth may be off the exact one by a millimetre.
        assert up / WIDTH - 0.06 <= strips.below <= up / WIDTH + 1.06
        above = (run[-1] - up) / WIDTH
        assert above - 0.1 <= strips.above <= above + 1.1
    ((_, make),) = mould.pieces(boat)
    (pattern,) = make()
    [tick] = [mark for mark in pattern.marks if mark.name == "first strip, lower edge"]
    run, uv = exact_section(boat.distance("station 5"))
    at = np.array([np.interp(LEVEL, uv[:, 1], uv[:, k]) for k in (0, 1)])
    assert 8.8 < np.hypot(*(np.array(tick.at) - at)) < 9.8  # the planking's 9 mm inside of it
    rows = [row.split(",") for row in strip_table(boat).split("\r\n") if row]
    assert len(rows) > 6
    assert all(int(row[3]) + int(row[4]) >= float(row[1]) / WIDTH for row in rows[1:])


@pytest.mark.slow
def test_strips_from_the_sheer_fill_the_girth(bare: Boat) -> None:
    boat = _planked(bare, None)
    x = boat.distance("station 5")
    strips = strip_run(boat, x)
    assert strips is not None
    assert strips.up == pytest.approx(strips.girth - WIDTH)
    assert strips.above == 1
    assert strips.below == int(np.ceil((strips.girth - WIDTH) / WIDTH))


@pytest.mark.slow
def test_a_first_strip_above_the_sheer_is_refused(bare: Boat) -> None:
    boat = _planked(bare, 5000.0)
    with pytest.raises(PatternsError, match="above the sheer"):
        strip_run(boat, boat.distance("station 5"))


def test_strips_are_not_laid_over_chines(tmp_path: Path) -> None:
    text = changed(DESIGN, "[marks]", '[strips]\nwidth = "22 mm"\n\n[marks]')
    with pytest.raises(DesignError) as refused:
        load_boat(write_folder(tmp_path, design=text))
    assert codes_of(refused.value) == ["lining-over-lines"]
