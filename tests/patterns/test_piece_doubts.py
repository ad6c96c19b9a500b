"""What every check finds of the made pieces: overlaps, frames that fall apart, loose pieces, little wood left."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from patterns import check
from patterns.assembly.doubts import piece_doubts
from patterns.assembly.joined import loose_frames
from patterns.assembly.slabs import slabs_of
from patterns.boat import Boat
from patterns.errors import Problem
from patterns.findings import Findings
from patterns.pattern import Pattern
from patterns.timbers.run import Run
from tests.demo import DEMO, demo_boat, demo_patterns
from tests.patterns.folders import changed, codes_of
from tests.patterns.plane_boat import write_plane_boat

FRAME_B = '[[frame]]\nname = "B"'
IN_PIECES = f"{FRAME_B}\npieces = 'no bottom piece'\njoint = 'butt'\nthrough = 'upper'\nassembly = false\n"
FLOOR = """
[[floor]]
name = "F"
frame = "B"
face = "after"
arm = "{arm}"
top = "curved"
toe = "40 mm"
sided = "30 mm"
moulded = "120 mm"
stock = "oak"
"""
BEAM = """
[[beam]]
name = "{name}"
at = "{at}"
sided = "20 mm"
moulded = "90 mm"
ends = "at the clamp"
stock = "fir"
"""
BREASTHOOK = """
[breasthook]
length = "350 mm"
throat = "150 mm"
toe = "50 mm"
top = "crowned"
sided = "{sided}"
stock = "oak"
"""
KEEL = 'kind = "keel"\nlies = "inside planking"\nsided = "90 mm"'
NARROW_KEEL = KEEL.replace("90", "40")
CLAMP = 'against = "side"\noff = "20 mm"\nalong = "45 mm"\n\n[[frame]]'
STRINGER = """
[[timber]]
kind = "stringer"
name = "riser"
against = "side"
follows = "sheer"
part = 0.5
off = "{off}"
along = "40 mm"
"""


def found(folder: Path, *changes: tuple[str, str], more: str = "") -> Findings:
    """What is found of the boat of planes with a narrow keel, some places changed and some more tables."""
    write_plane_boat(folder, sided="40 mm")
    design = folder / "design.toml"
    text = design.read_text(encoding="utf-8")
    for old, new in ((KEEL, NARROW_KEEL), *changes):
        text = changed(text, old, new)
    design.write_text(text + more, encoding="utf-8")
    return check(folder)


def of(findings: Findings, code: str) -> list[Problem]:
    """The doubts about pieces of a code; there is no other one about them."""
    assert findings.errors == ()
    assert set(codes_of(findings.of_pieces)) <= {code}
    return list(findings.of_pieces)


@pytest.mark.slow
def test_sound_boats_are_quiet(tmp_path: Path) -> None:
    assert of(found(tmp_path), "none") == []
    demo = check(DEMO)
    assert demo.warnings == ()
    assert demo.status == 0
    assert len(demo.patterns) > 40


@pytest.mark.slow
def test_a_futtock_off_its_floor_is_named_with_the_gap(tmp_path: Path) -> None:
    """The floor lies on the frame's after face: both outlines are drawn in that plane, and their gap measured."""
    findings = found(tmp_path, (FRAME_B, IN_PIECES), more=FLOOR.format(arm="320 mm"))
    (problem,) = of(findings, "frame-not-joined")
    assert problem.pieces == ("frame B side",)
    pieces = {pattern.name: pattern for pattern in findings.patterns}
    side, floor = pieces["frame B side"].body, pieces["floor F"].body
    assert side is not None
    assert floor is not None
    assert abs(float((floor.plane.origin - side.plane.origin) @ side.plane.normal)) == pytest.approx(20.0)
    shared = side.moulded.union(side.other), floor.moulded.union(floor.other)
    loose = next(loose_frames([slab for p in findings.patterns for slab in slabs_of(p)], ()))
    assert loose.nearest == "floor F"
    assert loose.gap == pytest.approx(shared[0].distance(shared[1]), abs=0.01)
    assert loose.gap > 100.0
    assert findings.status == 3


