"""The set-up drawing of the boat of planes, upside down on a line above her sheer: every place by closed forms."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from patterns.boat import Boat, load_boat
from patterns.pattern import Pattern
from patterns.shop.set_up import stands
from patterns.shop.set_up_drawing import BASE, SetUp, base_plan, end_view, side_view
from patterns.shop.views import LINE, SECTION
from tests.once import made_of
from tests.patterns.plane_boat import BOTTOM_NORMAL, BOTTOM_T, write_plane_boat

LEVEL = 900.0
LEG = 45.0


@pytest.fixture(scope="module")
def boat(tmp_path_factory: pytest.TempPathFactory) -> Boat:
    folder = write_plane_boat(tmp_path_factory.mktemp("set_up"))
    with (folder / "design.toml").open("a", encoding="utf-8") as design:
        design.write(
            f'[set_up]\nline = "{LEVEL} mm"\nleg = "{LEG} mm"\nleg_sided = "20 mm"\nleg_lap = "120 mm"\n'
            'leg_face = "forward"\nleg_stock = "fir"\ncross_piece = "70 mm"\n'
        )
    return load_boat(folder)


@pytest.fixture(scope="module")
def made(boat: Boat) -> tuple[Pattern, ...]:
    return tuple(made_of(boat, "frame").values())


@pytest.fixture(scope="module")
def what(boat: Boat, made: tuple[Pattern, ...]) -> SetUp:
    return SetUp.of(boat, made, stands(boat, made))


def apex(x: float) -> float:
    """The height at which the insides of the bottom's planes meet on the centreline, at a distance aft."""
    over = -BOTTOM_T - (BOTTOM_NORMAL @ (np.array([x, 0.0, 0.0]) - np.array([0.0, 20.0, 40.0])))
    return float(over / BOTTOM_NORMAL[2])


def test_she_stands_with_the_keel_up(what: SetUp) -> None:
    """The set-up line lies above the sheer: the keel is the highest place, by the planes."""
    frame = next(stand for stand in what.found if stand.name == "frame A")
    assert what.sense == -1.0
    assert what.up(frame.corners[0].z) == pytest.approx(LEVEL - apex(frame.aft), abs=1e-6)


def test_frames_and_legs_are_drawn_to_scale(what: SetUp) -> None:
    """Seen from the side: a frame from the sheer up to the keel and its siding long, its leg from the line up."""
    view = side_view(what, 0.1)
    rings = [path.points / 0.1 for path in view.paths if path.closed and path.stroke is LINE]
    assert len(rings) == len(what.found) == 2
    frame = next(stand for stand in what.found if stand.name == "frame A")
    ring = min(rings, key=lambda points: abs(float(points[0, 0]) - frame.aft))
    assert float(ring[:, 1].max()) == pytest.approx(LEVEL - apex(frame.aft), abs=1e-6)
    assert float(np.ptp(ring[:, 0])) == pytest.approx(18.0)
    legs = [path.points / 0.1 for path in view.paths if path.closed and path.stroke is SECTION]
    assert len(legs) == 2
    for leg in legs:
        assert float(leg[:, 1].min()) == 0.0
        assert float(np.ptp(leg[:, 0])) == pytest.approx(20.0)
    leg = min(legs, key=lambda points: abs(float(points[0, 0]) - frame.aft))
    sheer = float(what.up(frame.corners[-1].z))
    # Its foot is 120 mm below the sheer on the face it lies on, where the sheer is 0.03 x 18 mm higher.
    assert float(leg[:, 1].max()) == pytest.approx(sheer + 120.0 - 0.54, abs=1e-6)
    # The leg is on the forward face, and so is this frame's wood: the leg begins where the wood ends.
    assert float(leg[:, 0].max()) == pytest.approx(frame.aft - 18.0, abs=1e-6)


def test_lines_of_the_base_stand_where_the_faces_meet_it(what: SetUp) -> None:
    """A face raked by 5 degrees is 900 tan 5 farther aft on the line than at height 0."""
    leaning = next(stand for stand in what.found if stand.name == "frame B")
    assert leaning.at_line - leaning.aft == pytest.approx(LEVEL * np.tan(np.radians(5.0)))
    lines = [path.points[0, 0] / 0.1 for path in base_plan(what, 0.1).paths if path.stroke is SECTION]
    assert lines == pytest.approx([stand.at_line for stand in what.found])


def test_the_diagonals_of_the_base_square_it(what: SetUp) -> None:
    apart = what.found[-1].at_line - what.found[0].at_line
    assert what.diagonal == pytest.approx(np.sqrt(apart**2 + 1000.0**2))


def test_the_view_from_the_end_is_plumb_and_alike_on_both_sides(what: SetUp) -> None:
    frame = what.found[0]
    view = end_view(what, frame, 0.1)
    [base] = [path for path in view.paths if path.stroke is BASE]
    assert base.points[:, 1] == pytest.approx(0.0)
    port, starboard = (path.points for path in view.paths if path.stroke is LINE and not path.closed)
    assert port * [-1.0, 1.0] == pytest.approx(starboard)
    legs = [path.points / 0.1 for path in view.paths if path.closed]
    assert any(np.ptp(leg[:, 0]) == pytest.approx(LEG) for leg in legs)


def test_above_the_line_she_stands_upright(boat: Boat, made: tuple[Pattern, ...]) -> None:
    low = [
        replace(stand, corners=tuple(replace(c, z=c.z + 1000.0) for c in stand.corners))
        for stand in stands(boat, made)
    ]
    assert SetUp.of(boat, made, low).sense == 1.0
