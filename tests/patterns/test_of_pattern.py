"""Which layer each line and each word of a pattern lies in, on the boat of planes."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from patterns.boat import load_boat
from patterns.drawing.of_pattern import draw
from patterns.drawing.strokes import STROKES
from patterns.members import all_patterns
from patterns.pattern import Kind, Line, Pattern, from_the_other_face
from tests.patterns.plane_boat import write_plane_boat
from tiling.drawing import Drawing

ALWAYS = set(Kind) - {Kind.OTHER, Kind.REFERENCE}  # what wood is sawn, fitted and joined by


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> list[tuple[Pattern, Drawing]]:
    boat = load_boat(write_plane_boat(tmp_path_factory.mktemp("plane")))
    patterns = list(all_patterns(boat))
    patterns += [from_the_other_face(pattern) for pattern in patterns if pattern.behind]
    return [(pattern, draw(pattern, boat="Plane boat")) for pattern in patterns]


def layers_of(pattern: Pattern, drawing: Drawing, kind: Kind) -> set[str]:
    """The layers of the paths that draw the lines of one kind."""
    return {
        path.layer
        for line in pattern.of_kind(kind)
        for path in drawing.paths
        if path.points.shape == line.points.shape and np.array_equal(path.points, line.points)
        and path.stroke == STROKES[kind]
    }  # fmt: skip


@pytest.mark.slow
def test_lines_that_wood_is_sawn_or_joined_by_lie_in_no_layer(made: list[tuple[Pattern, Drawing]]) -> None:
    seen: set[Kind] = set()
    for pattern, drawing in made:
        for kind in ALWAYS:
            if pattern.of_kind(kind):
                assert layers_of(pattern, drawing, kind) == {""}, (pattern.name, kind)
                seen.add(kind)
    assert {Kind.SAW, Kind.FACE, Kind.CENTRE} <= seen


@pytest.mark.slow
def test_the_other_face_and_the_grid_have_their_layers(made: list[tuple[Pattern, Drawing]]) -> None:
    for kind, layer in ((Kind.OTHER, "other face"), (Kind.REFERENCE, "grid")):
        found = [layers_of(pattern, drawing, kind) for pattern, drawing in made if pattern.of_kind(kind)]
        assert found
        assert all(layers == {layer} for layers in found)


@pytest.mark.slow
def test_bevels_lie_in_theirs_with_their_ticks(made: list[tuple[Pattern, Drawing]]) -> None:
    for pattern, drawing in made:
        notes = [note for note in drawing.notes if note.layer == "bevels"]
        ticks = [path for path in drawing.paths if path.layer == "bevels"]
        assert len(notes) == len(ticks) == len(pattern.readings)
        assert all("°" in note.text for note in notes)


@pytest.mark.slow
def test_what_a_piece_is_and_which_way_it_lies_is_always_there(made: list[tuple[Pattern, Drawing]]) -> None:
    for pattern, drawing in made:
        always = {note.text for note in drawing.notes if not note.layer}
        assert pattern.name.upper() in always
        assert always - {""} <= {
            pattern.name.upper(),
            *pattern.sides,
        }  # the figure of the sides has no other words
        for disc in drawing.discs:  # register holes and flip points
            assert not disc.layer


SERIES = (
    0.13,
    0.18,
    0.25,
    0.35,
    0.5,
    0.7,
    1.0,
    1.4,
    2.0,
)  # ISO 128-2:2020, mm, from memory; a step is root two


@pytest.mark.slow
def test_lines_of_one_pattern_that_only_breadth_tells_apart_are_two_steps_apart(
    made: list[tuple[Pattern, Drawing]],
) -> None:
    """ISO 128: wide to narrow not under 2:1 (from memory); dashes tell lines apart where they differ by half."""
    pairs = 0
    for pattern, _ in made:
        kinds = sorted({line.kind for line in pattern.lines}, key=lambda kind: kind.value)
        for one, other in combinations(kinds, 2):
            a, b = STROKES[one], STROKES[other]
            alike = len(a.dash) == len(b.dash) and all(
                max(x, y) < 1.5 * min(x, y) for x, y in zip(a.dash, b.dash, strict=True)
            )
            if alike:
                pairs += 1
                steps = abs(SERIES.index(a.width) - SERIES.index(b.width))
                assert steps >= 2, (pattern.name, one, other)
    assert pairs > 5


@pytest.mark.slow
def test_every_line_with_a_name_is_named(made: list[tuple[Pattern, Drawing]]) -> None:
    for pattern, drawing in made:
        said = {note.text for note in drawing.notes}
        assert {line.name for line in pattern.lines if line.name} <= said, pattern.name


@pytest.mark.slow
def test_of_pieces_of_one_line_the_longest_is_named_and_one_far_off_again(
    made: list[tuple[Pattern, Drawing]],
) -> None:
    pattern = made[0][0]
    ends = ((0.0, 40.0), (60.0, 260.0), (290.0, 330.0), (900.0, 940.0))
    pieces = tuple(
        Line(kind=Kind.REFERENCE, points=np.array([[start, 5.0], [end, 5.0]]), name="in pieces")
        for start, end in ends
    )
    drawing = draw(replace(pattern, lines=(*pattern.lines, *pieces)), boat="Plane boat")
    assert sorted(note.target for note in drawing.notes if note.text == "in pieces") == [
        (160.0, 5.0),
        (920.0, 5.0),
    ]
