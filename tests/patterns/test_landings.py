"""Where neighbours lie on each piece: every pattern shows it, and its lines are where the neighbours are."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns import load
from patterns.assembly.landings import TICK
from patterns.hull.planes import FloatArray, Plane
from patterns.pattern import Kind, Line, Pattern, from_the_other_face
from tests.demo import DEMO, demo_patterns
from tests.patterns.shown import Shown, shown_in

FINE = 0.1  # mm


@pytest.mark.slow
@pytest.mark.parametrize("folder", ["", "round_bilge", "broken_frame"])
def test_every_piece_of_the_demos_shows_every_neighbour_where_it_lies(folder: str) -> None:
    found = shown_in(load(DEMO / folder))
    assert len(found) > 15
    assert {pair: how for pair, how in found.items() if how in (Shown.WORDS, Shown.NOTHING)} == {}


def _planes(pattern: Pattern) -> tuple[Plane, Plane]:
    assert pattern.plane is not None
    return pattern.plane, pattern.plane.moved(pattern.siding * pattern.thickness)


def _in_boat(pattern: Pattern, points: FloatArray, plane: Plane) -> FloatArray:
    return plane.space(points @ np.linalg.inv(pattern.view).T)


def _outline(pattern: Pattern, kind: Kind, plane: Plane) -> shapely.Geometry:
    """A face's outline on another piece's plane, mirrored to both sides."""
    own = _planes(pattern)[0 if kind is Kind.FACE else 1]
    shoulders = [line for line in pattern.lines if line.piece and line.kind is not Kind.LANDING]
    lines = [*(pattern.of_kind(kind) or pattern.of_kind(Kind.SAW)), *shoulders]
    found = []
    for line in lines:
        closed = np.vstack([line.points, line.points[:1]]) if line.closed else line.points
        found.append(shapely.linestrings(plane.flat(_in_boat(pattern, closed, own))))
    return shapely.union_all(found)


def _on_face_of(pattern: Pattern, line: Line, mate: Pattern) -> float | None:
    """How far a landing line lies from the neighbour's outline; None where no two faces lie together."""
    for plane in _planes(pattern):
        for own, kind in zip(_planes(mate), (Kind.FACE, Kind.OTHER), strict=True):
            parallel = abs(float(plane.normal @ own.normal)) > 1.0 - 1e-9
            if parallel and abs(float(plane.height_over(own.origin[None])[0])) < FINE:
                at = shapely.points(plane.flat(_in_boat(pattern, line.points, plane)))
                return float(shapely.distance(_outline(mate, kind, plane), at).max())
    return None


@pytest.mark.slow
def test_a_landing_line_on_a_face_is_the_neighbour_s_own_outline() -> None:
    """Through the boat, from the one drawing to the other, by their planes alone."""
    known = {pattern.name: pattern for pattern in demo_patterns()}
    measured = 0
    for pattern in known.values():
        for line in pattern.of_kind(Kind.LANDING):
            mate = known.get(line.piece)
            tick = np.hypot(*(line.points[-1] - line.points[0])) == pytest.approx(TICK)
            if mate is None or mate.plane is None or tick:
                continue
            off = _on_face_of(pattern, line, mate)
            if off is not None:
                measured += 1
                assert off < FINE, (pattern.name, line.piece)
    assert measured > 30


@pytest.mark.slow
def test_what_lies_on_an_edge_has_ticks_where_it_begins_and_ends() -> None:
    """The hanging knee's arm under beam 6, from its toe outboard, as far as the beam's underside goes."""
    known = {pattern.name: pattern for pattern in demo_patterns()}
    beam, knee = known["beam 6"], known["hanging knee"]
    ticks = [line for line in beam.of_kind(Kind.LANDING) if line.piece == knee.name]
    assert len(ticks) == 2
    wood = shapely.union_all([shapely.linestrings(line.points) for line in beam.of_kind(Kind.SAW)])
    for tick in ticks:
        assert np.hypot(*np.diff(tick.points, axis=0)[0]) == pytest.approx(TICK)
        assert shapely.distance(wood, shapely.points(tick.points[0])) < 1.0
    feet = np.array([tick.points[0] for tick in ticks])
    (arm,) = (seat for meeting in knee.meetings if meeting.on == beam.name for seat in meeting.seats[:1])
    ends = _planes(beam)[0].flat(arm.points()) @ beam.view.T
    toe, corner = np.sort(feet[:, 0])
    assert toe == pytest.approx(ends[:, 0].min(), abs=0.5)
    assert ends[:, 0].max() - 25.0 < corner < ends[:, 0].max() + 0.5


@pytest.mark.slow
def test_the_other_face_s_paper_shows_the_same_lines_named_from_there() -> None:
    known = {pattern.name: pattern for pattern in demo_patterns()}
    panel = known["transom panel"]
    behind = from_the_other_face(panel)
    here, there = (p.of_kind(Kind.LANDING) for p in (panel, behind))
    assert [line.piece for line in here] == [line.piece for line in there]
    for one, other in zip(here, there, strict=True):
        assert other.points == pytest.approx(one.points * [-1.0, 1.0])
        assert bool(one.name) == bool(other.name)
        assert one.name != other.name or not one.name
    assert from_the_other_face(behind).of_kind(Kind.LANDING)[0].name == here[0].name


@pytest.mark.slow
def test_a_single_port_piece_shows_its_own_side_s_neighbours(tmp_path: Path) -> None:
    """Of the repaired frame, whose gussets are made for each side by itself."""
    known = {pattern.name: pattern for pattern in load(DEMO / "broken_frame").patterns()}
    for side, other in (("port", "starboard"), ("starboard", "port")):
        pieces = {line.piece for line in known[f"frame 4 {side} side"].of_kind(Kind.LANDING)}
        assert len(pieces) == 2
        assert all(side in name and other not in name for name in pieces)


@pytest.mark.slow
def test_post_and_panel_show_where_the_knee_s_bolts_come_through_them(tmp_path: Path) -> None:
    """On the centreline, on the bolts' lines in the knee's own drawing, as far apart as the design says."""
    folder = Path(shutil.copytree(DEMO, tmp_path / "boat"))
    design = folder / "design.toml"
    arm, bolts = 'up_transom = "300 mm"', 'bolts_transom = ["90 mm", "210 mm"]'
    text = design.read_text(encoding="utf-8")
    assert text.count(arm) == 1
    design.write_text(text.replace(arm, f"{bolts}\n{arm}"), encoding="utf-8")
    known = {pattern.name: pattern for pattern in load(folder).patterns()}
    post, knee = known["transom centre post"], known["transom knee"]
    places = [mark.at for mark in post.marks if mark.fact is not None and mark.fact.kind == "bolt-of"]
    assert len(places) == 2
    at = np.array(places)
    assert at[:, 0] == pytest.approx(0.0, abs=1e-6)
    assert abs(at[1, 1] - at[0, 1]) == pytest.approx(120.0, abs=0.1)
    in_boat = _in_boat(post, at, _planes(post)[1])
    drawn = shapely.multilinestrings([line.points for line in knee.lines if line.bolt])
    on = shapely.points(_planes(knee)[0].flat(in_boat) @ knee.view.T)
    assert float(shapely.distance(drawn, on).max()) < FINE
    # The bolts are square to the post, which lies on the panel: both share their u and v.
    panel = known["transom panel"]
    behind = [mark.at for mark in panel.marks if mark.fact is not None and mark.fact.kind == "bolt-of"]
    assert np.array(behind) == pytest.approx(at, abs=0.01)
