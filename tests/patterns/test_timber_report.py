"""What `check` says of long timbers: bends with their trial piece, and how deep their backs are planed."""

from __future__ import annotations

from pathlib import Path

from patterns.assembly.planing import planings
from patterns.boat import Boat, load_boat
from patterns.shop.timber_report import lie_of_timbers
from patterns.timbers.measured import measured
from tests.demo import demo_boat
from tests.patterns.folders import changed
from tests.patterns.plane_boat import BOTTOM_T, bottom_over, write_plane_boat

CLAMP = 'against = "side"\noff = "20 mm"\nalong = "45 mm"\n\n[[frame]]'


def plane_boat(folder: Path, *changes: tuple[str, str]) -> Boat:
    design = write_plane_boat(folder, sided="40 mm") / "design.toml"
    text = changed(design.read_text(encoding="utf-8"), 'sided = "90 mm"\nmoulded', 'sided = "40 mm"\nmoulded')
    for old, new in changes:
        text = changed(text, old, new)
    design.write_text(text, encoding="utf-8")
    return load_boat(folder)


def test_straight_timbers_on_planes_bend_nowhere_and_are_not_planed(tmp_path: Path) -> None:
    boat = plane_boat(tmp_path)
    laid = [
        run for run in boat.runs if run.kind != "keel"
    ]  # a keel as wide as the stem meets the side forward
    assert len(laid) == 2
    assert list(planings(boat.hull, laid)) == []
    assert not any("tightest" in line for line in lie_of_timbers(boat))


def test_a_clamp_that_reaches_past_the_bottom_is_planed_by_as_much(tmp_path: Path) -> None:
    """The deepest of its corners beyond the plane of the bottom's inside (closed form)."""
    boat = plane_boat(tmp_path, (CLAMP, CLAMP.replace("45", "420")))
    clamp = next(run for run in boat.runs if run.kind == "clamp")
    beyond = float((bottom_over(clamp.corners) + BOTTOM_T).max())
    assert beyond > 30.0
    (found,) = planings(boat.hull, [clamp])
    assert found.strake == "bottom planking"
    assert 0.9 * beyond < found.depth < beyond + 0.01  # the last of it lies abaft the bottom's own end


def test_every_bent_timber_is_listed_with_its_least_radius_and_one_caution() -> None:
    boat = demo_boat()
    lines = list(lie_of_timbers(boat))
    for run in boat.runs:
        radius = measured(run).bend(edgewise=False).radius
        assert any(
            line.startswith(f"  {run.name}: tightest radius on the flat {radius / 1000.0:.2g} m")
            for line in lines
        )
    assert sum("trial piece" in line for line in lines) == 1
