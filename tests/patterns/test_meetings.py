"""What is meant to meet: each joint once, at a place that lies on both pieces; and what is there against it."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns.assembly.intended import meetings_among, meetings_of, unheld
from patterns.assembly.plate import plates
from patterns.assembly.proof import LEAST, Assembly, assembled
from patterns.boat import load_boat
from patterns.design.models import TransomEnd
from patterns.hull.planes import station_plane
from patterns.members import all_patterns
from patterns.pattern import Pattern
from patterns.subject import load
from patterns.timbers.run import mirror_of
from patterns.wood.labels import Against, Deck, Landing, Nose, Planking
from patterns.wood.meeting import Joinery, Meeting, NotMade, OneOf, Seat
from patterns.wood.piece import Role
from patterns.wood.seats import met_by
from tests.demo import DEMO, demo_boat, demo_patterns, round_demo, round_demo_patterns
from tests.patterns.end_boats import BOW_KNEE, write_double_ender, write_pram
from tests.patterns.test_piece import _pieces

CLOSE = 0.02  # mm
FRAMING = Against(
    "framing"
)  # where a lapped part of a transom ends inside of the framing: no piece of that name


@pytest.fixture(scope="module")
def meant() -> tuple[Meeting, ...]:
    return meetings_of(demo_boat(), demo_patterns())


def pairs_of(meetings: tuple[Meeting, ...], kind: Joinery) -> set[tuple[object, object]]:
    return {(meeting.lands, meeting.on) for meeting in meetings if meeting.kind is kind}


@pytest.mark.slow
def test_every_joint_that_the_demo_asks_for_is_there_once(meant: tuple[Meeting, ...]) -> None:
    """By the design file: its joints, gussets, floors, beams, knees, laps, the two ends and the mast step."""
    assert max(Counter((m.kind, m.pair) for m in meant).values()) == 1
    assert pairs_of(meant, Joinery.MITRE) == {(f"frame {n} bottom", f"frame {n} side") for n in (3, 4)}
    assert ("frame 6 side", "frame 6 bottom") in pairs_of(meant, Joinery.HALF_LAP)
    butts = pairs_of(meant, Joinery.BUTT)
    assert {("frame 8 side", "frame 8 bottom"), ("frame 3 bottom", "frame 3 bottom")} < butts
    assert {("chine log", "inner stem"), ("chine log", "transom panel"), ("beam 2", "clamp")} < butts
    assert {("seat-back support", "seat back"), ("seat-back support", "beam 8")} < butts
    assert pairs_of(meant, Joinery.HOUSING) == {("seat back", "clamp")}
    faces = pairs_of(meant, Joinery.FACE)
    assert {("floor 4", "frame 4 bottom"), ("floor 5", "frame 5 side"), ("beam 3", "frame 3 side")} < faces
    assert {("frame 3 chine gusset, after", f"frame 3 {part}") for part in ("bottom", "side")} < faces
    assert ("transom centre post", "transom panel") in faces
    laps = pairs_of(meant, Joinery.HALF_LAP)
    assert {("carling", "beam 6"), ("half beam 7", "carling"), ("king plank", "beam 4")} < laps
    assert ("transom stile", "transom bottom rail") in laps
    notches = pairs_of(meant, Joinery.NOTCH)
    assert {("chine log", f"frame {n} bottom") for n in (3, 4, 6, 8)} < notches
    assert {
        ("chine log", "transom stile"),
        ("chine log", "transom bottom rail"),
        ("keel", "floor 7"),
    } < notches
    edges = pairs_of(meant, Joinery.EDGE)
    assert {("transom knee", "transom centre post"), ("transom knee", "keel"), ("mast step", "keel")} < edges
    assert {("quarter knee", "transom stile"), ("quarter knee", "transom top rail")} < edges
    assert {("breasthook", "inner stem"), ("outer stem", "inner stem"), ("hanging knee", "beam 6")} < edges
    assert {("beam 2", Deck()), ("frame 2", Planking("bottom")), ("hanging knee", Planking("side"))} < edges
    assert pairs_of(meant, Joinery.MORTISE) == {(NotMade("mast"), "mast step")}
    assert not [m for m in meant if isinstance(m.on, OneOf)]


@pytest.mark.slow
def test_each_says_which_entry_of_the_design_made_it(meant: tuple[Meeting, ...]) -> None:
    assert all(meeting.keys for meeting in meant)
    [mitre] = [m for m in meant if m.pair == {"frame 3 bottom", "frame 3 side"}]
    assert mitre.keys == ('frame "3", key joint',)


@pytest.mark.slow
def test_an_edge_that_lies_on_another_piece_is_of_a_meeting() -> None:
    """What an edge is labelled to lie on, and what it meets, are one thing."""
    seen = 0
    for piece in _pieces():
        if piece.role is Role.LAYOUT:
            continue
        met = {label for meeting in met_by(piece) for label in meeting.edges}
        for face in (0, 1):
            wood = piece.as_cut(face)
            for label in set(wood.palette) - {FRAMING}:
                # Where a half lap is cut away, the meeting is the lap's and has its seat in the middle.
                halved = {Against(cut.against) for cut in piece.cuts if cut.halving is not None}
                if (piece.name, label) == ("frame 5 side", Against("bottom")):
                    continue  # a floor timber takes the place of that futtock, which is not made
                if isinstance(label, Against | Landing | Nose) and wood.lines(label).length > 1.0:
                    assert label in met | halved, (piece.name, label)
                    seen += 1
    assert seen > 100


@pytest.mark.slow
def test_what_a_meeting_takes_is_no_wood_of_the_piece() -> None:
    """On each face.  Two futtocks are cut along one line: each place near it is the one's or the other's."""
    seen: Counter[Joinery] = Counter()
    for piece in _pieces():
        for meeting in piece.meetings:
            cut = meeting.cut(piece.name)
            if cut is None or not cut.areas:
                continue
            for face, area in zip((0, 1), (cut.areas[0], cut.areas[-1]), strict=True):
                wood = piece.faces[face].region.area
                assert shapely.intersection(wood, area).area < 1e-3, (piece.name, cut.against)
            other = meeting.cut(str(meeting.other(piece.name)))
            if other is not None:
                for mine, theirs in zip(cut.areas, other.areas, strict=True):
                    assert shapely.intersection(mine, theirs).area < 1e-3
                    near = shapely.box(*shapely.bounds(wood)).buffer(500.0)
                    assert shapely.difference(near, shapely.union(mine, theirs)).area < 1e-3
            seen[meeting.kind] += 1
    assert seen[Joinery.NOTCH] > 30
    assert min(seen[kind] for kind in (Joinery.MITRE, Joinery.HALF_LAP, Joinery.HOUSING)) > 0


def bodies_of(pattern: Pattern) -> list[tuple[object, object]]:
    """The planes of the faces of a pattern's wood, and its wood on each."""
    assert pattern.body is not None
    return [
        each
        for body in (pattern.body, *pattern.slabs)
        for each in ((body.plane, body.moulded), (body.plane.moved(body.depth), body.other))
    ]


