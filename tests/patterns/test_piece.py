"""Pieces as values: what follows from one does so for the demo's futtocks, gussets, floors and beams."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import numpy as np
import pytest
import shapely

from patterns.boat import Boat
from patterns.design.deck_models import BeamSpec, BreasthookSpec, CarlingSpec, KingPlankSpec, SupportSpec
from patterns.drawing.of_piece import pattern_of
from patterns.hull.planes import FloatArray
from patterns.joinery.deck_timbers import beam_called
from patterns.joinery.laps import laps_in
from patterns.members.beam import WORDS, beam_piece
from patterns.members.breasthook import WORDS as HOOK_WORDS
from patterns.members.breasthook import breasthook_pieces
from patterns.members.carling import carling_piece
from patterns.members.floor import floor_piece
from patterns.members.floor_keys import FloorSpec
from patterns.members.frame import frame_pieces
from patterns.members.hanging_knee import WORDS as HANGING_WORDS
from patterns.members.hanging_knee import HangingKneeSpec, hanging_knee_piece
from patterns.members.king_plank import WORDS as PLANK_WORDS
from patterns.members.king_plank import king_plank_piece
from patterns.members.mast_step import WORDS as STEP_WORDS
from patterns.members.mast_step import MastStepSpec, mast_step_piece
from patterns.members.quarter_knee import WORDS as QUARTER_WORDS
from patterns.members.quarter_knee import QuarterKneeSpec, quarter_knee_piece
from patterns.members.stem import WORDS as STEM_WORDS
from patterns.members.stem import stem_pieces
from patterns.members.stem_knee import WORDS as STEM_KNEE_WORDS
from patterns.members.stem_knee import StemKneeSpec, stem_knee_piece
from patterns.members.support import WORDS as SUPPORT_WORDS
from patterns.members.support import support_piece
from patterns.members.timber import WORDS as TIMBER_WORDS
from patterns.members.timber import timber_piece
from patterns.members.transom import WORDS as TRANSOM_WORDS
from patterns.members.transom import transom_pieces
from patterns.members.transom_knee import WORDS as TRANSOM_KNEE_WORDS
from patterns.members.transom_knee import TransomKneeSpec, transom_knee_piece
from patterns.pattern import Kind
from patterns.text.wood_facts import FACTS, said
from patterns.wood.ends import Aft, HullEnd, Way, turned_value
from patterns.wood.facts import Fact
from patterns.wood.labels import Against, Centre, Deck, Free, Planking
from patterns.wood.meeting import Joinery
from patterns.wood.piece import Hand, Piece, Role
from patterns.wood.region import Area
from patterns.wood.turned import turned_piece
from tests.demo import demo_boat, demo_patterns

NEAR = 0.001  # mm
_KNEE_WORDS = {*STEM_KNEE_WORDS, *TRANSOM_KNEE_WORDS, *HANGING_WORDS, *QUARTER_WORDS, *HOOK_WORDS}


@cache
def _pieces() -> tuple[Piece, ...]:
    """All pieces of the demo that are made as such."""
    boat = demo_boat()
    found = [piece for spec in boat.design.frames for piece in frame_pieces(boat, spec)]
    found += [floor_piece(boat, spec) for spec in boat.design.all(FloorSpec)]
    found += [beam_piece(boat, spec) for spec in boat.design.all(BeamSpec)]
    found += [carling_piece(boat, spec) for spec in boat.design.all(CarlingSpec)]
    found += transom_pieces(boat)
    found += [king_plank_piece(boat, spec) for spec in boat.design.all(KingPlankSpec)]
    found += _knees_and_steps(boat)
    found += [support_piece(boat, spec) for spec in boat.design.all(SupportSpec)]
    found += [piece for piece in stem_pieces(boat) if piece.name == "inner stem"]
    return tuple(found)


def _knees_and_steps(boat: Boat) -> Iterator[Piece]:
    yield from (stem_knee_piece(boat, spec) for spec in boat.design.all(StemKneeSpec))
    yield from (transom_knee_piece(boat, spec) for spec in boat.design.all(TransomKneeSpec))
    yield from (hanging_knee_piece(boat, spec) for spec in boat.design.all(HangingKneeSpec))
    yield from (quarter_knee_piece(boat, spec) for spec in boat.design.all(QuarterKneeSpec))
    for hook in boat.design.all(BreasthookSpec):
        yield from breasthook_pieces(boat, hook)
    yield from (mast_step_piece(boat, spec) for spec in boat.design.all(MastStepSpec))


@pytest.mark.slow
def test_the_demo_has_pieces_of_each_kind_on_both_hands() -> None:
    assert {piece.member for piece in _pieces()} >= {
        "futtock",
        "gusset",
        "floor timber",
        "deck beam",
        "half beam",
        "support",
    }
    assert {piece.hand for piece in _pieces()} == {Hand.PAIR, Hand.CENTRE}


def _same(one: Piece, two: Piece) -> bool:
    """The same wood in the same place: points of both placements agree, and both have the same areas."""
    places = np.array([[0.0, 0.0, 0.0], [300.0, 100.0, 5.0], [40.0, 500.0, 20.0]])
    return bool(
        np.allclose(one.placement.boat(places), two.placement.boat(places))
        and all(a.region is b.region for a, b in zip(one.faces, two.faces, strict=True))
        and one.hand is two.hand
        and [step.depth for step in one.steps] == pytest.approx([step.depth for step in two.steps])
    )


def test_mirrored_twice_gives_the_same_piece_and_once_its_mirror() -> None:
    places = np.array([[300.0, 100.0, 5.0], [40.0, 500.0, 20.0]])
    for piece in _pieces():
        other = piece.mirrored()
        assert np.allclose(other.placement.boat(places), piece.placement.boat(places) * [1.0, -1.0, 1.0])
        assert _same(other.mirrored(), piece)
        assert {p.hand for p in (other,)} == {
            piece.hand
        }  # a pair and a piece on the centreline are their own mirror


def test_the_other_face_shares_the_register_holes_and_twice_gives_the_same_piece() -> None:
    shared = 0
    for piece in _pieces():
        other = piece.other_face()
        assert [hole.at for hole in other.register_holes(8.0)] == [
            hole.at for hole in piece.register_holes(8.0)
        ]
        shared += len(piece.register_holes(8.0))
        assert _same(other.other_face(), piece)
        # A place on the moulded face lies at the whole thickness when it is described from behind.
        [place] = other.placement.own(piece.placement.boat(np.array([[200.0, 300.0, 0.0]])))
        assert place == pytest.approx([200.0, 300.0, piece.stock.thickness])
    assert shared > 20


def test_the_bevels_of_the_other_face_are_the_supplements_on_the_same_surface() -> None:
    """Between two parallel faces an edge of one flat surface makes angles that add up to half a turn.

    The planking is nearly flat from face to face, so at the middle of each edge they do to 2 degrees.
    """
    compared = 0
    for piece in _pieces():
        if any(cut.space for cut in piece.cuts):
            continue
        one, two = ({e.label: e for e in piece.edges(face)} for face in (0, 1))
        for label in one.keys() & two.keys():
            a, b = (
                float(np.interp(0.5, np.linspace(0, 1, len(e.bevel)), e.bevel))
                for e in (one[label], two[label])
            )
            assert abs(a + b - np.pi) < np.radians(2.0)
            compared += 1
    assert compared > 20


def test_the_saw_line_contains_both_faces() -> None:
    for piece in _pieces():
        saw = piece.saw().area.buffer(NEAR)
        assert all(saw.contains(face.region.area) for face in piece.faces)


def test_every_edge_has_a_label_and_those_of_planking_lie_on_their_source() -> None:
    for piece in _pieces():
        for number, face in enumerate(piece.faces):
            assert len(face.region.codes) == len(face.region.segments)
            for stretch in face.region.stretches(Planking, Deck):
                source = face.sources.get(stretch.label)
                if source is not None:
                    line = shapely.linestrings(source.uv)
                    assert shapely.distance(line, shapely.points(stretch.points)).max() < NEAR, (
                        piece.name,
                        number,
                    )
            for stretch in face.region.stretches(Centre):
                assert np.abs(stretch.points[:, 0]).max() < NEAR


def test_the_bodies_fill_the_thickness_from_face_to_face() -> None:
    for piece in _pieces():
        bodies = piece.solid()
        planed, first = piece.planed or (0.0, piece.as_cut(0))
        assert sum(abs(body.depth) for body in bodies) == pytest.approx(piece.stock.thickness - planed)
        # A lap may take the middle of a piece across, which is a pair in that half of its thickness.
        assert _halvings(piece) or all(body.mirrored is (piece.hand is Hand.PAIR) for body in bodies)
        ends = (bodies[0], bodies[0].moulded, first), (bodies[-1], bodies[-1].other, piece.as_cut(1))
        for body, area, level in ends:
            whole = 2.0 if piece.half and not body.mirrored else 1.0
            assert area.area == pytest.approx(whole * level.area.area, rel=1e-6)


def _halvings(piece: Piece) -> list[tuple[str, Area, int]]:
    """The pieces that lap it, the area that each takes, and from which face."""
    return [(cut.against, *cut.halving) for cut in piece.cuts if cut.halving is not None]


def test_half_laps_share_the_thickness_between_two_pieces() -> None:
    """Where a rail and a stile cross, each loses the other's half, and none of both is left twice or not at all."""
    lapped = {piece.name.removeprefix("transom "): piece for piece in _pieces() if _halvings(piece)}
    assert {"bottom rail", "top rail", "stile"} <= lapped.keys()
    crossed = 0
    for name, piece in lapped.items():
        for other, area, own in _halvings(piece):
            [(_, same, face_of_other)] = [each for each in _halvings(lapped[other]) if each[0] == name]
            assert {own, face_of_other} == {0, 1}
            assert area.equals(same)
            for face in (0, 1):
                both = piece.as_cut(face).area.intersection(lapped[other].as_cut(face).area)
                assert both.intersection(area).area < 1.0
            crossed += 1
    assert crossed >= 4


