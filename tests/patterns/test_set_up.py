"""The set-up line on the frames of the boat of planes, and the wood of a whole ring."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import Polygon

from patterns.boat import Boat, load_boat
from patterns.errors import DesignError
from patterns.members import all_patterns
from patterns.members.unjoined import unjoined
from patterns.pattern import Kind, Pattern
from tests.once import made_of
from tests.patterns.plane_boat import (
    BOTTOM_NORMAL,
    BOTTOM_T,
    SIDE_NORMAL,
    SIDE_T,
    bottom_over,
    sheer,
    side_over,
    write_plane_boat,
)


@pytest.fixture(scope="module")
def boat(tmp_path_factory: pytest.TempPathFactory) -> Boat:
    folder = write_plane_boat(tmp_path_factory.mktemp("plane"))
    with (folder / "design.toml").open("a", encoding="utf-8") as design:
        design.write('[set_up]\nline = "600 mm"\n')
    return load_boat(folder)


@pytest.fixture(scope="module")
def patterns(boat: Boat) -> dict[str, Pattern]:
    return {pattern.name: pattern for pattern in all_patterns(boat)}


@pytest.mark.slow
@pytest.mark.parametrize(("name", "rake"), [("frame A", 0.0), ("frame B", np.radians(5.0))])
def test_the_set_up_line_lies_at_its_height(patterns: dict[str, Pattern], name: str, rake: float) -> None:
    """On a face that leans a height is 1/cos of its rake longer up the face."""
    pattern = patterns[name]
    lines = [line for line in pattern.lines if line.name == "set-up line"]
    assert lines
    for line in lines:
        assert line.points[:, 1] == pytest.approx(600.0 / np.cos(rake), abs=1e-6)


@pytest.mark.slow
def test_distances_from_the_set_up_line_are_those_of_the_corners(patterns: dict[str, Pattern]) -> None:
    pattern = patterns["frame A"]
    fact = next(fact for fact in pattern.facts if fact.startswith("From the set-up line"))
    said = {
        name: float(mm) * (1.0 if way == "above" else -1.0)
        for name, mm, way in re.findall(r"(\w+) ([\d.]+) mm (above|below)", fact)
    }
    # The chine's inside corner: where the two planes, moved inward by the planking, meet in the frame's own plane.
    assert pattern.plane is not None
    x = np.array([pattern.plane.origin[0], 0.0, 0.0])
    over = np.array([bottom_over(x) + BOTTOM_T, side_over(x) + SIDE_T])
    _, chine = np.linalg.solve([BOTTOM_NORMAL[1:], SIDE_NORMAL[1:]], -over)
    assert said["chine"] == pytest.approx(chine - 600.0, abs=0.06)
    # The deck, which has no crown here, has its underside at the sheer's own height.
    assert said["sheer"] == pytest.approx(sheer(x[0])[1] - 600.0, abs=0.06)


@pytest.mark.slow
def test_a_boat_without_a_set_up_line_has_none_drawn(tmp_path: Path) -> None:
    made = all_patterns(load_boat(write_plane_boat(tmp_path)))
    assert not [line for pattern in made for line in pattern.lines if line.name == "set-up line"]
    assert not [fact for pattern in made for fact in pattern.facts if "set-up" in fact]


@pytest.mark.slow
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


LEGS = """
[set_up]
line = "1100 mm"
leg = "40 mm"
leg_sided = "20 mm"
leg_lap = "150 mm"
leg_face = "forward"
leg_stock = "spruce"
cross_piece = "60 mm"
"""


def _with_legs(folder: Path, *, without: str = "", legs: str = LEGS) -> dict[str, Pattern]:
    write_plane_boat(folder)
    design = folder / "design.toml"
    text = design.read_text(encoding="utf-8")
    start = text.index(without) if without else len(text)
    text = text[:start] + text[start + len(without) :]
    design.write_text(text + legs, encoding="utf-8")
    return made_of(load_boat(folder), "frame", "transom")


CLAMP = """[[timber]]
kind = "clamp"
follows = "sheer"
against = "side"
off = "20 mm"
along = "45 mm"
"""


@pytest.mark.slow
def test_a_leg_stands_as_far_out_as_the_planking_lets_it(tmp_path: Path) -> None:
    """Frame A's wood runs forward from 1200 mm, so its forward face is at 1182 and the leg's own at 1162 mm.

    The sides close in going forward and down, so the leg touches at its foot on its forward face. Source: the
    inside plane of the side; the deck's underside is level across, at the sheer's height.
    """
    frame = _with_legs(tmp_path, without=CLAMP)["frame A"]
    foot = 700.0 - 0.03 * 1182.0 - 150.0
    at = np.array([1162.0, 0.0, foot])
    out = -(float(side_over(at)) + SIDE_T) / SIDE_NORMAL[1]
    line = next(line for line in frame.lines if line.name == "leg, outer edge")
    assert line.points[:, 0] == pytest.approx(out, abs=0.02)
    fact = next(fact for fact in frame.facts if fact.startswith("Legs"))
    assert f"{1100.0 - foot:.0f} mm long" in fact
    assert f"{2.0 * out:.0f} mm long" in fact


@pytest.mark.slow
def test_a_clamp_keeps_the_leg_off(tmp_path: Path) -> None:
    """It stands 20 mm off the planking; its lower edge, some 45 mm down, counts, not the leg's foot at 60 mm.

    Between the two levels the side closes in by 0.16 of the height.
    """
    legs = LEGS.replace('leg_lap = "150 mm"', 'leg_lap = "60 mm"')
    free, held = (
        next(line for line in patterns["frame A"].lines if line.name == "leg, outer edge").points[0, 0]
        for patterns in (
            _with_legs(tmp_path / "a", without=CLAMP, legs=legs),
            _with_legs(tmp_path / "b", legs=legs),
        )
    )
    assert free - held == pytest.approx(20.0 - 0.16 * (60.0 - 45.0), abs=0.6)


KEYS = 'leg = "40 mm"\nleg_sided = "20 mm"\nleg_lap = "150 mm"\nleg_face = "forward"\nleg_stock = "spruce"\n'


@pytest.mark.slow
@pytest.mark.parametrize(
    ("was", "becomes", "words"),
    [
        ("1100 mm", "500 mm", "no set-up line above the sheer"),
        ('leg_lap = "150 mm"\n', "", "key leg_lap: is missing"),
        (KEYS, "", "key cross_piece: there are no legs"),
    ],
)
def test_legs_that_cannot_be_are_told(tmp_path: Path, was: str, becomes: str, words: str) -> None:
    assert was in LEGS
    with pytest.raises(DesignError) as caught:
        _with_legs(tmp_path, legs=LEGS.replace(was, becomes))
    assert words in str(caught.value)


@pytest.mark.slow
def test_joints_with_nothing_over_them_are_noticed(tmp_path: Path) -> None:
    write_plane_boat(tmp_path)
    design = tmp_path / "design.toml"
    text = design.read_text(encoding="utf-8")
    keys = "pieces = 'bottom in halves'\njoint = 'butt'\nthrough = 'lower'\n"
    design.write_text(text.replace('name = "B"', f'name = "B"\n{keys}'), encoding="utf-8")
    assert [(joint.frame, joint.where, joint.wants) for joint in unjoined(load_boat(tmp_path).design)] == [
        ("B", "on the centreline", "floor"),
        ("B", "at the chine", "gusset"),
    ]