@pytest.mark.slow
def test_faces_that_lie_on_each_other_are_wood_on_both_pieces_there(meant: tuple[Meeting, ...]) -> None:
    """The area of each such seat is area of a face of both, in one plane; one half of it may be given."""
    made, seen = {pattern.name: pattern for pattern in demo_patterns()}, 0
    for meeting in meant:
        if meeting.kind is not Joinery.FACE or not isinstance(meeting.on, str):
            continue
        seat = meeting.seats[0]
        for name in (str(meeting.lands), meeting.on):
            # As a plane's u and v may begin elsewhere, the seat is carried over through the boat.
            within = [
                on.difference(shapely.buffer(wood, CLOSE)).area / on.area
                for plane, wood in bodies_of(made[name])
                if (on := seat.on(plane, within=CLOSE)) is not None
            ]
            if name == meeting.on or "transom" not in name:
                assert within, (meeting.lands, meeting.on)
        seen += 1
    assert seen > 15


@pytest.mark.slow
def test_the_seat_of_a_notch_lies_on_the_timber_and_on_the_piece(meant: tuple[Meeting, ...]) -> None:
    """The bed of every notch is the surface of the timber's own solid, by its rails; and the piece's own edge."""
    runs, seen = {run.name: run for run in demo_boat().runs}, 0
    made = {pattern.name: pattern for pattern in demo_patterns()}
    for meeting in meant:
        if meeting.kind is not Joinery.NOTCH or meeting.lands == "bottom batten":
            continue
        run = runs[str(meeting.lands)]
        points = np.vstack([seat.points() for seat in meeting.seats])
        points = np.where(points[:, 1:2] < 0.0, mirror_of(points), points)
        # A notch is run out through the planking beside its timber, past the timber's own corners.
        bed = points[np.abs(run.depth(points)) < 0.5 * run.deep]
        inside = np.median(np.abs(run.depth(bed)))
        # `Run.depth` is measured in the section abreast of a point: exact to the second order of the bend.
        assert inside < 0.1, (meeting.lands, meeting.on, inside)
        body = made[str(meeting.on)].body
        assert body is not None
        [starboard, *_] = plates(str(meeting.on), body)
        assert np.abs(starboard.depth(points)).max() < 0.05 or made[str(meeting.on)].slabs
        seen += 1
    assert seen > 20