def test_the_wood_left_at_a_lap_is_what_the_design_leaves() -> None:
    """Beneath the notch for a half beam's carling, and over a half beam's own: measured up its own section."""
    [half] = [piece for piece in _pieces() if piece.member == "half beam"]
    [(carling, left)] = half.wood_left().items()
    bed = half.faces[0].region.stretches(Against(carling))
    deck = half.faces[0].sources[Deck()].uv
    points = np.vstack([stretch.points for stretch in bed])
    up = np.interp(points[:, 0], *deck.T) - points[:, 1]
    assert 0.9 * up.min() < left <= up.max()


def test_a_meeting_cuts_two_counterparts() -> None:
    """On a plane through the crossing the two spaces share no area, and together they are one slab of it."""
    boat, met = demo_boat(), 0
    for spec in boat.design.all(BeamSpec):
        beam = beam_called(boat, spec.name)
        for meeting in laps_in(boat, spec.name):
            if meeting.kind is not Joinery.HALF_LAP:
                continue
            plane, names = (
                beam.faces[0].moved(0.5 * beam.sense * spec.sided),
                (str(meeting.lands), str(meeting.on)),
            )
            over, under = (meeting.space_in(name, plane) for name in names)
            assert over.area.intersection(under.area).area < NEAR
            assert {*over.labels} == {Against(names[1])}
            assert {*under.labels} == {Against(names[0])}
            notes = [meeting.note(name, plane, over.joined(under)) for name in names]
            assert [note is not None and note.fact.values["over"] for note in notes] == [True, False]
            met += 1
    assert met > 4


