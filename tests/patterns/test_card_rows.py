"""What the cards say of pieces: the figures of a frame agree with one another, and places with the boat."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
import pytest

from patterns.drawing.frame_up import FrameUp
from patterns.pattern import Pattern
from patterns.text.angles import angle_words, half_degrees
from patterns.text.card_rows import OF_THE_WHOLE, card_rows, corner_table, mark_table
from tests.demo import demo_boat, demo_patterns


def mm(words: str) -> float:
    found = re.match(r"-?[\d.]+", words)
    assert found is not None, words
    return float(found[0])


def frame(name: str) -> list[Pattern]:
    return [pattern for pattern in demo_patterns() if pattern.part_of == f"frame {name}"]


@pytest.mark.slow
@pytest.mark.parametrize("name", ["3", "4", "6", "8"])
def test_the_diagonals_of_a_frame_follow_from_its_breadths_and_heights(name: str) -> None:
    """Pythagoras, from the printed figures alone: half of both breadths across, the heights' difference up."""
    head, *rows = corner_table(frame(name), demo_boat().length_words)
    assert head == ("corner", "across both halves", "below set-up line", "diagonal")
    sheer = rows[-1]
    assert sheer[0] == "sheer"
    checked = 0
    for corner, across, low, diagonal in rows:
        if diagonal == "–":
            continue
        wide = 0.5 * (mm(sheer[1]) + (0.0 if across == "–" else mm(across)))
        assert mm(diagonal) == pytest.approx(np.hypot(wide, mm(low) - mm(sheer[2])), abs=0.15), corner
        checked += 1
    assert checked >= 2


@pytest.mark.slow
def test_what_holds_for_a_frame_is_on_its_card_alone() -> None:
    lengths = demo_boat().length_words
    for pattern in frame("3"):
        own = set(card_rows(pattern, lengths, whole=False))
        of_whole = set(card_rows(pattern, lengths, whole=True))
        assert own
        assert not own & of_whole
        assert bool(of_whole) == any(fact.kind in OF_THE_WHOLE for fact in pattern.known)


@pytest.mark.slow
def test_the_marks_of_a_timber_are_those_of_its_facts() -> None:
    log = next(pattern for pattern in demo_patterns() if pattern.name == "chine log, ends")
    facts = {fact.kind: fact.values for fact in log.known}
    _, *rows = mark_table(log)
    places = facts["marks-along"]["places"]
    assert [row[0] for row in rows] == list(places)  # type: ignore[call-overload]
    for row in rows:
        assert mm(row[1]) == pytest.approx(places[row[0]], abs=0.5)  # type: ignore[index]


def outline(patterns: Sequence[Pattern], name: str) -> np.ndarray:
    return np.vstack(next(pattern for pattern in patterns if pattern.name == name).in_boat)


@pytest.mark.slow
def test_pieces_are_shown_where_their_wood_is() -> None:
    """The outlines for the small pictures lie in the moulded face of the wood by which pieces are held together."""
    checked = 0
    for pattern in demo_patterns():
        lapped = bool(pattern.slabs)  # its faces end in different places
        if pattern.body is None or not pattern.in_boat or pattern.hand.value == "port" or lapped:
            continue
        points = np.vstack(pattern.in_boat)
        wood = np.vstack(
            [
                pattern.body.plane.space(np.asarray(part.exterior.coords))
                for part in getattr(pattern.body.moulded, "geoms", [pattern.body.moulded])
            ]
        )
        low, high = points.min(axis=0), points.max(axis=0)
        most = wood.max(axis=0)
        assert np.allclose(high, most, atol=1.0), pattern.name
        assert (low >= wood.min(axis=0) - 1.0).all(), pattern.name
        checked += 1
    assert checked > 25
    assert outline(demo_patterns(), "side strake")[:, 1].min() > -1.0


@pytest.mark.slow
def test_a_picture_holds_its_part_and_all_pieces_share_one() -> None:
    frame_up = FrameUp(demo_patterns())
    stem = next(pattern for pattern in demo_patterns() if pattern.name == "inner stem")
    one, two = frame_up.of_pieces([stem]), frame_up.of_pieces(frame("3"))
    assert one is not None
    assert two is not None
    assert one.around is two.around
    for site in (one, two):
        points = np.vstack(site.part)
        assert points.min() > -0.01
        assert (points.max(axis=0) < np.array(site.size) + 0.01).all()
    assert np.vstack(one.part)[:, 0].max() < np.vstack(two.part)[:, 0].max()  # the bow is on the left
    bottom = next(pattern for pattern in frame("3") if pattern.name == "frame 3 bottom")
    part = frame_up.of_part(bottom)
    assert part is not None
    middle = 0.5 * part.size[0]
    across = np.vstack(part.part)[:, 0] - middle
    assert across.min() == pytest.approx(-across.max(), abs=0.3)  # both sides of it are dark


@pytest.mark.parametrize(
    ("degrees", "words"), [(7.3, "7.5°"), (-7.2, "7°"), (0.24, "0°"), (12.0, "12°"), (89.76, "90°")]
)
def test_angles_are_given_to_half_a_degree(degrees: float, words: str) -> None:
    angle = float(np.radians(degrees))
    assert angle_words(angle) == words
    assert abs(half_degrees(angle) - degrees) <= 0.25
