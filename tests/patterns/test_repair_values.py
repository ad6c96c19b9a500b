"""The pieces of a repair as values: labelled edges on their sources, and wood where it lies in the boat."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import numpy as np
import pytest
import shapely
import shapely.ops

from patterns.drawing.of_piece import pattern_of
from patterns.pattern import Kind
from patterns.repair.futtocks import in_pieces
from patterns.repair.gussets import gusset_pieces_of
from patterns.repair.pieces import shape_piece
from patterns.repair.repair import Repair, load_repair
from patterns.repair.section import section_at
from patterns.repair.shapes import shapes_of
from patterns.repair.strip import strip_piece
from patterns.repair.words import WORDS
from patterns.text.wood_facts import FACTS
from patterns.wood.labels import Against, Centre, Free, Planking, Trim
from patterns.wood.piece import Hand, Piece, Role
from patterns.wood.region import Edges, labelled
from patterns.wood.section import SectionCut, sources_of
from tests.demo import DEMO

NEAR = 0.001  # mm


@cache
def _repair() -> Repair:
    return load_repair(DEMO / "broken_frame")


@cache
def _pieces() -> tuple[Piece, ...]:
    def made() -> Iterator[Piece]:
        repair = _repair()
        for _, spec in repair.pieces:
            for shape in shapes_of(repair, spec):
                yield from (shape_piece(repair, part) for part in in_pieces(repair, shape))
        for _, gusset in repair.gussets:
            yield from gusset_pieces_of(repair, gusset)
        for side in repair.edges_of:
            yield strip_piece(repair, side, f"fit-up strip {side}", 0.0)

    return tuple(made())


def test_a_line_gives_its_labels_to_what_is_cut_along_it() -> None:
    square = shapely.box(0.0, 0.0, 10.0, 10.0)
    line = np.array([[-5.0, 4.0], [6.0, 4.0], [15.0, 4.0]])
    edges = Edges.of([(Planking("low"), line[:2]), (Planking("high"), line[1:])])
    upper = max(shapely.ops.split(square, shapely.LineString(line)).geoms, key=lambda part: part.centroid.y)
    found = {
        s.label: s.length for s in labelled(upper, [edges], otherwise=Free()).stretches() if s.label != Free()
    }
    assert found == pytest.approx({Planking("low"): 6.0, Planking("high"): 4.0})


@pytest.mark.slow
@pytest.mark.parametrize("behind", [1.0, -1.0])
@pytest.mark.parametrize("depth", [0.0, 25.0])
def test_a_measured_face_is_a_section_whose_sources_have_the_gauge_s_bevels(
    behind: float, depth: float
) -> None:
    """Along wood that runs either way: a right angle and the surface's slope square to the edge at that depth."""
    edge = _repair().edges_of["starboard"].at_depth(depth)
    cut: SectionCut = section_at(edge, depth, behind)
    assert cut.deck is None
    assert cut.plane.origin[0] == behind * depth
    for stretch, (label, source) in zip(edge.stretches, sources_of(cut).items(), strict=True):
        assert label == Planking(stretch.name)
        own = (
            slice(1, None) if stretch is edge.stretches[0] else slice(None, -1)
        )  # without what is carried on
        assert source.uv[own] == pytest.approx(stretch.points)
        slope = stretch.slope + 2.0 * stretch.hollow * depth
        for way in (1.0, -1.0):
            angle = source.bevel(np.array([way * behind, 0.0, 0.0]))[own]
            assert angle == pytest.approx(0.5 * np.pi + way * np.arctan(slope), abs=1e-9)


@pytest.mark.slow
def test_every_edge_is_labelled_and_the_planking_lies_on_what_was_measured() -> None:
    kinds = set()
    for piece in _pieces():
        for face in piece.faces:
            kinds |= {type(label) for label in face.region.labels}
            for stretch in face.region.stretches(Planking):
                source = face.sources.get(stretch.label)
                if source is not None:
                    line = shapely.linestrings(source.uv)
                    assert shapely.distance(line, shapely.points(stretch.points)).max() < NEAR
    assert kinds >= {Planking, Against, Free, Trim}
    assert {piece.hand for piece in _pieces()} == {Hand.PORT, Hand.STARBOARD}


@pytest.mark.slow
def test_futtocks_lie_against_each_other_along_one_line() -> None:
    made = {piece.name.removeprefix("frame 4 "): piece for piece in _pieces() if piece.member == "futtock"}
    for side in ("port", "starboard"):
        lower, upper = made[f"{side} bottom"], made[f"{side} side"]
        for one, two in zip(lower.faces, upper.faces, strict=True):
            joint = one.region.lines(Against("side"))
            assert joint.length > 40.0
            assert shapely.hausdorff_distance(joint, two.region.lines(Against("bottom"))) < NEAR


@pytest.mark.slow
def test_the_wood_of_a_port_piece_is_to_port_and_as_it_is_drawn() -> None:
    for piece in _pieces():
        way = -1.0 if piece.hand is Hand.PORT else 1.0
        pattern = pattern_of(_repair(), piece, WORDS)
        assert pattern.plane is not None
        for body in piece.solid():
            points = body.plane.space(shapely.get_coordinates(body.moulded))
            assert (way * points[:, 1]).min() > -60.0
            # Its own placement, and the record's view, put the same wood there.
            flat = shapely.get_coordinates(piece.faces[0].region.area)
            own = np.column_stack([flat, np.zeros(len(flat))])
            assert piece.placement.boat(own) == pytest.approx(points, abs=NEAR)
            [line] = pattern.of_kind(Kind.FACE) or pattern.of_kind(Kind.SAW)
            there = pattern.plane.space(line.points @ np.linalg.inv(pattern.view).T)
            ring = shapely.linearrings(there[:, 1:])
            assert shapely.distance(ring, shapely.points(points[:, 1:])).max() < NEAR


@pytest.mark.slow
def test_every_fact_of_a_repair_has_a_template() -> None:
    for piece in _pieces():
        notes = [note.fact for face in piece.faces for note in face.notes]
        lines = [line.fact for face in piece.faces for line in face.scribed]
        facts = [*piece.facts, *notes, *lines, *(distance.fact for distance in piece.distances)]
        assert {fact.kind for fact in facts} <= {*FACTS, *WORDS}
    assert Centre() not in {label for piece in _pieces() for label in piece.faces[0].region.palette}


@pytest.mark.slow
def test_the_wood_left_over_a_notch_is_the_moulding_less_its_depth() -> None:
    """Both lie square to the planking; a futtock has no more than the frame put together, at its joint too."""
    repair = _repair()
    off = {notch.name: notch.off for notch in repair.notches}
    seen = set()
    for piece in _pieces():
        if piece.member == "gusset" or piece.role is Role.TRIAL:
            continue
        for timber, left in piece.wood_left().items():
            assert left == pytest.approx(repair.spec.moulded - off[timber], abs=NEAR)
            seen.add(timber)
    assert seen == {*off}