def _length(points: FloatArray, *, closed: bool) -> float:
    ring = np.vstack([points, points[:1]]) if closed else points
    return float(np.hypot(*np.diff(ring, axis=0).T).sum())


def test_a_derived_drawing_is_the_piece() -> None:
    made = {pattern.name: pattern for pattern in demo_patterns()}
    for piece in _pieces():
        pattern = made[piece.name]
        kind, drawn = (Kind.SAW, piece.saw()) if piece.by_outline else (Kind.FACE, piece.faces[0].region)
        length = sum(_length(line.points, closed=line.closed) for line in pattern.of_kind(kind))
        cut = drawn.stretches()
        assert length == pytest.approx(
            sum(s.length for s in cut if not (piece.half and isinstance(s.label, Centre))), abs=0.01
        )
        assert len(pattern.facts) >= len(piece.facts)
        assert pattern.depth_left == ({} if piece.role is Role.LAYOUT else piece.wood_left())


def test_every_fact_has_a_template() -> None:
    kinds = {fact.kind for piece in _pieces() for fact in piece.facts}
    kinds |= {note.fact.kind for piece in _pieces() for face in piece.faces for note in face.notes}
    assert {"wood", "moulded-face", "lies-on-face", "turn-over", "ends-lie", "notch", "lap"} <= kinds
    more = {*_KNEE_WORDS, *STEP_WORDS, *SUPPORT_WORDS, *STEM_WORDS, *TRANSOM_WORDS}
    assert kinds <= {*FACTS, *WORDS, *PLANK_WORDS, *more}
    assert Fact("turn-over") == Fact("turn-over", {})