@pytest.mark.slow
def test_a_floor_that_reaches_its_futtocks_holds_them(tmp_path: Path) -> None:
    reaching = (
        FLOOR.format(arm="").replace('arm = ""\n', 'up_to = "420 mm"\n').replace('top = "curved"\n', "")
    )
    assert of(found(tmp_path, (FRAME_B, IN_PIECES), more=reaching), "none") == []


@pytest.mark.slow
@pytest.mark.parametrize(
    ("beams", "pair"),
    [
        # Frame A's siding of 18 mm is about 1200 mm aft.
        ((("one", "1190 mm", ""),), {"frame A", "one"}),
        # At a height of 650 mm a rake of 8 degrees carries the second 91 mm aft: into the first.
        ((("one", "2000 mm", ""), ("two", "1912 mm", "8 deg")), {"one", "two"}),
    ],
)
def test_two_pieces_in_one_place_are_named(
    tmp_path: Path, beams: tuple[tuple[str, str, str], ...], pair: set[str]
) -> None:
    more = "".join(
        BEAM.format(name=name, at=at) + (f'rake = "{rake}"\n' if rake else "") for name, at, rake in beams
    )
    problems = of(found(tmp_path, more=more), "pieces-overlap")
    assert [set(problem.pieces) for problem in problems] == [pair]


@pytest.mark.slow
def test_a_keel_wider_than_the_stem_it_runs_to_runs_into_the_chine_logs(tmp_path: Path) -> None:
    write_plane_boat(tmp_path, sided="40 mm")
    assert {"keel", "chine log"} in [set(problem.pieces) for problem in check(tmp_path).of_pieces]


@pytest.mark.slow
def test_a_clamp_taller_than_the_side_runs_into_the_bottom(tmp_path: Path) -> None:
    tall = found(tmp_path, (CLAMP, CLAMP.replace("45", "420")))
    assert "planed-away" in codes_of(tall.of_pieces)


@pytest.mark.slow
def test_a_keel_so_wide_that_it_has_no_sides_is_doubted_and_made(tmp_path: Path) -> None:
    """Half of 300 mm out the bottom has risen by 0.3 times 130 mm, more than the keel's 30 mm: it is a wedge."""
    wide = found(tmp_path, (NARROW_KEEL, KEEL.replace("90", "300")))
    assert [problem.pieces for problem in of(wide, "planed-away")] == [("keel, ends",)]
    assert "keel, ends" in {pattern.name for pattern in wide.patterns}


@pytest.mark.slow
@pytest.mark.parametrize(("off", "thin"), [("64 mm", True), ("40 mm", False)])
def test_a_notch_that_leaves_little_of_the_moulding_is_doubted(tmp_path: Path, off: str, thin: bool) -> None:
    """The frames are moulded 70 mm at the side: 6 mm are left, or 30 mm."""
    problems = of(found(tmp_path, more=STRINGER.format(off=off)), "little-wood-left")
    assert {name for problem in problems for name in problem.pieces} >= (
        {"frame A", "frame B"} if thin else set()
    )
    assert bool(problems) == thin


@pytest.mark.slow
def test_a_confirmed_doubt_is_silent_and_a_needless_confirmation_is_named(tmp_path: Path) -> None:
    name = ('name = "Plane Boat"', 'name = "Plane Boat"\nconfirmed = ["little-wood-left"]')
    assert of(found(tmp_path, name, more=STRINGER.format(off="64 mm")), "none") == []
    needless = found(tmp_path, name)
    assert codes_of(needless.hints) == ["needless-confirmation"]
    assert codes_of(needless.of_pieces) == ["needless-confirmation"]


def _moved(pattern: Pattern, by: float) -> Pattern:
    """A piece moved along the normal of its own face, the hull's edges left behind."""
    bodies = [body for body in (pattern.body, *pattern.slabs) if body is not None]
    away = [replace(body, plane=body.plane.moved(by)) for body in bodies]
    return replace(pattern, body=away[0], slabs=tuple(away[1:]), edges=())


