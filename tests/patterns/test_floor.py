"""Floor timbers on the boat of planes, against closed forms."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns.assembly.contacts import contacts
from patterns.assembly.plate import plates
from patterns.boat import load_boat
from patterns.errors import DesignError
from patterns.hull.planes import FloatArray, Plane
from patterns.pattern import Body, Pattern
from tests.once import made_of
from tests.patterns.plane_boat import (
    BOTTOM_NORMAL,
    BOTTOM_T,
    SIDE_NORMAL,
    SIDE_T,
    bottom_over,
    keel_z,
    side_over,
    write_plane_boat,
)

FRAME = "pieces = 'no bottom piece'\njoint = 'butt'\nthrough = 'upper'\nassembly = false\n"
FLOOR = """
[[floor]]
name = "F"
sided = "30 mm"
moulded = "120 mm"
stock = "oak"
"""
ALONE = "at = '3000 mm'\narm = '320 mm'\n"
RISEN = "frame = 'B'\nface = 'after'\nup_to = '420 mm'\ntoe = '55 mm'\n"


def made(folder: Path, keys: str) -> dict[str, Pattern]:
    write_plane_boat(folder)
    design = folder / "design.toml"
    text = design.read_text(encoding="utf-8").replace(
        '[[frame]]\nname = "B"', f'[[frame]]\n{FRAME}name = "B"'
    )
    design.write_text(text + FLOOR + keys, encoding="utf-8")
    return made_of(load_boat(folder), "frame", "floor timber")


def body_of(pattern: Pattern) -> Body:
    assert pattern.body is not None
    return pattern.body


def in_from(strake: str, plane: Plane, uv: FloatArray) -> FloatArray:
    """How far points of a plane lie in from the strake's inside, measured in the plane, mm."""
    points = plane.space(uv)
    bottom = strake == "bottom"
    over = bottom_over(points) + BOTTOM_T if bottom else side_over(points) + SIDE_T
    normal = BOTTOM_NORMAL if bottom else SIDE_NORMAL
    return np.asarray(-over / np.hypot(normal @ plane.u, normal @ plane.v))


def faces_of(body: Body) -> list[tuple[Plane, FloatArray]]:
    pairs = (body.plane, body.moulded), (body.plane.moved(body.depth), body.other)
    found = []
    for plane, area in pairs:
        points = np.asarray(area.exterior.coords)[:-1]
        found.append((plane, points[points[:, 0] >= 0.0]))
    return found


def apex(x: float) -> float:
    """The height at which the inside of the bottom, carried on, meets the centreline."""
    outside = keel_z(x) - 0.30 * 20.0
    return outside + BOTTOM_T / abs(BOTTOM_NORMAL[2])


@pytest.mark.slow
def test_its_top_stands_its_depth_above_the_insides_meeting(tmp_path: Path) -> None:
    """The moulding is the least on both faces; the boat's keel drops going aft, the wood runs forward."""
    body = body_of(made(tmp_path, ALONE + "top = 'level'\n")["floor F"])
    assert body.depth == pytest.approx(-30.0)
    highest = max(apex(3000.0), apex(2970.0))
    for _, points in faces_of(body):
        assert float(points[:, 1].max()) == pytest.approx(highest + 120.0, abs=0.01)


@pytest.mark.slow
@pytest.mark.parametrize("top", ["level", "curved"])
def test_its_arms_lie_on_the_bottom_and_end_square_to_it(tmp_path: Path, top: str) -> None:
    toe = "toe = '40 mm'\n" if top == "curved" else ""
    body = body_of(made(tmp_path, f"{ALONE}top = '{top}'\n{toe}")["floor F"])
    for plane, points in faces_of(body):
        off = in_from("bottom", plane, points)
        assert float(off.min()) == pytest.approx(0.0, abs=0.002)
    plane, points = faces_of(body)[0]
    # 320 mm along the planking from the centreline: the slope's own length.
    slope = np.array([1.0, BOTTOM_NORMAL[1] / -BOTTOM_NORMAL[2]]) / np.hypot(1.0, 0.30)
    end = np.array([0.0, apex(3000.0)]) + 320.0 * slope
    along = (points - end) @ slope
    assert float(along.max()) == pytest.approx(0.0, abs=0.01)
    on_end = points[np.abs(along) < 0.01]
    deep = float(np.hypot(*(on_end - end).T).max())
    if top == "curved":
        assert deep == pytest.approx(40.0, abs=0.01)
    else:
        assert deep == pytest.approx((points[:, 1].max() - end[1]) / slope[0], abs=0.01)