def test_turned_end_for_end_a_piece_keeps_its_wood_and_its_bevels() -> None:
    """Every place has its x changed in sign, twice gives the same piece, and no angle through the wood changes."""
    turns = np.array([-1.0, 1.0, 1.0])
    for piece in {piece.member: piece for piece in _pieces()}.values():
        other = turned_piece(piece)
        for one, two in zip(piece.faces, other.faces, strict=True):
            count = len(one.region.segments)
            depth = 0.0 if one is piece.faces[0] else piece.stock.thickness
            here, there = (
                placed.boat(np.column_stack([face.region.segments[:, 0], np.full(count, depth)]))
                for placed, face in ((piece.on, one), (other.on, two))
            )
            assert there == pytest.approx(here * turns, abs=1e-9)
            assert len(two.lands) == len(one.lands)
            for flat, back in zip(one.lands, two.lands, strict=True):
                flats = [
                    placed.face.space(np.array(each.at))
                    for placed, each in ((piece.on, flat), (other.on, back))
                ]
                assert flats[1] == pytest.approx(flats[0] * turns, abs=1e-9)
        for number in (0, 1):
            for a, b in zip(piece.edges(number), other.edges(number), strict=True):
                assert b.bevel == pytest.approx(a.bevel, abs=1e-9)
        assert other.square == piece.square
        again = turned_piece(other)
        assert again.facts == piece.facts
        assert again.on.boat(np.eye(3)) == pytest.approx(piece.on.boat(np.eye(3)), abs=1e-9)
        assert again.faces[0].region.labels == piece.faces[0].region.labels
        assert again.faces[0].lands == piece.faces[0].lands


def test_what_a_fact_says_of_an_end_is_turned_as_a_value() -> None:
    """A range of places keeps both its ends; a builder's text is never looked into."""
    assert turned_value((Aft(-250.0), Aft(100.0))) == (Aft(250.0), Aft(-100.0))
    assert turned_value(HullEnd.STEM) is HullEnd.STERNPOST
    assert turned_value(Way.AFT) is Way.FORWARD
    assert turned_value("stem") == "stem"
    fact = Fact("keel-top-narrow", {"between": (Aft(3300.0), Aft(3100.0)), "breadth": 30.0})
    assert said(fact, str).startswith("From 3100 to 3300 mm aft")


def test_a_long_timber_lies_on_its_run() -> None:
    """At every place the middle of its section has the length along that middle, and no breadth or depth."""
    boat, known = demo_boat(), 0
    for run in boat.runs:
        if run.kind == "ribband":
            continue
        piece = timber_piece(boat, run.name)
        assert {fact.kind for fact in piece.facts} <= {*FACTS, *TIMBER_WORDS}
        middles = piece.sizes.rails.mean(axis=1)
        own = piece.placement.own(middles)
        steps = np.linalg.norm(np.diff(middles, axis=0), axis=1)
        assert own[:, 0] == pytest.approx(np.append(0.0, np.cumsum(steps)), abs=NEAR)
        assert np.abs(own[:, 1:]).max() < NEAR
        section = piece.section(piece.middle)
        assert len(section.labels) == len(run.lies_on)
        for label, name in zip(section.labels, run.lies_on, strict=True):
            assert label == (Free() if not name else Deck() if name == "deck" else Planking(name))
            known += bool(name)
        # The section keeps its corners' distances: it is the true shape.
        ring = piece.sizes.rails[piece.middle]
        true = np.linalg.norm(ring[0] - ring[2])
        flat = shapely.get_coordinates(section.area)
        assert np.hypot(*(flat[0] - flat[2])) == pytest.approx(true, rel=1e-3)
    assert known > 4


def test_the_edges_of_a_steep_piece_are_matched_label_by_label() -> None:
    """Opposite points of the breasthook lie on edges with the same label, and both outlines are its halves'."""
    boat = demo_boat()
    for spec in boat.design.all(BreasthookSpec):
        for piece in breasthook_pieces(boat, spec):
            assert piece.planed is not None
            regions = piece.planed[1], piece.faces[1].region
            [body] = piece.solid()
            [rings] = body.edge
            lines = [{label: region.lines(label) for label in region.palette} for region in regions]
            on = [
                {label: shapely.distance(each[label], shapely.points(ring)) < 1e-6 for label in each}
                for each, ring in zip(lines, rings, strict=True)
            ]
            starboard = rings[0][:, 0] >= 0.0
            matched = np.any([on[0][label] & on[1][label] for label in on[0]], axis=0)
            assert matched[starboard].all()
            for ring, region in zip(rings, regions, strict=True):
                assert shapely.Polygon(ring).area == pytest.approx(2.0 * region.area.area, rel=1e-4)


def test_a_piece_whose_faces_are_alike_is_square_only_without_a_level_between_them() -> None:
    """The outer stem is drawn out to an edge on both sides: what it is sawn to is the level between."""
    boat = demo_boat()
    [outer] = [piece for piece in stem_pieces(boat) if piece.name == "outer stem"]
    assert outer.steps
    assert not outer.square
    assert outer.saw().area.area > 1000.0
    assert pattern_of(boat, outer, STEM_WORDS).of_kind(Kind.SAW)