@pytest.mark.slow
def test_what_is_meant_and_what_is_there_are_one_list() -> None:
    """On the demo and on the round one: nothing touches that is not meant to, and nothing meant is missing."""
    for boat, made in ((demo_boat(), demo_patterns()), (round_demo(), round_demo_patterns())):
        found = assembled(boat, made, step=10.0)
        assert [(each.first, each.second) for each in found.unmeant] == []
        assert [fault.words() for fault in found.faults if fault.what == "apart"] == []
        assert found.unheld == ()
        there = {frozenset(s.piece for s in c.solids) for c in found.contacts if c.touching > LEAST / 10.0**2}
        assert there <= {meeting.pair for meeting in found.meetings}
        assert len(there) > 10


@pytest.mark.slow
def test_a_pram_and_a_double_ender_meet_at_both_ends(tmp_path: Path) -> None:
    """What is made with the boat turned lands on that end's pieces, at that end's place."""
    pram = load_boat(write_pram(tmp_path / "pram", more=BOW_KNEE))
    meant = meetings_of(pram, all_patterns(pram))
    [knee] = [m for m in meant if m.pair == {"bow knee", "bow transom framing"}]
    middle = knee.middle
    assert middle is not None
    face, end = pram.hull.bow_transom, pram.design.fore_end
    assert face is not None
    assert isinstance(end, TransomEnd)
    assert face.height_over(middle) == pytest.approx(end.panel + (end.framing or 0.0))
    assert ("bow transom framing", "bow transom panel") in pairs_of(meant, Joinery.FACE)
    assert {("clamp", "transom panel"), ("clamp", "bow transom panel")} <= pairs_of(meant, Joinery.BUTT)
    double = load_boat(write_double_ender(tmp_path / "double"))
    meant = meetings_of(double, all_patterns(double))
    assert {("outer stem", "inner stem"), ("outer sternpost", "inner sternpost")} <= pairs_of(
        meant, Joinery.EDGE
    )
    places = {m.on: m.middle for m in meant if m.lands == "clamp" and m.kind is Joinery.BUTT}
    assert places["inner stem"] is not None
    assert places["inner sternpost"] is not None
    # She is alike fore and aft about x = 2000.
    assert places["inner stem"][0] + places["inner sternpost"][0] == pytest.approx(4000.0, abs=0.1)