def _with(name: str, change: Pattern) -> list[Pattern]:
    return [change if pattern.name == name else pattern for pattern in demo_patterns()]


def _pattern(name: str) -> Pattern:
    return next(pattern for pattern in demo_patterns() if pattern.name == name)


@pytest.mark.slow
def test_a_piece_that_touches_nothing_is_named() -> None:
    assert piece_doubts(demo_boat(), demo_patterns()) == ()
    gone = piece_doubts(demo_boat(), _with("mast step", _moved(_pattern("mast step"), 3000.0)))
    assert [(problem.code, problem.pieces) for problem in gone] == [("piece-not-held", ("mast step",))]


@pytest.mark.slow
def test_a_piece_that_one_of_its_meetings_misses_is_named_with_what_asks_for_it() -> None:
    """Moved 40 mm along its own grain, half beam 7 leaves the clamp or the carling that it was cut to meet."""
    piece = _pattern("half beam 7")
    body = piece.body
    assert body is not None
    away = replace(body, plane=replace(body.plane, origin=body.plane.origin + np.array([0.0, -40.0, 0.0])))
    gone = piece_doubts(demo_boat(), _with(piece.name, replace(piece, body=away)))
    apart = [problem for problem in gone if problem.code == "pieces-apart"]
    assert [problem.pieces for problem in apart] == [("half beam 7", "clamp")]
    assert "ends" in apart[0].place


@pytest.mark.slow
def test_an_edge_may_meet_a_timber_between_its_two_faces_alone(tmp_path: Path) -> None:
    """A breasthook thicker than the clamp: its faces end above and below it, and the edge between them on it."""
    thick = BREASTHOOK.format(sided="60 mm")
    assert "pieces-apart" not in codes_of(found(tmp_path, more=thick).of_pieces)


@pytest.mark.slow
def test_a_bevel_that_leaps_along_one_edge_is_named() -> None:
    """One place of an edge reads its supplement: the fault of a gauge that is read from the wrong side."""
    piece = _pattern("frame 2")
    edge = piece.edges[0]
    bevel = edge.bevel.copy()
    bevel[len(bevel) // 2] = np.pi - bevel[len(bevel) // 2]
    assert abs(np.pi - 2.0 * edge.bevel[len(bevel) // 2]) > np.radians(10.0)
    bad = replace(piece, edges=(replace(edge, bevel=bevel), *piece.edges[1:]))
    found_there = piece_doubts(demo_boat(), _with("frame 2", bad))
    assert [(problem.code, problem.pieces) for problem in found_there] == [("bevel-jump", ("frame 2",))]


def _bent(radius: float) -> Boat:
    """The demo with one timber 20 mm deep and 40 mm wide, far off, bent flat to a radius on a half circle."""
    model = demo_boat().runs[0]
    turn = np.linspace(0.0, np.pi, max(int(np.pi * radius / 5.0), 40))
    ring = []
    for out, across in ((0.0, -20.0), (0.0, 20.0), (-20.0, 20.0), (-20.0, -20.0)):
        r = radius + out
        ring.append(
            np.stack([9000.0 + r * np.cos(turn), 9000.0 + across + 0.0 * turn, r * np.sin(turn)], axis=-1)
        )
    ends = tuple(
        replace(end, plane=replace(end.plane, origin=np.array([x, 0.0, 0.0])))
        for end, x in zip(model.ends, (8000.0, 20000.0), strict=True)
    )
    run = Run(
        name="bow", kind="ribband", mirrored=True, rails=np.stack(ring, axis=1), ends=(ends[0], ends[1]),
        lies_on=("", "", "", ""), across=40.0, deep=20.0,
    )  # fmt: skip
    boat = replace(demo_boat())
    boat.__dict__["runs"] = (run,)
    return boat


@pytest.mark.parametrize(("radius", "sharp"), [(15.0, True), (300.0, False)])
def test_no_timber_bends_to_less_than_its_own_thickness(radius: float, sharp: bool) -> None:
    """The radius of the run's middle is that of the circle (closed form)."""
    assert [problem.code for problem in piece_doubts(_bent(radius), ())] == ["bend-sharper-than-wood"] * sharp