@pytest.mark.slow
def test_its_notch_is_the_keel_and_its_depth_left_is_told(tmp_path: Path) -> None:
    """The keel stands 30 mm, square to its run, above the same place, so some 90 mm of 120 are left over it."""
    pattern = made(tmp_path, ALONE + "top = 'level'\n")["floor F"]
    body = body_of(pattern)
    assert not body.moulded.contains(shapely.Point(40.0, apex(3000.0) + 25.0))
    assert body.moulded.contains(shapely.Point(40.0, apex(3000.0) + 35.0))
    assert pattern.depth_left["keel"] == pytest.approx(120.0 - 30.0, abs=0.1)


@pytest.mark.slow
def test_arms_up_the_sides_keep_their_depth_and_end_at_their_height(tmp_path: Path) -> None:
    pattern = made(tmp_path, RISEN)["floor F"]
    plane, points = faces_of(body_of(pattern))[0]
    high = plane.up_at_height(420.0)
    assert float(points[:, 1].max()) == pytest.approx(high, abs=1e-6)
    head = points[np.abs(points[:, 1] - high) < 1e-6]
    deep = in_from("side", plane, head)
    assert float(deep.min()) == pytest.approx(0.0, abs=0.002)
    assert 55.0 - 1e-6 <= float(deep.max()) < 60.0


@pytest.mark.slow
def test_a_floor_lies_on_its_frame_and_meets_its_sides(tmp_path: Path) -> None:
    """Frame B has no bottom piece; the floor timber on its after face joins its two sides."""
    patterns = made(tmp_path, RISEN)
    floor, side = patterns["floor F"], patterns["frame B side"]
    assert "frame B bottom" not in patterns
    assert body_of(side).plane.height_over(body_of(floor).plane.origin) == pytest.approx(20.0)
    assert body_of(floor).depth == pytest.approx(30.0)
    solids = [plate for p in (floor, side) for plate in plates(p.name, body_of(p))]
    found = list(contacts(solids))
    assert all(m.overlap < 0.1 for m in found)
    assert sum(m.touching > 50 for m in found) == 2


@pytest.mark.slow
def test_rounded_corners_leave_the_arms_ends_alone(tmp_path: Path) -> None:
    sharp = body_of(made(tmp_path / "a", RISEN)["floor F"])
    eased = body_of(made(tmp_path / "b", RISEN + "inner_radius = '60 mm'\n")["floor F"])
    assert eased.moulded.area > sharp.moulded.area + 100.0
    assert sharp.moulded.difference(eased.moulded).area < 0.01
    more = shapely.MultiPolygon([
        part for part in shapely.get_parts(eased.moulded.difference(sharp.moulded)) if part.area > 1.0
    ])  # fmt: skip
    assert more.bounds[3] < sharp.moulded.bounds[3] - 20.0


@pytest.mark.slow
@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ("arm = '300 mm'\ntop = 'level'\n", "key frame: is missing"),
        ("frame = 'C'\nface = 'after'\narm = '300 mm'\ntop = 'level'\n", 'there is no frame "C"'),
        ("frame = 'B'\narm = '300 mm'\ntop = 'level'\n", "key face: is missing"),
        ("at = 'station 3'\n", "key arm: is missing"),
        ("at = 'station 3'\narm = '300 mm'\ntop = 'curved'\n", "key toe: is missing"),
        ("at = 'station 3'\narm = '300 mm'\ntop = 'level'\ntoe = '40 mm'\n", "key toe: its top runs level"),
        ("at = '3000 mm'\narm = '2000 mm'\ntop = 'level'\n", "its arm of 2000 mm is longer than the bottom"),
        ("at = '3000 mm'\narm = '480 mm'\ntop = 'level'\n", "its level top meets the bottom's planking"),
        ("at = '3000 mm'\nup_to = '2000 mm'\ntoe = '40 mm'\n", "run up past the sheer"),
    ],
)
def test_a_floor_that_cannot_be_is_told(tmp_path: Path, keys: str, words: str) -> None:
    with pytest.raises(DesignError) as caught:
        made(tmp_path, keys)
    assert words in str(caught.value)