def test_a_repair_meets_what_it_is_put_to() -> None:
    """Futtocks with each other, gussets with futtocks, timbers that the repair makes no piece of, the old frame."""
    meant = meetings_among(load(DEMO / "broken_frame").patterns())
    for side in ("port", "starboard"):
        name = f"frame 4 {side}"
        assert (f"{name} side", f"{name} bottom") in pairs_of(meant, Joinery.MITRE)
        assert (NotMade("stringer"), f"{name} side") in pairs_of(meant, Joinery.NOTCH)
        on = {on for lands, on in pairs_of(meant, Joinery.FACE) if lands == f"{name}, chine gusset, after"}
        assert on == {f"{name} side", f"{name} bottom"}
    assert ("sister to frame 4 starboard", NotMade("old frame 4")) in pairs_of(meant, Joinery.FACE)
    assert all(meeting.keys for meeting in meant)


@pytest.fixture(scope="module")
def two() -> tuple[Pattern, Pattern]:
    """The demo's transom panel and its bottom rail, which lies on it."""
    named = {pattern.name: pattern for pattern in demo_patterns()}
    return named["transom panel"], named["transom bottom rail"]


def without_timbers(*patterns: Pattern) -> Assembly:
    boat = demo_boat()
    bare = replace(boat, design=boat.design.model_copy(update={"wanted": ()}))
    return assembled(bare, patterns, step=15.0)


@pytest.mark.slow
def test_pieces_that_are_meant_to_meet_and_lie_far_apart_are_found(two: tuple[Pattern, Pattern]) -> None:
    """Farther off than any gap is looked for in."""
    panel, rail = two
    assert panel.body is not None
    off = replace(panel, body=replace(panel.body, plane=panel.body.plane.moved(30.0)))
    apart = {(f.first, f.second) for f in without_timbers(off, rail).faults if f.what == "apart"}
    assert ("transom bottom rail", "transom panel") in apart
    assert not [f for f in without_timbers(panel, rail).faults if f.what == "apart"]


@pytest.mark.slow
def test_pieces_that_touch_though_nothing_joins_them_are_found(two: tuple[Pattern, Pattern]) -> None:
    panel, rail = two
    loose = replace(rail, meetings=())
    found = without_timbers(panel, loose)
    assert {panel.name, rail.name} in [{each.first, each.second} for each in found.unmeant]
    assert found.unheld == (rail.name,)
    assert without_timbers(panel, rail).unmeant == ()


def test_a_piece_is_held_by_another_or_by_planking_and_not_by_itself_or_the_deck() -> None:
    def met(on: str | Planking | Deck | OneOf) -> Meeting:
        return Meeting(kind=Joinery.BUTT, lands="a", on=on)

    assert unheld(["a"], [met("a"), met(Deck()), met(OneOf("frame 3"))]) == ("a",)
    assert unheld(["a", "b"], [met("b")]) == ()
    assert unheld(["a"], [met(Planking("side"))]) == ()


def test_a_landing_on_a_frame_is_on_those_of_its_pieces_that_lie_there() -> None:
    """An area on the after face of a frame of the demo, over both of its futtocks; and one beside the frame."""
    made = {pattern.name: pattern for pattern in demo_patterns()}
    side, bottom = made["frame 8 side"], made["frame 8 bottom"]
    assert side.body is not None
    low, high = (np.array(each.body.moulded.centroid.coords[0]) for each in (bottom, side) if each.body)
    face = side.body.plane
    for shape, wanted in (
        (shapely.LineString([[high[0], low[1]], high]).buffer(60.0), {"frame 8 side", "frame 8 bottom"}),
        (shapely.Point(0.0, high[1]).buffer(5.0), {OneOf("frame 8")}),
    ):
        pad = Meeting(
            kind=Joinery.FACE, lands="pad", on=OneOf("frame 8"), seats=(Seat(plane=face, shape=shape),)
        )
        assert {m.on for m in meetings_among((side, bottom), [pad]) if m.lands == "pad"} == wanted
        far = replace(pad, seats=(Seat(plane=station_plane(100.0), shape=shape),))
        assert {m.on for m in meetings_among((side, bottom), [far]) if m.lands == "pad"} == {OneOf("frame 8")}
