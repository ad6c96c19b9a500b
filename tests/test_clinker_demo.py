"""The demo of clinker planks: quiet, whole; its planks' shapes and lands against the boat; what is refused."""

from __future__ import annotations

import shutil
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns.assembly.proof import assembled
from patterns.boat import Boat, load_boat
from patterns.design.mould_models import MouldSpec
from patterns.design.strake_models import StrakePatternSpec
from patterns.errors import DesignError
from patterns.hull.planes import station_plane
from patterns.hull.sections import cut_hull
from patterns.hull.surfaces import moved
from patterns.joinery.lands import lands_at_mould, lands_of
from patterns.joinery.strake_flat import FlatStrake, lay_strake_flat
from tests.demo import DEMO, clinker_demo, clinker_demo_patterns
from tests.patterns.folders import changed, codes_of

LAP, PLANKING = 16.0, 8.0


@pytest.fixture(scope="module")
def boat() -> Boat:
    return clinker_demo()


def _flat(boat: Boat, name: str) -> FlatStrake:
    spec = next(spec for spec in boat.design.all(StrakePatternSpec) if spec.strake == name)
    return lay_strake_flat(boat, spec, next(strake for strake in boat.hull.strakes if strake.name == name))


@pytest.mark.slow
def test_it_is_made_whole_without_a_doubt(boat: Boat) -> None:
    assert not boat.warnings
    assert not boat.lines.suspects
    names = {pattern.name for pattern in clinker_demo_patterns()}
    assert {"mould 3", "mould 5", "mould 7", "plank 1 strake", "plank 6 strake", "transom panel"} < names


@pytest.mark.slow
def test_its_pieces_fit_together(boat: Boat) -> None:
    found = assembled(boat, clinker_demo_patterns(), step=10.0)
    assert len(found.contacts) > 5
    assert not found.faults


@pytest.mark.slow
def test_hood_ends_are_flush_and_planks_rest_on_each_other_abaft_the_gains(boat: Boat) -> None:
    for below, above in pairwise(boat.hull.strakes):
        assert below.edges is not None
        assert above.edges is not None
        lower = above.edges[0]
        assert lower is not None
        fore = lower.at(np.array(lower.start))
        on_stem = boat.hull.profile.at(np.linspace(boat.hull.profile.start, boat.hull.profile.end, 20001))
        assert np.linalg.norm(on_stem - fore, axis=1).min() < 0.3
        patch = above.patches[above.main]
        x = np.linspace(float(fore[0]) + 350.0, 2700.0, 7)
        rests = moved(patch, x, np.zeros(7), above.inset)[0]
        edge = below.edges[1].at(np.linspace(below.edges[1].start, below.edges[1].end, 20001))
        assert np.linalg.norm(rests[:, None] - edge[None], axis=-1).min(axis=1) == pytest.approx(LAP, abs=0.1)
        under, on = below.planked(boat.hull.profile), rests[:, 0]
        low, high, _ = under.rulings(on)
        share = np.sum((rests - low) * (high - low), axis=1) / np.sum((high - low) ** 2, axis=1)
        assert np.linalg.norm(low + share[:, None] * (high - low) - rests, axis=1).max() < 0.1


@pytest.mark.slow
def test_a_mould_steps_at_each_land_by_what_its_table_says_is_left(boat: Boat) -> None:
    for spec in boat.design.all(MouldSpec):
        section = cut_hull(boat.hull, station_plane(boat.distance(spec.at)))
        lands = lands_at_mould(boat, spec.name)
        assert len(lands) == 5
        traces = list(section.traces.values())
        for land, (lower, upper) in zip(lands, pairwise(traces), strict=True):
            # Seen askew by the slope of the plank's edge, where the sides run in.
            askew = float(np.hypot(*lower.normal[-1, 1:]))
            step = askew * float(np.hypot(*(upper.uv[0] - lower.uv[-1])))
            assert step == pytest.approx(land.left, abs=0.1), land
            assert land.planed + land.left == pytest.approx(PLANKING)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["plank 1", "plank 3", "plank 6"])
def test_an_expanded_plank_is_as_long_and_as_wide_as_in_the_boat(boat: Boat, name: str) -> None:
    flat = _flat(boat, name)
    strake = next(strake for strake in boat.hull.strakes if strake.name == name)
    for (true, laid), strain in zip(flat.edges, flat.strain, strict=True):
        assert laid == pytest.approx(true, rel=0.002)
        assert abs(strain) < 0.01
    for x in (900.0, 1800.0, 2500.0):
        plane = station_plane(x)
        trace = strake.across(plane, inset=strake.inset)
        assert trace is not None
        own = trace.uv[(trace.r >= 0.0) & (trace.r <= 1.0)]
        line = flat.line_where(plane.height_over)
        girth, on_flat = (float(np.hypot(*np.diff(each, axis=0).T).sum()) for each in (own, line))
        assert on_flat == pytest.approx(girth, abs=0.3)
    beside = set(flat.landings)
    assert beside == {"plank 1": {"plank 2"}, "plank 3": {"plank 2", "plank 4"}, "plank 6": {"plank 5"}}[name]


@pytest.mark.slow
def test_the_land_is_marked_the_laps_width_from_the_planks_edge(boat: Boat) -> None:
    flat = _flat(boat, "plank 3")
    outline = flat.faces[0].area.exterior
    line = flat.landings["plank 4"]
    away = shapely.distance(outline, shapely.points(line[len(line) // 3 : -20]))
    assert away == pytest.approx(LAP, abs=0.25)


@pytest.mark.slow
def test_the_lower_edges_of_the_upper_planks_may_be_the_lines(tmp_path: Path) -> None:
    """The same table read so: each plank's inside corner is on the line, and its table of lands is full."""
    folder = shutil.copytree(DEMO / "clinker", tmp_path / "boat")
    design = folder / "design.toml"
    design.write_text(
        changed(design.read_text(), '"upper edge of the lower plank"', '"lower edge of the upper plank"')
    )
    boat = load_boat(folder)
    for below, above in pairwise(boat.hull.strakes):
        patch = above.patches[above.main]
        x = np.linspace(1100.0, 2600.0, 5)
        rests = moved(patch, x, np.zeros(5), above.inset)[0]
        line = boat.hull.lines[below.upper]
        on = line.at(np.linspace(line.start, line.end, 20001))
        assert np.linalg.norm(rests[:, None] - on[None], axis=-1).min(axis=1).max() < 0.25
        assert len(lands_of(boat, below)) == 3


REFUSED = [
    ('gain = "300 mm"', "", ["needed-key"]),
    ('gain = "300 mm"', 'gain = "300"', ["length-unreadable"]),
    ('lines_to = "outside of planking"', 'lines_to = "inside of planking"', ["conflicting-keys"]),
    ('sections = "straight"                  #', 'sections = "developable" #', ["clinker-sections"]),
    ('strake = "plank 3"\n', 'strake = "plank 3"\nlaps = ["plank 3 over plank 4"]\n', ["laps-disagree"]),
]


@pytest.mark.parametrize(("old", "new", "codes"), REFUSED)
def test_what_contradicts_clinker_planking_is_refused(
    tmp_path: Path, old: str, new: str, codes: list[str]
) -> None:
    folder = shutil.copytree(DEMO / "clinker", tmp_path / "boat")
    design = folder / "design.toml"
    design.write_text(changed(design.read_text(), old, new))
    with pytest.raises(DesignError) as refused:
        load_boat(folder)
    assert codes_of(refused.value.problems) == codes
