"""The set-up line on the frames of the boat of planes, and the wood of a whole ring."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import Polygon

from patterns.boat import Boat, load_boat
from patterns.members import all_patterns
from patterns.pattern import Kind, Pattern
from tests.patterns.plane_boat import write_plane_boat


@pytest.fixture(scope="module")
def boat(tmp_path_factory: pytest.TempPathFactory) -> Boat:
    folder = write_plane_boat(tmp_path_factory.mktemp("plane"))
    with (folder / "design.toml").open("a", encoding="utf-8") as design:
        design.write('[set_up]\nline = "600 mm"\n')
    return load_boat(folder)


@pytest.fixture(scope="module")
def patterns(boat: Boat) -> dict[str, Pattern]:
    return {pattern.name: pattern for pattern in all_patterns(boat)}


@pytest.mark.parametrize(("name", "rake"), [("frame A", 0.0), ("frame B", np.radians(5.0))])
def test_the_set_up_line_lies_at_its_height(patterns: dict[str, Pattern], name: str, rake: float) -> None:
    """On a face that leans a height is 1/cos of its rake longer up the face."""
    pattern = patterns[name]
    lines = [line for line in pattern.lines if line.name == "set-up line"]
    assert lines
    for line in lines:
        assert line.points[:, 1] == pytest.approx(600.0 / np.cos(rake), abs=1e-6)


def test_distances_from_the_set_up_line_are_those_of_the_corners(patterns: dict[str, Pattern]) -> None:
    pattern = patterns["frame A"]
    fact = next(fact for fact in pattern.facts if fact.startswith("From the set-up line"))
    said = {
        name: float(mm) * (1.0 if way == "above" else -1.0)
        for name, mm, way in re.findall(r"(\w+) ([\d.]+) mm (above|below)", fact)
    }
    side = next(edge for edge in pattern.edges if edge.face == "moulded face" and edge.strake == "side")
    assert said["chine"] == pytest.approx(side.uv[0, 1] - 600.0, abs=0.06)
    assert said["sheer"] == pytest.approx(side.uv[-1, 1] - 600.0, abs=0.06)


def test_a_boat_without_a_set_up_line_has_none_drawn(tmp_path: Path) -> None:
    made = all_patterns(load_boat(write_plane_boat(tmp_path)))
    assert not [line for pattern in made for line in pattern.lines if line.name == "set-up line"]
    assert not [fact for pattern in made for fact in pattern.facts if "set-up" in fact]


@pytest.mark.parametrize("name", ["frame A", "frame B", "transom panel", "transom framing"])
def test_a_ring_s_wood_is_both_its_halves(patterns: dict[str, Pattern], name: str) -> None:
    body = patterns[name].body
    assert body is not None
    for kind, area in ((Kind.FACE, body.moulded), (Kind.OTHER, body.other)):
        lines = patterns[name].of_kind(kind)
        half = Polygon(np.vstack([line.points for line in lines if not line.closed]))
        holes = sum(Polygon(line.points).area for line in lines if line.closed)
        assert area.area == pytest.approx(2.0 * (half.area - holes), abs=0.2)
        assert area.geom_type == "Polygon"
        mirror = area.__class__([(-x, y) for x, y in area.exterior.coords], [
            [(-x, y) for x, y in hole.coords] for hole in area.interiors
        ])  # fmt: skip
        assert area.symmetric_difference(mirror).area < 1e-3
