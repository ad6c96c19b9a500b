"""The construction drawing of the boat of planes: what is seen and cut of each member, by closed forms."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from patterns.boat import Boat, load_boat
from patterns.members import all_patterns
from patterns.pattern import Pattern
from patterns.picture.construction import construction_plates
from patterns.shop.construction import Construction, drawn_view
from patterns.shop.members_seen import FROM_THE_SIDE, Member, cut_by, members_of, seen
from patterns.wood.work_stage import WorkStage
from tests.patterns.plane_boat import BOTTOM_T, SIDE_T, bottom_over, side_over, write_plane_boat

pytestmark = pytest.mark.slow  # every piece of a boat is made


@pytest.fixture(scope="module")
def boat(tmp_path_factory: pytest.TempPathFactory) -> Boat:
    return load_boat(write_plane_boat(tmp_path_factory.mktemp("construction")))


@pytest.fixture(scope="module")
def made(boat: Boat) -> tuple[Pattern, ...]:
    return all_patterns(boat)


@pytest.fixture(scope="module")
def what(boat: Boat, made: tuple[Pattern, ...]) -> Construction:
    return Construction(boat=boat, patterns=made)


@pytest.fixture(scope="module")
def members(what: Construction) -> dict[str, Member]:
    return {member.name: member for member in what.members}


def test_every_piece_and_timber_is_a_member(boat: Boat, made: tuple[Pattern, ...]) -> None:
    """Counted in the order of work; nothing that is made of wood is left out."""
    members = members_of(boat, made)
    assert [member.number for member in members] == list(range(1, len(members) + 1))
    pieces = {pattern.part_of or pattern.name for pattern in made if pattern.body is not None}
    assert {member.name for member in members} == pieces | {run.name for run in boat.runs}
    stage = {pattern.part_of or pattern.name: pattern.work[0] for pattern in made}
    stages = [stage[member.name] for member in members if member.name in stage]
    assert stages == sorted(stages)
    assert stages[-1] > WorkStage.FRAMES


def test_a_frame_is_seen_edge_on(members: dict[str, Member]) -> None:
    """Upright, 18 mm sided, its moulded face at station 2 (1200 mm aft), its wood forward of it."""
    x0, _, x1, _ = seen(members["frame A"], FROM_THE_SIDE).bounds
    assert (x0, x1) == pytest.approx((1182.0, 1200.0), abs=1e-6)


def test_a_leaning_frame_is_a_strip_as_broad_as_its_siding(members: dict[str, Member]) -> None:
    """Edge on, raked by 5 degrees with its top aft: measured square to its faces it is 20 mm broad."""
    points = shapely.get_coordinates(seen(members["frame B"], FROM_THE_SIDE))
    lean = np.radians(5.0)
    across = points @ np.array([np.cos(lean), -np.sin(lean)])
    assert np.ptp(across) == pytest.approx(20.0, abs=1e-6)


def test_a_section_cuts_timbers_within_the_planking(what: Construction, members: dict[str, Member]) -> None:
    """Every corner of what a plane cuts lies inside of both planks; a log's area is its run's cut."""
    plane = members["frame A"].bodies[0][1].plane
    log = members["chine log"]
    [(name, area)] = list(cut_by(log, plane))
    assert name == "chine log"
    assert log.run is not None
    corners = log.run.cut(plane)
    assert corners is not None
    assert area.area == pytest.approx(shapely.Polygon(corners).area)
    points = plane.space(shapely.get_coordinates(area))
    assert float(side_over(points).max()) < -SIDE_T + 0.05
    assert float(bottom_over(points).max()) < -BOTTOM_T + 0.05


def test_a_section_of_a_lengthwise_board_is_a_rectangle_of_its_thickness(members: dict[str, Member]) -> None:
    """The transom knee stands on the centreline, 36 mm sided: a plane across it cuts 36 mm of breadth."""
    body = members["transom knee"].bodies[0][1]
    middle = body.plane.space(np.array([shapely.get_coordinates(body.moulded.representative_point())[0]]))[0]
    frame = members["frame A"].bodies[0][1].plane
    plane = type(frame)(origin=np.array([middle[0], 0.0, 0.0]), u=frame.u, v=frame.v)
    cuts = [area for _, area in cut_by(members["transom knee"], plane)]
    assert cuts
    x0, _, x1, _ = shapely.union_all(cuts).bounds
    assert x1 - x0 == pytest.approx(36.0, abs=1e-6)


def test_every_member_is_named_in_profile_and_has_a_leader_into_its_wood(what: Construction) -> None:
    profile = what.views[0]
    assert {each.label for each in profile.named} == {str(member.number) for member in what.members}
    for each in profile.named:
        assert each.area.distance(shapely.Point(each.place)) < 1e-6
    labels = [note.text for note in drawn_view(profile, 0.04).notes if note.text != profile.level]
    assert sorted(labels) == sorted(each.label for each in profile.named)


def test_a_section_names_its_pieces_and_both_planks(what: Construction) -> None:
    section = next(view for view in what.views if view.title.endswith("frame A"))
    assert {"frame A", "keel", "chine log", "clamp", "side planking", "bottom planking"} <= {
        each.name for each in section.named
    }
    [side] = [each.area for each in section.named if each.name == "side planking"]
    # Between two parallel planes 6 mm apart, cut at the angle in which the frame's plane crosses them.
    x0, low, x1, high = side.bounds
    assert side.area > SIDE_T * np.hypot(x1 - x0, high - low) * 0.95


def test_paper_and_screen_show_the_same(boat: Boat, made: tuple[Pattern, ...], what: Construction) -> None:
    plates = construction_plates(boat, made)
    assert [plate.title for plate in plates] == [view.title for view in what.views]
    for plate, view in zip(plates, what.views, strict=True):
        told = [point.words for point in plate.points if point.words]
        assert len(told) == len(view.named)
        assert all(each.name in words for each, words in zip(view.named, told, strict=True))
